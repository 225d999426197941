/** What the Voicing screen asks: harmonics against level, one level in full, controls, pairs, two tones, calibration. */
import {
  type Calibration,
  calibrate,
  bandsOf,
  equalLoudness,
  findControls,
  lawSlopes,
  levelPoint,
  rankMeasurements,
  readHarmonic,
  REFERENCE_HERTZ,
  signedRatio,
  solveChannel,
  type SolvedDesign,
  sourceId,
  turnForFraction,
  unitPrediction,
  type UnitPrediction,
} from "@platewright/design";
import {
  differenceFigure,
  fail,
  harmonicProblem,
  hertz,
  magnitude,
  modulationFigure,
  ok,
  type Result,
  sentence,
  solveLevels,
  solveResponse,
  solveTwoTone,
  volts,
} from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";

/** Levels of the curves, evenly spread on a logarithmic axis. */
const CURVE_POINTS = 15;
const LEAST_INPUT_VOLTS = 0.05;
/** Beyond the largest input there is still something to see: where the stage gives out. */
const BEYOND = 2.5;
/** Coarse enough to follow a drag; the tail is said where it is not reached. */
const LIVE_LIMITS = { tailDecibels: -100, mostHarmonics: 32 } as const;
/** H2 to H5. */
const SHOWN = 4;

export interface Curve {
  readonly inputVolts: readonly number[];
  /** H2, H3 ... over the fundamental, by harmonic then level; not signed. */
  readonly ratios: readonly (readonly number[])[];
  /** +1 and -1 likewise: in phase with the fundamental or against it. */
  readonly signs: readonly (readonly number[])[];
  readonly outputVolts: readonly number[];
}

/** The first channel that is no twin of another; the one that the screens show. */
export function channelsOf(solved: SolvedDesign): readonly string[] {
  return solved.channels.filter((one) => one.sameAs === undefined).map((one) => one.instance);
}

export function curveLevels(largestInputVolts: number): readonly number[] {
  const [from, to] = [LEAST_INPUT_VOLTS, largestInputVolts * BEYOND];
  return Array.from({ length: CURVE_POINTS }, (_, n) =>
    Number((from * (to / from) ** (n / (CURVE_POINTS - 1))).toPrecision(4)),
  );
}

function curveOf(solved: SolvedDesign, instance: string, levels: readonly number[]): Result<Curve, string> {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`There is no channel ${instance}.`);
  const answer = solveChannel(solved.circuit, solved.bias, solved.expanded, channel, {
    levels,
    largestInputVolts: levels.at(-1) ?? 1,
    detail: "levels",
    harmonicLimits: LIVE_LIMITS,
  });
  if (!answer.ok) return answer;
  const points = answer.value.levels;
  const each = <T>(of: (k: number) => T) => Array.from({ length: SHOWN }, (_, k) => of(k));
  return ok({
    inputVolts: points.map((one) => one.inputVolts),
    ratios: each((k) => points.map((one) => one.ratios[k] ?? 0)),
    signs: each((k) => points.map((one) => one.signs[k] ?? 1)),
    outputVolts: points.map((one) => one.outputVolts),
  });
}

const onsetOf = (solved: SolvedDesign, instance: string): number | null => {
  const channel = solved.channels.find((one) => one.instance === instance);
  const found = (channel?.onset ?? []).flatMap((one) => (one.inputVolts === null ? [] : [one.inputVolts]));
  return found.length === 0 ? null : Math.min(...found);
};

function channelAt(
  bench: Bench,
  given: string | undefined,
): Result<{ solved: SolvedDesign; instance: string }, string> {
  const now = bench.now();
  if (!now.ok) return now;
  const instance = given ?? channelsOf(now.value)[0];
  return instance === undefined
    ? fail("This design has no channel with an input and an output jack.")
    : ok({ solved: now.value, instance });
}

interface At {
  readonly channel?: string;
}

