/**
 * Noise at one output of a biased circuit: spectral density, share by part, flat and A-weighted level, referred to input.
 *
 * Law     S_out(f) = sum over sources of |z(f)|^2 S_i(f), z the transfer impedance of a current between the source's
 *         nets (adjoint.ts), S_i its power density (noise-sources.ts). Level: the root of the integral over the band.
 * Method  One factoring and one transposed solve per frequency, all sources from it; the integral by noise-integral.ts
 *         over ln f, with its error. Referred to the input: divided by the gain at 1 kHz.
 * Limits  Small signals about the bias; sources as listed in noise-sources.ts. Hum is not noise: see solveAdjoint.
 * Failures "unknown-name", "bad-value", "singular". Outcome "tolerance-not-reached": the error is what is stated.
 * Sources docs/noise.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import { dbv } from "../units/levels.ts";
import { type Decibels, decibels, type Hertz, hertz, type Volts, volts } from "../units/quantities.ts";
import { adjointAt, type OpenAdjoint, openAdjoint, sourceTransferAt } from "./adjoint.ts";
import type { Bias, CompileFailure, Effort, SolveFailure } from "./answers.ts";
import { integrateBand } from "./noise-integral.ts";
import {
  type NoiseCause,
  type NoiseSource,
  noiseSources,
  type TubeNoise,
  type TubeNoiseUsed,
} from "./noise-sources.ts";
import { aWeightingPower } from "./weighting.ts";

const REFERENCE = 1000;

export interface NoiseAsk {
  /** The ac source whose e.m.f. is the input. */
  readonly source: string;
  readonly output: Net;
  readonly against?: Net;
  /** Where the density is wanted. */
  readonly hertz: { readonly from: Hertz; readonly to: Hertz; readonly perDecade: number };
  /** Of every resistance; 300 K when not given. */
  readonly kelvin?: number;
  /** Of the levels; 20 Hz to 20 kHz when not given. */
  readonly band?: { readonly from: Hertz; readonly to: Hertz };
  /** By triode id, where the defaults are not meant. */
  readonly tubes?: ReadonlyMap<string, TubeNoise>;
  /** Current sinks by id: A/sqrt(Hz). */
  readonly sinks?: ReadonlyMap<string, number>;
  /** Parts whose own noise is left out. */
  readonly quiet?: ReadonlySet<string>;
}

/** A level over the band. */
export interface NoiseLevel {
  readonly voltsRms: Volts;
  /** -Infinity when nothing makes noise. */
  readonly dbv: Decibels;
}

export interface NoiseTotal {
  readonly output: NoiseLevel;
  /** Over the gain at 1 kHz; undefined when nothing of the source reaches the output. */
  readonly input: NoiseLevel | undefined;
  /** Estimated error of the integration, relative, of the volts. */
  readonly errorFraction: number;
}

export interface NoiseShare {
  readonly part: string;
  readonly cause: NoiseCause;
  /** At the output, V/sqrt(Hz), at each frequency of the answer. */
  readonly density: Float64Array;
  readonly flatVoltsRms: Volts;
  readonly weightedVoltsRms: Volts;
  /** Of the power at the output: 0 to 1, all shares together 1. */
  readonly flatFraction: number;
  readonly weightedFraction: number;
}

export interface Noise {
  readonly outcome: "settled" | "tolerance-not-reached";
  readonly hertz: readonly Hertz[];
  /** V/sqrt(Hz) at the output. */
  readonly density: Float64Array;
  /** Size of the transfer from the source's e.m.f. to the output at each frequency. */
  readonly gain: Float64Array;
  readonly gainAtKilohertz: number;
  readonly kelvin: number;
  readonly band: { readonly from: Hertz; readonly to: Hertz };
  readonly flat: NoiseTotal;
  readonly weighted: NoiseTotal;
  /** The loudest first (flat). */
  readonly shares: readonly NoiseShare[];
  readonly tubes: readonly TubeNoiseUsed[];
  /** steps: panels of the integration; factorings: frequencies solved; residual: error of the flat level, V. */
  readonly effort: Effort;
}

export type NoiseFailure = SolveFailure | Extract<CompileFailure, { readonly kind: "bad-value" }>;

