import fc from "fast-check";
import { expect, test } from "vitest";
import { picturesOf, roundUp, stillFits } from "./picture.ts";

test("a round end is not below its value and not far above (seed 51)", () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-6, max: 1e4, noNaN: true }), (value) => {
      const end = roundUp(value);
      return end >= value * 0.9998 && end <= value * 1.34 && roundUp(end) === end;
    }),
    { seed: 51 },
  );
});

test("both pictures hold the point, the load lines' ends and the swing; the whole one holds the near one and every row (seed 52)", () => {
  const volts = fc.double({ min: 5, max: 900, noNaN: true });
  const amps = fc.double({ min: 1e-4, max: 0.2, noNaN: true });
  fc.assert(
    fc.property(
      volts,
      amps,
      fc.double({ min: 1.01, max: 6, noNaN: true }),
      volts,
      fc.array(fc.record({ plateVolts: volts, plateAmps: amps })),
      (plateVolts, plateAmps, times, limitVolts, published) => {
        const openVolts = [plateVolts * times];
        const swingAmps = [plateAmps * 1.8];
        const { near, whole } = picturesOf({ plateVolts, plateAmps, openVolts, swingAmps, limitVolts, published });
        const holds = (v: number, a: number, one = near) => v <= one.upToPlateVolts && a <= one.upToPlateAmps;
        return (
          holds(plateVolts, plateAmps) &&
          holds(openVolts[0] ?? 0, swingAmps[0] ?? 0) &&
          holds(near.upToPlateVolts, near.upToPlateAmps, whole) &&
          published.every((point) => holds(point.plateVolts, point.plateAmps, whole))
        );
      },
    ),
    { seed: 52 },
  );
});

test("a limit far outside does not shrink the near picture", () => {
  const shown = { plateVolts: 60, plateAmps: 2e-3, openVolts: [120], swingAmps: [], published: [] };
  expect(picturesOf({ ...shown, limitVolts: 300 }).near).toEqual(picturesOf(shown).near);
  expect(picturesOf({ ...shown, limitVolts: 150 }).near.upToPlateVolts).toBeGreaterThan(150);
});

test("ends stand while all fits and nothing has become small", () => {
  expect(stillFits([300, 0.02], [250, 0.015])).toBe(true);
  expect(stillFits([300, 0.02], [350, 0.015])).toBe(false);
  expect(stillFits([300, 0.02], [300, 0.005])).toBe(false);
  expect(stillFits([300], [300, 0.005])).toBe(false);
});
