/**
 * Hum and noise at the output: the rectifier's ripple through the unit's own circuit, what leaks from the heaters, what
 * one channel hears of the other, and the noise of its parts.
 *
 * Law     Ripple line k stands on the first capacitor as Vk; at a net it is Vk Z(net, C1) / Z(C1, C1), Z from one
 *         transposed solve per net and frequency. A heater leaks through its insulation into the cathode and its lead
 *         couples into the grid; both ends of the winding do so with opposite signs, and only what is unlike is left.
 * Limits  Leakage, stray capacitance and their balance are stated assumptions, not data. Lines of one frequency from
 *         different ways are added as sizes: the worst of their phases.
 */
import {
  type Bias,
  type Catalogue,
  type Complex,
  type CompiledCircuit,
  fail,
  hertz,
  injection,
  magnitude,
  type Noise,
  ok,
  type Part,
  rectifierSentence,
  type Result,
  revalue,
  sentence,
  solveAdjoint,
  solveBias,
  solveNoise,
  solveResponse,
} from "@platewright/engine";
import type { Document, Supply } from "../document/schema.ts";
import { sourceId } from "../solved/circuit.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { rectifierProblem } from "./rectifier-problem.ts";
import { sourceRippleLines } from "./source.ts";
import { reservoirs } from "./start-up.ts";

/** Assumed, and said so wherever a figure rests on them. */
export const HUM_ASSUMPTIONS = {
  /** Insulation of one heater to its cathode. */
  leakageOhms: 30e6,
  leakageFarads: 5e-12,
  /** From the heater's leads to one grid. */
  strayFarads: 0.3e-12,
  /** What two unlike ends leave of the winding's half: 1 for one end grounded. */
  balance: 0.2,
} as const;

const LINES = 6;

export interface HumLine {
  readonly hertz: number;
  readonly voltsRms: number;
  readonly dbv: number;
  readonly from: "ripple" | "heaters";
  readonly channel: string;
}

export interface LevelSetting {
  /** Gain from input jack to output net at 1 kHz. */
  readonly gain: number;
  /** "unity", or "full" when unity is out of reach, or "as set". */
  readonly words: string;
}

export interface Hum {
  readonly setting: LevelSetting;
  readonly lines: readonly HumLine[];
  /** Ripple, volts rms of all lines together, by net of the supply and by plate. */
  readonly ripple: readonly { readonly net: string; readonly voltsRms: number }[];
  /** Ripple current of each capacitor from a reservoir net to ground, amperes rms; the first one's is the rectifier's. */
  readonly capacitors: readonly { readonly part: string; readonly ampsRms: number }[];
  /** Output of the silent channel over that of the driven one. */
  readonly crosstalk: readonly { readonly hertz: number; readonly decibels: number }[];
  readonly noise: ReadonlyMap<string, Noise>;
  readonly assumptions: typeof HUM_ASSUMPTIONS;
}

const rms = (peak: number): number => peak / Math.SQRT2;
const decibelVolts = (volts: number): number => 20 * Math.log10(Math.max(volts, 1e-12));

export interface HumAsk {
  readonly level: "unity" | "as set";
}

