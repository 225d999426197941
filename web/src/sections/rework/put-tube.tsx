import { CAUTION_SHORT, type Goal } from "@platewright/design";
import { useEffect, useRef, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Bottles } from "./asks.ts";
import { CandidatePicture } from "./candidate-picture.tsx";
import type { CandidateRow } from "./candidates.ts";
import { goalWords, thin } from "./words.ts";

/** Another tube in a bottle: what it moves, what would come of it, then one press. */
export function PutTube({
  bottles,
  start,
  goal,
  onClose,
}: {
  bottles: readonly Bottles[];
  start: { readonly where: string; readonly type?: string };
  goal: Goal;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const [where, setWhere] = useState(start.where);
  const [type, setType] = useState(start.type);
  const [choose, setChoose] = useState(true);
  const hands = useHands();
  useEffect(() => dialog.current?.showModal(), []);
  const group = bottles.find((one) => one.where === where) ?? bottles[0];
  const shelf = group?.choices.filter((one) => one.onShelf > 0) ?? [];
  const library = group?.choices.filter((one) => one.onShelf === 0) ?? [];
  const take = (row: CandidateRow) => {
    hands.keep(row.title, row.changes);
    dialog.current?.close();
  };
  return (
    <dialog ref={dialog} className="rework-put" aria-labelledby="rework-put" onClose={onClose}>
      <h2 id="rework-put">Put another tube in</h2>
      <div className="rework-put-fields">
        <label>
          <span>Bottle</span>
          <select
            className="field"
            value={where}
            onChange={(event) => {
              setWhere(event.currentTarget.value);
              setType(undefined);
            }}
          >
            {bottles.map((one) => (
              <option key={one.where} value={one.where}>
                {`${one.where}: ${one.standing}${one.kind === "rectifier" ? ", rectifier" : ""}`}
              </option>
            ))}
          </select>
        </label>
        <label>
          <span>Tube</span>
          <select className="field" value={type ?? ""} onChange={(event) => setType(event.currentTarget.value)}>
            <option value="" disabled>
              choose a type
            </option>
            {shelf.length > 0 && (
              <optgroup label="On the shelf">
                {shelf.map((one) => (
                  <option key={one.type} value={one.type}>{`${one.type} (${one.onShelf})`}</option>
                ))}
              </optgroup>
            )}
            <optgroup label="In the library">
              {library.map((one) => (
                <option key={one.type}>{one.type}</option>
              ))}
            </optgroup>
          </select>
        </label>
        <label className="rework-put-choose">
          <input type="checkbox" checked={choose} onChange={(event) => setChoose(event.currentTarget.checked)} />
          <span>Choose resistors anew: {thin(goalWords(goal))}</span>
        </label>
      </div>
      {type === undefined ? (
        <p className="muted">Wires are moved and a rectifier’s surroundings fitted in the same step.</p>
      ) : (
        <Result where={where} type={type} goal={goal} choose={choose} onTake={take} />
      )}
      <p className="rework-put-caution">{CAUTION_SHORT}</p>
      <form method="dialog">
        <button type="submit" className="button">
          Leave it
        </button>
      </form>
    </dialog>
  );
}

function Result({
  where,
  type,
  goal,
  choose,
  onTake,
}: {
  where: string;
  type: string;
  goal: Goal;
  choose: boolean;
  onTake: (row: CandidateRow) => void;
}) {
  const marks = useSession((session) => session.book.value.targets.voicingVolts);
  const { value: row, failure } = useAnswer("putIn", { where, type, goal, choose });
  if (failure !== undefined) return <p className="rework-failure">{failure}</p>;
  if (row === undefined)
    return (
      <p className="muted" role="status">
        trying {type}…
      </p>
    );
  return (
    <div className="rework-put-result">
      <div>
        <p>
          <LevelSign level={row.level} /> {thin(row.reason)}
        </p>
        <dl>
          <dt>Socket</dt>
          <dd>{row.wires === "" ? "stays as it is" : row.wires}</dd>
          <dt>Parts</dt>
          <dd>{row.values.length === 0 ? "all values stay" : thin(row.values.join("; "))}</dd>
        </dl>
      </div>
      {row.curve !== undefined && <CandidatePicture row={row} marks={marks} width={230} height={96} />}
      <button type="button" className="button primary" disabled={row.changes.length === 0} onClick={() => onTake(row)}>
        {row.changes.length === 0 ? `${type} stands there now` : `Put ${type} in`}
      </button>
    </div>
  );
}