/** Harmonics of one level, in full: what is at the output. */
export function levelAt(solved: SolvedDesign, instance: string, inputVolts: number) {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`There is no channel ${instance}.`);
  const source = sourceId(instance);
  const jack = solveResponse(solved.circuit, solved.bias, {
    source,
    output: channel.inputNet,
    hertz: [REFERENCE_HERTZ],
  });
  if (!jack.ok) return fail(sentence(jack.failure));
  const mine = solved.expanded.triodes.filter((one) => one.instance === instance).map((one) => one.id);
  const problem = harmonicProblem(solved.circuit, solved.bias, {
    source,
    hertz: REFERENCE_HERTZ,
    output: channel.outputNet,
    linear: solved.expanded.triodes.map((one) => one.id).filter((id) => !mine.includes(id)),
  });
  const share = jack.value.transfer[0];
  const emf = volts(inputVolts / (share === undefined ? 1 : magnitude(share)));
  const answers = solveLevels(problem, [emf]);
  if (!answers.ok) return fail(sentence(answers.failure));
  const [answer] = answers.value;
  return answer === undefined ? fail("The level was not solved.") : ok(levelPoint(inputVolts, answer));
}

/** Samples of one cycle as drawn. */
const WAVE_SAMPLES = 96;

/** One cycle at the output: the signal, and what is left when the fundamental is taken away. */
function waveOf(point: Extract<ReturnType<typeof levelAt>, { ok: true }>["value"]) {
  const { real, imaginary } = point.answer.output;
  const wave = { signal: [] as number[], residue: [] as number[] };
  for (let n = 0; n <= WAVE_SAMPLES; n++) {
    const phase = (2 * Math.PI * n) / WAVE_SAMPLES;
    let residue = 0;
    for (let k = 2; k < real.length; k++)
      residue += (real[k] ?? 0) * Math.cos(k * phase) - (imaginary[k] ?? 0) * Math.sin(k * phase);
    const fundamental = (real[1] ?? 0) * Math.cos(phase) - (imaginary[1] ?? 0) * Math.sin(phase);
    wave.signal.push(fundamental + residue);
    wave.residue.push(residue);
  }
  return wave;
}

/** The measured levels of the document as readings, those that can be read. */
function readingsOf(bench: Bench) {
  return (bench.kept.targets.measuredH2 ?? []).flatMap(({ inputVolts, reading }) => {
    const ratio = readHarmonic(reading);
    return ratio.ok ? [{ inputVolts, ratio: ratio.value, reading }] : [];
  });
}

/** Half-width of a usual analyser's own 90 % band, dB; common practice. */
const METER_DECIBELS = 0.5;

function predictionOf(solved: SolvedDesign, instance: string, levels: readonly number[]): UnitPrediction | undefined {
  const slopes = lawSlopes(solved, instance, solved.document.targets.voicingVolts.at(-1) ?? 1);
  const base = unitPrediction(solved, instance, slopes.ok ? slopes.value : undefined);
  if (base === undefined) return undefined;
  const curve = curveOf(solved, instance, levels);
  if (!curve.ok) return base;
  return {
    ...base,
    levels: curve.value.inputVolts.flatMap((inputVolts, n) => {
      const ratio = curve.value.ratios[0]?.[n] ?? 0;
      return ratio > 0 ? [{ inputVolts, ratio }] : [];
    }),
  };
}

const controlWords = (solved: SolvedDesign, instance: string) => {
  const { drive, level } = findControls(solved, instance);
  const channel = solved.channels.find((one) => one.instance === instance);
  const gain = channel?.gain ?? 0;
  const shown = (control: typeof drive) => {
    if (control === undefined) return null;
    const turn = turnForFraction(control.taper, control.fraction);
    return { ...control, turn, part: control.id.slice(control.id.indexOf(".") + 1) };
  };
  const levelShown = shown(level);
  // Where the whole channel has a gain of one: gain goes with the level's share of the resistance.
  const unity = level === undefined || gain <= 0 ? undefined : level.fraction / gain;
  return {
    drive: shown(drive),
    level: levelShown,
    unityTurn: level === undefined || unity === undefined || unity > 1 ? null : turnForFraction(level.taper, unity),
    gain,
  };
};

