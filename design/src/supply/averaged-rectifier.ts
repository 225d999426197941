/**
 * The rectifier as a slow source: the mean current of a cycle into a first capacitor that stands at v.
 *
 * Law     I(v, m) = mean over a pulse period of i(e(t) - v), the tube's current at a given drop times its emission m; v is
 *         held over the cycle.
 * Method  A table of I and dI/dv over v for some m, cubic Hermite in v, linear in m. Trapezoid over the pulse: the
 *         integrand and its ends are smooth and zero outside.
 *         A choke input: its own steady volts against load, read backwards; the choke's time (L over all resistance, some
 *         tens of milliseconds) is nothing beside a warm-up.
 * Limits  The ripple's own effect on the mean is left out: under 1 % where the ripple is under 5 % of the volts.
 */
import { type OnePort, type RectifierLaw, type RectifierProblem, seriesCurrent } from "@platewright/engine";
import { solveSource, type SourceProblem } from "./source.ts";

/** Loads at which a choke input is solved for its table. */
const CHOKE_LOADS = 28;
const COLUMNS = 96;
const PANELS = 96;
const EMISSIONS = [0, 0.003, 0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1] as const;

/** Tube drops at a share of the emission; junctions have none to lose. */
function weakened(law: RectifierLaw, emission: number): RectifierLaw {
  switch (law.form) {
    case "power":
      return { ...law, K: law.K * emission };
    case "series":
      return { ...law, laws: law.laws.map((one) => weakened(one, emission)) };
    default:
      return law;
  }
}

/**
 * A one-port from the first capacitor to ground that pushes the mean current into it. `mains` scales the winding's volts
 * (0: switched off), `emission` the tube's current.
 */
export function averagedRectifier(
  problem: SourceProblem,
  nets: { readonly plus: string; readonly minus: string },
  emission: (seconds: number) => number,
): OnePort {
  if (problem.choke !== undefined) return averagedChoke(problem, nets, emission);
  const peak = problem.rmsVolts * Math.SQRT2;
  const step = (1.02 * peak) / (COLUMNS - 1);
  const tables = EMISSIONS.map((m) => tabulate(problem, m, step));
  const read = (m: number, v: number, out: Float64Array): void => {
    const table = tables[m] as Table;
    const x = Math.min(COLUMNS - 1 - 1e-9, Math.max(0, v / step));
    const n = Math.floor(x);
    const s = x - n;
    const [i0, i1] = [table.amps[n] as number, table.amps[n + 1] as number];
    const [d0, d1] = [(table.slopes[n] as number) * step, (table.slopes[n + 1] as number) * step];
    out[0] = i0 * (1 + 2 * s) * (1 - s) ** 2 + d0 * s * (1 - s) ** 2 + i1 * s * s * (3 - 2 * s) - d1 * s * s * (1 - s);
    out[1] = (6 * s * (s - 1) * (i0 - i1) + d0 * (1 - s) * (1 - 3 * s) + d1 * s * (3 * s - 2)) / step;
    // Below zero volts the current goes on along its slope.
    if (v < 0) out[0] += v * (out[1] as number);
  };
  const lower = new Float64Array(2);
  const upper = new Float64Array(2);
  return {
    id: "rectifier",
    ...nets,
    current: (seconds, volts, out) => {
      const m = Math.min(1, Math.max(0, emission(seconds)));
      let above = EMISSIONS.findIndex((one) => one >= m);
      if (above <= 0) above = 1;
      const [from, to] = [EMISSIONS[above - 1] as number, EMISSIONS[above] as number];
      const x = (m - from) / (to - from);
      read(above - 1, volts, lower);
      read(above, volts, upper);
      out[0] = -((1 - x) * (lower[0] as number) + x * (upper[0] as number));
      out[1] = -((1 - x) * (lower[1] as number) + x * (upper[1] as number));
    },
  };
}

/** Mean current of a choke input at v, from its steady volts at some loads; straight lines between them. */
function averagedChoke(
  problem: SourceProblem,
  nets: { readonly plus: string; readonly minus: string },
  emission: (seconds: number) => number,
): OnePort {
  const crest = problem.rmsVolts * Math.SQRT2;
  // Into a short: 0.9 times the volts over all resistance.
  const most = (0.9 * problem.rmsVolts) / (problem.seriesOhms + (problem.choke?.ohms ?? 0));
  const points: { volts: number; amps: number }[] = [{ volts: crest, amps: 0 }];
  for (let n = 0; n < CHOKE_LOADS; n++) {
    const amps = most * 10 ** ((-3.5 * (CHOKE_LOADS - 1 - n)) / (CHOKE_LOADS - 1)) * 0.9;
    const answer = solveSource({ ...problem, firstFarads: Math.max(problem.firstFarads, 10e-6) }, amps);
    const last = points[points.length - 1] as { volts: number };
    if (answer.ok && answer.value.rectifier.dcVolts < last.volts)
      points.push({ volts: answer.value.rectifier.dcVolts, amps });
  }
  points.push({ volts: Math.min(0, (points[points.length - 1]?.volts ?? 0) - 1), amps: most });
  return {
    id: "rectifier",
    ...nets,
    current: (seconds, volts, out) => {
      const m = Math.min(1, Math.max(0, emission(seconds)));
      const below = points.findIndex((point) => point.volts <= volts);
      const n = below < 0 ? points.length - 1 : Math.max(1, below);
      const [upper, lower] = [points[n - 1], points[n]] as [
        { volts: number; amps: number },
        { volts: number; amps: number },
      ];
      const slope = volts > crest ? 0 : (lower.amps - upper.amps) / (lower.volts - upper.volts);
      const amps = volts > crest ? 0 : upper.amps + slope * (volts - upper.volts);
      out[0] = -m * amps;
      out[1] = -m * slope;
    },
  };
}

interface Table {
  readonly amps: Float64Array;
  readonly slopes: Float64Array;
}

function tabulate(problem: Omit<RectifierProblem, "load">, emission: number, step: number): Table {
  const amps = new Float64Array(COLUMNS);
  const slopes = new Float64Array(COLUMNS);
  if (emission === 0) return { amps, slopes };
  const peak = problem.rmsVolts * Math.SQRT2;
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  const current = seriesCurrent(weakened(problem.law, emission), problem.seriesOhms);
  const out = new Float64Array(2);
  for (let n = 0; n < COLUMNS; n++) {
    const v = n * step;
    if (v >= peak) continue;
    // Over the half-angle in which the winding is above v; s^2 (3 - 2 s) keeps the ends smooth.
    const on = Math.asin(v / peak);
    const width = Math.PI - 2 * on;
    let mean = 0;
    let slope = 0;
    for (let p = 1; p < PANELS; p++) {
      const s = p / PANELS;
      const angle = on + width * s * s * (3 - 2 * s);
      current(peak * Math.sin(angle) - v, out);
      const weight = (6 * s * (1 - s) * width) / PANELS / (2 * Math.PI);
      mean += pulses * weight * (out[0] as number);
      slope -= pulses * weight * (out[1] as number);
    }
    amps[n] = mean;
    slopes[n] = slope;
  }
  return { amps, slopes };
}
