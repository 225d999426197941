import type { ShelfFile } from "@platewright/design";
import { useDeferredValue, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Sourced } from "./asks.ts";
import { countTubes } from "./shelf-edits.ts";
import { StatusMark } from "./status-mark.tsx";

const MOST_COMPARED = 3;
const MOST_LISTED = 12;

/** The library: find types by words, lay them side by side, put them on the shelf. Every figure names its source. */
export function Library({
  shelf,
  compared,
  onCompare,
}: {
  shelf: ShelfFile;
  compared: readonly string[];
  onCompare: (types: readonly string[]) => void;
}) {
  const [words, setWords] = useState("");
  const asked = useDeferredValue(words);
  const { value: found, failure } = useAnswer("findTubes", { words: asked });
  const toggle = (type: string) =>
    onCompare(
      compared.includes(type) ? compared.filter((one) => one !== type) : [...compared, type].slice(-MOST_COMPARED),
    );
  return (
    <>
      <section aria-labelledby="shelf-library" className="shelf-find">
        <SectionHead id="shelf-library" title="Library" end={found === undefined ? "" : `${found.of} types`} />
        <input
          className="field shelf-search"
          type="search"
          aria-label="Find types"
          placeholder="a type, or noval 6.3V mu20"
          value={words}
          onChange={(event) => setWords(event.currentTarget.value)}
        />
        {failure !== undefined ? (
          <p className="shelf-empty" role="status">
            {failure}
          </p>
        ) : (
          <ul className="shelf-found" aria-label="Types found">
            {(found?.types ?? []).slice(0, words === "" ? MOST_LISTED : undefined).map((type) => (
              <li key={type}>
                <button
                  type="button"
                  className="button shelf-pick"
                  aria-pressed={compared.includes(type)}
                  onClick={() => toggle(type)}
                >
                  {type}
                </button>
              </li>
            ))}
            {words === "" && (found?.types.length ?? 0) > MOST_LISTED && (
              <li className="muted">and {(found?.types.length ?? 0) - MOST_LISTED} more by words</li>
            )}
          </ul>
        )}
      </section>
      {compared.length > 0 && <Compared types={compared} shelf={shelf} onClose={toggle} />}
    </>
  );
}

function Compared({
  types,
  shelf,
  onClose,
}: {
  types: readonly string[];
  shelf: ShelfFile;
  onClose: (type: string) => void;
}) {
  const hands = useHands();
  const { value, failure } = useAnswer("compareTubes", { types });
  const add = (type: string) => {
    const there = shelf.tubes.find((one) => one.type === type)?.count ?? 0;
    const { title, changes } = countTubes(shelf, type, there + 1);
    hands.keep(title, changes, "shelf");
  };
  return (
    <section aria-labelledby="shelf-compared" className="shelf-compared">
      <SectionHead
        id="shelf-compared"
        title="Side by side"
        note="each figure with its source and how well it is known"
      />
      {failure !== undefined && <p>{failure}</p>}
      {value !== undefined && (
        <>
          {value.moves !== null && <p className="shelf-moves">{value.moves}</p>}
          <table className="shelf-figures">
            <thead>
              <tr>
                <th scope="col">
                  <span className="unseen">Figure</span>
                </th>
                {types.map((type) => (
                  <th key={type} scope="col">
                    <span className="shelf-name">{type}</span>
                    <button type="button" className="button" onClick={() => add(type)}>
                      One more on the shelf
                    </button>
                    <button
                      type="button"
                      className="button quiet"
                      aria-label={`Put away ${type}`}
                      onClick={() => onClose(type)}
                    >
                      Put away
                    </button>
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              <Line label="Pins from below" values={value.pins} />
              <tr>
                <th scope="row">Law</th>
                {value.laws.map((words, n) => (
                  <td key={n}>{words ?? "none fitted"}</td>
                ))}
              </tr>
              {value.lines.map((line) => (
                <Line key={line.id} label={line.label} values={line.values} />
              ))}
              <tr>
                <th scope="row">Notes</th>
                {value.notes.map((notes, n) => (
                  <td key={n}>
                    {notes.map((note) => (
                      <p key={note}>{note}</p>
                    ))}
                  </td>
                ))}
              </tr>
            </tbody>
          </table>
        </>
      )}
    </section>
  );
}

function Line({ label, values }: { label: string; values: readonly (Sourced | null)[] }) {
  return (
    <tr>
      <th scope="row">{label}</th>
      {values.map((one, n) => (
        <td key={n}>
          {one === null ? (
            <span className="muted">–</span>
          ) : (
            <>
              <b>{one.words}</b> {one.condition !== undefined && <span className="muted">{one.condition}</span>}
              <span className="shelf-source">
                <StatusMark
                  status={one.status}
                  {...(one.confidence === undefined ? {} : { confidence: one.confidence })}
                />{" "}
                {one.source}
              </span>
            </>
          )}
        </td>
      ))}
    </tr>
  );
}
