/**
 * The rise of the air in a closed box against a worked example of the trade.
 *
 * Source  Elliott Electric Supply, reference page "Heat dissipation in electrical enclosures": a closed painted cabinet of
 *         48 × 36 × 16 in with 300 W in it, 42 square feet of surface, 7.1 W to the square foot; from its curve 30 °F (16.7 K).
 *         The page was read as quoted text; its curve itself was not seen.
 */
import { airRise } from "@platewright/design";
import { expect, test } from "vitest";

const INCH = 25.4;
const CABINET = {
  widthMillimetres: 48 * INCH,
  depthMillimetres: 36 * INCH,
  coverMillimetres: 16 * INCH,
  thicknessMillimetres: 1.5,
  material: "steel",
  finish: "powder-coat",
} as const;

test("a closed painted cabinet, 300 W: 16.7 K on the published curve, ours within 20 %", () => {
  const kelvin = airRise(CABINET, 300);
  expect(kelvin).toBeGreaterThan(0.8 * 16.7);
  expect(kelvin).toBeLessThan(1.2 * 16.7);
});

test("bare metal keeps more heat than paint, and vents let it out", () => {
  const { finish: _, ...bare } = CABINET;
  expect(airRise(bare, 300)).toBeGreaterThan(1.3 * airRise(CABINET, 300));
  expect(airRise({ ...CABINET, ventSquareMillimetres: 200_000 }, 300)).toBeLessThan(0.7 * airRise(CABINET, 300));
});
