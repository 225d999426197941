/**
 * Drops in series: a tube with silicon in its plate lead, two diodes of a bridge, a tube plate and a diode of a hybrid.
 *
 * Law     v(i) = sum (i/K)^(1/p) + sum nVt ln(1 + i/Is), and Rs i where a resistance belongs to the path.
 * Method  Alike elements are merged first (junctions of one Is add their nVt, power laws of one p their K^(-1/p)), so that
 *         most paths come back to a single form. What is left is solved in x = ln i: every term is rising and convex in x,
 *         so Newton from the smallest single-term bound only falls, onto the one root.
 * Limits  Reverse volts pass nothing through a vacuum diode; junctions alone pass the smallest of their Is backwards.
 */
import type { RectifierLaw } from "./law.ts";

type Power = Extract<RectifierLaw, { form: "power" }>;
type Junction = Extract<RectifierLaw, { form: "exponential" }>;

interface Terms {
  readonly powers: readonly Power[];
  readonly junctions: readonly Junction[];
}

/** A bridge's path: two diodes one after the other, the second like the first unless it is named. */
export const bridgePath = (one: RectifierLaw, other: RectifierLaw = one): RectifierLaw =>
  simplifyLaw({ form: "series", laws: [one, other] });

/** The elements of a law, outermost series opened: one for a simple law. */
export const lawElements = (law: RectifierLaw): readonly RectifierLaw[] =>
  law.form === "series" ? law.laws.flatMap(lawElements) : [law];

function termsOf(law: RectifierLaw): Terms {
  const powers: Power[] = [];
  const junctions: Junction[] = [];
  for (const one of lawElements(law)) {
    if (one.form === "power") {
      const at = powers.findIndex((other) => other.p === one.p);
      const alike = powers[at];
      if (alike === undefined) powers.push(one);
      else powers[at] = { ...one, K: (alike.K ** (-1 / one.p) + one.K ** (-1 / one.p)) ** -one.p };
    } else if (one.form === "exponential") {
      const at = junctions.findIndex((other) => other.Is === one.Is);
      const alike = junctions[at];
      if (alike === undefined) junctions.push(one);
      else junctions[at] = { ...one, nVt: alike.nVt + one.nVt };
    }
  }
  return { powers, junctions };
}

/** The same law with alike elements merged, ideal switches left out and a series of one opened. */
export function simplifyLaw(law: RectifierLaw): RectifierLaw {
  if (law.form !== "series") return law;
  const { powers, junctions } = termsOf(law);
  const laws: readonly RectifierLaw[] = [...powers, ...junctions];
  const [only] = laws;
  if (only === undefined) return { form: "ideal" };
  return laws.length === 1 ? only : { form: "series", laws };
}

/** Volts across a path that carries `current` amperes forwards; 0 at 0 A or less. */
export function dropVolts(law: RectifierLaw, current: number): number {
  if (!(current > 0)) return 0;
  switch (law.form) {
    case "ideal":
      return 0;
    case "power":
      return (current / law.K) ** (1 / law.p);
    case "exponential":
      return law.nVt * Math.log1p(current / law.Is);
    case "series":
      return law.laws.reduce((sum, one) => sum + dropVolts(one, current), 0);
  }
}

/** dv/di of a path at a forward current; Infinity for a plate at 0 A. */
export function dropOhms(law: RectifierLaw, current: number): number {
  switch (law.form) {
    case "ideal":
      return 0;
    case "power":
      return current > 0 ? (current / law.K) ** (1 / law.p) / (law.p * current) : Infinity;
    case "exponential":
      return law.nVt / (Math.max(0, current) + law.Is);
    case "series":
      return law.laws.reduce((sum, one) => sum + dropOhms(one, current), 0);
  }
}

/** Current through a path and `seriesOhms` at u volts, with slope [i, di/du]; zero for u <= 0. */
export type SeriesCurrent = (u: number, out: Float64Array) => void;

/** Each evaluator keeps its last root as the next one's guess; make one per solve. */
export function seriesCurrent(given: RectifierLaw, seriesOhms: number): SeriesCurrent {
  const law = simplifyLaw(given);
  switch (law.form) {
    case "ideal":
      return (u, out) => {
        out[0] = u > 0 ? u / seriesOhms : 0;
        out[1] = u > 0 ? 1 / seriesOhms : 0;
      };
    case "power":
      return powerCurrent(law, seriesOhms);
    case "exponential":
      return junctionCurrent(law, seriesOhms);
    case "series":
      return sumCurrent(termsOf(law), seriesOhms);
  }
}

