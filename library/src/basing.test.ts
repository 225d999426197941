import { describe, expect, test } from "vitest";
import type { Base, PinRole } from "@platewright/engine";
import { openCatalogue } from "./catalogue.ts";
import { heaterLeads, leadsWords, moveWords, pinMoves } from "./pin-moves.ts";
import { readPins, sameRole } from "./pins.ts";

const catalogue = openCatalogue();
const tubes = catalogue.types.flatMap((type) => catalogue.tube(type) ?? []);
const whole = (base: Base): boolean =>
  Object.values(base.pins).some((role) => role.kind === "plate") && Object.keys(base.pins).length > 3;
const baseOf = (type: string): Base => {
  const base = catalogue.tube(type)?.bases[0];
  if (base === undefined) throw new Error(`no base for ${type}`);
  return base;
};
const PINS = { noval: 9, octal: 8, "7-pin miniature": 7, UX4: 4, UY5: 5 } as const;

describe("basings", () => {
  test("all pins are known but those of the 6BY5GA", () => {
    expect(tubes.filter((tube) => !tube.bases.some(whole)).map((tube) => tube.type)).toEqual(["6BY5GA"]);
    for (const tube of tubes) if (tube.type !== "6BY5GA") expect(whole(baseOf(tube.type)), tube.type).toBe(true);
  });

  test.each(
    tubes.flatMap((tube) =>
      tube.bases.filter(whole).map((base) => [tube.type, base.provenance.source, tube, base] as const),
    ),
  )(
    "%s after %s: every electrode has its pin, the heater both ends, and no pin is beyond the socket",
    (_type, _source, tube, base) => {
      const roles = Object.values(base.pins);
      const pinsWith = (wanted: PinRole): number => roles.filter((role) => sameRole(role, wanted)).length;
      for (const pin of Object.keys(base.pins)) {
        expect(Number(pin)).toBeGreaterThanOrEqual(1);
        expect(Number(pin)).toBeLessThanOrEqual(PINS[base.socket as keyof typeof PINS]);
      }
      // Only gas regulators and the 6C4 have an electrode on more than one pin.
      const many = tube.kind === "regulator" || tube.type === "6C4";
      const once = (count: number): boolean => (many ? count >= 1 : count === 1);
      const partial = tube.type === "12BH7A" && base.provenance.source === "TF";
      if (partial) return;
      const filament = roles.some((role) => role.kind === "heater-and-cathode");
      for (const section of tube.sections === 1 ? ([1] as const) : ([1, 2] as const)) {
        expect(once(pinsWith({ kind: "plate", section })), `plate ${section}`).toBe(true);
        if (tube.kind === "triode") {
          expect(pinsWith({ kind: "grid", section }), `grid ${section}`).toBe(1);
          if (!filament) expect(pinsWith({ kind: "cathode", section }), `cathode ${section}`).toBe(1);
        }
      }
      if (tube.kind === "rectifier" && !filament) expect(pinsWith({ kind: "cathode", section: 1 })).toBe(1);
      if (tube.kind === "regulator") return;
      const ends = roles.flatMap((role) =>
        role.kind === "heater" || role.kind === "heater-and-cathode" ? [role.end] : [],
      );
      expect(ends.filter((end) => end !== "tap").sort()).toEqual(["a", "b"]);
      // A tap means two ways of wiring and the other way about.
      expect(ends.includes("tap")).toBe(tube.heaters.some((heater) => heater.wiring === "parallel"));
      for (const heater of tube.heaters) expect(heaterLeads(base, heater.wiring), heater.wiring).toBeDefined();
    },
  );

  test("sources agree on the pins of a type, but for pin 9 of 6CG7 (shield) and 6FQ7 (free)", () => {
    const differing: string[] = [];
    for (const tube of tubes)
      for (const base of tube.bases.slice(1))
        for (const [pin, role] of Object.entries(base.pins)) {
          const first = tube.bases[0]?.pins[pin];
          if (first === undefined || !sameRole(first, role))
            differing.push(`${tube.type} ${pin} ${base.provenance.source}`);
        }
    expect(differing).toEqual(["6CG7 9 EHCG7", "6CG7 9 RC30"]);
  });

  test.each([
    // 9A: General Electric 12AT7, 1957; Tung-Sol 12AU7, 1962; RCA 12AX7-A, 1960. 5BS: General Electric 6X4.
    ["12AU7A", "9A", "1 P2, 2 G2, 3 K2, 4 Ha, 5 Hb, 6 P1, 7 G1, 8 K1, 9 Ht"],
    ["5687", "9H", "1 P2, 2 G2, 3 K2, 4 Ha, 5 Hb, 6 K1, 7 G1, 8 Ht, 9 P1"],
    ["6922", "9DE", "1 P2, 2 G2, 3 K2, 4 Ha, 5 Hb, 6 P1, 7 G1, 8 K1, 9 S"],
    ["6SN7GT", "8BD", "1 G2, 2 P2, 3 K2, 4 G1, 5 P1, 6 K1, 7 Ha, 8 Hb"],
    ["6X4", "5BS", "1 P2, 2 N, 3 Ha, 4 Hb, 5 N, 6 P1, 7 K1"],
    ["EZ80", "B9A", "1 P2, 2 I, 3 K1, 4 Ha, 5 Hb, 6 I, 7 P1, 8 I, 9 I"],
    ["5AR4", "5DA", "2 Ha, 4 P1, 6 P2, 8 HKb"],
  ])("%s is %s", (type, basing, pins) => {
    expect(baseOf(type)).toMatchObject({ basing, pins: readPins(pins) });
  });

  test("6.3 V-only tubes have one way of wiring, the 9A and 9H families two", () => {
    const wirings = (type: string) =>
      catalogue.tube(type)?.heaters.map((one) => `${one.volts} V ${one.amps} A ${one.wiring}`);
    expect(wirings("12AU7A")).toEqual(["12.6 V 0.15 A series", "6.3 V 0.3 A parallel"]);
    expect(wirings("5687")).toEqual(["12.6 V 0.45 A series", "6.3 V 0.9 A parallel"]);
    expect(wirings("6N6P")).toEqual(["6.3 V 0.75 A single"]);
    for (const tube of tubes)
      if (tube.heaters.length === 2) expect(tube.heaters[0]?.amps).toBeCloseTo((tube.heaters[1]?.amps ?? 0) / 2, 9);
  });

  test("a bad notation throws", () => {
    for (const text of ["1 X1", "1 P3", "1 P1, 1 G1", "P1", "1 P1 2"]) expect(() => readPins(text), text).toThrow();
  });
});

