/** What a triode's law alone draws: plate curves, what may be burnt, where the grid conducts, slopes against current. */
import {
  type Confidence,
  compileTriode,
  ONSET_AMPS,
  type TriodeEvaluator,
  type TriodeLaw,
  type TubeRecord,
} from "@platewright/engine";

export interface PlateCurve {
  readonly gridVolts: number;
  readonly plateVolts: readonly number[];
  readonly plateAmps: readonly number[];
}

export interface PlateCurvesAsk {
  readonly law: TriodeLaw;
  readonly upToPlateVolts: number;
  readonly upToPlateAmps: number;
  /** Grid volts of the curves; a round step that gives seven to eighteen when left out. */
  readonly gridVolts?: readonly number[];
}

const POINTS = 160;
const CURVES = 18;
/** A curve that does not come to this share of the picture's height is left out. */
const SHOWN = 0.05;

/** The family of plate curves, from grid zero downward; each is cut where it leaves the picture. */
export function plateCurves(ask: PlateCurvesAsk): readonly PlateCurve[] {
  const current = currentOf(ask.law);
  const list = ask.gridVolts ?? gridSteps(current, ask.upToPlateVolts, ask.upToPlateAmps);
  return list.map((gridVolts) => {
    const top = Math.min(ask.upToPlateVolts, voltsAt(current, gridVolts, ask.upToPlateAmps, ask.upToPlateVolts));
    const plateVolts = Array.from({ length: POINTS + 1 }, (_, n) => (top * n) / POINTS);
    return { gridVolts, plateVolts, plateAmps: plateVolts.map((va) => current(gridVolts, va)) };
  });
}

type Current = (gridVolts: number, plateVolts: number) => number;

export function currentOf(law: TriodeLaw): Current {
  const evaluate = compileTriode(law);
  const out = new Float64Array(6);
  return (gridVolts, plateVolts) => {
    evaluate(gridVolts, plateVolts, out);
    return out[0] as number;
  };
}

/** Grid volts of the curves: 0 and steps of 0.1, 0.2, 0.5, 1, 2, 5 ... downward while a curve still rises into the picture. */
function gridSteps(current: Current, plateVolts: number, plateAmps: number): readonly number[] {
  const visible = (vg: number) => current(vg, plateVolts) > SHOWN * plateAmps;
  let last = -0.05;
  while (last > -1000 && visible(last)) last *= 1.05;
  const least = -last / CURVES;
  const decade = 10 ** Math.floor(Math.log10(least));
  const step = decade * ([1, 2, 5, 10].find((s) => s * decade >= least * (1 - 1e-9)) ?? 10);
  const steps: number[] = [];
  for (let n = 0; n < 40 && (n === 0 || visible(-n * step)); n++) steps.push(n === 0 ? 0 : -n * step);
  return steps;
}

/** Plate volts at which a curve comes to a current, by bisection; `upTo` when it does not. */
export function voltsAt(current: Current, gridVolts: number, amps: number, upTo: number): number {
  if (current(gridVolts, upTo) <= amps) return upTo;
  let [low, high] = [0, upTo];
  for (let n = 0; n < 60; n++) {
    const middle = (low + high) / 2;
    if (current(gridVolts, middle) < amps) low = middle;
    else high = middle;
  }
  return high;
}

/**
 * Grid volts at which the plate takes a current, between -1000 V and 0: Newton on the law's own slope, held by bisection;
 * undefined when 0 V is too little. `near` is a guess.
 */
export function gridVoltsAt(
  law: TriodeLaw | TriodeEvaluator,
  plateVolts: number,
  amps: number,
  near = -1,
): number | undefined {
  const evaluate = typeof law === "function" ? law : compileTriode(law);
  const out = new Float64Array(6);
  evaluate(0, plateVolts, out);
  if ((out[0] as number) < amps) return undefined;
  let [low, high] = [-1000, 0];
  let vg = Math.min(high, near);
  for (let n = 0; n < 100; n++) {
    evaluate(vg, plateVolts, out);
    const [is, slope] = [out[0] as number, out[1] as number];
    if (is < amps) low = vg;
    else high = vg;
    if (Math.abs(is - amps) <= 1e-11 * amps || high - low < 1e-12) return vg;
    // In the logarithm: far below cut-off the current falls exponentially, and a straight step would overshoot.
    const step = is > 0 && slope > 0 ? vg + (Math.log(amps / is) * is) / slope : Number.NaN;
    vg = step > low && step < high ? step : (low + high) / 2;
  }
  return vg;
}

export interface PlaneLine {
  readonly plateVolts: readonly number[];
  readonly plateAmps: readonly number[];
}

