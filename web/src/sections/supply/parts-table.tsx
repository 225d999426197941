import { useState } from "react";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { partNames, percent, printed } from "./words.ts";

/** Parts below this share of their rating everywhere are quiet. */
const QUIET = 0.4;

const WORDS: Readonly<Record<string, string>> = {
  "HT.amps": "High tension, dc",
  "transformer.voltAmps": "Transformer, whole",
  dcAmps: "dc",
  peakAmps: "peak",
  inverseVolts: "peak inverse",
};

function partWords(id: string, nameOf: (id: string) => string): string {
  const whole = WORDS[id];
  if (whole !== undefined) return whole;
  const [place = "", name = ""] = id.split(".");
  if (name === "amps") return `Winding ${place}`;
  return WORDS[name] === undefined ? nameOf(id) : `${place} ${WORDS[name]}`;
}

/** Every rated part in percent of its rating, the worst first. Channels' parts carry the channel in their pressed name. */
export function PartsTable({ value, onChoose }: { value: ValueOf<"supplyNodes">; onChoose: (id: string) => void }) {
  const nameOf = partNames(useDocument());
  const [every, setEvery] = useState(false);
  const shown = value.parts.filter((part) => every || part.worst >= QUIET);
  const quiet = value.parts.filter((part) => part.worst < QUIET).length;
  return (
    <>
      <div className="supply-scroll">
        <table className="supply-nodes">
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col" className="number">
                Rated
              </th>
              {value.conditions.map((one) => (
                <th key={one.id} scope="col" className="number" title={one.words}>
                  {one.head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {shown.map((part) => (
              <tr key={part.id} className={part.worst > 1 ? "supply-heavy" : undefined}>
                <th scope="row">
                  {value.editable.includes(part.id) ? (
                    <button type="button" className="supply-head" onClick={() => onChoose(part.id)}>
                      {partWords(part.id, nameOf)}
                    </button>
                  ) : (
                    partWords(part.id, nameOf)
                  )}
                </th>
                <td className="number muted">{printed(part.limit, part.unit)}</td>
                {part.readings.map((one, n) => (
                  <td
                    key={n}
                    className={`number${one !== null && one.share === part.worst ? " supply-worst" : ""}${one !== null && one.share > 1 ? " supply-past" : ""}`}
                    title={one === null ? undefined : printed(one.value, part.unit)}
                  >
                    {one === null ? "" : percent(one.share)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {(quiet > 0 || every) && (
        <p>
          <button type="button" className="button quiet" onClick={() => setEvery(!every)}>
            {every
              ? "Only those above 40 % somewhere"
              : `${quiet} more stay${quiet === 1 ? "s" : ""} under 40 % everywhere: show`}
          </button>
        </p>
      )}
    </>
  );
}
