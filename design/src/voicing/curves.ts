/**
 * One section in its circuit, drawn on its plate curves: operating point, load lines, swing, transfer.
 *
 * Law     With every other device as its slopes at bias, the section sees a network: plate-cathode volts fall by Z for
 *         each ampere it takes. At dc, Z is the slope of the dc load line (plate load, cathode resistor, droppers and
 *         source together); at 1 kHz, of the ac one. Both pass through the operating point.
 * Method  Port models of the engine; the swing is the settled harmonic answer itself, all devices nonlinear, its
 *         plate currents put through the network to give plate-cathode volts.
 */
import {
  fail,
  type HarmonicAnswer,
  hertz,
  magnitude,
  ok,
  type PortModel,
  portModel,
  type Result,
  sentence,
  solveResponse,
  type TriodeLaw,
} from "@platewright/engine";
import { REFERENCE_HERTZ } from "../solved/channel.ts";
import { sourceId } from "../solved/circuit.ts";
import { stagesOf } from "../solved/roles.ts";
import type { LevelPoint, SolvedDesign } from "../solved/types.ts";
import { currentOf, gridVoltsAt, type PlaneLine } from "./plate-curves.ts";

export interface OperatingPoint {
  readonly plateVolts: number;
  readonly plateAmps: number;
  readonly gridVolts: number;
  readonly watts: number;
}

export interface LoadLine {
  /** Slope: plate-cathode volts lost per ampere; at 1 kHz the real part. */
  readonly ohms: number;
  /** 0 at dc. */
  readonly reactanceOhms: number;
  /** Plate-cathode volts with no current, and current with no volts, on the straight line. */
  readonly openVolts: number;
  readonly shortAmps: number;
}

export interface Swing extends PlaneLine {
  readonly inputVolts: number;
  /** Grid-cathode volts at the same instants; one period, the first repeated last. */
  readonly gridVolts: readonly number[];
  readonly lowPlateVolts: number;
  readonly highPlateVolts: number;
}

export interface StageCurves {
  readonly triode: string;
  readonly type: string;
  readonly law: TriodeLaw;
  readonly at: OperatingPoint;
  readonly dc: LoadLine;
  readonly ac: LoadLine;
  readonly swing?: Swing;
}

/** Instants of a period at which a swing is given. */
const INSTANTS = 120;

/** The section's picture in a solved design; `level` is a solved level of its channel whose swing is wanted. */
export function stageCurves(solved: SolvedDesign, triodeId: string, level?: LevelPoint): Result<StageCurves, string> {
  const { circuit, bias } = solved;
  const triode = solved.expanded.triodes.find((one) => one.id === triodeId);
  const record = solved.laws.get(triodeId);
  const rest = bias.triodes.get(triodeId);
  if (triode === undefined || record === undefined || rest === undefined)
    return fail(`${triodeId} is no section of this design that has a law.`);
  const source = sourceId(triode.instance);
  const seen = portModel(circuit, {
    source,
    hertz: REFERENCE_HERTZ,
    harmonics: 1,
    observers: [],
    linear: circuit.devices.map((device) => device.id).filter((id) => id !== triodeId),
    bias,
  });
  if (!seen.ok) return fail(sentence(seen.failure));
  const { plateVolts, plateAmps, gridVolts, plateWatts } = rest;
  const line = (k: 0 | 1): LoadLine => {
    // Control 1 is plate-cathode, current 0 the plate's.
    const at = (k * seen.value.controls + 1) * seen.value.currents;
    const load = seen.value.impedanceReal[at] as number;
    return {
      ohms: load,
      reactanceOhms: k === 0 ? 0 : (seen.value.impedanceImaginary[at] as number),
      openVolts: plateVolts + load * plateAmps,
      shortAmps: plateAmps + plateVolts / load,
    };
  };
  const swing = level === undefined ? ok(undefined) : swingOf(solved, triode.instance, triodeId, level);
  if (!swing.ok) return swing;
  return ok({
    triode: triodeId,
    type: triode.type,
    law: record.law,
    at: { plateVolts, plateAmps, gridVolts, watts: plateWatts },
    dc: line(0),
    ac: line(1),
    ...(swing.value === undefined ? {} : { swing: swing.value }),
  });
}

/** The two ends of a load line inside a picture. */
export function loadLineEnds(line: LoadLine, upToPlateVolts: number, upToPlateAmps: number): PlaneLine {
  const amps = (v: number) => (line.openVolts - v) / line.ohms;
  const from = Math.max(0, line.openVolts - line.ohms * upToPlateAmps);
  const to = Math.min(upToPlateVolts, line.openVolts);
  return { plateVolts: [from, to], plateAmps: [amps(from), amps(to)] };
}

function swingOf(
  solved: SolvedDesign,
  instance: string,
  triodeId: string,
  { answer, inputVolts }: LevelPoint,
): Result<Swing, string> {
  const { circuit, bias } = solved;
  const linear = solved.expanded.triodes.filter((one) => one.instance !== instance).map((one) => one.id);
  const model = portModel(circuit, {
    source: sourceId(instance),
    hertz: hertz(REFERENCE_HERTZ),
    harmonics: answer.harmonics,
    observers: [],
    linear,
    bias,
  });
  if (!model.ok) return fail(sentence(model.failure));
  const row = rowOf(model.value, triodeId);
  if (row === undefined || answer.samples.length !== model.value.currents)
    return fail(`${triodeId} is not among the sections of the level at ${inputVolts} V.`);
  const currents = answer.samples.map((samples) => harmonicsOf(samples, answer.harmonics));
  const plate = currents[row.current] as Harmonics;
  const plateAmps = period(plate);
  const gridVolts = period(controlOf(model.value, row.control, currents, answer));
  const plateVolts = period(controlOf(model.value, row.control + 1, currents, answer));
  return ok({
    inputVolts,
    plateVolts,
    plateAmps,
    gridVolts,
    lowPlateVolts: Math.min(...plateVolts),
    highPlateVolts: Math.max(...plateVolts),
  });
}