/** Hum, crosstalk and noise of a design solved nominally with its supply. */
export function solveHum(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  solved: SolvedDesign,
  ask: HumAsk = { level: "unity" },
): Result<Hum, string> {
  const set = ask.level === "unity" ? atUnity(solved) : ok(asSet(solved));
  if (!set.ok) return set;
  const { circuit, bias, setting } = set.value;
  const ripple = rippleOf(document, supply, catalogue, solved);
  if (!ripple.ok) return ripple;
  const channels = solved.expanded.channels.filter((one) => !solved.expanded.equalTo.has(one.instance));
  const frequencies = [hertz(supply.mains.hertz), ...ripple.value.map((line) => line.hertz)];
  const first = supply.rectifier.output;
  const own = solveAdjoint(circuit, bias, { output: first, hertz: frequencies });
  if (!own.ok) return fail(sentence(own.failure));
  const share = (answer: typeof own.value, k: number): Complex =>
    divide(injection(answer, k, "0", first), injection(own.value, k, "0", first));
  const lines: HumLine[] = [];
  for (const channel of channels) {
    const out = solveAdjoint(circuit, bias, { output: channel.outputNet, hertz: frequencies });
    if (!out.ok) return fail(sentence(out.failure));
    for (const [n, line] of ripple.value.entries()) {
      const volts = rms(Math.hypot(line.real, line.imaginary)) * magnitude(share(out.value, n + 1));
      lines.push({
        hertz: line.hertz,
        voltsRms: volts,
        dbv: decibelVolts(volts),
        from: "ripple",
        channel: channel.instance,
      });
    }
    let heaters = 0;
    for (const triode of solved.expanded.triodes.filter((one) => one.instance === channel.instance)) {
      const winding = solved.heaters.find((one) => one.envelopes.some((tube) => tube.envelope === triode.envelope));
      // Heaters on dc bring no line of their own.
      const direct = supply.transformer.heaters.find((one) => one.id === winding?.winding)?.direct !== undefined;
      const end = direct ? 0 : ((winding?.volts ?? 0) / 2) * HUM_ASSUMPTIONS.balance;
      const omega = 2 * Math.PI * supply.mains.hertz;
      const leak = Math.hypot(1 / HUM_ASSUMPTIONS.leakageOhms, omega * HUM_ASSUMPTIONS.leakageFarads);
      heaters += end * leak * magnitude(injection(out.value, 0, "0", triode.cathode));
      heaters += end * omega * HUM_ASSUMPTIONS.strayFarads * magnitude(injection(out.value, 0, "0", triode.grid));
    }
    lines.push({
      hertz: supply.mains.hertz,
      voltsRms: heaters,
      dbv: decibelVolts(heaters),
      from: "heaters",
      channel: channel.instance,
    });
  }
  const nets = [...new Set([first, ...reservoirs(solved), ...solved.expanded.triodes.map((one) => one.plate)])].filter(
    (net) => circuit.map.index.has(net),
  );
  const capacitors: { part: string; ampsRms: number }[] = [];
  const standing: { net: string; voltsRms: number }[] = [];
  for (const net of nets) {
    const at = solveAdjoint(circuit, bias, { output: net, hertz: frequencies });
    if (!at.ok) return fail(sentence(at.failure));
    const squares = ripple.value.reduce(
      (sum, line, n) => sum + (rms(Math.hypot(line.real, line.imaginary)) * magnitude(share(at.value, n + 1))) ** 2,
      0,
    );
    standing.push({ net, voltsRms: Math.sqrt(squares) });
    const perFarad = ripple.value.reduce(
      (sum, line, n) =>
        sum +
        (2 * Math.PI * line.hertz * rms(Math.hypot(line.real, line.imaginary)) * magnitude(share(at.value, n + 1))) **
          2,
      0,
    );
    for (const { id, electrical: e } of solved.expanded.parts)
      if (e.kind === "capacitor" && ((e.a === net && e.b === "0") || (e.b === net && e.a === "0")))
        capacitors.push({
          part: id,
          ampsRms:
            id === supply.rectifier.firstCapacitor
              ? (solved.supply?.rectifier.capacitorRmsAmps ?? 0)
              : e.farads * Math.sqrt(perFarad),
        });
  }
  const crosstalk = crosstalkOf(circuit, bias, solved);
  if (!crosstalk.ok) return crosstalk;
  const noise = new Map<string, Noise>();
  for (const channel of channels) {
    const answer = solveNoise(circuit, bias, {
      source: sourceId(channel.instance),
      output: channel.outputNet,
      hertz: { from: hertz(20), to: hertz(20e3), perDecade: 4 },
    });
    if (!answer.ok) return fail(sentence(answer.failure as Parameters<typeof sentence>[0]));
    noise.set(channel.instance, answer.value);
  }
  return ok({
    setting,
    lines,
    ripple: standing,
    capacitors,
    crosstalk: crosstalk.value,
    noise,
    assumptions: HUM_ASSUMPTIONS,
  });
}

function rippleOf(document: Document, supply: Supply, catalogue: Catalogue, solved: SolvedDesign) {
  const first = solved.parts.find((part) => part.id === supply.rectifier.firstCapacitor);
  if (first?.kind !== "capacitor" || solved.supply === undefined)
    return fail("supply: the first capacitor's ripple was not solved.");
  const problem = rectifierProblem(document, supply, catalogue, solved.condition.mainsFactor, first.farads);
  if (!problem.ok) return problem;
  const lines = sourceRippleLines(problem.value, solved.supply.loadAmps, LINES);
  return lines.ok ? lines : fail(rectifierSentence(lines.failure));
}

