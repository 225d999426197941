/**
 * The law of one rectifier plate, i = K v^p, from what its maker printed.
 *
 * Law     space-charge flow between plate and cathode: p = 3/2 in theory (Child, Langmuir); a printed curve decides.
 * Method  From a curve: least squares of ln i = ln K + p ln v (relative errors weigh alike). From one printed drop: p = 3/2.
 * Limits  Undefined without a point of positive volts and current.
 */
import type { RectifierLaw } from "@platewright/engine";

export interface DropPoint {
  readonly dropVolts: number;
  readonly amps: number;
}

export type PowerLaw = Extract<RectifierLaw, { form: "power" }>;

export function lawFromCurve(points: readonly DropPoint[]): PowerLaw | undefined {
  const usable = points.filter((point) => point.dropVolts > 0 && point.amps > 0);
  if (new Set(usable.map((point) => point.dropVolts)).size < 2) return undefined;
  const x = usable.map((point) => Math.log(point.dropVolts));
  const y = usable.map((point) => Math.log(point.amps));
  const mean = (list: readonly number[]): number => list.reduce((sum, n) => sum + n, 0) / list.length;
  const [meanX, meanY] = [mean(x), mean(y)];
  const covariance = mean(x.map((value, index) => (value - meanX) * ((y[index] ?? meanY) - meanY)));
  const p = covariance / mean(x.map((value) => (value - meanX) ** 2));
  return { form: "power", K: Math.exp(meanY - p * meanX), p };
}

export function lawFromDrop(point: DropPoint): PowerLaw | undefined {
  if (!(point.dropVolts > 0 && point.amps > 0)) return undefined;
  return { form: "power", K: point.amps / point.dropVolts ** 1.5, p: 1.5 };
}