/** Of the power, flat and weighted: under 5e-6 dB. */
const TOLERANCE = 1e-6;
const PANELS = 200;

/** Noise of a biased circuit at one output; law, limits, failures and units at the head of this file. */
export function solveNoise(circuit: CompiledCircuit, bias: Bias, ask: NoiseAsk): Result<Noise, NoiseFailure> {
  const kelvin = ask.kelvin ?? 300;
  const band = ask.band ?? { from: hertz(20), to: hertz(20e3) };
  const complaint = complaintAbout(circuit, ask, kelvin, band);
  if (complaint !== undefined) return fail(complaint);
  const source = circuit.sources.findIndex((s) => s.id === ask.source && s.kind === "ac");
  if (source < 0) return fail({ kind: "unknown-name", name: ask.source });
  const opened = openAdjoint(circuit, bias, ask);
  if (!opened.ok) return opened;
  const open = opened.value;
  const { sources, tubes } = noiseSources(circuit, bias, {
    kelvin,
    tubes: ask.tubes ?? new Map(),
    sinks: ask.sinks ?? new Map(),
    quiet: ask.quiet ?? new Set(),
  });
  const groups = groupByShare(sources);
  const singular = fail({ kind: "singular", net: ask.output } as const);

  const frequencies = logarithmic(ask.hertz.from, ask.hertz.to, ask.hertz.perDecade);
  const density = new Float64Array(frequencies.length);
  const gain = new Float64Array(frequencies.length);
  const byShare = groups.map(() => new Float64Array(frequencies.length));
  const powers = new Float64Array(groups.length);
  for (const [k, f] of frequencies.entries()) {
    if (!powersAt(open, groups, f, powers)) return singular;
    let sum = 0;
    for (const [g, power] of powers.entries()) {
      (byShare[g] as Float64Array)[k] = Math.sqrt(power);
      sum += power;
    }
    density[k] = Math.sqrt(sum);
    const transfer = sourceTransferAt(open, source, 2 * Math.PI * f);
    gain[k] = Math.hypot(transfer.re, transfer.im);
  }
  if (!adjointAt(open, 2 * Math.PI * REFERENCE)) return singular;
  const reference = sourceTransferAt(open, source, 2 * Math.PI * REFERENCE);
  const gainAtKilohertz = Math.hypot(reference.re, reference.im);

  // Densities: flat total, weighted total, then flat and weighted of each share.
  const G = groups.length;
  const integral = integrateBand(
    { from: band.from, to: band.to, densities: 2 + 2 * G, watched: 2, tolerance: TOLERANCE, panels: PANELS },
    (f, out) => {
      if (!powersAt(open, groups, f, powers)) return false;
      const weight = aWeightingPower(hertz(f));
      let sum = 0;
      for (let g = 0; g < G; g++) {
        const power = powers[g] as number;
        out[2 + g] = power;
        out[2 + G + g] = power * weight;
        sum += power;
      }
      out[0] = sum;
      out[1] = sum * weight;
      return true;
    },
  );
  if (integral === undefined) return singular;
  const { sums, errors } = integral;
  const flat = totalOf(sums[0] as number, errors[0] as number, gainAtKilohertz);
  const weighted = totalOf(sums[1] as number, errors[1] as number, gainAtKilohertz);
  const shares = groups.map(({ part, cause }, g): NoiseShare => {
    const flatPower = sums[2 + g] as number;
    const weightedPower = sums[2 + G + g] as number;
    return {
      part,
      cause,
      density: byShare[g] as Float64Array,
      flatVoltsRms: volts(Math.sqrt(flatPower)),
      weightedVoltsRms: volts(Math.sqrt(weightedPower)),
      flatFraction: share(flatPower, sums[0] as number),
      weightedFraction: share(weightedPower, sums[1] as number),
    };
  });
  return ok({
    outcome: integral.withinTolerance ? "settled" : "tolerance-not-reached",
    hertz: frequencies,
    density,
    gain,
    gainAtKilohertz,
    kelvin,
    band,
    flat,
    weighted,
    shares: shares.toSorted((p, q) => q.flatFraction - p.flatFraction),
    tubes,
    effort: {
      steps: integral.panels,
      factorings: frequencies.length + 1 + integral.evaluations,
      lawCalls: 0,
      residual: flat.errorFraction * flat.output.voltsRms,
    },
  });
}

