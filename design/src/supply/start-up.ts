/**
 * Start-up and switch-off: the unit's own circuit in time, the rectifier as a slow source, cathodes warming and cooling.
 *
 * Method  engine transient from empty (start) or from a solved condition (stop); averaged-rectifier.ts feeds the first
 *         capacitor. Peaks are those of the cycle's mean; the ripple's half is added where capacitors are judged.
 * Limits  A hot restart or a silicon start is faster than a cycle: its surge is the winding's crest into an empty
 *         capacitor through all series resistance, an upper bound.
 */
import {
  type Catalogue,
  compile,
  fail,
  ohms,
  ok,
  type Part,
  type Result,
  sentence,
  seriesCurrent,
  solveTransient,
  type TransientAnswer,
  transientSentence,
} from "@platewright/engine";
import { expand } from "../document/expand.ts";
import type { Document, Supply } from "../document/schema.ts";
import { circuitParts } from "../solved/circuit.ts";
import { isReservoir } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { averagedRectifier } from "./averaged-rectifier.ts";
import { SUPPLY_SOURCE } from "./join.ts";
import { rectifierProblem } from "./rectifier-problem.ts";
import { COOLING, DIRECT, INDIRECT_EARLY, INDIRECT_LATE, isDirectlyHeated, share, type WarmUp } from "./warm-up.ts";

/** Safe to touch below this, dc. */
export const TOUCH_VOLTS = 60;

export interface StartUp {
  readonly seconds: Float64Array;
  readonly netVolts: ReadonlyMap<string, Float64Array>;
  /** Highest volts of each recorded net, with its time. */
  readonly peaks: ReadonlyMap<string, { readonly volts: number; readonly seconds: number }>;
  readonly rectifierAmps: Float64Array;
  /** Largest excursion at each output jack. */
  readonly thumpVolts: number;
  readonly rectifierWarmUp: WarmUp | "at once";
  readonly tubesWarmUp: WarmUp;
  readonly steps: number;
}

export interface Discharge {
  /** Until no reservoir stands above 60 V; Infinity when something keeps it up beyond what was solved. */
  readonly seconds: number;
  readonly fromVolts: number;
  readonly slowestNet: string;
  readonly joules: number;
  readonly coulombs: number;
  readonly thumpVolts: number;
  readonly words: string;
  /** Volts of that net from the switch on, as far as it was solved. */
  readonly course: { readonly seconds: readonly number[]; readonly volts: readonly number[] };
}

/** Of all electrolytics together, at the high end so that a bare supply holds its charge. */
const LEAKAGE_OHMS = 20e6;

const TOLERANCE = { absoluteVolts: 2e-3, relativeVolts: 1e-4 } as const;

/** Nets with a reservoir on them, hottest first. */
export function reservoirs(solved: SolvedDesign): readonly string[] {
  return [...solved.bias.netVolts]
    .filter(([net]) => net !== "0" && isReservoir(solved, net))
    .sort(([, a], [, b]) => Math.abs(b) - Math.abs(a))
    .map(([net]) => net);
}

const outputsOf = (solved: SolvedDesign): readonly string[] => solved.expanded.channels.map((one) => one.outputNet);

function largest(answer: TransientAnswer, nets: readonly string[]): number {
  let most = 0;
  for (const net of nets) {
    const peak = answer.peaks.get(net);
    if (peak !== undefined) most = Math.max(most, Math.abs(peak.highestVolts), Math.abs(peak.lowestVolts));
  }
  return most;
}

/** The circuit with hot tubes and without the source that stands for the rectifier. */
function openCircuit(document: Document, catalogue: Catalogue) {
  const expanded = expand(document);
  if (!expanded.ok) return fail(expanded.failure.sentence);
  const parts = circuitParts(document, expanded.value, catalogue, { tubes: "running" });
  if (!parts.ok) return parts;
  // Electrolytics leak; without a bleeder it is all that drains them.
  const leak: readonly Part[] =
    document.supply === undefined
      ? []
      : [{ kind: "resistor", id: "leakage", a: document.supply.rectifier.output, b: "0", ohms: ohms(LEAKAGE_OHMS) }];
  const circuit = compile([...parts.value.parts.filter((part) => part.id !== SUPPLY_SOURCE), ...leak]);
  return circuit.ok
    ? ok({ circuit: circuit.value, triodes: expanded.value.triodes.map((one) => one.id) })
    : fail(sentence(circuit.failure));
}