const divide = (a: Complex, b: Complex): Complex => {
  const size = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / size, im: (a.im * b.re - a.re * b.im) / size };
};

interface Set {
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly setting: LevelSetting;
}

function gainOf(circuit: CompiledCircuit, bias: Bias, solved: SolvedDesign): Result<number, string> {
  const [channel] = solved.expanded.channels;
  if (channel === undefined) return fail("supply: the design has no channel from an input to an output jack.");
  const ask = { source: sourceId(channel.instance), hertz: [hertz(1000)] };
  const out = solveResponse(circuit, bias, { ...ask, output: channel.outputNet });
  const jack = solveResponse(circuit, bias, { ...ask, output: channel.inputNet });
  if (!out.ok) return fail(sentence(out.failure));
  if (!jack.ok) return fail(sentence(jack.failure));
  return ok(magnitude(out.value.transfer[0] as Complex) / magnitude(jack.value.transfer[0] as Complex));
}

function asSet(solved: SolvedDesign): Set {
  const gain = gainOf(solved.circuit, solved.bias, solved);
  return {
    circuit: solved.circuit,
    bias: solved.bias,
    setting: { gain: gain.ok ? gain.value : Number.NaN, words: "as set" },
  };
}

/** Level controls (those whose wiper is an output) turned together until the gain is one. */
function atUnity(solved: SolvedDesign): Result<Set, string> {
  const outputs = new Set(solved.expanded.channels.map((one) => one.outputNet));
  const levels = solved.parts.filter((part) => part.kind === "potentiometer" && outputs.has(part.wiper));
  const as = asSet(solved);
  if (levels.length === 0) return ok(as);
  const ids = new Set(levels.map((part) => part.id));
  const at = (fraction: number): Result<Set, string> => {
    const parts: readonly Part[] = solved.parts.map((part) =>
      part.kind === "potentiometer" && ids.has(part.id) ? { ...part, fraction } : part,
    );
    const circuit = revalue(solved.circuit, parts);
    if (!circuit.ok) return fail(sentence(circuit.failure));
    const bias = solveBias(circuit.value, { start: solved.bias.unknowns });
    if (!bias.ok) return fail(sentence(bias.failure));
    const gain = gainOf(circuit.value, bias.value, solved);
    if (!gain.ok) return gain;
    return ok({ circuit: circuit.value, bias: bias.value, setting: { gain: gain.value, words: "unity" } });
  };
  const full = at(1);
  if (!full.ok) return full;
  if (full.value.setting.gain <= 1)
    return ok({ ...full.value, setting: { gain: full.value.setting.gain, words: "full up, unity is out of reach" } });
  // The gain rises with the fraction, nearly in step with it.
  let low = 0;
  let high = 1;
  let fraction = 1 / full.value.setting.gain;
  for (let n = 0; n < 30; n++) {
    const here = at(fraction);
    if (!here.ok) return here;
    if (Math.abs(here.value.setting.gain - 1) < 1e-4) return here;
    if (here.value.setting.gain > 1) high = fraction;
    else low = fraction;
    const next = fraction / here.value.setting.gain;
    fraction = next > low && next < high ? next : (low + high) / 2;
  }
  return fail("supply: no position of the level control gives unity gain.");
}

const CROSSTALK_HERTZ = [20, 100, 1000, 10e3] as const;

function crosstalkOf(circuit: CompiledCircuit, bias: Bias, solved: SolvedDesign): Result<Hum["crosstalk"], string> {
  const [driven, silent] = solved.expanded.channels;
  if (driven === undefined || silent === undefined) return ok([]);
  const ask = { source: sourceId(driven.instance), hertz: CROSSTALK_HERTZ.map((one) => hertz(one)) };
  const own = solveResponse(circuit, bias, { ...ask, output: driven.outputNet });
  const other = solveResponse(circuit, bias, { ...ask, output: silent.outputNet });
  if (!own.ok) return fail(sentence(own.failure));
  if (!other.ok) return fail(sentence(other.failure));
  return ok(
    CROSSTALK_HERTZ.map((frequency, k) => ({
      hertz: frequency,
      decibels:
        20 *
        Math.log10(
          Math.max(1e-12, magnitude(other.value.transfer[k] as Complex) / magnitude(own.value.transfer[k] as Complex)),
        ),
    })),
  );
}
