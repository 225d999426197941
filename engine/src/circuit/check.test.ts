/** Each impossible value of each part is named with its place; nothing that is not a number gets past compiling. */
import { describe, expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import { sentence } from "../solve/failures.ts";
import { amps, farads, henries, ohms, volts } from "../units/quantities.ts";
import { compile } from "./compile.ts";
import type { Part } from "./parts.ts";

const LAW = {
  space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 },
  grid: { form: "none" },
} as const;
/** One of each, all tied down. */
const PARTS: readonly Part[] = [
  { kind: "resistor", id: "R1", a: "b", b: "p", ohms: ohms(100e3) },
  { kind: "resistor", id: "R2", a: "g", b: "0", ohms: ohms(1e6) },
  { kind: "capacitor", id: "C1", a: "p", b: "t", farads: farads(1e-7) },
  { kind: "inductor", id: "L1", a: "k", b: "0", henries: henries(1), seriesOhms: ohms(1500) },
  { kind: "potentiometer", id: "P1", top: "t", wiper: "w", bottom: "0", ohms: ohms(50e3), fraction: 0.5 },
  {
    kind: "triode",
    id: "V1",
    plate: "p",
    grid: "g",
    cathode: "k",
    law: LAW,
    gridPlateFarads: farads(1e-12),
    gridCathodeFarads: farads(1e-12),
    plateCathodeFarads: farads(1e-12),
  },
  { kind: "diode", id: "D1", anode: "k", cathode: "w", law: { form: "exponential", Is: 1e-12, nVt: 0.05 } },
  { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(250), seriesOhms: ohms(0) },
  { kind: "ac-source", id: "in", plus: "s", minus: "0", seriesOhms: ohms(600) },
  { kind: "switch", id: "S1", a: "s", b: "g", closed: true },
  { kind: "current-sink", id: "I1", from: "b", to: "0", amps: amps(1e-3), parallelOhms: ohms(Infinity) },
  { kind: "jack", id: "J1", role: "output", tip: "w", sleeve: "0" },
];

/** Fields that must be above zero, may be zero, may be any finite number. */
const FIELDS: readonly (readonly [string, string, "positive" | "zero" | "finite"])[] = [
  ["R1", "ohms", "positive"],
  ["C1", "farads", "positive"],
  ["L1", "henries", "positive"],
  ["L1", "seriesOhms", "positive"],
  ["P1", "ohms", "positive"],
  ["V1", "gridPlateFarads", "zero"],
  ["V1", "gridCathodeFarads", "zero"],
  ["V1", "plateCathodeFarads", "zero"],
  ["B", "volts", "finite"],
  ["B", "seriesOhms", "zero"],
  ["in", "seriesOhms", "zero"],
  ["I1", "amps", "finite"],
];

const changed = (id: string, more: Record<string, unknown>): readonly Part[] =>
  PARTS.map((part) => (part.id === id ? ({ ...part, ...more } as Part) : part));

test("as it is, it compiles", () => expect(compile(PARTS)).toMatchObject({ ok: true }));

describe.each(FIELDS)("%s.%s", (id, field, need) => {
  test.each([Number.NaN, Infinity, -Infinity, -1, 0])("%d", (given) => {
    const allowed = Number.isFinite(given) && (need === "finite" || given > 0 || (need === "zero" && given === 0));
    const compiled = compile(changed(id, { [field]: given }));
    if (allowed) {
      expect(compiled.ok).toBe(true);
      return;
    }
    expect(compiled).toMatchObject({ ok: false, failure: { kind: "bad-value", part: id, field } });
    if (!compiled.ok) expect(sentence(compiled.failure)).toContain(`${id}: ${field} is ${given}; it must be finite`);
  });
});

test.each([-0.01, 1.01, Number.NaN, Infinity])("a pot's wiper at %d of its track", (fraction) =>
  expect(compile(changed("P1", { fraction }))).toMatchObject({
    ok: false,
    failure: { kind: "bad-value", part: "P1", field: "fraction" },
  }),
);
test.each([0, 1])("a pot turned to its end, %d, is not a fault", (fraction) =>
  expect(compile(changed("P1", { fraction })).ok).toBe(true),
);
test.each([0, -5, Number.NaN])("a sink with %d ohm across it", (parallelOhms) =>
  expect(compile(changed("I1", { parallelOhms }))).toMatchObject({
    ok: false,
    failure: { kind: "bad-value", part: "I1", field: "parallelOhms" },
  }),
);
test.each([Number.NaN, Infinity])("a law with %d for a parameter is named, space, grid and diode", (given) => {
  const grid = { form: "softplus", Gg: 1e-4, xi: 1.3, C: given, Vg0: 0 } as const;
  const cases = [
    [changed("V1", { law: { ...LAW, space: { ...LAW.space, kvb: given } } }), "V1", "law.space.kvb"],
    [changed("V1", { law: { ...LAW, grid } }), "V1", "law.grid.C"],
    [changed("D1", { law: { form: "power", K: given, p: 1.5 } }), "D1", "law.K"],
  ] as const;
  for (const [parts, part, field] of cases)
    expect(compile(parts)).toMatchObject({ ok: false, failure: { kind: "bad-value", part, field } });
});
test("an ideal rectifier is no part of a circuit", () => {
  const compiled = compile(changed("D1", { law: { form: "ideal" } }));
  expect(compiled).toMatchObject({ ok: false, failure: { kind: "bad-value", part: "D1", field: "law" } });
});

