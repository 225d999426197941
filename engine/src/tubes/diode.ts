/** Evaluators of rectifier, diode and regulator laws: current against volts, with slope. */
import { seriesEvaluator, simplifyLaw } from "./diode-series.ts";
import type { DiodeLaw, KneeLaw, RectifierLaw } from "./law.ts";

/** Writes [i, di/dv] in A and A/V. */
export type DiodeEvaluator = (volts: number, out: Float64Array) => void;

/** Beyond this exponent the exponential law goes on along its tangent, so that no step can overflow. */
const LARGEST_EXPONENT = 60;

/**
 * Power law i = K v^p for v > 0 (a vacuum diode; p = 3/2 is Child's), or i = Is (exp(v / nVt) - 1) for a junction.
 * An ideal switch has no current law; solvers that allow one treat it themselves, here it conducts nothing below 0 V
 * and 1 kS above. Elements in series (diode-series.ts) are merged where they are alike, else solved for their current; an
 * ideal switch among others drops nothing. A knee is i = (w/R) ln(1 + exp((v - V)/w)): infinitely smooth, (v - V)/R well
 * above V and w ln 2 / R at V itself.
 */
export function compileDiode(given: DiodeLaw): DiodeEvaluator {
  if (given.form === "knee") return kneeEvaluator(given);
  const law = simplifyLaw(given);
  switch (law.form) {
    case "power": {
      const { K, p } = law;
      return (volts, out) => {
        if (!(volts > 0)) {
          out[0] = out[1] = 0;
          return;
        }
        const i = K * Math.exp(p * Math.log(volts));
        out[0] = i;
        out[1] = (p * i) / volts;
      };
    }
    case "exponential": {
      const { Is, nVt } = law;
      return (volts, out) => {
        const x = volts / nVt;
        if (x > LARGEST_EXPONENT) {
          const top = Is * Math.exp(LARGEST_EXPONENT);
          out[0] = top * (1 + x - LARGEST_EXPONENT) - Is;
          out[1] = top / nVt;
          return;
        }
        const grown = Is * Math.exp(x);
        out[0] = grown - Is;
        out[1] = grown / nVt;
      };
    }
    case "ideal":
      return (volts, out) => {
        out[0] = volts > 0 ? 1000 * volts : 0;
        out[1] = volts > 0 ? 1000 : 0;
      };
    case "series":
      return seriesEvaluator(law);
  }
}

/** Current over which a regulator's knee is bent; no sheet gives it, and it is far below any rated range. */
const KNEE_AMPS = 2e-4;
const KNEE_WIDTH_LEAST = 1e-3;
/** Bend of a Zener's forward drop; ours. */
const FORWARD_WIDTH = 0.03;

/** The knee of a regulator of `volts` and `ohms`: within 1.4 uA of (v - V)/R from a milliampere upwards. */
export const kneeLaw = (volts: number, ohms: number, reverseVolts?: number): KneeLaw => ({
  form: "knee",
  volts,
  ohms,
  width: Math.max(KNEE_WIDTH_LEAST, ohms * KNEE_AMPS),
  ...(reverseVolts === undefined ? {} : { reverseVolts }),
});

function kneeEvaluator({ volts: V, ohms, width, reverseVolts }: KneeLaw): DiodeEvaluator {
  const back = reverseVolts ?? Infinity;
  return (volts, out) => {
    const x = (volts - V) / width;
    const t = Math.exp(x > 0 ? -x : x);
    let bent = (x > 0 ? x : 0) + Math.log1p(t);
    let share = x > 0 ? 1 / (1 + t) : t / (1 + t);
    bent *= width;
    if (back < Infinity) {
      const y = (-volts - back) / FORWARD_WIDTH;
      const u = Math.exp(y > 0 ? -y : y);
      bent -= FORWARD_WIDTH * ((y > 0 ? y : 0) + Math.log1p(u));
      share += y > 0 ? 1 / (1 + u) : u / (1 + u);
    }
    out[0] = bent / ohms;
    out[1] = share / ohms;
  };
}

/** An ordinary silicon junction of 1 kV and 1 A, as data. */
export const SILICON = {
  law: { form: "exponential", Is: 8.3e-9, nVt: 0.05 },
  peakInverseVolts: 1000,
  dcAmps: 1,
  /** One half-cycle, once. */
  surgeAmps: 30,
  source:
    "common practice: 0.70 V at 10 mA and 0.93 V at 1 A (sheets of this class, from memory, allow 1.1 V at 1 A), 1000 V inverse, 1 A mean, 30 A for one half-cycle",
} as const;

/** The law of one such junction: 0.70 V at 10 mA, 0.93 V at 1 A (common practice, see SILICON). */
export const siliconLaw = (): RectifierLaw => SILICON.law;
