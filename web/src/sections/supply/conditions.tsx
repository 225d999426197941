import { printValue } from "@platewright/engine";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { HAZARDOUS_VOLTS } from "@platewright/design";
import { useAnswer } from "../../worker/use-answer.ts";

/** Parts below this share of their rating everywhere are quiet. */
const QUIET = 0.4;

/** Every node in every condition, as a meter reads it; and every rated part in percent of its rating. */
export function Conditions() {
  const { value, failure } = useAnswer("supplyConditions", {});
  const [shown, setShown] = useState<"nodes" | "parts">("nodes");
  const [every, setEvery] = useState(false);
  const parts = (value?.parts ?? []).filter((part) => every || part.worst >= QUIET);
  const quiet = (value?.parts.length ?? 0) - parts.length;
  return (
    <section aria-labelledby="supply-conditions">
      <SectionHead
        id="supply-conditions"
        title="In every condition"
        note={
          shown === "nodes" ? "volts to ground, as a meter reads them; bold: lethal" : "percent of the part's rating"
        }
        end={
          <Choice
            label="Shown"
            options={[
              { value: "nodes", words: "Nodes" },
              { value: "parts", words: "Parts" },
            ]}
            value={shown}
            onChoose={setShown}
          />
        }
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && (
        <table className="supply-conditions">
          <thead>
            <tr>
              <th scope="col">{shown === "nodes" ? "Node" : "Part"}</th>
              <th scope="col" className="number">
                {shown === "nodes" ? "Proven" : "Rated"}
              </th>
              {value.conditions.map((one) => (
                <th key={one.id} scope="col" className="number" title={one.words}>
                  {one.head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {shown === "nodes"
              ? value.nodes.map((node) => (
                  <tr key={node.net}>
                    <th scope="row">{node.words}</th>
                    <td className="number muted">{node.was === null ? "–" : meter(node.was)}</td>
                    {node.volts.map((volts, n) => (
                      <td
                        key={n}
                        className={volts !== null && Math.abs(volts) > HAZARDOUS_VOLTS ? "number supply-hot" : "number"}
                      >
                        {volts === null ? "–" : meter(volts)}
                      </td>
                    ))}
                  </tr>
                ))
              : parts.map((part) => (
                  <tr key={part.id}>
                    <th scope="row">{part.id}</th>
                    <td className="number muted">
                      {part.unit === "VA" ? `${part.limit.toFixed(0)} VA` : printValue(part.limit, part.unit)}
                    </td>
                    {part.shares.map((share, n) => (
                      <td
                        key={n}
                        className={
                          share !== null && share > 1
                            ? "number supply-past"
                            : share === part.worst
                              ? "number supply-hot"
                              : "number"
                        }
                      >
                        {share === null ? "" : `${Math.round(100 * share)} %`}
                      </td>
                    ))}
                  </tr>
                ))}
            {shown === "nodes" && (
              <tr>
                <th scope="row">From the mains</th>
                <td />
                {value.conditions.map((one) => (
                  <td key={one.id} className="number">
                    {one.mainsWatts.toFixed(0)} W
                  </td>
                ))}
              </tr>
            )}
          </tbody>
        </table>
      )}
      {shown === "parts" && (quiet > 0 || every) && (
        <p>
          <button type="button" className="button quiet" onClick={() => setEvery(!every)}>
            {every ? "Only those above 40 %" : `${quiet} more stay under 40 % everywhere: show`}
          </button>
        </p>
      )}
      {(value?.unsolved ?? []).map((one) => (
        <p key={one.words} role="status">
          Not solved, {one.words}: {one.sentence}
        </p>
      ))}
    </section>
  );
}

const meter = (volts: number): string => {
  const places = Math.abs(volts) >= 100 ? 0 : Math.abs(volts) >= 10 ? 1 : 2;
  return volts.toFixed(places).replace("-", "−");
};
