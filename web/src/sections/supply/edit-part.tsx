import { ValueField } from "../../parts/value-field.tsx";
import { partEdit, partOf, quantityOf, twinsOf } from "../../state/edits.ts";
import { useAround, useDocument, useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { CAPACITOR_VOLTS, RESISTOR_WATTS, SizeSelect } from "./size-select.tsx";
import { percent, printed } from "./words.ts";

const NONE = {};

/** Value and rating of a part, in its channel and that one's equals; what it sees at worst, and where. */
export function EditPart({ id }: { id: string }) {
  const hands = useHands();
  const { session } = useAround();
  const document = useDocument();
  const keptDocument = useSession((state) => state.book.value);
  const keptPart = partOf(keptDocument, instanceOf(id), partIdOf(id));
  const part = partOf(document, instanceOf(id), partIdOf(id));
  if (part === undefined || keptPart === undefined) return <span className="supply-note">No such part now.</span>;
  const kept = () => session.getState().book.value;
  const instances = () => twinsOf(kept(), instanceOf(id));
  const edit = (change: { value?: string; volts?: number; watts?: number }) =>
    partEdit(kept(), instances(), partIdOf(id), change);
  const quantity = quantityOf(part);
  return (
    <>
      {quantity !== undefined && "value" in keptPart && (
        <ValueField
          label={part.kind === "regulator" ? "Volts" : "Value"}
          quantity={quantity}
          value={keptPart.value}
          onHold={(value) => {
            const { title, changes } = edit({ value });
            hands.hold(title, changes);
          }}
          onKeep={hands.keepHand}
          onDrop={hands.drop}
        />
      )}
      {part.kind === "capacitor" && (
        <SizeSelect
          label="Rated"
          unit="V"
          value={part.volts}
          sizes={CAPACITOR_VOLTS}
          onChoose={(volts) => {
            const { title, changes } = edit({ volts });
            hands.keep(title, changes);
          }}
        />
      )}
      {part.kind === "resistor" && (
        <SizeSelect
          label="Rated"
          unit="W"
          value={part.watts}
          sizes={RESISTOR_WATTS}
          onChoose={(watts) => {
            const { title, changes } = edit({ watts });
            hands.keep(title, changes);
          }}
        />
      )}
      <Sees id={id} />
      <Twins count={twinsOf(document, instanceOf(id)).length} />
    </>
  );
}

const instanceOf = (id: string): string => id.slice(0, id.indexOf("."));
const partIdOf = (id: string): string => id.slice(id.indexOf(".") + 1);

function Twins({ count }: { count: number }) {
  return count < 2 ? null : <span className="supply-note">in {count === 2 ? "both" : `all ${count}`} channels</span>;
}

function Sees({ id }: { id: string }) {
  const { value } = useAnswer("supplyNodes", NONE);
  const row = value?.parts.find((one) => one.id === id);
  const worst = row?.readings.reduce<number | undefined>(
    (best, one, n) => (one !== null && (best === undefined || one.share > (row.readings[best]?.share ?? 0)) ? n : best),
    undefined,
  );
  const reading = worst === undefined ? undefined : row?.readings[worst];
  if (row === undefined || worst === undefined || reading === undefined || reading === null) return null;
  return (
    <span className="supply-note">
      sees {printed(reading.value, row.unit)}, {percent(reading.share)} of its rating, {value?.conditions[worst]?.words}
    </span>
  );
}
