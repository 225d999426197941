/** `platewright rectify`: one rectifier and its first capacitor from flags. */
import { CAUTION_SHORT, leastSeriesOhms, type Limit, ratedLimit } from "@platewright/design";
import {
  type Catalogue,
  digits,
  printValue,
  type RatedLimit,
  type RectifierLaw,
  type RectifierRecord,
  rectifierSentence,
  solveRectifier,
} from "@platewright/engine";
import { flagValue, knownTube } from "../flags.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { table, wrap } from "../print/table.ts";

export interface RectifyFlags {
  readonly tube: string;
  readonly winding: string;
  readonly hertz: string;
  readonly series: string;
  readonly firstCapacitor: string;
  readonly loadAmps?: string;
  readonly loadOhms?: string;
  readonly circuit: string;
}

export function rectifyCommand(flags: RectifyFlags, catalogue: Catalogue): Outcome {
  if ((flags.loadAmps === undefined) === (flags.loadOhms === undefined))
    return badInput("Give the load once: --load-amps 60m or --load-ohms 5k.");
  const { circuit } = flags;
  if (circuit !== "full-wave" && circuit !== "half-wave")
    return badInput(`--circuit: '${circuit.slice(0, 20)}' is not known; full-wave or half-wave.`);
  const ideal = flags.tube.trim().toLowerCase() === "ideal";
  const record = ideal ? undefined : knownTube(catalogue, "--tube", flags.tube);
  const law: RectifierLaw | undefined = ideal ? { form: "ideal" } : record?.rectifier?.law;
  if (law === undefined)
    return badInput(`--tube: ${record?.type ?? flags.tube} has no rectifier curve in the library.`);
  const rmsVolts = flagValue("winding", "voltage", flags.winding);
  const seriesOhms = flagValue("series", "resistance", flags.series, { zero: true });
  const firstFarads = flagValue("first-capacitor", "capacitance", flags.firstCapacitor);
  const hertz = flagValue("hertz", "frequency", flags.hertz);
  const load =
    flags.loadAmps === undefined
      ? { ohms: flagValue("load-ohms", "resistance", flags.loadOhms ?? "") }
      : { amps: flagValue("load-amps", "current", flags.loadAmps, { zero: true }) };
  const solved = solveRectifier({ rmsVolts, hertz, seriesOhms, firstFarads, circuit, law, load });
  if (!solved.ok) return badInput(rectifierSentence(solved.failure));
  const answer = solved.value;
  const loadAmps = "amps" in load ? load.amps : answer.dcVolts / load.ohms;
  const json = {
    tube: record?.type ?? "ideal",
    dcVolts: answer.dcVolts,
    loadAmps,
    ripplePeakToPeakVolts: answer.ripplePeakToPeakVolts,
    platePeakAmps: answer.platePeakAmps,
    plateRmsAmps: answer.plateRmsAmps,
    peakInverseVolts: answer.peakInverseVolts,
    conductionDegrees: answer.conductionDegrees,
    slopeOhms: answer.slopeOhms,
    effort: answer.effort,
  };
  const limits: RectifierRecord["limits"] = record?.rectifier?.limits ?? {};
  const at = (entries: readonly RatedLimit<number>[] | undefined) => ratedLimit(entries, rmsVolts);
  const least = record === undefined ? undefined : leastSeriesOhms(catalogue, record.type, rmsVolts);
  const rows = [
    ["dc at the first capacitor", printValue(answer.dcVolts, "V", 4), ""],
    ["dc current", printValue(loadAmps, "A"), against(loadAmps, at(limits.dcAmps), "A")],
    ["ripple, peak to peak", printValue(answer.ripplePeakToPeakVolts, "V"), ""],
    [
      "peak current per plate",
      printValue(answer.platePeakAmps, "A"),
      against(answer.platePeakAmps, at(limits.peakPlateAmps), "A"),
    ],
    ["rms current per plate", printValue(answer.plateRmsAmps, "A"), "heats the winding"],
    [
      "peak inverse",
      printValue(answer.peakInverseVolts, "V"),
      against(answer.peakInverseVolts, at(limits.peakInverseVolts), "V"),
    ],
    ["winding per plate, rms", printValue(rmsVolts, "V"), against(rmsVolts, at(limits.rmsVoltsPerPlate), "V")],
    ["first capacitor", printValue(firstFarads, "F"), against(firstFarads, at(limits.firstCapacitorFarads), "F")],
    [
      "series resistance",
      printValue(seriesOhms, "Ω"),
      least === undefined
        ? ""
        : seriesOhms >= least
          ? `at least ${printValue(least, "Ω")} wanted: enough`
          : `at least ${printValue(least, "Ω")} wanted: ${printValue(least - seriesOhms, "Ω")} more per plate`,
    ],
    ["conducts", `${digits(answer.conductionDegrees, 3)}°`, "of each mains cycle and plate"],
    ["one more mA costs", printValue(-answer.slopeOhms / 1000, "V"), ""],
  ];
  const text = [
    `${record?.type ?? "An ideal switch"}, ${circuit}, ${printValue(rmsVolts, "V")} rms ${circuit === "full-wave" ? "per half" : ""} at ${digits(hertz, 3)} Hz`,
    "",
    table([{ title: "" }, { title: "", align: "right" }, { title: "" }], rows),
    "",
    wrap(CAUTION_SHORT, 96),
    "",
  ].join("\n");
  return { exit: 0, json, text };
}

function against(value: number, limit: Limit | undefined, unit: string): string {
  if (limit === undefined) return "";
  const trust =
    limit.trust === "watch-at-best"
      ? ", unverified limit"
      : limit.trust === "ok-from-memory"
        ? ", limit from memory"
        : "";
  const share = `${Math.round((100 * value) / limit.value)} % of ${printValue(limit.value, unit)}${trust}`;
  return value > limit.value ? `OVER: ${share}` : share;
}