/** vd + Rs K vd^p = u: rising and convex in vd, so one Newton step lands at or above the root, then it only falls. */
function powerCurrent({ K, p }: Power, seriesOhms: number): SeriesCurrent {
  let lastU = 0;
  let lastVd = 0;
  let lastRatio = 1;
  return (u, out) => {
    if (!(u > 0)) {
      out[0] = out[1] = 0;
      return;
    }
    // The last root followed along its tangent, or the smaller of two bounds.
    let vd = lastU > 0.5 * u && lastU < 2 * u ? lastVd + (u - lastU) * lastRatio : 0;
    if (!(vd > 0)) vd = Math.min(u, Math.exp(Math.log(u / Math.max(seriesOhms * K, 1e-300)) / p));
    let i = 0;
    let slope = 0;
    for (let n = 0; n < 40; n++) {
      i = K * Math.exp(p * Math.log(vd));
      slope = (p * i) / vd;
      const steep = 1 + seriesOhms * slope;
      let step = (vd + seriesOhms * i - u) / steep;
      // Near the root the curvature is known as well (Halley): a step of 1e-4 then leaves 1e-12.
      if (Math.abs(step) < 0.2 * vd) step /= 1 - (step * seriesOhms * slope * (p - 1)) / (2 * vd * steep);
      const share = step / vd;
      if (Math.abs(share) <= 1e-4) {
        vd -= step;
        // Current and slope follow the last step by their own series.
        i *= 1 - p * share * (1 - ((p - 1) / 2) * share);
        slope = (p * i) / vd;
        break;
      }
      vd = Math.max(vd - step, vd * 1e-3);
    }
    const ratio = 1 / (1 + seriesOhms * slope);
    lastU = u;
    lastVd = vd;
    lastRatio = ratio;
    out[0] = i;
    out[1] = slope * ratio;
  };
}

/** In y = ln(1 + i/Is): nVt y + Rs Is (e^y - 1) = u, again rising and convex. */
function junctionCurrent({ Is, nVt }: Junction, seriesOhms: number): SeriesCurrent {
  let lastU = 0;
  let lastY = 0;
  let lastRatio = 0;
  return (u, out) => {
    if (!(u > 0)) {
      out[0] = out[1] = 0;
      return;
    }
    const bound = Math.min(u / nVt, Math.log1p(u / Math.max(seriesOhms * Is, 1e-300)));
    let y = lastU > 0.5 * u && lastU < 2 * u ? Math.min(bound, lastY + (u - lastU) * lastRatio) : bound;
    if (!(y > 0)) y = bound;
    let grown = 0;
    for (let n = 0; n < 60; n++) {
      grown = Is * Math.exp(y);
      const steep = nVt + seriesOhms * grown;
      let step = (nVt * y + seriesOhms * (grown - Is) - u) / steep;
      if (Math.abs(step) < 0.2) step /= 1 - (step * seriesOhms * grown) / (2 * steep);
      y = Math.min(bound, y - step);
      if (Math.abs(step) <= 1e-4) {
        grown *= 1 - step * (1 - step / 2 + (step * step) / 6);
        break;
      }
    }
    const over = nVt + seriesOhms * grown;
    lastU = u;
    lastY = y;
    lastRatio = 1 / over;
    // Below a thousandth of Is the difference would lose digits.
    out[0] = y < 1e-3 ? Is * Math.expm1(y) : grown - Is;
    out[1] = grown / over;
  };
}