/** 40 s from the switch: rectifier early, signal tubes late, at a mains factor. */
export function solveStartUp(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  solved: SolvedDesign,
  mainsFactor: number,
  seconds = 40,
): Result<StartUp, string> {
  const opened = openCircuit(document, catalogue);
  if (!opened.ok) return opened;
  const { circuit, triodes } = opened.value;
  const problem = rectifierProblem(document, supply, catalogue, mainsFactor, 1e-6);
  if (!problem.ok) return problem;
  const first = circuit.parts.find((part) => part.id === supply.rectifier.firstCapacitor);
  const firstFarads = first?.kind === "capacitor" ? first.farads : 1e-6;
  const tube = supply.rectifier.envelope !== undefined;
  const rectifierWarmUp = tube ? (isDirectlyHeated(document, catalogue) ? DIRECT : INDIRECT_EARLY) : undefined;
  const port = averagedRectifier(
    { ...problem.value, firstFarads },
    { plus: supply.rectifier.output, minus: "0" },
    (t) => (rectifierWarmUp === undefined ? 1 : share(rectifierWarmUp, t)),
  );
  const nets = [...reservoirs(solved), ...outputsOf(solved)];
  const samples = Array.from({ length: 401 }, (_, n) => (n * seconds) / 400);
  const answer = solveTransient(
    circuit,
    {
      start: "empty",
      seconds,
      ports: [port],
      emission: new Map(triodes.map((id) => [id, (t: number) => share(INDIRECT_LATE, t)] as const)),
      breaks: [rectifierWarmUp?.from ?? 0, rectifierWarmUp?.to ?? 0, INDIRECT_LATE.from, INDIRECT_LATE.to].filter(
        (t) => t > 0 && t < seconds,
      ),
      record: { nets, currents: [port.id], at: samples },
    },
    TOLERANCE,
  );
  if (!answer.ok) return fail(transientSentence(answer.failure));
  return ok({
    seconds: answer.value.seconds,
    netVolts: answer.value.netVolts,
    peaks: new Map(
      [...answer.value.peaks].map(([net, one]) => [net, { volts: one.highestVolts, seconds: one.highestSeconds }]),
    ),
    rectifierAmps: (answer.value.amps.get(port.id) ?? new Float64Array(0)).map((i) => -i),
    thumpVolts: largest(answer.value, outputsOf(solved)),
    rectifierWarmUp: rectifierWarmUp ?? "at once",
    tubesWarmUp: INDIRECT_LATE,
    steps: answer.value.effort.steps,
  });
}

