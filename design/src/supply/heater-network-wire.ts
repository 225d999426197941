/**
 * Resistance of copper wire to the heaters, both ways.
 *
 * Law     R = rho(T) length / area; AWG n is 0.127 mm x 92^((36 - n) / 39) in diameter; rho 17.241 nΩm at 20 °C, 0.393 % per K.
 * Limits  Solid wire; stranded wire of the same gauge has some 2 % more. Joints and socket contacts are not counted.
 * Sources NBS Handbook 100, Copper Wire Tables (1966): standard annealed copper, American Wire Gage.
 */
import { fail, ok, type Result } from "@platewright/engine";

export interface HeaterWire {
  readonly awg?: number | undefined;
  readonly squareMillimetres?: number | undefined;
  /** One way; the current goes there and back. */
  readonly metres: number;
}

export const COPPER_OHM_METRES = 1.7241e-8;
const PER_KELVIN = 0.00393;

export const awgMillimetres = (awg: number): number => 0.127 * 92 ** ((36 - awg) / 39);
export const awgSquareMillimetres = (awg: number): number => (Math.PI / 4) * awgMillimetres(awg) ** 2;

/** Ohms there and back, at `celsius` (default 20). */
export function wireOhms(wire: HeaterWire, celsius = 20): Result<number, string> {
  const area = wire.squareMillimetres ?? (wire.awg === undefined ? undefined : awgSquareMillimetres(wire.awg));
  if (area === undefined) return fail("The heater wire needs its gauge (AWG) or its area in mm².");
  if (!(area > 0 && area < 1000)) return fail(`The heater wire's area is ${area} mm²; it must be above 0.`);
  if (!(wire.metres >= 0 && wire.metres < 100))
    return fail(`The heater wire's length is ${wire.metres} m; it must be 0 to 100 m, one way.`);
  const resistivity = COPPER_OHM_METRES * (1 + PER_KELVIN * (celsius - 20));
  return ok((resistivity * 2 * wire.metres) / (area * 1e-6));
}
