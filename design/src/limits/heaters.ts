/** Findings of heaters: volts and amperes of each winding, and heater to cathode of each section, signed. */
import type { LimitName } from "@platewright/engine";
import type { ExpandedTriode } from "../document/expanded.ts";
import type { Finding } from "../findings.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { cathodeVolts } from "./allowance.ts";
import { against, finding } from "./build.ts";
import type { Limit } from "./judge.ts";
import { type Allowance, heaterOf, type Judged, netVolts, readWorst, signalOf } from "./judged.ts";
import { percent, say } from "./say.ts";
import { limitOf } from "./sections.ts";

/** Off by 5 %: watch; by 10 %: stop. Common practice for parallel heaters at nominal mains. */
const HEATER_WATCH = 0.05;
const HEATER_STOP = 0.1;

export function windingFindings(judged: Judged): readonly Finding[] {
  const { nominal } = judged;
  return nominal.heaters.flatMap((heater) => {
    // A heater that gets nothing is the socket's finding.
    const wanted = heater.envelopes.find((one) => one.volts > 0)?.wantedVolts;
    const findings = [
      against(judged, {
        rule: "heater-amps",
        where: heater.winding,
        what: "heater winding",
        reading: { value: heater.amps, words: "running", missing: [] },
        limit: { value: heater.ratedAmps, trust: "ok", says: "the transformer's rating" },
        unit: "A",
        houseFraction: 0.95,
      }),
    ];
    if (wanted === undefined) return findings;
    const off = heater.volts / wanted - 1;
    const high = judged.conditions.find((one) => one.condition.id === "mains-high");
    const highVolts = high?.heaters.find((one) => one.winding === heater.winding)?.volts;
    findings.push(
      finding({
        rule: "heater-volts",
        where: heater.winding,
        level: Math.abs(off) > HEATER_STOP ? "stop" : Math.abs(off) > HEATER_WATCH ? "watch" : "ok",
        title: `${heater.winding} gives ${say(heater.volts, "V")} at ${say(heater.amps, "A")}, ${percent(heater.volts, wanted)} of ${say(wanted, "V")}${highVolts === undefined ? "" : ` (mains high ${say(highVolts, "V")})`}${off > HEATER_WATCH ? `: a light load lifts it; ${say((heater.volts - wanted) / heater.amps, "Ω")} in the lead brings it down` : ""}`,
        value: heater.volts,
        limit: wanted,
        unit: "V",
        sense: "none",
        condition: "running, mains nominal",
        source: "common practice: within 5 %, never beyond 10 %",
      }),
    );
    return findings;
  });
}

/** Heater to cathode: dc and peak apart, each sign against its own limit; running with signal, and cold. */
export function heaterCathodeFindings(judged: Judged, triode: ExpandedTriode): readonly Finding[] {
  return (
    [
      ["positive", "cathode above heater"],
      ["negative", "cathode below heater"],
    ] as const
  ).flatMap(([sign, words]) => {
    const dcName: LimitName = sign === "positive" ? "cathodePositiveDcVolts" : "cathodeNegativeDcVolts";
    const peakName: LimitName = sign === "positive" ? "cathodePositivePeakVolts" : "cathodeNegativePeakVolts";
    const dc = limitOf(judged, triode, dcName);
    const peak = limitOf(judged, triode, peakName);
    const findings: Finding[] = [];
    const add = (rule: string, what: string, limit: Limit | undefined, withSignal: boolean) => {
      const system = limit?.system ?? "unknown";
      const measure = (solved: SolvedDesign, allowance: Allowance) =>
        apart(solved, triode, allowance, sign, withSignal);
      const running = readWorst(judged, system, "running", measure);
      const cold = readWorst(judged, system, "cold", measure);
      const reading = cold !== undefined && (running === undefined || cold.value > running.value) ? cold : running;
      // Nothing to judge where the sign never occurs.
      if (reading === undefined || !(reading.value > 0)) return;
      findings.push(against(judged, { rule, where: triode.id, what, reading, limit, unit: "V", houseFraction: 0.9 }));
    };
    if (dc !== undefined) add(`heater-cathode-dc-${sign}`, `${words}, dc`, dc, false);
    if (peak !== undefined) add(`heater-cathode-peak-${sign}`, `${words}, peak with signal`, peak, true);
    if (dc === undefined && peak === undefined)
      add(`heater-cathode-${sign}`, `${words}, peak with signal`, undefined, true);
    return findings;
  });
}

/** Volts from heater to cathode in one sense (never negative when that sense occurs). */
function apart(
  solved: SolvedDesign,
  triode: ExpandedTriode,
  allowance: Allowance,
  sign: "positive" | "negative",
  withSignal: boolean,
): number | undefined {
  const heater = heaterOf(solved, triode.envelope);
  const still = netVolts(solved, triode.cathode);
  if (heater === undefined || still === undefined) return undefined;
  const swung = signalOf(solved, triode);
  const allowed = sign === "positive" ? (cathodeVolts(solved, triode, allowance) ?? still) : still;
  // The winding swings about its reference: half of its peak at each end.
  const own = withSignal ? (heater.volts * Math.SQRT2) / 2 : 0;
  if (sign === "positive") {
    const signal = withSignal && swung !== undefined ? swung.cathodeVoltsHigh - still : 0;
    return allowed + signal - heater.referenceVolts + own;
  }
  const signal = withSignal && swung !== undefined ? still - swung.cathodeVoltsLow : 0;
  return heater.referenceVolts - allowed + signal + own;
}
