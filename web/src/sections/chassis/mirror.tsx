import { memo, useMemo, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useEdits } from "../../state/use-edits.ts";
import { useSession } from "../../state/use-session.ts";
import { mirroredChannel, pairsOf } from "./layout-edits.ts";
import { LengthField } from "./length-field.tsx";

/** The other channel at the mirrored places of this one. */
export const Mirror = memo(function Mirror() {
  const edits = useEdits();
  const kept = useSession((session) => session.book.value);
  const wide = kept.chassis?.plate.widthMillimetres ?? 0;
  const channels = useMemo(
    () => kept.instances.map(({ id }) => id).filter((id) => pairsOf(kept, id).length > 0),
    [kept],
  );
  const [wanted, setWanted] = useState("");
  const [middle, setMiddle] = useState<number>();
  const from = channels.includes(wanted) ? wanted : channels[0];
  const at = middle ?? wide / 2;
  const pairs = useMemo(() => (from === undefined ? [] : pairsOf(kept, from)), [kept, from]);
  const edit = useMemo(() => (from === undefined ? undefined : mirroredChannel(kept, from, at)), [kept, from, at]);
  if (from === undefined || edit === undefined) return null;
  return (
    <section className="chassis-mirror" aria-labelledby="chassis-mirror">
      <SectionHead id="chassis-mirror" title="Second channel" note="mirrored from the first, as one step" />
      <p>
        {pairs.map((pair) => `${pair.to} from ${pair.from}`).join(", ")}. Keys answer each other; pins keep their order.
      </p>
      <div className="chassis-where">
        <span className="chassis-length">
          <label htmlFor="chassis-mirror-from">From</label>
          <select
            id="chassis-mirror-from"
            className="field"
            value={from}
            onChange={({ currentTarget: { value } }) => setWanted(value)}
          >
            {channels.map((id) => (
              <option key={id}>{id}</option>
            ))}
          </select>
        </span>
        <LengthField
          label="about x"
          value={at}
          stepMillimetres={1}
          to={wide}
          onHold={setMiddle}
          onKeep={() => undefined}
          onDrop={() => setMiddle(undefined)}
        />
        <button type="button" className="button" disabled={edit.changes.length === 0} onClick={() => edits.keep(edit)}>
          Mirror
        </button>
      </div>
    </section>
  );
});
