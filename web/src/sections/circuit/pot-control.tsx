import { type DocumentPart, readTurn } from "@platewright/design";
import { clockPosition } from "@platewright/engine";
import { useId, useState } from "react";
import { Knob } from "../../parts/knob.tsx";
import type { PartEdits } from "./use-part-edits.ts";
import { turnWords } from "./words.ts";

type Pot = Extract<DocumentPart, { kind: "potentiometer" }>;

/** Where a pot stands: turned as a knob, or typed as the panel or the clock says it. */
export function PotControl({
  part,
  kept,
  proven,
  edits,
}: {
  part: Pot;
  kept: Pot;
  proven: DocumentPart | undefined;
  edits: PartEdits;
}) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : readTurn(draft);
  const live = part.position !== kept.position;
  const name = part.label ?? part.id;
  return (
    <div className="circuit-pot">
      <Knob
        name={name}
        turn={part.position}
        {...(proven?.kind === "potentiometer" ? { provenTurn: proven.position } : {})}
        {...(live ? { keptTurn: kept.position } : {})}
        onHold={(position) => edits.hold({ position: Number(position.toFixed(4)) })}
        onKeep={edits.keepHand}
        onDrop={edits.drop}
      />
      <span>
        <label htmlFor={id}>Position</label>
        <input
          id={id}
          className={`field${live ? " in-hand" : ""}`}
          value={draft ?? turnWords(part.position)}
          spellCheck={false}
          autoComplete="off"
          data-dirty={draft !== undefined}
          aria-invalid={read?.ok === false}
          onFocus={(event) => event.currentTarget.select()}
          onChange={(event) => {
            const text = event.currentTarget.value;
            setDraft(text);
            const turn = readTurn(text);
            if (turn.ok) edits.hold({ position: Number(turn.value.toFixed(4)) });
          }}
          onBlur={() => {
            if (draft !== undefined) edits.keepHand();
            setDraft(undefined);
          }}
          onKeyDown={(event) => {
            if (event.key === "Enter") {
              if (read?.ok === true) edits.keepHand();
              else edits.drop();
              setDraft(undefined);
            } else if (event.key === "Escape" && draft !== undefined) {
              event.stopPropagation();
              edits.drop();
              setDraft(undefined);
            }
          }}
        />
        <span className="circuit-small">0 to 10, or {clockPosition(part.position)}</span>
        {read?.ok === false && (
          <span className="field-words" role="alert">
            {read.failure}
          </span>
        )}
      </span>
    </div>
  );
}