/** From a solved condition with the mains gone: cathodes cooling, or (tubes "cold") not drawing at all. */
export function solveDischarge(
  document: Document,
  catalogue: Catalogue,
  solved: SolvedDesign,
  words: string,
): Result<Discharge, string> {
  const opened = openCircuit(document, catalogue);
  if (!opened.ok) return opened;
  const { circuit, triodes } = opened.value;
  const held = reservoirs(solved);
  const cold = solved.condition.tubes === "cold";
  const emission = new Map(triodes.map((id) => [id, (t: number) => (cold ? 0 : 1 - share(COOLING, t))] as const));
  const { joules, coulombs } = stored(solved);
  const fromVolts = Math.max(0, ...held.map((net) => Math.abs(solved.bias.netVolts.get(net) ?? 0)));
  const spans = [20, 100, 480];
  let start: { readonly netVolts: ReadonlyMap<string, number> } = solved.bias;
  let before = 0;
  let thumpVolts = 0;
  const solvedSpans: { readonly shift: number; readonly answer: TransientAnswer }[] = [];
  const end = (seconds: number, net: string): Result<Discharge, string> =>
    ok({
      seconds,
      fromVolts,
      slowestNet: net,
      joules,
      coulombs,
      thumpVolts,
      words,
      course: courseOf(solvedSpans, net === "" ? (held[0] ?? "") : net),
    });
  for (const [n, seconds] of spans.entries()) {
    const shift = before;
    const answer = solveTransient(
      circuit,
      {
        start,
        seconds,
        emission: new Map([...emission].map(([id, of]) => [id, (t: number) => of(t + shift)] as const)),
        breaks: [COOLING.from, COOLING.to].map((t) => t - shift).filter((t) => t > 0 && t < seconds),
        record: { nets: [...held, ...outputsOf(solved)], at: { mostSamples: 2000 } },
      },
      TOLERANCE,
    );
    if (!answer.ok) return fail(transientSentence(answer.failure));
    const { value } = answer;
    solvedSpans.push({ shift, answer: value });
    if (n === 0) thumpVolts = largest(value, outputsOf(solved));
    const last = lastAbove(value, held);
    if (last === undefined) return end(shift, "");
    if (last.seconds < seconds) return end(shift + last.seconds, last.net);
    start = value.end;
    before += seconds;
  }
  return end(Infinity, held[0] ?? "");
}

/** One net through the spans that were solved one after the other. */
function courseOf(
  spans: readonly { readonly shift: number; readonly answer: TransientAnswer }[],
  net: string,
): Discharge["course"] {
  const seconds: number[] = [];
  const volts: number[] = [];
  for (const { shift, answer } of spans) {
    const here = answer.netVolts.get(net) ?? new Float64Array(0);
    here.forEach((value, n) => {
      const time = shift + (answer.seconds[n] ?? 0);
      // A span begins where the last one ended.
      if (seconds.length > 0 && time <= (seconds.at(-1) ?? 0)) return;
      seconds.push(time);
      volts.push(value);
    });
  }
  return { seconds, volts };
}

/** The latest time at which a net crosses 60 V downwards; the whole span when one is still above at its end. */
function lastAbove(answer: TransientAnswer, nets: readonly string[]): { seconds: number; net: string } | undefined {
  let latest: { seconds: number; net: string } | undefined;
  const times = answer.seconds;
  for (const net of nets) {
    const volts = answer.netVolts.get(net);
    if (volts === undefined) continue;
    for (let n = volts.length - 1; n >= 0; n--) {
      const here = Math.abs(volts[n] as number);
      if (here <= TOUCH_VOLTS) continue;
      const next = volts[n + 1];
      const at = times[n] as number;
      // Between samples a capacitor falls nearly exponentially.
      const seconds =
        next === undefined
          ? (times[times.length - 1] as number)
          : at + ((times[n + 1] as number) - at) * (Math.log(here / TOUCH_VOLTS) / Math.log(here / Math.abs(next)));
      if (latest === undefined || seconds > latest.seconds) latest = { seconds, net };
      break;
    }
  }
  return latest;
}

function stored(solved: SolvedDesign): { joules: number; coulombs: number } {
  let joules = 0;
  let coulombs = 0;
  for (const { electrical: e } of solved.expanded.parts) {
    if (e.kind !== "capacitor") continue;
    const volts = (solved.bias.netVolts.get(e.a) ?? 0) - (solved.bias.netVolts.get(e.b) ?? 0);
    joules += 0.5 * e.farads * volts * volts;
    coulombs += e.farads * Math.abs(volts);
  }
  return { joules, coulombs };
}

/** The winding's crest into an empty first capacitor, mains high: what a hot restart (or silicon at switch-on) can draw. */
export function surgeAmps(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  mainsFactor: number,
): Result<number | undefined, string> {
  // A choke lets no surge through.
  if (supply.rectifier.choke !== undefined) return ok(undefined);
  const problem = rectifierProblem(document, supply, catalogue, mainsFactor, 1e-6);
  if (!problem.ok) return problem;
  const out = new Float64Array(2);
  seriesCurrent(problem.value.law, problem.value.seriesOhms)(problem.value.rmsVolts * Math.SQRT2, out);
  return ok(out[0] as number);
}
