import type { Finding } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { BarRow } from "./bar-row.tsx";
import { Waiting } from "./told.tsx";

const NONE = {};

const WORDS: Readonly<Record<string, string>> = {
  "rectifier-inverse": "Peak inverse",
  "rectifier-peak": "Peak, each plate",
  "rectifier-dc": "Average",
  "rectifier-first-capacitor": "First capacitor",
  "rectifier-series": "Series, each plate",
  "rectifier-winding": "Winding, rms",
  "rectifier-heater-cathode": "Heater to cathode",
  "rectifier-chart-efficiency": "Average, by chart",
  "rectifier-chart-winding": "Average, by chart",
  "rectifier-surge": "Surge, hot restart",
  "silicon-inverse": "Peak inverse, each diode",
  "silicon-mean": "Mean, each diode",
  "choke-amps": "Choke, dc",
  "choke-critical": "Least, running",
  "choke-critical-cold": "Least, cold",
  "choke-crest": "Crest at the capacitor",
};
const ORDER = Object.keys(WORDS);

const OWN = /^(rectifier|silicon|choke)-/;

/** The rectifier's own limits, proven and now, each in its worst condition. */
export function Rectifier({ findings, proven }: { findings: readonly Finding[]; proven: readonly Finding[] }) {
  const told = useAnswer("supplyNominal", NONE);
  const document = useDocument();
  const live = useSession((session) => session.hand !== undefined);
  const own = findings
    .filter((one) => OWN.test(one.rule) && one.value !== null)
    .sort((a, b) => ORDER.indexOf(a.rule) - ORDER.indexOf(b.rule));
  const envelope = document.supply?.rectifier.envelope;
  const type = document.envelopes.find((one) => one.id === envelope)?.type;
  const figures = told.value?.figures;
  return (
    <section aria-labelledby="supply-rectifier">
      <SectionHead
        id="supply-rectifier"
        title="Rectifier limits"
        note="worst condition"
        end={envelope === undefined ? (document.supply?.rectifier.silicon?.type ?? "") : `${envelope} ${type ?? ""}`}
      />
      {own.length === 0 && <Waiting told={told} what="Judging" />}
      <table className="supply-bars">
        <tbody>
          {own.map((one) => {
            const was = proven.find((other) => other.rule === one.rule);
            const scale =
              was?.value === undefined || was.value === null
                ? undefined
                : // Against its own limit, when the types differ.
                  was.limit !== null && one.limit !== null && was.limit > 0
                  ? (was.value / was.limit) * one.limit
                  : was.value;
            return (
              <BarRow
                key={one.id}
                words={WORDS[one.rule] ?? one.rule}
                value={one.value ?? 0}
                was={scale}
                limit={one.limit}
                unit={one.unit}
                sense={one.sense}
                level={one.level}
                live={live}
                about={`${one.condition}. ${one.source}.`}
              />
            );
          })}
        </tbody>
      </table>
      {figures !== undefined && (
        <p className="supply-note">
          Nominal: {figures.dcVolts.toFixed(0)}
          {"\u202f"}V at {printValue(figures.loadAmps, "A")}, ripple {printValue(figures.rippleVolts, "V", 2)} peak to
          peak; each path peaks at {printValue(figures.peakAmps, "A")} over {figures.conductionDegrees.toFixed(0)}°,{" "}
          {printValue(figures.sourceOhms, "Ω")} in series; the first capacitor carries{" "}
          {printValue(figures.capacitorAmps, "A")} rms of ripple.
        </p>
      )}
    </section>
  );
}
