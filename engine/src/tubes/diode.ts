/** Evaluators of rectifier and diode laws: current of one plate against its volts, with slope. */
import { seriesEvaluator, simplifyLaw } from "./diode-series.ts";
import type { RectifierLaw } from "./law.ts";

/** Writes [i, di/dv] in A and A/V. */
export type DiodeEvaluator = (volts: number, out: Float64Array) => void;

/** Beyond this exponent the exponential law goes on along its tangent, so that no step can overflow. */
const LARGEST_EXPONENT = 60;

/**
 * Power law i = K v^p for v > 0 (a vacuum diode; p = 3/2 is Child's), or i = Is (exp(v / nVt) - 1) for a junction.
 * An ideal switch has no current law; solvers that allow one treat it themselves, here it conducts nothing below 0 V
 * and 1 kS above. Elements in series (diode-series.ts) are merged where they are alike, else solved for their current; an
 * ideal switch among others drops nothing.
 */
export function compileDiode(given: RectifierLaw): DiodeEvaluator {
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