/** First control and first current of a triode among the nonlinear devices. */
function rowOf(model: PortModel, id: string): { readonly control: number; readonly current: number } | undefined {
  let at = 0;
  for (const device of model.devices) {
    if (device.id === id) return device.kind === "triode" ? { control: at, current: at } : undefined;
    at += device.kind === "triode" ? 2 : 1;
  }
  return undefined;
}

interface Harmonics {
  readonly real: Float64Array;
  readonly imaginary: Float64Array;
}

/** x(n) = Re sum X_k e^(j 2 pi k n / N): as the engine's transform has it. */
function harmonicsOf(samples: Float64Array, K: number): Harmonics {
  const N = samples.length;
  const real = new Float64Array(K + 1);
  const imaginary = new Float64Array(K + 1);
  for (let k = 0; k <= K && 2 * k < N; k++) {
    let [re, im] = [0, 0];
    for (let n = 0; n < N; n++) {
      const angle = (2 * Math.PI * ((k * n) % N)) / N;
      re += (samples[n] as number) * Math.cos(angle);
      im -= (samples[n] as number) * Math.sin(angle);
    }
    real[k] = (k === 0 ? re : 2 * re) / N;
    imaginary[k] = k === 0 ? 0 : (2 * im) / N;
  }
  return { real, imaginary };
}

/** Harmonics of control volts: what the source gives less what the currents take through the network. */
function controlOf(
  model: PortModel,
  control: number,
  currents: readonly Harmonics[],
  answer: HarmonicAnswer,
): Harmonics {
  const { controls: C, currents: Q, harmonics: K } = model;
  const real = new Float64Array(K + 1);
  const imaginary = new Float64Array(K + 1);
  real[0] = model.dcControl[control] as number;
  real[1] = answer.sourceVoltsPeak * (model.sourceReal[C + control] as number);
  imaginary[1] = answer.sourceVoltsPeak * (model.sourceImaginary[C + control] as number);
  for (let k = 0; k <= K; k++)
    for (const [q, current] of currents.entries()) {
      const at = (k * C + control) * Q + q;
      const [zr, zi] = [model.impedanceReal[at] as number, model.impedanceImaginary[at] as number];
      const [ir, ii] = [current.real[k] as number, current.imaginary[k] as number];
      real[k] = (real[k] as number) - zr * ir + zi * ii;
      imaginary[k] = (imaginary[k] as number) - zr * ii - zi * ir;
    }
  return { real, imaginary };
}

function period({ real, imaginary }: Harmonics): readonly number[] {
  return Array.from({ length: INSTANTS + 1 }, (_, n) => {
    let sum = real[0] as number;
    for (let k = 1; k < real.length; k++) {
      const angle = (2 * Math.PI * k * (n % INSTANTS)) / INSTANTS;
      sum += (real[k] as number) * Math.cos(angle) - (imaginary[k] as number) * Math.sin(angle);
    }
    return sum;
  });
}

/** Gain at 1 kHz from the channel's input jack to the section's plate; of a follower, to its cathode. */
export function sectionGain(solved: SolvedDesign, triodeId: string): Result<number, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === triodeId);
  const channel = solved.expanded.channels.find((one) => one.instance === stage?.triode.instance);
  if (stage === undefined || channel === undefined) return fail(`${triodeId} is in no channel of this design.`);
  const { triode, role } = stage;
  const voltsOn = (output: string) =>
    solveResponse(solved.circuit, solved.bias, {
      source: sourceId(channel.instance),
      output,
      hertz: [REFERENCE_HERTZ],
    });
  const [jack, out] = [voltsOn(channel.inputNet), voltsOn(role === "follower" ? triode.cathode : triode.plate)];
  if (!jack.ok) return fail(sentence(jack.failure));
  if (!out.ok) return fail(sentence(out.failure));
  const [given, taken] = [jack.value.transfer[0], out.value.transfer[0]];
  return given === undefined || taken === undefined
    ? fail(`${triodeId} has no gain at 1 kHz.`)
    : ok(magnitude(taken) / magnitude(given));
}

export interface TransferCurve {
  readonly gridVolts: readonly number[];
  /** At the plate volts of the operating point. */
  readonly staticAmps: readonly number[];
  /** Along the ac load line. */
  readonly loadedAmps: readonly number[];
}

/** Plate current against grid volts from cut-off to 0 V: with the plate held, and as the load lets it move. */
export function transferCurve(stage: StageCurves, points = 120): TransferCurve {
  const current = currentOf(stage.law);
  const { at, ac } = stage;
  const lowest = gridVoltsAt(stage.law, ac.openVolts, at.plateAmps / 100) ?? 4 * at.gridVolts;
  const gridVolts = Array.from({ length: points + 1 }, (_, n) => lowest * (1 - n / points));
  const loaded = (vg: number): number => {
    // Current rises with plate volts and the line falls: one crossing, by bisection on the current.
    let [low, high] = [0, ac.shortAmps];
    for (let n = 0; n < 60; n++) {
      const amps = (low + high) / 2;
      if (current(vg, Math.max(0, ac.openVolts - ac.ohms * amps)) > amps) low = amps;
      else high = amps;
    }
    return (low + high) / 2;
  };
  return {
    gridVolts,
    staticAmps: gridVolts.map((vg) => current(vg, at.plateVolts)),
    loadedAmps: gridVolts.map(loaded),
  };
}
