import { type Finding, HAZARDOUS_VOLTS, type NodeRow, rowLevel } from "@platewright/design";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import { PartsTable } from "./parts-table.tsx";
import { Waiting } from "./told.tsx";
import { meter } from "./words.ts";

const NONE = {};

/** Every node in every condition, as a meter reads it and as a share of what is written on the part; parts on demand. */
export function Nodes({
  findings,
  condition,
  onCondition,
  onChoose,
}: {
  findings: readonly Finding[];
  condition: string;
  onCondition: (id: string) => void;
  onChoose: (id: string) => void;
}) {
  const told = useAnswer("supplyNodes", NONE);
  const { value } = told;
  const inHand = useSession((session) => session.hand !== undefined);
  const kept = useKept(value, told.fresh);
  const [shown, setShown] = useState<"nodes" | "parts">("nodes");
  const differs = (value?.rows ?? []).some((row) => wasOf(value?.was ?? {}, row) !== undefined);
  return (
    <section aria-labelledby="supply-nodes">
      <SectionHead
        id="supply-nodes"
        title={shown === "nodes" ? "Nodes in every condition" : "Parts in every condition"}
        note={shown === "nodes" ? "V to ground, then % of the rating; bold can kill" : "% of the rating"}
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
      <Waiting told={told} what="Solving every condition" />
      {value !== undefined && shown === "parts" && <PartsTable value={value} onChoose={onChoose} />}
      {value !== undefined && shown === "nodes" && (
        <div className="supply-scroll">
          <table className="supply-nodes">
            <thead>
              <tr>
                <th scope="col">Node</th>
                <th scope="col" className="number">
                  Rated
                </th>
                {differs && (
                  <th scope="col" className="number">
                    Was
                  </th>
                )}
                {value.conditions.map((one) => (
                  <th key={one.id} scope="col" className={`number${one.id === condition ? " supply-shown" : ""}`}>
                    <button
                      type="button"
                      className="supply-head"
                      aria-pressed={one.id === condition}
                      title={`${one.words}: show it in the chain`}
                      onClick={() => onCondition(one.id)}
                    >
                      {one.head}
                    </button>
                  </th>
                ))}
                <th scope="col" className="supply-verdict">
                  <span className="unseen">Level</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {value.rows.map((row) => (
                <Row
                  key={row.id}
                  row={row}
                  was={differs ? (wasOf(value.was, row) ?? "same") : undefined}
                  kept={inHand ? kept?.rows.find((one) => one.id === row.id) : undefined}
                  level={rowLevel(row, findings)}
                />
              ))}
              <tr>
                <th scope="row">From the mains, W</th>
                <td />
                {differs && <td />}
                {value.conditions.map((one) => (
                  <td key={one.id} className="number">
                    {one.mainsWatts.toFixed(0)}
                    <span className="supply-share" />
                  </td>
                ))}
                <td />
              </tr>
            </tbody>
          </table>
        </div>
      )}
      {shown === "nodes" && value !== undefined && (
        <p className="supply-note">
          The worst column decides the level. A plate&rsquo;s share is to its cathode; heater to cathode is dc, cathode
          minus heater, against the limit of its sign. Findings add tolerance, signal and doubt of a source.
        </p>
      )}
      {(value?.unsolved ?? []).map((one) => (
        <p key={one.words} role="status" className="supply-note">
          <LevelSign level="stop" words="not solved" /> {one.words}: {one.sentence}
        </p>
      ))}
    </section>
  );
}

/** The proven unit's volts, where a meter would tell them from these. */
function wasOf(was: Readonly<Record<string, number | null>>, row: NodeRow): number | undefined {
  const then = was[row.id];
  const nominal = row.readings[1]?.volts;
  if (then === undefined || then === null || nominal === null || nominal === undefined) return undefined;
  return meter(then) === meter(nominal) ? undefined : then;
}

function Row({
  row,
  was,
  kept,
  level,
}: {
  row: NodeRow;
  /** "same": others differ, this one does not; undefined: there is no such column. */
  was: number | "same" | undefined;
  kept: NodeRow | undefined;
  level: ReturnType<typeof rowLevel>;
}) {
  const hot = row.kind !== "heater-cathode";
  return (
    <tr className={level === undefined || level === "ok" ? undefined : "supply-heavy"}>
      <th scope="row">{row.words}</th>
      <td
        className="number muted"
        title={`${[...new Set(row.readings.flatMap((one) => one.limit ?? []))].join(" V, ")} V`}
      >
        {limitWords(row)}
      </td>
      {was !== undefined && <td className="number muted">{was === "same" ? "" : meter(was)}</td>}
      {row.readings.map(({ volts, share }, n) => {
        const then = kept?.readings[n]?.volts;
        const live = kept !== undefined && volts !== null && then !== null && then !== undefined && moved(volts, then);
        return (
          <td key={n} className={`number${n === row.worst ? " supply-worst" : ""}`}>
            {volts === null ? (
              <span className="muted">–</span>
            ) : (
              <span className={live ? "live" : hot && Math.abs(volts) > HAZARDOUS_VOLTS ? "supply-hot" : undefined}>
                {meter(volts)}
              </span>
            )}
            <span className={share !== null && share > 1 ? "supply-share supply-past" : "supply-share"}>
              {share === null ? "" : Math.round(100 * share)}
            </span>
          </td>
        );
      })}
      <td className="supply-verdict">{level !== undefined && <LevelSign level={level} />}</td>
    </tr>
  );
}

const moved = (volts: number, then: number): boolean => meter(volts) !== meter(then);

/** The rating that the worst column is a share of. */
function limitWords({ readings, worst }: NodeRow): string {
  const limit = readings[worst ?? 0]?.limit;
  return limit === undefined || limit === null ? "" : limit.toFixed(0);
}
