import type { Finding } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { BarRow } from "./bar-row.tsx";
import { Waiting } from "./told.tsx";
import { printed } from "./words.ts";

const NONE = {};

const WORDS: Readonly<Record<string, string>> = {
  "HT.amps": "High tension, dc",
  "transformer.voltAmps": "Iron, whole",
};
const wordsOf = (id: string) => WORDS[id] ?? `Winding ${id.replace(".amps", "")}`;

/** What judges a load: a finding of the winding or of the whole. */
function findingOf(findings: readonly Finding[], id: string): Finding | undefined {
  if (id === "HT.amps") return findings.find((one) => one.rule === "transformer-amps");
  if (id === "transformer.voltAmps") return findings.find((one) => one.rule === "transformer-va");
  return findings.find(
    (one) => one.rule.startsWith("heater-winding") && one.where === id.slice(0, id.lastIndexOf(".")),
  );
}

/** Windings, the whole and the fuse, nominal as the value moves, the worst condition beside it; where the power goes. */
export function Loading({ findings }: { findings: readonly Finding[] }) {
  const told = useAnswer("supplyNominal", NONE);
  const { value } = told;
  const { value: loads } = useAnswer("supplyLoads", NONE);
  const live = useSession((session) => session.hand !== undefined);
  const { supply } = useDocument();
  const fuse = supply?.fuse?.amps;
  const rush = findings.filter((one) => one.rule === "heater-inrush");
  return (
    <section aria-labelledby="supply-loading">
      <SectionHead id="supply-loading" title="Loading" note="nominal; the thin mark is the worst condition" />
      <Waiting told={told} what="Solving" />
      <table className="supply-bars">
        <tbody>
          {(value?.loads ?? []).map((one) => {
            const worst = loads?.worst.find((other) => other.id === one.id);
            const judged = findingOf(findings, one.id);
            return (
              <BarRow
                key={one.id}
                words={wordsOf(one.id)}
                value={one.value}
                was={one.was}
                worst={worst?.value}
                limit={one.limit}
                unit={one.unit}
                level={judged?.level}
                live={live}
                about={
                  worst === undefined
                    ? ""
                    : `At worst ${printed(worst.value, one.unit)}, ${worst.condition}. ${judged?.source ?? "The iron's rating"}.`
                }
              />
            );
          })}
          {rush.map((one) => (
            <BarRow
              key={one.id}
              words={`${one.where}, cold`}
              value={one.value ?? 0}
              limit={one.limit}
              unit="A"
              level={one.level}
              live={live}
              about={`${one.title}. ${one.source}.`}
            />
          ))}
          {loads !== undefined && (
            <BarRow
              words="Primary, mains high"
              value={loads.mainsAmps}
              limit={fuse ?? null}
              unit="A"
              level={findings.find((one) => one.rule === "fuse")?.level}
              live={live}
              about={`A slow fuse of ${printValue(loads.suggestedFuseAmps, "A")} suits: 1.5 to 2 times the running current, common practice; the local code goes before it.`}
            />
          )}
        </tbody>
      </table>
      {value !== undefined && (
        <p className="supply-note">
          From the mains {value.power.mainsWatts.toFixed(0)}
          {"\u202f"}W
          {value.wasWatts === null || Math.abs(value.wasWatts - value.power.mainsWatts) < 0.5
            ? ""
            : `, was ${value.wasWatts.toFixed(0)}\u202fW`}
          : heaters {watts(value.power.heaterWatts)}, high tension {watts(value.power.loadWatts)}, rectifier and its
          copper {watts(value.power.rectifyingWatts)}, heater copper {watts(value.power.heaterCopperWatts)}, iron{" "}
          {watts(value.power.ironWatts)} (assumed, common practice).
          {loads?.copper != null && ` All copper turns ${watts(loads.copper.watts)} into heat.`}
          {loads?.surgeAmps != null &&
            ` A hot restart puts at most ${printValue(loads.surgeAmps, "A", 2)} into the empty first capacitor.`}
        </p>
      )}
    </section>
  );
}

const watts = (value: number): string => printValue(value, "W", 2);