export const voicingAsks = {
  voicingCurves: ask("live", (bench, { channel }: At) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const { solved, instance } = at.value;
    const levels = curveLevels(solved.document.targets.largestInputVolts);
    const now = curveOf(solved, instance, levels);
    if (!now.ok) return now;
    const proven = bench.ofProven(`voicing ${instance} ${levels.join(" ")}`, () => {
      const was = bench.proven();
      if (!was.ok) return null;
      const curve = curveOf(was.value, instance, levels);
      return curve.ok ? { curve: curve.value, onsetVolts: onsetOf(was.value, instance) } : null;
    });
    const bands = bandsOf(solved, instance);
    return ok({
      channels: channelsOf(solved),
      instance,
      now: now.value,
      proven: proven?.curve ?? null,
      onsetVolts: onsetOf(solved, instance),
      provenOnsetVolts: proven?.onsetVolts ?? null,
      bandDecibels: [bands.h2 ?? null, bands.h3 ?? null],
      voicingVolts: solved.document.targets.voicingVolts,
      largestInputVolts: solved.document.targets.largestInputVolts,
    });
  }),
  /** One level in full: harmonics, output, one cycle. */
  voicingAt: ask("live", (bench, { channel, inputVolts }: At & { readonly inputVolts: number }) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const { solved, instance } = at.value;
    const now = levelAt(solved, instance, inputVolts);
    if (!now.ok) return now;
    const was = bench.ofProven(`level ${instance} ${inputVolts}`, () => {
      const proven = bench.proven();
      const point = proven.ok ? levelAt(proven.value, instance, inputVolts) : fail("");
      return point.ok
        ? {
            outputVolts: point.value.outputVolts,
            ratios: point.value.ratios.slice(0, SHOWN),
            wave: waveOf(point.value),
          }
        : null;
    });
    const total = (ratios: readonly number[]) => Math.hypot(...ratios);
    return ok({
      inputVolts,
      outputVolts: now.value.outputVolts,
      ratios: now.value.ratios.slice(0, SHOWN),
      signs: now.value.signs.slice(0, SHOWN),
      total: total(now.value.ratios),
      wave: waveOf(now.value),
      outcome: now.value.answer.outcome,
      tailDecibels: now.value.answer.tailDecibels,
      was: was === null ? null : { ...was, total: total(was.ratios) },
    });
  }),
  voicingControls: ask("live", (bench, { channel }: At) => {
    const at = channelAt(bench, channel);
    return at.ok ? ok(controlWords(at.value.solved, at.value.instance)) : at;
  }),
  /** Two settings of drive and level that play equally loud, one with `factor` times the other's H2. */
  voicingPair: ask(
    "settled",
    (bench, { channel, inputVolts, factor }: At & { readonly inputVolts: number; readonly factor: number }) => {
      const at = channelAt(bench, channel);
      if (!at.ok) return at;
      const pair = equalLoudness(at.value.solved, { instance: at.value.instance, inputVolts, factor });
      return pair.ok ? ok(pair.value) : fail(pairWords(pair.failure));
    },
  ),
  /** Intermodulation of 60 Hz with 7 kHz, 4 to 1, and of 19 with 20 kHz; both peak as high as the one tone does. */
  voicingTones: ask("settled", (bench, { channel, inputVolts }: At & { readonly inputVolts: number }) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const now = tonesOf(at.value.solved, at.value.instance, inputVolts);
    const was = bench.ofProven(`tones ${at.value.instance} ${inputVolts}`, () => {
      const proven = bench.proven();
      return proven.ok ? tonesOf(proven.value, at.value.instance, inputVolts) : null;
    });
    return now.ok ? ok({ now: now.value, was: was?.ok === true ? was.value : null }) : now;
  }),
  /** What the builder measured on the proven unit, and what it makes of the prediction. */
  voicingCalibrated: ask("settled", (bench, { channel }: At) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const { solved, instance } = at.value;
    const was = bench.proven();
    if (!was.ok) return was;
    const levels = curveLevels(solved.document.targets.largestInputVolts);
    const [proven, now] = [predictionOf(was.value, instance, levels), predictionOf(solved, instance, levels)];
    if (proven === undefined || now === undefined) return fail("No gain stage of this channel has a law to calibrate.");
    const measured = readingsOf(bench);
    const same = bottlesAlike(bench, solved, instance);
    const answer: Result<Calibration, { readonly kind: string }> = calibrate({
      proven,
      now,
      sameBottle: same,
      measured: measured.map(({ inputVolts, ratio }) => ({ inputVolts, ratio, meterDecibels: METER_DECIBELS })),
    });
    if (!answer.ok) return fail("A reading lies outside the levels that are predicted: 0.05 V to the end of the plot.");
    return ok({ ...answer.value, measured });
  }),
  /** What to measure on the proven unit first: each reading by how much it would narrow the band. */
  voicingRank: ask("settled", (bench, { channel, inputVolts }: At & { readonly inputVolts: number }) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const was = bench.proven();
    if (!was.ok) return was;
    return rankMeasurements({
      proven: was.value,
      now: at.value.solved,
      instance: at.value.instance,
      inputVolts,
      sameBottle: bottlesAlike(bench, at.value.solved, at.value.instance),
    });
  }),
  /** How far the goal levels are from proven: for the head of the sheet. */
  voicingHeld: ask("live", (bench, { channel }: At) => {
    const at = channelAt(bench, channel);
    const was = bench.proven();
    if (!at.ok) return at;
    if (!was.ok) return was;
    const here = at.value.solved.channels.find((one) => one.instance === at.value.instance);
    const there = was.value.channels.find((one) => one.instance === at.value.instance);
    return ok(
      (here?.levels ?? []).map(({ inputVolts }) => ({
        inputVolts,
        now: here === undefined ? null : (signedRatio(here, inputVolts, 2) ?? null),
        proven: there === undefined ? null : (signedRatio(there, inputVolts, 2) ?? null),
      })),
    );
  }),
};

