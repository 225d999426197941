import type { Quantity } from "@platewright/engine";
import { useId, useState } from "react";
import { readNumber } from "./read-number.ts";

/** A plain number in one unit, kept on Enter or on leaving as one step; Escape puts it back. Held live when `onHold` is given. */
export function NumberField({
  label,
  unit,
  value,
  quantity = "voltage",
  least = Number.MIN_VALUE,
  most = Infinity,
  optional = false,
  onKeep,
}: {
  label: string;
  unit: string;
  value: number | undefined;
  /** How it may be written: "0.06", "60m", "60mA". */
  quantity?: Quantity;
  least?: number;
  most?: number;
  /** May be left empty. */
  optional?: boolean;
  onKeep: (value: number | undefined) => void;
}) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : readNumber(quantity, draft, least, most, optional);
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    if (keep && read?.ok === true && read.value !== value) onKeep(read.value);
    setDraft(undefined);
  };
  const wrong = read?.ok === false ? read.failure : undefined;
  return (
    <span className="supply-control">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        className={`field supply-number${draft === undefined ? "" : " in-hand"}`}
        inputMode="decimal"
        autoComplete="off"
        spellCheck={false}
        value={draft ?? (value === undefined ? "" : String(value))}
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? undefined : `${id}-wrong`}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={() => end(true)}
        onKeyDown={(event) => {
          if (event.key === "Enter") end(true);
          else if (event.key === "Escape" && draft !== undefined) {
            event.stopPropagation();
            end(false);
          }
        }}
      />
      <span className="muted">{unit}</span>
      {wrong !== undefined && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </span>
  );
}
