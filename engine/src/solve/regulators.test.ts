import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { kneeLaw } from "../tubes/diode.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { farads, hertz, ohms, volts } from "../units/quantities.ts";
import { solveBias } from "./bias.ts";
import { magnitude, solveImpedance } from "./response.ts";
import { solveTransient } from "./transient.ts";

const source = (id: string, plus: string, e: number, r = 0): Part => ({
  kind: "dc-source",
  id,
  plus,
  minus: "0",
  volts: volts(e),
  seriesOhms: ohms(r),
});
const resistor = (id: string, a: string, b: string, r: number): Part => ({ kind: "resistor", id, a, b, ohms: ohms(r) });

const ready = (parts: readonly Part[]) => {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(circuit.failure.kind);
  const bias = solveBias(circuit.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const at = (net: string): number => bias.value.netVolts.get(net) ?? Number.NaN;
  return { circuit: circuit.value, bias: bias.value, at };
};

/** Feed of 5k from E, a regulator of 150 V and 80 ohms, a load. */
const shunt = (e: number, loadOhms: number): readonly Part[] => [
  source("E", "e", e),
  resistor("R", "e", "a", 5000),
  { kind: "diode", id: "VR", anode: "a", cathode: "0", law: kneeLaw(150, 80) },
  resistor("L", "a", "0", loadOhms),
];

describe("shunt regulator", () => {
  // Thevenin of feed and load, then V + r i: the bend is 1e-8 of a width and less at these currents.
  const byHand = (e: number, load: number) => {
    const ri = (5000 * load) / (5000 + load);
    const open = (e * load) / (5000 + load);
    const i = (open - 150) / (ri + 80);
    return { volts: 150 + 80 * i, i };
  };
  test.each([
    [300, 10e3],
    [250, 20e3],
    [400, 1e6],
  ])("%s V into a load of %s ohms: volts and current by hand, to 1e-6", (e, load) => {
    const { at, bias } = ready(shunt(e, load));
    const hand = byHand(e, load);
    expect(at("a")).toBeCloseTo(hand.volts, 6);
    expect(bias.unknowns[0]).toBeCloseTo(hand.i, 8);
  });
  test("of 20 % more mains it lets r/(r + R) and the load's share through", () => {
    const low = ready(shunt(300, 10e3)).at("a");
    const high = ready(shunt(360, 10e3)).at("a");
    const parallel = 1 / (1 / 80 + 1 / 10e3);
    expect((high - low) / 60).toBeCloseTo(parallel / (parallel + 5000), 8);
  });
  test("with too little above it, it is not there: the divider alone", () => {
    expect(ready(shunt(180, 10e3)).at("a")).toBeCloseTo(120, 6);
  });
  test("a string of two shares nothing: each holds its own volts and passes the same current", () => {
    const { at, bias } = ready([
      source("E", "e", 300),
      resistor("R", "e", "a", 2000),
      { kind: "diode", id: "U", anode: "a", cathode: "m", law: kneeLaw(149, 80) },
      { kind: "diode", id: "L", anode: "m", cathode: "0", law: kneeLaw(107, 60) },
    ]);
    // The 10 Mohm across each take 11 and 15 uA: a millivolt or two.
    const i = (300 - 256) / 2140;
    expect(Math.abs(at("m") - (107 + 60 * i))).toBeLessThan(2e-3);
    expect(Math.abs(at("a") - at("m") - (149 + 80 * i))).toBeLessThan(2e-3);
    expect(bias.unknowns[0]).toBeCloseTo(bias.unknowns[1] ?? 0, 4);
  });
  test.each([200, 250, 256, 260, 280, 340, 600, 2000])("a string under %s V finds its bias", (e) => {
    for (const load of [1e3, 1e4, 1e6])
      expect(
        ready([
          source("E", "e", e, 300),
          resistor("R", "e", "a", 1000),
          resistor("L", "a", "0", load),
          { kind: "diode", id: "U", anode: "a", cathode: "m", law: kneeLaw(149, 80) },
          { kind: "diode", id: "V", anode: "m", cathode: "0", law: kneeLaw(107, 60) },
        ]).bias.effort.residual,
      ).toBeLessThan(1e-9);
  });
});

const FET: TriodeLaw = {
  space: { form: "square", K: 0.375, Vt: 3.5, width: 0.08, lambda: 0 },
  grid: { form: "none" },
};

/** A follower from 320 V, its gate at 240 V. */
const follower = (loadOhms: number): readonly Part[] => [
  source("E", "d", 320),
  source("G", "g", 240),
  {
    kind: "triode",
    id: "Q",
    plate: "d",
    grid: "g",
    cathode: "s",
    law: FET,
    gridPlateFarads: farads(10e-12),
    gridCathodeFarads: farads(300e-12),
    plateCathodeFarads: farads(40e-12),
  },
  resistor("L", "s", "0", loadOhms),
];

describe("follower behind a reference", () => {
  test.each([1e6, 200e3, 12e3, 4e3])("into %s ohms its source stands Vt and sqrt(i/K) below the gate", (load) => {
    const { at } = ready(follower(load));
    // The law's own inverse, softplus and all.
    const u = Math.sqrt(at("s") / load / 0.375);
    expect(at("s")).toBeCloseTo(240 - 3.5 - 0.08 * Math.log(Math.expm1(u / 0.08)), 7);
  });
  test("its output impedance is one over its slope", () => {
    const { circuit, bias } = ready(follower(12e3));
    const answer = solveImpedance(circuit, bias, { net: "s", hertz: [hertz(100)] });
    if (!answer.ok) throw new Error("impedance");
    const gm = bias.triodes.get("Q")?.siemens ?? Number.NaN;
    // 2 sqrt(K i) of the square law, less the few per cent by which the channel is not yet fully open.
    expect(gm / (2 * Math.sqrt((0.375 * 236.3) / 12e3))).toBeCloseTo(0.95, 1);
    const first = answer.value[0];
    if (first === undefined) throw new Error("empty");
    expect(magnitude(first) * (gm + 1 / 12e3)).toBeCloseTo(1, 6);
  });
});

test("a follower that little but tubes load finds its bias, within what rounding of that net's volts allows", () => {
  const bare = { gridPlateFarads: farads(0), gridCathodeFarads: farads(0), plateCathodeFarads: farads(0) };
  const tube: TriodeLaw = { space: { form: "three-halves", K: 1.05e-5, mu: 20, p: 1.5 }, grid: { form: "none" } };
  const stands = (bleeder: number) =>
    ready([
      source("E", "e", 340),
      resistor("RD", "e", "d", 1000),
      resistor("RG", "e", "r", 220e3),
      { kind: "diode", id: "Z", anode: "r", cathode: "0", law: kneeLaw(240, 1500, 0.7) },
      resistor("GS", "r", "g", 1000),
      { kind: "triode", id: "Q", plate: "d", grid: "g", cathode: "s", law: FET, ...bare },
      resistor("B", "s", "0", bleeder),
      resistor("RP", "s", "p", 15e3),
      { kind: "triode", id: "V1", plate: "p", grid: "0", cathode: "k", law: tube, ...bare },
      resistor("RK", "k", "0", 680),
      { kind: "triode", id: "V2", plate: "s", grid: "p", cathode: "k2", law: tube, ...bare },
      resistor("RK2", "k2", "0", 8200),
    ]);
  const heavy = stands(1e6);
  const ohmsOut = 1 / (heavy.bias.triodes.get("Q")?.siemens ?? Number.NaN);
  // What the megohm took more, through the follower's own resistance; the tubes' loads take 1 % and curvature the rest.
  for (const bleeder of [1e7, 1e9, 1e12]) {
    const moved = stands(bleeder).at("s") - heavy.at("s");
    expect(moved / (ohmsOut * heavy.at("s") * (1e-6 - 1 / bleeder))).toBeCloseTo(1, 1);
  }
});

describe("in time", () => {
  const until = (parts: readonly Part[], seconds: number, net: string, at: readonly number[]) => {
    const circuit = compile(parts);
    if (!circuit.ok) throw new Error(circuit.failure.kind);
    const answer = solveTransient(
      circuit.value,
      { start: "empty", seconds, record: { nets: [net], at } },
      { absoluteVolts: 1e-6, relativeVolts: 1e-8 },
    );
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    return answer.value.netVolts.get(net) ?? new Float64Array();
  };
  test("a regulated capacitor charges freely to its volts, then settles where the bias stands", () => {
    const parts: readonly Part[] = [
      ...shunt(300, 10e3),
      { kind: "capacitor", id: "C", a: "a", b: "0", farads: farads(10e-6) },
    ];
    const tau = (10e-6 * 5000 * 10e3) / 15e3;
    // Towards 200 V until the knee; 140 V is thirty widths below it.
    const early = tau * Math.log(200 / 60);
    const [first, last] = until(parts, 0.5, "a", [early, 0.5]);
    expect(first).toBeCloseTo(140, 4);
    expect(last).toBeCloseTo(ready(shunt(300, 10e3)).at("a"), 4);
  });
  test("a follower charges its capacitor from empty and settles where the bias stands", () => {
    const parts: readonly Part[] = [
      source("E", "e", 320, 200),
      resistor("RD", "e", "d", 1000),
      resistor("RG", "e", "r", 220e3),
      { kind: "diode", id: "Z", anode: "r", cathode: "0", law: kneeLaw(240, 1500, 0.7) },
      { kind: "capacitor", id: "CG", a: "r", b: "0", farads: farads(1e-6) },
      resistor("GS", "r", "g", 1000),
      {
        kind: "triode",
        id: "Q",
        plate: "d",
        grid: "g",
        cathode: "s",
        law: FET,
        gridPlateFarads: farads(10e-12),
        gridCathodeFarads: farads(300e-12),
        plateCathodeFarads: farads(40e-12),
      },
      { kind: "capacitor", id: "CS", a: "s", b: "0", farads: farads(47e-6) },
      resistor("L", "s", "0", 10e3),
    ];
    const [last] = until(parts, 6, "s", [6]);
    expect(last).toBeCloseTo(ready(parts).at("s"), 3);
  });
});