/** The same type in every bottle of the channel's tubes: the very bottles may have stayed. */
function bottlesAlike(bench: Bench, solved: SolvedDesign, instance: string): boolean {
  return solved.expanded.triodes
    .filter((one) => one.instance === instance)
    .every(({ envelope, type }) => bench.provenDocument.envelopes.find((one) => one.id === envelope)?.type === type);
}

function tonesOf(solved: SolvedDesign, instance: string, inputVolts: number) {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`There is no channel ${instance}.`);
  const peak = inputVolts * Math.SQRT2;
  const solve = (low: number, lowShare: number, high: number, highShare: number) =>
    solveTwoTone(solved.circuit, solved.bias, {
      source: sourceId(instance),
      output: channel.outputNet,
      first: { hertz: hertz(low), voltsPeak: volts(peak * lowShare) },
      second: { hertz: hertz(high), voltsPeak: volts(peak * highShare) },
      order: 8,
    });
  const modulation = solve(60, 0.8, 7000, 0.2);
  const difference = solve(19_000, 0.5, 20_000, 0.5);
  if (!modulation.ok) return fail(sentence(modulation.failure));
  if (!difference.ok) return fail(sentence(difference.failure));
  const [first, second] = [modulationFigure(modulation.value), differenceFigure(difference.value)];
  return ok({
    modulation:
      first === undefined ? null : { ratio: first.ratio, byOrder: first.byOrder.slice(0, 3).map((one) => one.ratio) },
    difference:
      second === undefined
        ? null
        : { ratio: second.ratio, second: second.second.ratio, odd: second.odd.slice(0, 2).map((one) => one.ratio) },
    settled: modulation.value.outcome === "settled" && difference.value.outcome === "settled",
    tailDecibels: Math.max(modulation.value.tailDecibels, difference.value.tailDecibels),
  });
}

type PairFailure = Extract<ReturnType<typeof equalLoudness>, { readonly ok: false }>["failure"];

function pairWords(failure: PairFailure): string {
  switch (failure.kind) {
    case "no-channel":
      return `There is no channel ${failure.instance}.`;
    case "bad-ask":
      return failure.field === "factor"
        ? "The pair differs by a factor above 1: 2 doubles H2."
        : "The input is a level above 0 V.";
    case "no-control":
      return `This channel has no ${failure.missing} control, so loudness and colour cannot be set apart.`;
    case "at-end":
      return `The ${failure.control} control (${failure.part}) would have to go beyond its ${failure.end === "up" ? "upper" : "lower"} end; try a smaller factor.`;
    case "harmonic-does-not-follow":
      return `Within reach of the drive H2 moves by no more than ${failure.reached.toFixed(1)} times.`;
    case "not-solved":
      return failure.sentence;
  }
}
