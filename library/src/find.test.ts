import { describe, expect, test } from "vitest";
import { openCatalogue } from "./catalogue.ts";
import { compareTubes } from "./compare.ts";
import { findTubes, readWishes } from "./find.ts";
import { holes, holesFor } from "./holes.ts";
import { SOCKETS } from "./read-tube.ts";

const catalogue = openCatalogue();
const found = (text: string): readonly string[] => findTubes(catalogue, text).map((tube) => tube.type);

describe("finding by words", () => {
  test("words are read as quantities, or as parts of names", () => {
    expect(readWishes("noval 6.3 V mu 20")).toEqual([
      { kind: "word", word: "noval" },
      { kind: "heater-volts", volts: 6.3 },
      { kind: "mu", mu: 20 },
    ]);
    expect(readWishes("12.6 5 mA/V mu=100")).toEqual([
      { kind: "heater-volts", volts: 12.6 },
      { kind: "siemens", siemens: 0.005 },
      { kind: "mu", mu: 100 },
    ]);
    expect(readWishes("6v4")).toEqual([{ kind: "word", word: "6v4" }]);
    expect(readWishes("  ")).toEqual([]);
  });
  test("noval 6.3 V mu 20", () => {
    const types = found("noval 6.3 V mu 20");
    expect(types).toEqual(expect.arrayContaining(["12AU7A", "12BH7A", "6CG7", "6N6P"]));
    for (const type of ["6SN7GT", "12AX7A", "6922", "EZ80"]) expect(types).not.toContain(type);
  });
  test("rectifier 6.3", () => {
    expect([...found("rectifier 6.3")].sort()).toEqual(["6AX5GT", "6BY5GA", "6X4", "6X5GT", "EZ80", "EZ81"]);
  });
  test("a basing, a kind, a name however written", () => {
    expect(found("9h")).toEqual(["5687", "7119"]);
    expect(found("regulator octal")).toEqual(["0A3", "0C3", "0D3"]);
    expect(found("ecc-83")).toEqual(["12AX7A"]);
    expect(found("no such tube")).toEqual([]);
    expect(found("")).toHaveLength(46);
  });
  test("every type is found by its own name, and comes first", () => {
    for (const type of catalogue.types) expect(found(type)[0], type).toBe(type);
  });
});

describe("side by side", () => {
  const lines = compareTubes(catalogue, ["5687", "5687WA", "12BH7A"]);
  const line = (id: string) => lines.find((one) => one.id === id);
  test("each version has its own limits, each number its source and standing", () => {
    expect(line("plateWatts")?.values.map((one) => one?.value)).toEqual([4.2, 3.75, 3.5]);
    expect(line("plateWatts")?.values.map((one) => one?.trust)).toEqual([
      "watch-at-best",
      "watch-at-best",
      "ok-from-memory",
    ]);
    expect(line("heater.6.3")?.values.map((one) => one?.value)).toEqual([0.9, 0.9, 0.6]);
    for (const one of lines)
      for (const value of one.values)
        if (value !== undefined) expect(catalogue.source(value.provenance.source)).toBeDefined();
  });
  test("lines on which nothing is known are left out; an unknown name is an empty column", () => {
    expect(line("peakInverseVolts")).toBeUndefined();
    for (const one of compareTubes(catalogue, ["12AU7A", "unheard of"])) expect(one.values[1]).toBeUndefined();
  });
});

describe("holes", () => {
  test("every socket of the library has one", () => {
    for (const socket of SOCKETS) expect(holesFor(socket).length, socket).toBeGreaterThan(0);
    const sockets = new Set(
      catalogue.types.flatMap((type) => catalogue.tube(type)?.bases.map((base) => base.socket) ?? []),
    );
    expect([...sockets].sort()).toEqual([...SOCKETS].sort());
  });
  test("metres, and ranges in order", () => {
    for (const { id, hole, screw, fixing } of holes) {
      if (hole !== undefined) {
        expect(hole[0], id).toBeLessThanOrEqual(hole[1]);
        expect(hole[1], id).toBeLessThan(0.05);
        if (fixing !== undefined) expect(fixing, id).toBeGreaterThan(hole[0]);
      }
      if (screw !== undefined) expect(screw[0], id).toBeLessThanOrEqual(screw[1]);
    }
    // Trade practice: 3/4 in for a moulded noval socket, 7/8 in for a ceramic one.
    expect(holesFor("noval").map((hole) => hole.hole?.[0])).toEqual([0.019, 0.022]);
  });
});