interface Group {
  readonly part: string;
  readonly cause: NoiseCause;
  readonly sources: NoiseSource[];
}

/** The two parts of a potentiometer are one share. */
function groupByShare(sources: readonly NoiseSource[]): readonly Group[] {
  const groups = new Map<string, Group>();
  for (const source of sources) {
    const key = JSON.stringify([source.part, source.cause]);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { part: source.part, cause: source.cause, sources: [source] });
    else group.sources.push(source);
  }
  return [...groups.values()];
}

/** V^2/Hz at the output by share. */
function powersAt(open: OpenAdjoint, groups: readonly Group[], f: number, out: Float64Array): boolean {
  if (!adjointAt(open, 2 * Math.PI * f)) return false;
  const { node } = open.network.circuit.map;
  const at = (w: Float64Array, net: number) => {
    const unknown = node[net] as number;
    return unknown < 0 ? 0 : (w[unknown] as number);
  };
  for (const [g, group] of groups.entries()) {
    let power = 0;
    for (const { a, b, density } of group.sources) {
      const re = at(open.re, a) - at(open.re, b);
      const im = at(open.im, a) - at(open.im, b);
      power += (re * re + im * im) * density(f);
    }
    out[g] = power;
  }
  return true;
}

function totalOf(power: number, error: number, gain: number): NoiseTotal {
  const level = (rms: number): NoiseLevel => ({ voltsRms: volts(rms), dbv: decibels(dbv(rms)) });
  const rms = Math.sqrt(power);
  return {
    output: level(rms),
    input: gain > 0 ? level(rms / gain) : undefined,
    errorFraction: power > 0 ? error / power / 2 : 0,
  };
}

const share = (power: number, of: number) => (of > 0 ? power / of : 0);

/** Both ends and `perDecade` points per decade between, evenly in ln f. */
function logarithmic(from: number, to: number, perDecade: number): readonly Hertz[] {
  const steps = Math.max(1, Math.round(Math.log10(to / from) * perDecade));
  return Array.from({ length: steps + 1 }, (_, i) => hertz(i === steps ? to : from * (to / from) ** (i / steps)));
}

function complaintAbout(
  circuit: CompiledCircuit,
  ask: NoiseAsk,
  kelvin: number,
  band: { readonly from: Hertz; readonly to: Hertz },
): NoiseFailure | undefined {
  const bad = (part: string, field: string, given: number, need: string): NoiseFailure => ({
    kind: "bad-value",
    part,
    field,
    given,
    need,
  });
  const positive = (x: number) => x > 0 && x < Infinity;
  const notNegative = (x: number) => x >= 0 && x < Infinity;
  if (!positive(kelvin)) return bad("noise", "kelvin", kelvin, "finite and above 0");
  for (const [name, span] of [
    ["hertz", ask.hertz],
    ["band", band],
  ] as const) {
    if (!positive(span.from)) return bad("noise", `${name}.from`, span.from, "finite and above 0");
    if (!(positive(span.to) && span.to > span.from))
      return bad("noise", `${name}.to`, span.to, "finite and above from");
  }
  const { perDecade } = ask.hertz;
  if (!(perDecade > 0 && perDecade <= 1000))
    return bad("noise", "hertz.perDecade", perDecade, "above 0 and at most 1000");
  for (const [id, tube] of ask.tubes ?? []) {
    if (!circuit.devices.some((device) => device.kind === "triode" && device.id === id))
      return { kind: "unknown-name", name: id };
    for (const field of ["equivalentResistanceFactor", "flickerCornerHertz"] as const) {
      const given = tube[field];
      if (given !== undefined && !notNegative(given)) return bad(id, field, given, "finite and not below 0");
    }
  }
  for (const [id, density] of ask.sinks ?? []) {
    if (!circuit.parts.some((part) => part.kind === "current-sink" && part.id === id))
      return { kind: "unknown-name", name: id };
    if (!notNegative(density)) return bad(id, "ampsPerRootHertz", density, "finite and not below 0");
  }
  for (const id of ask.quiet ?? [])
    if (!circuit.parts.some((part) => part.id === id)) return { kind: "unknown-name", name: id };
  return undefined;
}