describe("wires to move, pins seen from below", () => {
  test("5687 to 12BH7A: 6 to 8, 8 to 9, 9 to 6", () => {
    const { moves, heater, left, missing } = pinMoves(baseOf("5687"), baseOf("12BH7A"));
    expect(moves.map((move) => `${move.from}→${move.to}`)).toEqual(["6→8", "8→9", "9→6"]);
    expect(moves.map(moveWords)).toEqual(["6 → 8 (cathode 1)", "8 → 9 (heater tap)", "9 → 6 (plate 1)"]);
    expect([heater?.work, left, missing]).toEqual(["moves", [], []]);
  });

  test("wired for 12.6 V the tap has no wire, so two moves are left", () => {
    const { moves, heater } = pinMoves(baseOf("5687"), baseOf("12BH7A"), "series");
    expect(moves.map((move) => `${move.from}→${move.to}`)).toEqual(["6→8", "9→6"]);
    expect(heater).toMatchObject({ work: "none", after: { one: ["4"], two: ["5"] } });
  });

  test("4+5 against 9 becomes 4 against 5 for a 6.3 V-only tube: pins to part, not just a move", () => {
    const { moves, heater, changes } = pinMoves(baseOf("12AU7A"), baseOf("6922"));
    expect(moves).toEqual([]);
    expect(heater?.work).toBe("rewire");
    expect(heater === undefined ? "" : `${leadsWords(heater.before)}; ${leadsWords(heater.after)}`).toBe(
      "4+5 against 9; 4 against 5",
    );
    expect(changes).toEqual([{ pin: "9", was: { kind: "heater", end: "tap" }, becomes: { kind: "shield" } }]);
    expect(pinMoves(baseOf("6922"), baseOf("12AU7A")).heater).toMatchObject({
      work: "rewire",
      after: { one: ["4", "5"], two: ["9"] },
    });
  });

  test("a tube to itself, or to one of the same basing, needs nothing", () => {
    for (const tube of tubes) {
      const base = baseOf(tube.type);
      expect(pinMoves(base, base), tube.type).toMatchObject({ changes: [], moves: [], left: [], missing: [] });
    }
    expect(pinMoves(baseOf("12AU7A"), baseOf("12AY7"))).toMatchObject({
      changes: [],
      moves: [],
      heater: { work: "none" },
    });
  });

  test("for every pair in one socket: after the moves each electrode has the wire of its name", () => {
    const wireOf = (role: PinRole): string => JSON.stringify(role);
    let pairs = 0;
    for (const from of tubes)
      for (const to of tubes) {
        const [old, next] = [baseOf(from.type), baseOf(to.type)];
        if (old.socket !== next.socket || from.kind !== to.kind || !whole(old) || !whole(next)) continue;
        pairs++;
        const { moves, left, missing } = pinMoves(old, next);
        const wires = new Map(Object.entries(old.pins).map(([pin, role]) => [pin, wireOf(role)]));
        const lifted = moves.map((move) => [move.to, wires.get(move.from)] as const);
        for (const move of moves) wires.delete(move.from);
        for (const [pin, wire] of lifted) if (wire !== undefined) wires.set(pin, wire);
        for (const role of Object.values(next.pins)) {
          if (role.kind !== "plate" && role.kind !== "grid" && role.kind !== "cathode") continue;
          if (missing.some((one) => sameRole(one, role))) continue;
          const served = Object.entries(next.pins).some(
            ([pin, there]) => sameRole(there, role) && wires.get(pin) === wireOf(role),
          );
          expect(served, `${from.type} to ${to.type}, ${wireOf(role)}`).toBe(true);
        }
        // Nothing the old tube used is forgotten: moved, in place, or said to be left over.
        for (const role of Object.values(old.pins))
          if (role.kind === "plate" || role.kind === "grid" || role.kind === "cathode")
            expect(
              left.some((one) => sameRole(one, role)) || Object.values(next.pins).some((one) => sameRole(one, role)),
            ).toBe(true);
      }
    expect(pairs).toBeGreaterThan(400);
  });
});
