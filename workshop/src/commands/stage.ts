/** `platewright stage`: one resistance-coupled stage from flags. */
import {
  type Catalogue,
  type CoupledStage,
  digits,
  type EffectiveLimit,
  printDecibels,
  printValue,
  sentence,
  solveStage,
  stageAtOutput,
  stageOnset,
} from "@platewright/engine";
import { CAUTION_SHORT } from "@platewright/design";
import { flagOrNone, flagValue, knownTube } from "../flags.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { table, wrap } from "../print/table.ts";

export interface StageFlags {
  readonly tube: string;
  readonly section?: string;
  readonly supply: string;
  readonly plateLoad: string;
  readonly cathode: string;
  readonly bypass: string;
  readonly gridLeak: string;
  readonly coupling: string;
  readonly nextGrid: string;
  readonly output: readonly string[];
}

const ASSUMED_CAPACITANCES = { gridPlateFarads: 2e-12, gridCathodeFarads: 2e-12, plateCathodeFarads: 1e-12 };

export function stageCommand(flags: StageFlags, catalogue: Catalogue): Outcome {
  const record = knownTube(catalogue, "--tube", flags.tube);
  const section =
    flags.section === "2"
      ? 2
      : flags.section === undefined || flags.section === "1"
        ? 1
        : badInput("--section: 1 or 2.");
  const law = catalogue.law(record.type, section) ?? catalogue.law(record.type);
  if (record.kind !== "triode" || law === undefined)
    return badInput(
      `--tube: ${record.type} ${record.kind === "triode" ? "has no plate law yet: no sheet point gives its current and slopes" : `is a ${record.kind}, not a triode`}.`,
    );
  const nextGrid = flagOrNone("next-grid", "resistance", flags.nextGrid);
  const bypass = flagOrNone("bypass", "capacitance", flags.bypass);
  const c = record.capacitances[section - 1] ?? record.capacitances[0] ?? ASSUMED_CAPACITANCES;
  const stage: CoupledStage = {
    law: law.law,
    gridPlateFarads: c.gridPlateFarads,
    gridCathodeFarads: c.gridCathodeFarads,
    plateCathodeFarads: c.plateCathodeFarads,
    supplyVolts: flagValue("supply", "voltage", flags.supply),
    plateLoadOhms: flagValue("plate-load", "resistance", flags.plateLoad),
    cathodeOhms: flagValue("cathode", "resistance", flags.cathode, { zero: true }),
    ...(bypass === undefined ? {} : { bypassFarads: bypass }),
    gridLeakOhms: flagValue("grid-leak", "resistance", flags.gridLeak),
    ...(nextGrid === undefined
      ? {}
      : { next: { gridOhms: nextGrid, couplingFarads: flagValue("coupling", "capacitance", flags.coupling) } }),
  };
  const solved = solveStage(stage);
  if (!solved.ok) return badInput(`The stage: ${sentence(solved.failure)}`);
  const { bias, gain, outputOhms } = solved.value;
  const wanted = flags.output.flatMap((one) => one.split(",")).map((one) => flagValue("output", "voltage", one));
  const levels = (wanted.length > 0 ? wanted : usualOutputs(gain, bias.gridVolts)).map((output) => {
    const level = stageAtOutput(solved.value, output);
    return level.ok ? level.value : badInput(`--output ${output}: ${sentence(level.failure)}`);
  });
  const onset = stageOnset(solved.value);
  if (!onset.ok) return badInput(`The onset of grid current: ${sentence(onset.failure)}`);
  const steps = levels.reduce((sum, level) => sum + level.answer.effort.steps, solved.value.effort.steps);
  const json = {
    tube: record.type,
    bias: {
      plateAmps: bias.plateAmps,
      plateVolts: bias.plateVolts,
      cathodeVolts: bias.cathodeVolts,
      gridVolts: bias.gridVolts,
      plateWatts: bias.plateWatts,
      siemens: bias.siemens,
      plateOhms: bias.plateOhms,
      mu: bias.mu,
    },
    gain,
    inverts: true,
    outputOhms,
    harmonics: levels.map((level) => ({
      outputVolts: level.outputVolts,
      inputVolts: level.inputVolts,
      percent: level.percent,
      totalPercent: level.totalPercent,
      outcome: level.answer.outcome,
      tailDecibels: level.answer.tailDecibels,
    })),
    gridCurrentOnset: { inputVolts: onset.value.inputVolts, outputVolts: onset.value.outputVolts },
    band: { h2Decibels: law.h2BandDecibels, h3Decibels: law.h3BandDecibels, basis: law.basis },
    effort: {
      steps,
      factorings: levels.reduce((sum, level) => sum + level.answer.effort.factorings, solved.value.effort.factorings),
      lawCalls: levels.reduce((sum, level) => sum + level.answer.effort.lawCalls, solved.value.effort.lawCalls),
      residual: Math.max(solved.value.effort.residual, ...levels.map((level) => level.answer.effort.residual)),
    },
  };
  const limit = catalogue.limit(record.type, "plateWatts");
  const rows = levels.map((level) => [
    printValue(level.inputVolts, "V"),
    printValue(level.outputVolts, "V"),
    percentAndDecibels(level.percent[0]),
    percentAndDecibels(level.percent[1]),
    `${digits(level.totalPercent, 3)} %`,
    level.answer.outcome === "settled" ? "" : `tail ${printDecibels(level.answer.tailDecibels, 0)}`,
  ]);
  const text = [
    `${record.type} at ${printValue(stage.supplyVolts, "V")}, plate load ${printValue(stage.plateLoadOhms, "Ω")}, Rk ${printValue(stage.cathodeOhms, "Ω")} ${bypass === undefined || stage.cathodeOhms === 0 ? "unbypassed" : `bypassed ${printValue(bypass, "F")}`}, ${nextGrid === undefined ? "nothing follows" : `next grid ${printValue(nextGrid, "Ω")}`}`,
    "",
    table(
      [{ title: "" }, { title: "", align: "right" }, { title: "" }],
      [
        ["plate current", printValue(bias.plateAmps, "A"), ""],
        [
          "plate to cathode",
          printValue(bias.plateVolts, "V"),
          `plate to ground ${printValue(bias.plateVolts + bias.cathodeVolts, "V")}`,
        ],
        ["cathode", printValue(bias.cathodeVolts, "V"), ""],
        ["dissipation", printValue(bias.plateWatts, "W"), wattsWords(bias.plateWatts, limit, catalogue)],
        [
          "there",
          `mu ${digits(bias.mu, 3)}`,
          `gm ${digits(1000 * bias.siemens, 3)} mA/V, rp ${printValue(bias.plateOhms, "Ω")}`,
        ],
        ["gain at 1 kHz", digits(gain, 4), `${printDecibels(20 * Math.log10(gain))}, inverts`],
        ["output impedance", printValue(outputOhms, "Ω"), ""],
        [
          "grid current begins",
          onset.value.inputVolts === null ? "beyond 100 V" : `${printValue(onset.value.inputVolts, "V")} in`,
          onset.value.outputVolts === null ? "" : `${printValue(onset.value.outputVolts, "V")} out, rms, 0.3 µA mean`,
        ],
      ],
    ),
    "",
    table(
      [
        { title: "in rms", align: "right" },
        { title: "out rms", align: "right" },
        { title: "H2", align: "right" },
        { title: "H3", align: "right" },
        { title: "total", align: "right" },
        { title: "" },
      ],
      rows,
    ),
    wrap(
      `H2 is known to ±${law.h2BandDecibels.toFixed(1)} dB and H3 to ±${law.h3BandDecibels.toFixed(0)} dB (90 %, fit and specimen); the law rests on ${law.basis}.`,
      96,
    ),
    "",
    wrap(CAUTION_SHORT, 96),
    "",
  ].join("\n");
  return { exit: 0, json, text };
}

/** A tenth, a third and nine tenths of what the bias allows. */
const usualOutputs = (gain: number, gridVolts: number): readonly number[] =>
  [0.1, 0.33, 0.9].map((share) => Number(((gain * share * Math.max(0.1, -gridVolts)) / Math.SQRT2).toPrecision(2)));

const percentAndDecibels = (percent: number | undefined): string =>
  percent === undefined ? "" : `${digits(percent, 3)} % ${printDecibels(20 * Math.log10(percent / 100))}`;

function wattsWords(watts: number, limit: EffectiveLimit | undefined, catalogue: Catalogue): string {
  if (limit === undefined) return "no published limit";
  const source = catalogue.source(limit.provenance.source)?.title ?? limit.provenance.source;
  const trust =
    limit.trust === "ok"
      ? limit.system
      : limit.trust === "ok-from-memory"
        ? `${limit.system}, from memory`
        : "unverified";
  return `${Math.round((100 * watts) / limit.value)} % of ${printValue(limit.value, "W")} (${trust}; ${source})`;
}