describe("what hangs in the air", () => {
  const without = (...ids: string[]) => compile(PARTS.filter((part) => !ids.includes(part.id)));
  test("a plate on a capacitor alone is named, with what is at it", () => {
    const compiled = without("R1");
    expect(compiled).toMatchObject({ ok: false, failure: { kind: "floating-net", net: "p", parts: ["C1", "V1"] } });
    if (!compiled.ok)
      expect(sentence(compiled.failure)).toBe("Net p (C1, V1) has no dc path to ground; add a resistor from it.");
  });
  test("a cathode on a diode alone", () => {
    expect(without("L1")).toMatchObject({ ok: false, failure: { kind: "floating-net", net: "k" } });
  });
  test("a cathode on a sink stands", () => {
    const parts = changed("I1", { from: "k" }).filter((part) => part.id !== "L1" && part.id !== "D1");
    expect(compile(parts).ok).toBe(true);
  });
  test("a grid on a sink, or behind a capacitor, floats", () => {
    const cut = PARTS.filter((part) => part.id !== "R2" && part.id !== "S1" && part.id !== "in");
    const grid = (more: readonly Part[]) => compile([...cut, ...more]);
    const wanted = { ok: false, failure: { kind: "floating-grid", part: "V1", net: "g" } };
    expect(
      grid([
        {
          kind: "current-sink",
          id: "I2",
          from: "g",
          to: "0",
          amps: amps(1e-9),
          parallelOhms: ohms(Infinity),
        },
      ]),
    ).toMatchObject(wanted);
    expect(grid([{ kind: "capacitor", id: "C9", a: "g", b: "w", farads: farads(1e-8) }])).toMatchObject(wanted);
  });
  test("a grid behind an open switch floats, or is a lonely net", () => {
    const parts = changed("S1", { closed: false }).filter((part) => part.id !== "R2");
    expect(compile(parts)).toMatchObject({ ok: false, failure: { kind: "floating-grid", part: "V1" } });
  });
  test("any part taken out either leaves a circuit or is named by a net or part that is there", () => {
    for (const part of PARTS) {
      const compiled = without(part.id);
      if (compiled.ok) continue;
      expect(["lonely-net", "floating-net", "floating-grid"]).toContain(compiled.failure.kind);
      expect(sentence(compiled.failure)).toMatch(/^(Net|The grid of) \S+/);
    }
  });
});

describe("sources in a ring", () => {
  const B2 = (plus: string, minus: string, series = 0): Part => ({
    kind: "dc-source",
    id: "B2",
    plus,
    minus,
    volts: volts(90),
    seriesOhms: ohms(series),
  });
  test.each([
    ["b", "0"],
    ["0", "b"],
    ["b", "b"],
  ])("an ideal one from %s to %s beside the first", (plus, minus) => {
    const compiled = compile([...PARTS, B2(plus, minus)]);
    expect(compiled).toMatchObject({ ok: false, failure: { kind: "shorted-source" } });
    if (!compiled.ok) expect(sentence(compiled.failure)).toMatch(/B2.*give it a resistance/);
  });
  test("with resistance it is a supply that fights, and solves", () => {
    expect(compile([...PARTS, B2("b", "0", 10)]).ok).toBe(true);
  });
  test("a switch across a chain of two sources", () => {
    const chain: readonly Part[] = [...PARTS, B2("c", "b"), { kind: "switch", id: "S2", a: "c", b: "0", closed: true }];
    expect(compile(chain)).toMatchObject({ ok: false, failure: { kind: "shorted-source" } });
  });
});

test("500 random lists of parts: compiled, or one named failure whose sentence ends (seed 6)", () => {
  const random = seededRandom(6);
  const nets = ["0", "a", "b", "c", "d"];
  const pick = () => nets[random.below(nets.length)] as string;
  const kinds = new Set<string>();
  for (let run = 0; run < 500; run++) {
    const parts = Array.from({ length: 2 + random.below(6) }, (_, i): Part => {
      const model = PARTS[random.below(PARTS.length)] as Part;
      const moved = Object.fromEntries(
        Object.entries(model).map(([key, value]) => [
          key,
          typeof value === "string" && !["kind", "id", "role"].includes(key) ? pick() : value,
        ]),
      );
      return { ...moved, id: random.uniform() < 0.02 ? "X" : `X${i}` } as unknown as Part;
    });
    const compiled = compile(parts);
    if (compiled.ok) continue;
    kinds.add(compiled.failure.kind);
    expect(sentence(compiled.failure)).toMatch(/\.$/);
  }
  expect(kinds.size).toBeGreaterThanOrEqual(4);
});
