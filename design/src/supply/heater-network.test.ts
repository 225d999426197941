import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type HeaterBranch,
  type HeaterNetworkOptions,
  heaterSentence,
  type HeaterSource,
  solveHeaterNetwork,
} from "./heater-network.ts";

const source: HeaterSource = { id: "H1", unloadedVolts: 6.8, ohms: 0.1667, ratedAmps: 3 };
const single = (id: string, ratedAmps = 0.3, ratedVolts = 6.3): HeaterBranch => ({
  heaters: [{ id, ratedVolts, ratedAmps }],
});
function solve(from: HeaterSource, branches: readonly HeaterBranch[], options: HeaterNetworkOptions = {}) {
  const solved = solveHeaterNetwork(from, branches, options);
  if (!solved.ok) throw new Error(heaterSentence(solved.failure));
  return solved.value;
}

describe("heaters at their rating", () => {
  test("a stiff winding at rated volts gives rated current to each", () => {
    const solved = solve({ id: "H", unloadedVolts: 6.3, ohms: 0, ratedAmps: 3 }, [single("V1"), single("V2", 0.6)]);
    expect(solved.amps).toBeCloseTo(0.9, 12);
    for (const pin of solved.pins) expect(pin.share).toBeCloseTo(1, 12);
  });
  test("5 % more volts are 3 % more current (Emission Labs TN-03)", () => {
    const solved = solve({ id: "H", unloadedVolts: 6.3 * 1.05, ohms: 0, ratedAmps: 3 }, [single("V1")]);
    expect(solved.amps / 0.3).toBeCloseTo(1.03, 3);
  });
});
const arbitraryBranches = fc.array(
  fc.record({
    heaters: fc.array(
      fc.record({
        id: fc.constant("V"),
        ratedVolts: fc.double({ min: 2, max: 13, noNaN: true }),
        ratedAmps: fc.double({ min: 0.1, max: 2, noNaN: true }),
      }),
      { minLength: 1, maxLength: 4 },
    ),
    wireOhms: fc.double({ min: 0, max: 0.5, noNaN: true }),
  }),
  { minLength: 1, maxLength: 5 },
);
test("what the source gives is heat somewhere, to 1e-10 (fast-check, seed 51)", () => {
  fc.assert(
    fc.property(
      arbitraryBranches,
      fc.double({ min: 2, max: 40, noNaN: true }),
      fc.double({ min: 0, max: 2, noNaN: true }),
      fc.double({ min: 0, max: 2, noNaN: true }),
      (branches, unloadedVolts, ohms, dropOhms) => {
        const solved = solve({ id: "H", unloadedVolts, ohms, ratedAmps: 3 }, branches, { dropOhms });
        expect(Math.abs(solved.balance)).toBeLessThan(1e-10);
        expect(solved.effort.steps).toBeLessThan(30);
      },
    ),
    { seed: 51, numRuns: 300 },
  );
});
