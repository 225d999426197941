import type { Chassis, DocumentHole } from "@platewright/design";
import { useId, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { PickField, Refused, TextField } from "./fields.tsx";
import { LengthInput } from "./size-field.tsx";
import { draftOf, EMPTY_HOLE, type HoleDraft, readHole } from "./hole-draft.ts";
import { addHole, freshId, removeHole, setHole, shapeWords, without } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { useChosenHole } from "./use-chosen-hole.ts";
import { useMetal } from "./use-metal.ts";

const KINDS = [
  { value: "circle", words: "Round" },
  { value: "rectangle", words: "Rectangle" },
] as const;
const STATES = [
  { value: "cut", words: "Cut already" },
  { value: "planned", words: "To be cut" },
] as const;

/** Holes that are there, entered by hand: the chosen one changed, or a new one. */
export function HoleForm({ chosen, onChoose }: PanelProps) {
  const chassis = useSession((session) => session.book.value.chassis);
  const { hole, ofItem, due } = useChosenHole(chosen);
  if (chassis === undefined) return <p className="metal-note">Begin a plate first.</p>;
  return (
    <>
      {hole !== undefined && (
        <Change key={`${hole.id} ${JSON.stringify(hole)}`} hole={hole} chassis={chassis} onChoose={onChoose} />
      )}
      {hole === undefined && ofItem.length > 0 && (
        <p className="metal-note">
          Holes of {chosen?.item} that are there:{" "}
          {ofItem.map((one) => (
            <button
              key={one.id}
              type="button"
              className="button quiet"
              onClick={() => onChoose({ ...chosen, hole: one.id })}
            >
              {one.id}
            </button>
          ))}
        </p>
      )}
      {due !== undefined && <p className="metal-note">{due} is still to be cut: it follows its part.</p>}
      <Add chassis={chassis} onChoose={onChoose} />
    </>
  );
}

function ShapeFields({ draft, onDraft }: { draft: HoleDraft; onDraft: (next: HoleDraft) => void }) {
  const turn = useId();
  const set = (key: keyof HoleDraft) => (text: string) => onDraft({ ...draft, [key]: text });
  return (
    <>
      <PickField label="Shape" value={draft.kind} options={KINDS} onPick={(kind) => onDraft({ ...draft, kind })} />
      <PickField label="It is" value={draft.state} options={STATES} onPick={(state) => onDraft({ ...draft, state })} />
      {draft.kind === "circle" ? (
        <LengthInput label="Diameter" text={draft.diameter} onText={set("diameter")} />
      ) : (
        <>
          <LengthInput label="Width" text={draft.width} onText={set("width")} />
          <LengthInput label="Height" text={draft.height} onText={set("height")} />
          <LengthInput label="Corner radius" least={0} text={draft.corner} onText={set("corner")} placeholder="0" />
          <div className="metal-length">
            <label htmlFor={turn}>Turn</label>
            <input
              id={turn}
              className="field"
              value={draft.degrees}
              placeholder="0"
              autoComplete="off"
              onChange={(event) => set("degrees")(event.currentTarget.value)}
            />
            <span className="muted">° counter-clockwise</span>
          </div>
        </>
      )}
      <LengthInput label="x, to the right" least={0} text={draft.x} onText={set("x")} />
      <LengthInput label="y, to the rear" least={0} text={draft.y} onText={set("y")} />
    </>
  );
}

function Change({
  hole,
  chassis,
  onChoose,
}: {
  hole: DocumentHole;
  chassis: Chassis;
  onChoose: PanelProps["onChoose"];
}) {
  const metal = useMetal();
  const [draft, setDraft] = useState(() => draftOf(hole));
  const [refused, setRefused] = useState<string>();
  const read = readHole(draft);
  const next: DocumentHole | undefined = read.ok ? { ...hole, ...read.value } : undefined;
  const differs = JSON.stringify(draft) !== JSON.stringify(draftOf(hole));
  const keep = () =>
    setRefused(
      read.ok && next !== undefined
        ? metal.keep((kept) => setHole(kept, `Hole ${hole.id}, ${shapeWords(next.shape)}`, next))
        : read.ok
          ? undefined
          : read.failure,
    );
  return (
    <section aria-labelledby="metal-hole" className="metal-hole">
      <SectionHead
        id="metal-hole"
        title={`Hole ${hole.id}`}
        note={`${shapeWords(hole.shape)}, ${hole.state === "cut" ? "cut" : "to be cut"}`}
        end={
          <button
            type="button"
            className="button quiet"
            onClick={() => {
              setRefused(metal.keep((kept) => removeHole(kept, hole.id)));
              onChoose(undefined);
            }}
          >
            Take it out of the list
          </button>
        }
      />
      <form
        className="metal-fields"
        onSubmit={(event) => {
          event.preventDefault();
          keep();
        }}
      >
        <ShapeFields draft={draft} onDraft={setDraft} />
        <PickField
          label="It serves"
          value={hole.serves ?? ""}
          options={[
            { value: "", words: "what fits it best" },
            ...chassis.items.map((one) => ({ value: one.id, words: one.label ?? one.id })),
          ]}
          onPick={(serves) =>
            setRefused(
              metal.keep((kept) =>
                setHole(
                  kept,
                  serves === "" ? `Hole ${hole.id} for what fits it best` : `Hole ${hole.id} for ${serves}`,
                  serves === "" ? (without(hole, "serves") as DocumentHole) : { ...hole, serves },
                ),
              ),
            )
          }
        />
        <TextField
          label="Remark"
          most={200}
          value={hole.note ?? ""}
          onKeep={(note) =>
            metal.keep((kept) =>
              setHole(
                kept,
                `Remark on hole ${hole.id}`,
                note === "" ? (without(hole, "note") as DocumentHole) : { ...hole, note },
              ),
            )
          }
        />
        <Refused words={refused} />
        <div className="metal-buttons">
          <button type="submit" className="button" disabled={!differs}>
            Change the hole
          </button>
          {differs && (
            <button type="button" className="button quiet" onClick={() => setDraft(draftOf(hole))}>
              Put it back
            </button>
          )}
        </div>
      </form>
    </section>
  );
}

function Add({ chassis, onChoose }: { chassis: Chassis; onChoose: PanelProps["onChoose"] }) {
  const metal = useMetal();
  const [draft, setDraft] = useState(EMPTY_HOLE);
  const [refused, setRefused] = useState<string>();
  const id = freshId("H", chassis.holes);
  const add = () => {
    const read = readHole(draft);
    if (!read.ok) {
      setRefused(read.failure);
      return;
    }
    const sentence = metal.keep((kept) => addHole(kept, { id, ...read.value }));
    setRefused(sentence);
    if (sentence !== undefined) return;
    // Size and kind stay: the next hole is often its neighbour.
    setDraft({ ...draft, x: "", y: "" });
    onChoose({ hole: id });
  };
  return (
    <section aria-labelledby="metal-add-hole" className="metal-hole">
      <SectionHead
        id="metal-add-hole"
        title="Another hole"
        note={`${chassis.holes.length} entered; from the front left corner`}
      />
      <form
        className="metal-fields"
        onSubmit={(event) => {
          event.preventDefault();
          add();
        }}
      >
        <ShapeFields draft={draft} onDraft={setDraft} />
        <Refused words={refused} />
        <div className="metal-buttons">
          <button type="submit" className="button primary">
            Add hole {id}
          </button>
        </div>
      </form>
    </section>
  );
}
