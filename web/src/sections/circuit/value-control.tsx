import { type DocumentPart, valueOf } from "@platewright/design";
import type { Series } from "@platewright/engine";
import { Choice } from "../../parts/choice.tsx";
import { stepped } from "../../parts/stepped.ts";
import { ValueField } from "../../parts/value-field.tsx";
import { quantityOf } from "../../state/edits.ts";
import { useSession } from "../../state/use-session.ts";
import { capacitorOnShelf, resistorOnShelf } from "./on-shelf.ts";
import { UNIT_OF } from "./steps.ts";
import type { PartEdits } from "./use-part-edits.ts";
import { ValueSlider } from "./value-slider.tsx";
import { printed } from "./words.ts";

/** A value by typing, by step, by slider; what the shelf has of it. */
export function ValueControl({
  part,
  kept,
  proven,
  fixes,
  series,
  onSeries,
  edits,
}: {
  part: DocumentPart;
  kept: DocumentPart;
  proven: DocumentPart | undefined;
  /** Values that fixes would set. */
  fixes: readonly string[];
  series: "E12" | "E24";
  onSeries: (series: "E12" | "E24") => void;
  edits: PartEdits;
}) {
  const shelf = useSession((session) => session.shelf.value);
  const quantity = quantityOf(kept);
  const unit = UNIT_OF[kept.kind];
  if (quantity === undefined || unit === undefined || !("value" in kept) || !("value" in part)) return null;
  const now = valueOf(quantity, part.value);
  const before = valueOf(quantity, kept.value);
  const was = proven !== undefined && "value" in proven ? valueOf(quantity, proven.value) : undefined;
  const coded =
    quantity === "resistance" || quantity === "capacitance" || quantity === "inductance" ? quantity : undefined;
  const next = (by: 1 | -1, of: Series = series) =>
    coded === undefined ? String(Number((now * (1 + 0.05 * by)).toPrecision(3))) : stepped(quantity, now, by, of);
  const onShelf =
    kept.kind === "resistor"
      ? resistorOnShelf(shelf, now)
      : kept.kind === "capacitor"
        ? capacitorOnShelf(shelf, now)
        : undefined;
  return (
    <div className="circuit-value">
      <div className="circuit-stepper">
        <button
          type="button"
          className="button"
          aria-label={`${part.id} down to ${next(-1)}`}
          onClick={() => edits.keep({ value: next(-1) })}
        >
          −
        </button>
        <ValueField
          label={`${part.id} value`}
          hideLabel
          quantity={quantity}
          value={part.value}
          series={series}
          onHold={(value) => edits.hold({ value })}
          onKeep={edits.keepHand}
          onDrop={edits.drop}
        />
        <button
          type="button"
          className="button"
          aria-label={`${part.id} up to ${next(1)}`}
          onClick={() => edits.keep({ value: next(1) })}
        >
          +
        </button>
      </div>
      {coded !== undefined && before > 0 && now > 0 && (
        <ValueSlider
          name={`${part.id} on a scale`}
          quantity={coded}
          unit={unit}
          value={now}
          kept={before}
          proven={was}
          marks={fixes.flatMap((written) => {
            const value = valueOf(quantity, written);
            return Number.isFinite(value) ? [{ value, words: `fix ${written}` }] : [];
          })}
          series={series}
          onHold={(value) => edits.hold({ value })}
          onKeep={edits.keepHand}
          onDrop={edits.drop}
        />
      )}
      {was !== undefined && Math.abs(was / now - 1) > 1e-9 && (
        <p className="circuit-small">proven {printed(was, unit)}</p>
      )}
      {coded !== undefined && (
        <div className="circuit-row">
          <Choice
            label="Steps"
            options={[
              { value: "E12", words: "E12" },
              { value: "E24", words: "E24" },
            ]}
            value={series}
            onChoose={onSeries}
          />
          {onShelf !== undefined && (
            <span className="circuit-shelf">
              On the shelf <b>{onShelf.words}</b>
            </span>
          )}
        </div>
      )}
    </div>
  );
}
