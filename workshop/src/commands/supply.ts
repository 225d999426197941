/** `platewright supply`: every node and part in every condition, hum, time, faults; plots of start-up and a mains cycle. */
import {
  CAUTION_SHORT,
  type Document,
  bleederFix,
  dropperFix,
  humFix,
  judgeDesign,
  mainsCycle,
  solveDesign,
  studySupply,
  type SupplyStudy,
} from "@platewright/design";
import { mainsCycleFigure, startUpFigure, toSvg } from "@platewright/drawing";
import type { Catalogue } from "@platewright/engine";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { findingJson, printFindings } from "../print/findings.ts";
import { printSupply } from "../print/supply.ts";
import { wrap } from "../print/table.ts";
import { exitOf } from "./check.ts";
import { openDesign } from "./files.ts";

export interface SupplyFlags {
  readonly every: boolean;
  readonly plot?: string;
  /** "B2=250", "hum=-100", "discharge=30". */
  readonly want?: readonly string[];
}

export function supplyCommand(io: Io, path: string, flags: SupplyFlags, catalogue: Catalogue): Outcome {
  const { now } = openDesign(io, path);
  const answer = studySupply(now, catalogue);
  if (!answer.ok) return badInput(`${path}: ${answer.failure.sentence}`);
  const study = answer.value;
  const solved = solveDesign(now, catalogue, { detail: "brief" });
  if (!solved.ok) return badInput(`${path}: ${solved.failure.sentence}`);
  const judged = judgeDesign(now, catalogue, solved.value, { study });
  if (!judged.ok) return badInput(`${path}: ${judged.failure}`);
  const findings = judged.value.filter((one) => !OF_THE_CHANNEL.test(one.rule));
  const wishes = (flags.want ?? []).map((wish) => wished(wish, now, study, catalogue));
  const plots = flags.plot === undefined ? [] : writePlots(io, flags.plot, now, study, catalogue);
  const text = [
    `${now.name}${now.invented === true ? " (an invented design)" : ""}: ${now.supply?.transformer.label ?? ""}, ${now.supply?.mains.volts ?? ""} V ${now.supply?.mains.hertz ?? ""} Hz`,
    "",
    printSupply(study, flags.every),
    "",
    printFindings(findings, flags.every),
    ...(wishes.length === 0 ? [] : ["", "Wished for", ...wishes.map((one) => wrap(`  ${one.words}`, 98, "    "))]),
    ...(plots.length === 0 ? [] : ["", `Written: ${plots.join(", ")}`]),
    "",
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
  return { exit: exitOf(findings), json: { ...supplyJson(study, findings.map(findingJson)), wishes }, text };
}

/** Findings of tubes and signal; `check` lists them. */
const OF_THE_CHANNEL = /^(plate|cathode-amps|grid|follower|output|law|capacitances|cold-plate)/;

/** "B2=250", "hum=-100", "discharge=30": the Fix that does it, or that nothing in the series does. */
function wished(wish: string, document: Document, study: SupplyStudy, catalogue: Catalogue) {
  const [what = "", written = ""] = wish.split("=");
  const value = Number(written);
  const nominal = study.solved.get("nominal");
  const cold = study.solved.get("cold-mains-high");
  if (written === "" || !Number.isFinite(value) || nominal === undefined || cold === undefined)
    return badInput(`--want ${wish.slice(0, 40)}: write NET=VOLTS, hum=dBV or discharge=SECONDS, like B2=250.`);
  const known = what === "hum" || what === "discharge" || nominal.bias.netVolts.has(what);
  if (!known) return badInput(`--want ${wish.slice(0, 40)}: there is no net ${what.slice(0, 30)} in the unit.`);
  const fix =
    what === "hum"
      ? humFix(document, catalogue, nominal, value)
      : what === "discharge"
        ? bleederFix(document, catalogue, cold, value)
        : dropperFix(document, catalogue, nominal, what, value);
  return { wish, words: `${wish}: ${fix?.title ?? "no single preferred value does it"}`, changes: fix?.changes ?? [] };
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

function supplyJson(study: SupplyStudy, findings: readonly unknown[]) {
  const { discharge, dischargeHot, hum, startUp } = study;
  const discharged = (one: SupplyStudy["discharge"]) =>
    one === undefined
      ? null
      : {
          seconds: finite(one.seconds),
          fromVolts: one.fromVolts,
          net: one.slowestNet,
          joules: one.joules,
          coulombs: one.coulombs,
          thumpVolts: one.thumpVolts,
          condition: one.words,
        };
  return {
    name: study.document.name,
    conditions: Object.fromEntries(
      study.rows.map((row) => [
        row.condition.id,
        {
          words: row.condition.words,
          mainsFactor: row.condition.mainsFactor,
          mainsWatts: row.mainsWatts,
          nodes: row.nodes,
          parts: row.parts,
        },
      ]),
    ),
    lamp: study.lamp,
    discharge: discharged(discharge),
    dischargeHot: discharged(dischargeHot),
    hum:
      hum === undefined
        ? null
        : {
            level: hum.setting.words,
            gain: hum.setting.gain,
            lines: hum.lines,
            ripple: hum.ripple,
            capacitors: hum.capacitors,
            crosstalk: hum.crosstalk,
            noise: [...hum.noise].map(([channel, one]) => ({
              channel,
              flatVoltsRms: one.flat.output.voltsRms,
              weightedVoltsRms: one.weighted.output.voltsRms,
            })),
            assumptions: hum.assumptions,
          },
    startUp:
      startUp === undefined
        ? null
        : {
            peaks: Object.fromEntries([...startUp.peaks].map(([net, peak]) => [net, peak])),
            thumpVolts: startUp.thumpVolts,
          },
    transformer:
      study.transformer === undefined
        ? null
        : {
            knownBy: study.transformer.knownBy,
            saleStop: study.transformer.saleStop,
            ranges: study.transformer.ranges,
            notes: study.transformer.notes,
          },
    surgeAmps: study.surgeAmps ?? null,
    mainsAmps: study.mainsAmps,
    suggestedFuseAmps: study.suggestedFuseAmps,
    faults: study.faults.map((one) => ({
      id: one.fault.id,
      words: one.fault.words,
      burns: one.burns,
      mainsAmps: finite(one.mainsAmps),
      fuse: one.fuse,
      outputVolts: finite(one.outputVolts),
      ...(one.unsolved === undefined ? {} : { unsolved: one.unsolved }),
    })),
    unsolved: study.unsolved,
    findings,
  };
}

const CYCLE_SAMPLES = 401;

/** The lowest rating among the capacitors that the start-up charges. */
function lowestRating(study: SupplyStudy): readonly { readonly volts: number; readonly words: string }[] {
  const cold = study.rows.find((row) => row.condition.id === "cold-mains-high");
  const rated = Object.entries(cold?.parts ?? {})
    .filter(([, one]) => one.unit === "V" && one.value > 100)
    .sort(([, a], [, b]) => a.limit - b.limit)[0];
  return rated === undefined ? [] : [{ volts: rated[1].limit, words: `${rated[1].limit} V capacitors` }];
}

/** FILE.svg for the start-up, FILE-cycle.svg for one mains cycle. */
function writePlots(
  io: Io,
  file: string,
  document: Document,
  study: SupplyStudy,
  catalogue: Catalogue,
): readonly string[] {
  const stem = file.replace(/\.svg$/i, "");
  const written: string[] = [];
  const { startUp } = study;
  if (startUp !== undefined) {
    const nets = [...startUp.netVolts].filter(([net]) => (startUp.peaks.get(net)?.volts ?? 0) > 100);
    const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
    const output = document.supply?.rectifier.output;
    const shown = nets
      .filter(([net]) => !twins.has(net.slice(0, net.indexOf("."))))
      .sort(([a], [b]) => Number(b === output) - Number(a === output));
    const scene = startUpFigure({
      title: `${document.name}: start-up`,
      legend: "mains high, rectifier early, signal tubes late",
      times: [...startUp.seconds],
      series: [
        ...shown.map(([net, volts], n) => ({
          label: net,
          volts: [...volts],
          role: n === 0 ? ("now" as const) : ("ink" as const),
        })),
        { label: "rectifier, mean", amps: [...startUp.rectifierAmps], role: "now" as const },
      ],
      limits: lowestRating(study),
      marks: [{ trace: document.supply?.rectifier.output ?? "", at: "peak" }],
    });
    io.write(`${stem}.svg`, toSvg(scene, "light"));
    written.push(`${stem}.svg`);
  }
  const nominal = study.solved.get("nominal");
  const cycle = nominal === undefined ? undefined : mainsCycle(nominal, catalogue, CYCLE_SAMPLES);
  if (cycle?.ok === true && document.supply !== undefined) {
    const { seconds, windingVolts, firstCapacitorVolts, pathAmps } = cycle.value;
    const scene = mainsCycleFigure({
      title: `${document.name}: one mains cycle`,
      legend: "running, mains nominal",
      times: seconds,
      series: [
        { label: "winding", volts: windingVolts },
        { label: document.supply.rectifier.output, volts: firstCapacitorVolts, role: "now" },
        ...pathAmps.map((amps, n) => ({
          label: n === 0 ? "first path" : "second path",
          amps,
          role: n === 0 ? ("now" as const) : ("ink" as const),
        })),
      ],
    });
    io.write(`${stem}-cycle.svg`, toSvg(scene, "light"));
    written.push(`${stem}-cycle.svg`);
  }
  return written;
}
