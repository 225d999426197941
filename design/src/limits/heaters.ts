/** Findings of heaters: volts and amperes of each winding, and heater to cathode of each section, signed. */
import type { LimitName } from "@platewright/engine";
import type { ExpandedTriode } from "../document/expanded.ts";
import type { Finding } from "../findings.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { cathodeVolts } from "./allowance.ts";
import { heatersOf } from "../supply/heater-network-document.ts";
import { heaterNetworkFindings } from "../supply/heater-network-findings.ts";
import { elevationFindings } from "../supply/elevation-findings.ts";
import { transformerOf } from "../supply/rectifier-problem.ts";
import { against, finding } from "./build.ts";
import type { Limit } from "./judge.ts";
import { type Allowance, heaterOf, type Judged, netVolts, readWorst, signalOf } from "./judged.ts";
import { limitOf } from "./sections.ts";

/** Volts at the pins, current and inrush of each winding, and where its elevation stands. */
export function windingFindings(judged: Judged): readonly Finding[] {
  const { document, catalogue, nominal } = judged;
  const { supply } = document;
  if (supply === undefined) return [];
  const resolved = transformerOf(supply);
  const windings = resolved.ok ? resolved.value.heaters : supply.transformer.heaters;
  const low = 1 + supply.mains.lowPercent / 100;
  const high = 1 + supply.mains.highPercent / 100;
  return windings.flatMap((winding) => {
    const wrong = (sentence: string) => [
      finding({
        rule: "heater-winding",
        where: winding.id,
        level: "stop",
        title: `${winding.id}: ${sentence}`,
        condition: "running",
        source: "no solve",
      }),
    ];
    const heaters = heatersOf(document, catalogue, winding);
    if (!heaters.ok) return wrong(heaters.failure);
    const found = heaterNetworkFindings(winding, heaters.value, { low, nominal: 1, high });
    if (!found.ok) return wrong(found.failure);
    const lit = nominal.heaters.some((one) => one.winding === winding.id && one.envelopes.length > 0);
    return [
      ...found.value,
      ...(lit
        ? elevationFindings(judged, { winding: winding.id, net: winding.reference, reference: heaters.value.reference })
        : []),
    ];
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
