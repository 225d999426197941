import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useEdits } from "../../state/use-edits.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { setOn } from "./layout-edits.ts";
import { placedAt } from "./place-edit.ts";
import { LengthField } from "./length-field.tsx";
import { mm } from "./read-length.ts";
import type { ItemFacts } from "./item-facts.ts";
import { Several } from "./several.tsx";
import { Turn } from "./turn-field.tsx";

const NONE = {};

/** The item that is chosen: where it stands, how it is turned, what it is, what the builder says of it. */
export function Inspector({
  facts,
  also,
  stepMillimetres,
  onClose,
  onRemove,
}: {
  facts: ItemFacts;
  also: readonly string[];
  stepMillimetres: number;
  onClose: () => void;
  onRemove: (id: string) => void;
}) {
  const edits = useEdits();
  const document = useDocument();
  const kept = useSession((session) => session.book.value);
  const { value: parts } = useAnswer("chassisParts", NONE);
  const item = document.chassis?.items.find(({ id }) => id === facts.id);
  const standing = kept.chassis?.items.find(({ id }) => id === facts.id);
  const { plate } = kept.chassis ?? {};
  if (item === undefined || standing === undefined || plate === undefined) return null;
  const { id } = facts;
  const hold = (to: Parameters<typeof placedAt>[2]) => edits.hold(placedAt(kept, id, to));
  const keep = (to: Parameters<typeof placedAt>[2]) => edits.keep(placedAt(kept, id, to));
  const socket = parts?.footprints.find((one) => one.id === item.footprint)?.socket ?? null;
  const likes = (parts?.footprints ?? []).filter(
    (one) => one.id === item.footprint || (one.kind === facts.kind && (socket === null || one.socket === socket)),
  );
  return (
    <section aria-labelledby="chassis-item" className="chassis-item">
      <SectionHead
        id="chassis-item"
        title={facts.type === null ? facts.name : `${facts.name} ${facts.type}`}
        note={facts.label}
        end={
          <button type="button" className="button quiet" onClick={onClose}>
            Close
          </button>
        }
      />
      <div className="chassis-where">
        <LengthField
          key={`x ${id}`}
          label="x"
          value={item.x}
          live={item.x !== standing.x}
          stepMillimetres={stepMillimetres}
          from={-plate.widthMillimetres}
          to={2 * plate.widthMillimetres}
          onHold={(x) => hold({ x })}
          onKeep={edits.keepHand}
          onDrop={edits.drop}
        />
        <LengthField
          key={`y ${id}`}
          label="y"
          value={item.y}
          live={item.y !== standing.y}
          stepMillimetres={stepMillimetres}
          from={-plate.depthMillimetres}
          to={2 * plate.depthMillimetres}
          onHold={(y) => hold({ y })}
          onKeep={edits.keepHand}
          onDrop={edits.drop}
        />
        <Turn
          key={`turn ${id}`}
          degrees={item.degrees}
          live={item.degrees !== standing.degrees}
          onKeep={(degrees) => keep({ degrees })}
        />
      </div>
      <div className="chassis-what">
        <label>
          <span>Footprint</span>
          <select
            className="field"
            value={item.footprint}
            onChange={({ currentTarget: { value } }) => {
              const words = likes.find((one) => one.id === value)?.label ?? value;
              const what = "fitting" in standing.what;
              const next = setOn(kept, id, { footprint: value, measured: undefined }, words);
              edits.keep(
                what
                  ? {
                      ...next,
                      changes: [
                        ...next.changes,
                        { target: `chassis.items[${id}].what`, before: standing.what, after: { fitting: value } },
                      ],
                    }
                  : next,
              );
            }}
          >
            {!likes.some((one) => one.id === item.footprint) && (
              <option value={item.footprint}>{item.footprint}</option>
            )}
            {likes.map((one) => (
              <option key={one.id} value={one.id}>
                {one.label}
              </option>
            ))}
          </select>
        </label>
        <label>
          <span>Mounted</span>
          <select
            className="field"
            value={item.face ?? "top"}
            onChange={({ currentTarget: { value } }) =>
              edits.keep(
                setOn(
                  kept,
                  id,
                  { face: value === "under" ? "under" : undefined },
                  value === "under" ? "from below" : "from above",
                ),
              )
            }
          >
            <option value="top">from above</option>
            <option value="under">from below</option>
          </select>
        </label>
      </div>
      <div className="chassis-ticks">
        <Tick
          words="measured, as its footprint says"
          on={item.measured === true}
          onSet={(on) => edits.keep(setOn(kept, id, { measured: on || undefined }, on ? "measured" : "not measured"))}
        />
        {"fitting" in item.what && ["inlet", "switch", "fuse-holder"].includes(facts.kind) && (
          <Tick
            words="live terminals booted"
            on={item.booted === true}
            onSet={(on) => edits.keep(setOn(kept, id, { booted: on || undefined }, on ? "booted" : "not booted"))}
          />
        )}
        {facts.kind === "earth-stud" && (
          <Tick
            words="bare metal masked from the coat"
            on={item.masked === true}
            onSet={(on) => edits.keep(setOn(kept, id, { masked: on || undefined }, on ? "masked" : "not masked"))}
          />
        )}
      </div>
      <div className="chassis-deeds">
        <p className="chassis-note">{heightWords(facts)}</p>
        <button type="button" className="button quiet" onClick={() => onRemove(id)}>
          Take off the plate
        </button>
      </div>
      {also.length > 0 && <Several ids={[id, ...also]} />}
    </section>
  );
}

const heightWords = ({ heights: { top, under } }: ItemFacts): string =>
  `Stands ${mm(top)} mm above the plate${under > 0 ? `, ${mm(under)} mm below` : ""}.`;

function Tick({ words, on, onSet }: { words: string; on: boolean; onSet: (on: boolean) => void }) {
  return (
    <label className="chassis-tick">
      <input type="checkbox" checked={on} onChange={({ currentTarget: { checked } }) => onSet(checked)} />
      {words}
    </label>
  );
}
