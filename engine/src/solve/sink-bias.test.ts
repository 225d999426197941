import fc from "fast-check";
import { expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { amps, farads, ohms, volts } from "../units/quantities.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { solveBias } from "./bias.ts";

/** A medium-mu tube of no type in particular. */
const law: TriodeLaw = {
  space: { form: "island", G: 1.2e-3, mu: 20, p: 1.4, k: 10, a: 0.5, Vt: 0.2, Vct: 0.6 },
  grid: { form: "none" },
};
const triode = (id: string, plate: string, grid: string, cathode: string): Part => ({
  kind: "triode",
  id,
  plate,
  grid,
  cathode,
  law,
  gridPlateFarads: farads(0),
  gridCathodeFarads: farads(0),
  plateCathodeFarads: farads(0),
});
const resistor = (id: string, a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id,
  a,
  b,
  ohms: ohms(value),
});
const supply: Part = { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(280), seriesOhms: ohms(0) };

test("a stage over an ideal sink carries the sink's current, whatever stands across the sink (seed 4)", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 5e-4, max: 9e-3, noNaN: true }),
      fc.constantFrom(Infinity, 1e9, 1e6, 1e5),
      fc.double({ min: 2e3, max: 2e4, noNaN: true }),
      (milli, parallel, load) => {
        const compiled = compile([
          supply,
          resistor("RL", "b", "p", load),
          triode("V", "p", "g", "k"),
          resistor("Rg", "g", "0", 1e6),
          { kind: "current-sink", id: "S", from: "k", to: "0", amps: amps(milli), parallelOhms: ohms(parallel) },
        ]);
        if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
        const bias = solveBias(compiled.value);
        // A load that leaves no volts for the current has no such point; the answer must not be another one.
        if (milli * load > 230) return true;
        if (!bias.ok) throw new Error(JSON.stringify(bias.failure));
        const cathode = bias.value.netVolts.get("k") ?? 0;
        const wanted = milli + (parallel === Infinity ? 0 : cathode / parallel);
        // An ideal sink stands with a leak of a gigohm across it.
        expect(Math.abs((bias.value.triodes.get("V")?.plateAmps ?? 0) / wanted - 1)).toBeLessThan(1e-3);
        return true;
      },
    ),
    { seed: 4, numRuns: 60 },
  );
});

test("a follower whose grid leak returns to its own cathode over a sink has a point; a grid tied to a bare sink has none", () => {
  const sink: Part = {
    kind: "current-sink",
    id: "S",
    from: "tap",
    to: "0",
    amps: amps(6e-3),
    parallelOhms: ohms(Infinity),
  };
  const follower = compile([
    supply,
    triode("V", "b", "g", "k"),
    resistor("Rk", "k", "tap", 820),
    resistor("Rg", "g", "tap", 470e3),
    sink,
  ]);
  if (!follower.ok) throw new Error(JSON.stringify(follower.failure));
  const bias = solveBias(follower.value);
  if (!bias.ok) throw new Error(JSON.stringify(bias.failure));
  expect(bias.value.triodes.get("V")?.plateAmps).toBeCloseTo(6e-3, 6);
  expect(bias.value.triodes.get("V")?.gridVolts).toBeCloseTo(-820 * 6e-3, 3);
  const bare = compile([
    supply,
    triode("V", "b", "g", "k"),
    resistor("Rk", "k", "0", 820),
    resistor("Rg", "g", "tap", 470e3),
    sink,
  ]);
  expect(bare.ok).toBe(false);
});
