/** `platewright rectify`: one rectifier and its first capacitor from flags. */
import { CAUTION_SHORT, leastSeriesOhms, type Limit, ratedLimit } from "@platewright/design";
import {
  type Catalogue,
  bridgePath,
  digits,
  printValue,
  type RatedLimit,
  type RectifierCircuit,
  type RectifierLaw,
  type RectifierRecord,
  rectifierSentence,
  siliconLaw,
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
  /** A silicon diode in each plate lead. */
  readonly silicon?: boolean;
}

const CIRCUITS = ["full-wave", "half-wave", "bridge"] as const satisfies readonly RectifierCircuit[];
const circuitOf = (written: string): RectifierCircuit =>
  CIRCUITS.find((one) => one === written) ??
  badInput(`--circuit: '${written.slice(0, 20)}' is not known; full-wave, half-wave or bridge.`);

/** "ideal" and "silicon" are no types of the library. */
const PLAIN: Readonly<Record<string, RectifierLaw>> = { ideal: { form: "ideal" }, silicon: siliconLaw() };

export function rectifyCommand(flags: RectifyFlags, catalogue: Catalogue): Outcome {
  if ((flags.loadAmps === undefined) === (flags.loadOhms === undefined))
    return badInput("Give the load once: --load-amps 60m or --load-ohms 5k.");
  const circuit = circuitOf(flags.circuit);
  const name = flags.tube.trim().toLowerCase();
  const plain = PLAIN[name];
  const record = plain === undefined ? knownTube(catalogue, "--tube", flags.tube) : undefined;
  const element = plain ?? record?.rectifier?.law;
  if (element === undefined)
    return badInput(`--tube: ${record?.type ?? flags.tube} has no rectifier curve in the library.`);
  const law = pathLaw(element, circuit, { silicon: flags.silicon === true, tube: record !== undefined });
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
    tube: record?.type ?? name,
    circuit,
    dcVolts: answer.dcVolts,
    loadAmps,
    ripplePeakToPeakVolts: answer.ripplePeakToPeakVolts,
    platePeakAmps: answer.platePeakAmps,
    plateRmsAmps: answer.plateRmsAmps,
    windingRmsAmps: answer.windingRmsAmps,
    capacitorRmsAmps: answer.capacitorRmsAmps,
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
    ["rms current per plate", printValue(answer.plateRmsAmps, "A"), ""],
    ["rms current in the winding", printValue(answer.windingRmsAmps, "A"), "heats its copper"],
    ["ripple current of the capacitor", printValue(answer.capacitorRmsAmps, "A"), ""],
    [
      "peak inverse",
      printValue(answer.peakInverseVolts, "V"),
      against(answer.peakInverseVolts, at(limits.peakInverseVolts), "V"),
    ],
    [
      circuit === "bridge" ? "winding, rms" : "winding per plate, rms",
      printValue(rmsVolts, "V"),
      // The sheet's limit is that of a centre tap, where a plate's inverse volts are twice as high.
      circuit === "bridge" ? "" : against(rmsVolts, at(limits.rmsVoltsPerPlate), "V"),
    ],
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
    `${headOf(record?.type ?? name, circuit, flags.silicon === true)}, ${printValue(rmsVolts, "V")} rms${circuit === "full-wave" ? " per half" : ""} at ${digits(hertz, 3)} Hz`,
    "",
    table([{ title: "" }, { title: "", align: "right" }, { title: "" }], rows),
    "",
    wrap(CAUTION_SHORT, 96),
    "",
  ].join("\n");
  return { exit: 0, json, text };
}

/** Drops that the current passes in turn: one element or, in a bridge, two; a tube's bridge has silicon as its other half. */
function pathLaw(
  element: RectifierLaw,
  circuit: RectifierCircuit,
  { silicon, tube }: { readonly silicon: boolean; readonly tube: boolean },
): RectifierLaw {
  const path = circuit === "bridge" ? bridgePath(element, tube ? siliconLaw() : element) : element;
  return silicon ? { form: "series", laws: [path, siliconLaw()] } : path;
}

function headOf(name: string, circuit: RectifierCircuit, silicon: boolean): string {
  const words = name === "ideal" ? "An ideal switch" : name === "silicon" ? "Silicon" : name;
  const half = circuit === "bridge" && PLAIN[name] === undefined ? " with silicon as the other half" : "";
  return `${words}, ${circuit}${half}${silicon ? ", a silicon diode in each plate lead" : ""}`;
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
