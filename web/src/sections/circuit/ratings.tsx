import type { DocumentPart, PartEdit } from "@platewright/design";
import { useId } from "react";
import type { PartEdits } from "./use-part-edits.ts";

/** As sold; common practice. */
const WATTS = [0.25, 0.5, 0.6, 1, 2, 3, 5, 7, 10, 15, 25, 50] as const;
const VOLTS = [16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450, 500, 630, 1000] as const;
const PERCENT = [0.1, 0.5, 1, 2, 5, 10, 20] as const;

/** Tolerance and rating as they are written on the part; choosing one is one step. */
export function Ratings({ part, edits }: { part: DocumentPart; edits: PartEdits }) {
  if (!TAKES.has(part.kind)) return null;
  const rated =
    part.kind === "resistor"
      ? ({
          label: "Rating",
          unit: "W",
          value: part.watts,
          sizes: WATTS,
          edit: (watts: number): PartEdit => ({ watts }),
        } as const)
      : part.kind === "capacitor"
        ? ({
            label: "Rating",
            unit: "V",
            value: part.volts,
            sizes: VOLTS,
            edit: (volts: number): PartEdit => ({ volts }),
          } as const)
        : undefined;
  return (
    <div className="circuit-row">
      <Size
        label="Tolerance"
        unit="%"
        sign="±"
        value={part.tolerancePercent}
        sizes={PERCENT}
        onChoose={(tolerancePercent) => edits.keep({ tolerancePercent })}
      />
      {rated !== undefined && (
        <Size
          label={rated.label}
          unit={rated.unit}
          sign=""
          value={rated.value}
          sizes={rated.sizes}
          onChoose={(size) => edits.keep(rated.edit(size))}
        />
      )}
    </div>
  );
}

const TAKES: ReadonlySet<string> = new Set(["resistor", "capacitor", "inductor", "potentiometer"]);

function Size({
  label,
  unit,
  sign,
  value,
  sizes,
  onChoose,
}: {
  label: string;
  unit: string;
  sign: string;
  value: number | undefined;
  sizes: readonly number[];
  onChoose: (size: number) => void;
}) {
  const id = useId();
  const all = [...new Set([...sizes, ...(value === undefined ? [] : [value])])].sort((a, b) => a - b);
  return (
    <span className="circuit-size">
      <label htmlFor={id}>{label}</label>
      <select
        id={id}
        className="field"
        value={value ?? ""}
        onChange={(event) => {
          const size = Number(event.currentTarget.value);
          if (size > 0) onChoose(size);
        }}
      >
        {value === undefined && <option value="">not written</option>}
        {all.map((size) => (
          <option key={size} value={size}>
            {`${sign}${size}\u202f${unit}`}
          </option>
        ))}
      </select>
    </span>
  );
}