function sumCurrent({ powers, junctions }: Terms, seriesOhms: number): SeriesCurrent {
  const logK = powers.map(({ K }) => Math.log(K));
  const logIs = junctions.map(({ Is }) => Math.log(Is));
  let lastU = 0;
  let lastX = 0;
  let lastRatio = 0;
  return (u, out) => {
    if (!(u > 0)) {
      out[0] = out[1] = 0;
      return;
    }
    // Each term alone would take all of u: the smallest of these currents is above the root. So is the last root followed
    // along its tangent to more volts; to fewer it may lie below, and then the next step is above.
    let x = lastU > 0.5 * u && lastU < 2 * u ? lastX + (u - lastU) * lastRatio : Infinity;
    let bound = Infinity;
    const boundBy = (one: number) => {
      if (one < bound) bound = one;
    };
    if (!(Number.isFinite(x) && lastU > 0.8 * u)) {
      const logU = Math.log(u);
      if (seriesOhms > 0) boundBy(logU - Math.log(seriesOhms));
      for (let n = 0; n < powers.length; n++) boundBy((logK[n] as number) + (powers[n] as Power).p * logU);
      for (let n = 0; n < junctions.length; n++) {
        const z = u / (junctions[n] as Junction).nVt;
        boundBy((logIs[n] as number) + (z > 30 ? z : Math.log(Math.expm1(z))));
      }
      x = Math.min(x, bound);
    }
    let slope = 0;
    let i = 0;
    for (let n = 0; n < 80; n++) {
      i = Math.exp(x);
      let value = seriesOhms * i - u;
      slope = seriesOhms * i;
      let bend = slope;
      for (let m = 0; m < powers.length; m++) {
        const { p } = powers[m] as Power;
        const drop = Math.exp((x - (logK[m] as number)) / p);
        value += drop;
        slope += drop / p;
        bend += drop / (p * p);
      }
      for (let m = 0; m < junctions.length; m++) {
        const { Is, nVt } = junctions[m] as Junction;
        const share = i / (i + Is);
        value += nVt * Math.log1p(i / Is);
        slope += nVt * share;
        bend += nVt * share * (1 - share);
      }
      let step = value / slope;
      if (Math.abs(step) < 0.2) step /= 1 - (step * bend) / (2 * slope);
      x = Math.min(x - step, bound);
      if (Math.abs(step) <= 1e-4) {
        i *= 1 - step * (1 - step / 2 + (step * step) / 6);
        slope -= step * bend;
        break;
      }
    }
    lastU = u;
    lastX = x;
    lastRatio = 1 / slope;
    out[0] = i;
    // dv/di = (dv/dx)/i.
    out[1] = i / slope;
  };
}

/** Exponents above the smallest Is beyond which junctions alone go on along their tangent. */
const LARGEST_EXPONENT = 60;

/** i(v) and di/dv of elements in series without resistance, both directions. `law` is a series that stays one. */
export function seriesEvaluator(law: Extract<RectifierLaw, { form: "series" }>): SeriesCurrent {
  const { powers, junctions } = termsOf(law);
  if (powers.length > 0) return sumCurrent({ powers, junctions }, 0);
  // Junctions alone: i = e^x - floor, floor the smallest Is, so that reverse volts have their root as well.
  const floor = Math.min(...junctions.map((one) => one.Is));
  const count = junctions.length;
  const top = Math.log(floor) + LARGEST_EXPONENT;
  const at = (x: number): readonly [number, number] => {
    const grown = Math.exp(x);
    let value = 0;
    let slope = 0;
    for (const { Is, nVt } of junctions) {
      const over = (Is - floor + grown) / Is;
      value += nVt * Math.log(over);
      slope += (nVt * grown) / (Is * over);
    }
    return [value, slope];
  };
  const [topVolts, topSlope] = at(top);
  return (v, out) => {
    if (v > topVolts) {
      const grown = Math.exp(top);
      out[1] = grown / topSlope;
      out[0] = grown - floor + (out[1] as number) * (v - topVolts);
      return;
    }
    const alone = junctions.map(({ Is, nVt }) =>
      v > 0
        ? Math.log(Is * Math.expm1(v / nVt) + floor)
        : Math.log(Math.max(1e-300, Is * Math.expm1(v / nVt / count) + floor)),
    );
    let x = v > 0 ? Math.min(...alone) : Math.max(...alone);
    let slope = 0;
    for (let n = 0; n < 80; n++) {
      const [value, steep] = at(x);
      slope = steep;
      const step = (value - v) / steep;
      x -= step;
      if (Math.abs(step) <= 1e-12) break;
    }
    out[0] = Math.exp(x) - floor;
    out[1] = Math.exp(x) / slope;
  };
}