/** Plate volts and amperes whose product is the limit: P = V I, across the picture. */
export function dissipationLine(watts: number, upToPlateVolts: number, upToPlateAmps: number): PlaneLine {
  const from = Math.min(upToPlateVolts, watts / upToPlateAmps);
  const plateVolts = Array.from({ length: POINTS + 1 }, (_, n) => from * (upToPlateVolts / from) ** (n / POINTS));
  return { plateVolts, plateAmps: plateVolts.map((v) => watts / v) };
}

export interface GridRegion extends PlaneLine {
  /** Grid volts at which 0.3 uA begins to flow, at the plate volts asked for. */
  readonly gridVolts: number;
}

/** The curve above which the grid takes more than 0.3 uA; undefined for a law without grid current. */
export function gridCurrentRegion(
  law: TriodeLaw,
  atPlateVolts: number,
  upToPlateVolts: number,
  upToPlateAmps: number,
): GridRegion | undefined {
  if (law.grid.form === "none") return undefined;
  const evaluate = compileTriode(law);
  const out = new Float64Array(6);
  const gridAmps = (vg: number) => {
    evaluate(vg, atPlateVolts, out);
    return out[3] as number;
  };
  let [low, high] = [-20, 5];
  if (gridAmps(high) < ONSET_AMPS) return undefined;
  for (let n = 0; n < 60; n++) {
    const middle = (low + high) / 2;
    if (gridAmps(middle) < ONSET_AMPS) low = middle;
    else high = middle;
  }
  const gridVolts = (low + high) / 2;
  const [curve] = plateCurves({ law, upToPlateVolts, upToPlateAmps, gridVolts: [gridVolts] });
  return curve;
}

export interface SlopesAgainstCurrent {
  readonly plateVolts: number;
  readonly plateAmps: readonly number[];
  readonly mu: readonly number[];
  readonly siemens: readonly number[];
  readonly plateOhms: readonly number[];
}

/** mu, gm and rp at fixed plate volts against current (even steps up to `upToPlateAmps`, or to grid zero). */
export function slopesAgainstCurrent(
  law: TriodeLaw,
  plateVolts: number,
  upToPlateAmps: number,
  steps = 120,
): SlopesAgainstCurrent {
  const evaluate = compileTriode(law);
  const out = new Float64Array(6);
  let near: number | undefined;
  const rows: { amps: number; mu: number; siemens: number; plateOhms: number }[] = [];
  for (let n = 1; n <= steps; n++) {
    const amps = (upToPlateAmps * n) / steps;
    const vg = gridVoltsAt(evaluate, plateVolts, amps, near);
    if (vg === undefined) break;
    near = vg;
    evaluate(vg, plateVolts, out);
    const [, gm, ga] = out as unknown as readonly [number, number, number];
    rows.push({ amps, mu: gm / ga, siemens: gm, plateOhms: 1 / ga });
  }
  return {
    plateVolts,
    plateAmps: rows.map((row) => row.amps),
    mu: rows.map((row) => row.mu),
    siemens: rows.map((row) => row.siemens),
    plateOhms: rows.map((row) => row.plateOhms),
  };
}

export interface PublishedPoint {
  readonly plateVolts: number;
  readonly plateAmps: number;
  readonly gridVolts: number;
  readonly status: string;
  readonly confidence?: Confidence;
  readonly source: string;
  /** Page, chart, condition, remark. */
  readonly note?: string;
  /** "table": printed as a number; "curve": read off a printed curve, as finely as `readTo` says. */
  readonly reading: string;
  readonly readTo?: { readonly plateVolts?: number; readonly plateAmps?: number; readonly fraction?: number };
  /** What the law gives there, and how far above what is printed, as a share. */
  readonly lawAmps: number;
  readonly lawHigherBy: number;
}

/** The library's points that can stand over the curves: those with plate volts, grid volts and current. */
export function publishedPoints(record: TubeRecord, law: TriodeLaw, section: 1 | 2 = 1): readonly PublishedPoint[] {
  const current = currentOf(law);
  return record.points.flatMap((point): readonly PublishedPoint[] => {
    const { plateVolts, gridVolts, plateAmps, status, confidence, source, note, reading, tolerance } = point;
    if (plateVolts === undefined || gridVolts === undefined || plateAmps === undefined) return [];
    if ((point.section ?? section) !== section || reading === "cut-off" || reading === "maximum") return [];
    const lawAmps = current(gridVolts, plateVolts);
    return [
      {
        plateVolts,
        gridVolts,
        plateAmps,
        status,
        ...(confidence === undefined ? {} : { confidence }),
        source,
        ...(note === undefined ? {} : { note }),
        reading,
        ...(tolerance === undefined ? {} : { readTo: tolerance }),
        lawAmps,
        lawHigherBy: lawAmps / plateAmps - 1,
      },
    ];
  });
}
