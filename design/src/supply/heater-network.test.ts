/** Heaters as a network: hand-worked cases, balances, and what must always hold; ac, dc, from the demo's sockets. */
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { directHeaterSentence, type DirectHeaters, solveDirectHeaters } from "./heater-network-direct.ts";
import { heatersOf } from "./heater-network-document.ts";
import { heaterNetworkFindings } from "./heater-network-findings.ts";
import { chooseHeaterDropper, heatersAtMains } from "./heater-network-dropper.ts";
import { awgMillimetres, wireOhms } from "./heater-network-wire.ts";
import {
  type HeaterBranch,
  type HeaterNetworkOptions,
  heaterSentence,
  type HeaterSource,
  solveHeaterNetwork,
} from "./heater-network.ts";

/** 6.8 V open, 6.3 V at 3 A. */
const source: HeaterSource = { id: "H1", unloadedVolts: 6.8, ohms: 0.5 / 3, ratedAmps: 3 };
const stiff = (volts: number): HeaterSource => ({ id: "H", unloadedVolts: volts, ohms: 0, ratedAmps: 3 });
const single = (id: string, ratedAmps = 0.3, ratedVolts = 6.3): HeaterBranch => ({
  heaters: [{ id, ratedVolts, ratedAmps }],
});
/** A tapped 12.6 V heater of 0.15 A: both halves one after the other, or side by side. */
const halves = (id: string) => [
  { id: `${id}/a`, ratedVolts: 6.3, ratedAmps: 0.15 },
  { id: `${id}/b`, ratedVolts: 6.3, ratedAmps: 0.15 },
];
function solve(from: HeaterSource, branches: readonly HeaterBranch[], options: HeaterNetworkOptions = {}) {
  const solved = solveHeaterNetwork(from, branches, options);
  if (!solved.ok) throw new Error(heaterSentence(solved.failure));
  return solved.value;
}

describe("worked by hand", () => {
  test("a stiff winding at rated volts gives rated current to each", () => {
    const solved = solve(stiff(6.3), [single("V1"), single("V2", 0.6)]);
    expect(solved.amps).toBeCloseTo(0.9, 12);
    for (const pin of solved.pins) expect(pin.share).toBeCloseTo(1, 12);
  });
  test("5 % more volts are 3 % more current (Emission Labs, Technical Note TN-03)", () => {
    expect(solve(stiff(6.3 * 1.05), [single("V1")]).amps / 0.3).toBeCloseTo(1.03, 3);
  });
  test("a winding at its rating stands at its rated volts: ten 0.3 A heaters on 6.3 V 3 A", () => {
    const solved = solve(
      source,
      Array.from({ length: 10 }, (_, n) => single(`V${n}`)),
    );
    expect(solved.busVolts).toBeCloseTo(6.3, 12);
    expect(solved.amps).toBeCloseTo(3, 12);
    expect(solved.heat.winding).toBeCloseTo(1.5, 12);
  });
  test("a tapped tube draws 0.15 A across 12.6 V and 0.3 A across 6.3 V: the same heat, a quarter of the lead's loss", () => {
    const across = solve(stiff(12.6), [{ heaters: halves("V1") }]);
    const beside = solve(
      stiff(6.3),
      halves("V1").map((one) => ({ heaters: [one] })),
    );
    expect(across.amps).toBeCloseTo(0.15, 12);
    expect(beside.amps).toBeCloseTo(0.3, 12);
    expect(across.heat.heaters).toBeCloseTo(beside.heat.heaters, 12);
    expect(across.pins.map((one) => one.volts)).toEqual(beside.pins.map((one) => one.volts));
    const lead = { dropOhms: 0.01 };
    const ratio =
      solve(stiff(12.6), [{ heaters: halves("V1") }], lead).heat.dropper /
      solve(
        stiff(6.3),
        halves("V1").map((one) => ({ heaters: [one] })),
        lead,
      ).heat.dropper;
    expect(ratio).toBeCloseTo(0.25, 3);
  });
  test("in a string a heater of less current takes the volts: 0.3 A and 0.15 A at 6.3 V each", () => {
    const solved = solve(stiff(12.6), [{ heaters: [halves("V1")[0]!, single("V2").heaters[0]!] }]);
    const [small, large] = solved.pins;
    expect(small!.volts + large!.volts).toBeCloseTo(12.6, 10);
    // Same current: v/V goes as (i/I)^(1/n), so the shares stand as 2^(1/0.6).
    expect(small!.share / large!.share).toBeCloseTo(2 ** (1 / 0.6), 8);
  });
  test("AWG 22 is 0.644 mm and 53 mΩ a metre of one conductor, AWG 36 0.127 mm (NBS Handbook 100)", () => {
    expect(awgMillimetres(36)).toBe(0.127);
    expect(awgMillimetres(22)).toBeCloseTo(0.6438, 4);
    const metre = wireOhms({ awg: 22, metres: 1 });
    expect(metre.ok && metre.value / 2).toBeCloseTo(0.05296, 4);
    const warm = wireOhms({ squareMillimetres: 1, metres: 1 }, 45);
    expect(warm.ok && warm.value).toBeCloseTo(2 * 0.017241 * (1 + 0.00393 * 25), 9);
  });
  test("two thirds of a metre of AWG 22 to 2.4 A costs 0.17 V", () => {
    const ohms = wireOhms({ awg: 22, metres: 0.667 });
    if (!ohms.ok) throw new Error(ohms.failure);
    const solved = solve(
      stiff(6.3),
      Array.from({ length: 8 }, (_, n) => single(`V${n}`)),
      { wireOhms: ohms.value },
    );
    expect(6.3 - solved.busVolts).toBeCloseTo(0.167, 3);
  });
});

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const arbitraryBranches = fc.array(
  fc.record({
    heaters: fc.array(fc.record({ id: fc.constant("V"), ratedVolts: between(2, 13), ratedAmps: between(0.1, 2) }), {
      minLength: 1,
      maxLength: 4,
    }),
    wireOhms: between(0, 0.5),
  }),
  { minLength: 1, maxLength: 5 },
);
const arbitrarySource = fc.record({
  id: fc.constant("H"),
  unloadedVolts: between(2, 40),
  ohms: between(0, 2),
  ratedAmps: fc.constant(3),
});

test("what the source gives is heat somewhere, to 1e-10, and volts add up round every branch (fast-check, seed 51)", () => {
  fc.assert(
    fc.property(
      arbitrarySource,
      arbitraryBranches,
      between(0, 2),
      between(0, 1),
      (from, branches, dropOhms, shared) => {
        const solved = solve(from, branches, { dropOhms, wireOhms: shared });
        expect(Math.abs(solved.balance)).toBeLessThan(1e-10);
        expect(solved.effort.steps).toBeLessThan(30);
        expect(solved.windingVolts - solved.amps * (dropOhms + shared)).toBeCloseTo(solved.busVolts, 9);
        let n = 0;
        let amps = 0;
        for (const branch of branches) {
          const pins = solved.pins.slice(n, n + branch.heaters.length);
          n += branch.heaters.length;
          const current = pins[0]?.amps ?? Number.NaN;
          amps += current;
          const around = pins.reduce((sum, one) => sum + one.volts, current * branch.wireOhms);
          expect(around / solved.busVolts).toBeCloseTo(1, 10);
        }
        expect(amps / solved.amps).toBeCloseTo(1, 10);
      },
    ),
    { seed: 51, numRuns: 300 },
  );
});

test("higher mains raise every pin; one more bottle lowers the others; a dropper lowers all (fast-check, seed 52)", () => {
  fc.assert(
    fc.property(arbitrarySource, arbitraryBranches, between(1.01, 1.2), (from, branches, mainsFactor) => {
      const base = solve(from, branches);
      const high = solve(from, branches, { mainsFactor });
      const dropped = solve(from, branches, { dropOhms: 0.5 });
      for (const [n, pin] of base.pins.entries()) {
        expect(high.pins[n]!.volts).toBeGreaterThan(pin.volts);
        expect(dropped.pins[n]!.volts).toBeLessThan(pin.volts);
      }
      // Less than in proportion for the current: a heater's resistance rises.
      expect(high.amps / base.amps).toBeLessThan(mainsFactor);
      const more = solve(from, [...branches, single("extra")]);
      expect(more.busVolts).toBeLessThanOrEqual(base.busVolts);
    }),
    { seed: 52, numRuns: 200 },
  );
});

test("cold, the rush lies above the running current and rises with the cold factor (fast-check, seed 53)", () => {
  fc.assert(
    fc.property(arbitrarySource, arbitraryBranches, (from, branches) => {
      const { inrush } = solve(from, branches);
      expect(inrush.amps[1]).toBeGreaterThan(inrush.amps[0]);
      expect(inrush.busVolts[1]).toBeLessThan(inrush.busVolts[0] + 1e-12);
      for (const n of [0, 1] as const)
        expect(inrush.busVolts[n] + inrush.amps[n] * from.ohms).toBeCloseTo(from.unloadedVolts, 8);
    }),
    { seed: 53, numRuns: 100 },
  );
});

describe("cold inrush", () => {
  test("at rated volts a stiff winding sees 2.7 to 7.2 times the running current (common practice)", () => {
    const { inrush, amps } = solve(stiff(6.3), [single("V1"), single("V2")]);
    expect(inrush.amps[0] / amps).toBeCloseTo(2.7, 12);
    expect(inrush.amps[1] / amps).toBeCloseTo(7.2, 12);
  });
  test("a real winding holds it back: ten heaters on 6.3 V 3 A rush 7.2 to 14.9 A instead of 8.1 to 21.6", () => {
    const { inrush } = solve(
      source,
      Array.from({ length: 10 }, (_, n) => single(`V${n}`)),
    );
    // 6.8 / (0.16667 + 2.1 / 2.7) and 6.8 / (0.16667 + 2.1 / 7.2).
    expect(inrush.amps[0]).toBeCloseTo(7.2, 6);
    expect(inrush.amps[1]).toBeCloseTo(14.8364, 4);
  });
});

describe("a winding that runs high", () => {
  test("one 0.3 A tube on 6.3 V 3 A: 1.5 Ω in all brings 6.3 V; 0.82 Ω in each leg is the nearest", () => {
    const chosen = chooseHeaterDropper(source, [single("V1")], 6.3);
    if (!chosen.ok) throw new Error(heaterSentence(chosen.failure));
    expect(chosen.value.exactOhms).toBeCloseTo(1.5, 9);
    expect(chosen.value.ohmsPerLeg).toBe(0.82);
    expect(chosen.value.network.busVolts).toBeCloseTo(6.26, 2);
    expect(2 * chosen.value.wattsPerLeg).toBeCloseTo(chosen.value.network.heat.dropper, 12);
  });
  test("the computed ohms bring exactly the wanted volts (fast-check, seed 54)", () => {
    fc.assert(
      fc.property(arbitrarySource, arbitraryBranches, between(0.5, 0.999), (from, branches, share) => {
        const bare = solve(from, branches);
        const wanted = bare.busVolts * share;
        const chosen = chooseHeaterDropper(from, branches, wanted);
        if (!chosen.ok) throw new Error(heaterSentence(chosen.failure));
        expect(solve(from, branches, { dropOhms: chosen.value.exactOhms }).busVolts / wanted).toBeCloseTo(1, 9);
      }),
      { seed: 54, numRuns: 200 },
    );
  });
  test("at low, nominal and high mains", () => {
    const at = heatersAtMains(source, [single("V1", 2.4)], { low: 0.9, nominal: 1, high: 1.1 });
    if (!at.ok) throw new Error(heaterSentence(at.failure));
    const { low, nominal, high } = at.value;
    expect(low.busVolts < nominal.busVolts && nominal.busVolts < high.busVolts).toBe(true);
    // 10 % of mains is more than 10 % of bus volts: the current, and so the drop, moves less than in proportion.
    expect(high.busVolts / nominal.busVolts).toBeGreaterThan(1.1);
  });
});

describe("bad input is one sentence", () => {
  const cases: [HeaterSource, HeaterBranch[], HeaterNetworkOptions, RegExp][] = [
    [stiff(0), [single("V1")], {}, /unloaded volts is 0; it must be finite and above 0/],
    [stiff(Number.NaN), [single("V1")], {}, /NaN/],
    [stiff(6.3), [], {}, /No heater hangs on winding H/],
    [stiff(6.3), [{ heaters: [] }], {}, /No heater/],
    [stiff(6.3), [single("V1", 300)], {}, /300 A at 6.3 V is no receiving tube's heater; was 0.3 A meant/],
    [stiff(6.3), [single("V1", -1)], {}, /amps of V1 is -1/],
    [stiff(6.3), [single("V1")], { dropOhms: -1 }, /dropper's ohms is -1/],
    [stiff(6.3), [single("V1")], { exponent: 0 }, /exponent is 0/],
  ];
  test.each(cases)("case %#", (from, branches, options, words) => {
    const solved = solveHeaterNetwork(from, branches, options);
    expect(solved.ok ? "solved" : heaterSentence(solved.failure)).toMatch(words);
  });
  test("a winding that is low already has nothing to drop", () => {
    const chosen = chooseHeaterDropper(stiff(6), [single("V1")], 6.3);
    expect(chosen.ok ? "chosen" : heaterSentence(chosen.failure)).toMatch(/get 6.00 V, not more than the 6.3 V wanted/);
  });
  test("wire without a size", () => {
    const ohms = wireOhms({ metres: 1 });
    expect(ohms.ok ? "ohms" : ohms.failure).toMatch(/gauge \(AWG\) or its area/);
  });
});

describe("on rectified dc", () => {
  const direct: DirectHeaters = { bridge: "schottky", farads: 10e-3, hertz: 50 };
  const four = Array.from({ length: 4 }, (_, n) => single(`V${n}`));
  const rectified = (from: HeaterSource, bridge: DirectHeaters, branches = four) => {
    const solved = solveDirectHeaters(from, branches, bridge);
    if (!solved.ok) throw new Error(directHeaterSentence(solved.failure));
    return solved.value;
  };
  test("6.3 V ac gives 7.4 to 8 V raw by Schottky diodes (common practice: 7.5 to 8)", () => {
    const solved = rectified(source, direct);
    expect(solved.capacitorVolts).toBeGreaterThan(7.4);
    expect(solved.capacitorVolts).toBeLessThan(8);
    expect(rectified(source, { ...direct, bridge: "silicon" }).capacitorVolts).toBeLessThan(solved.capacitorVolts);
  });
  test("rms in the winding over dc: 1.6 to 2 on an ordinary winding (makers say 1.61 and 1.8), more on a stiff one", () => {
    const ordinary = rectified(
      source,
      direct,
      Array.from({ length: 8 }, (_, n) => single(`V${n}`)),
    );
    expect(ordinary.rmsOverDc).toBeGreaterThan(1.6);
    expect(ordinary.rmsOverDc).toBeLessThan(2);
    expect(rectified({ ...source, ohms: 0.02 }, direct).rmsOverDc).toBeGreaterThan(ordinary.rmsOverDc);
  });
  test("winding watts are heat in heaters, bridge, winding and dropper to 0.1 %; the capacitor carries no mean current", () => {
    for (const from of [source, { ...source, ohms: 0.05 }, { ...source, unloadedVolts: 13.6, ohms: 0.5 }])
      for (const dropOhms of [0, 0.4]) {
        const solved = solveDirectHeaters(from, four, { ...direct, dropOhms }, { wireOhms: 0.1, dropOhms: 0.05 });
        if (!solved.ok) throw new Error(directHeaterSentence(solved.failure));
        const { heat, rectifier, dcAmps } = solved.value;
        expect(heat.wire).toBeCloseTo(0.1 * dcAmps ** 2, 12);
        const all = heat.heaters + heat.wire + heat.dropper + heat.bridge + heat.winding;
        expect(Math.abs(all / rectifier.balance.windingWatts - 1)).toBeLessThan(1e-3);
        expect(Math.abs(rectifier.balance.capacitorMeanAmps)).toBeLessThan(1e-6 * dcAmps);
      }
  });
  test("the heaters' own law holds at the bus: i = 0.3 (v/6.3)^0.6 each", () => {
    const solved = rectified(source, { ...direct, dropOhms: 0.5 });
    expect(solved.dcAmps).toBeCloseTo(1.2 * (solved.busVolts / 6.3) ** 0.6, 9);
    expect(solved.capacitorVolts - 0.5 * solved.dcAmps).toBeCloseTo(solved.busVolts, 7);
  });
  test("a capacitor that is far too small is a sentence", () => {
    const solved = solveDirectHeaters(source, four, { ...direct, farads: 1e-6 });
    expect(solved.ok ? "solved" : directHeaterSentence(solved.failure)).toMatch(/^The [^\n]+\.$/);
  });
});

describe("from the sockets of a document", () => {
  const catalogue = openCatalogue();
  const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
  if (!file.ok) throw new Error(file.failure.sentence);
  const demo: Document = file.value.now;
  const winding = demo.supply!.transformer.heaters[0]!;
  const heaters = (document: Document, of = winding, absent: readonly string[] = []) => {
    const answer = heatersOf(document, catalogue, of, absent);
    if (!answer.ok) throw new Error(answer.failure);
    return answer.value;
  };
  const wired = (
    wiring: Record<string, Document["envelopes"][number]["wiring"][string]>,
    id = "V1",
    type = "12AU7A",
  ) => ({
    ...demo,
    envelopes: [{ id, type, socket: "noval" as const, wiring }],
  });
  const lead = (name: "a" | "b") => ({ winding: "H1", lead: name });

  test("the demo: two 5687 of two halves side by side and an EZ80, the current that the sheets say", () => {
    const { source: from, branches, dark } = heaters(demo);
    expect(branches.flatMap((one) => one.heaters.map((heater) => heater.id))).toEqual([
      "V1/a",
      "V1/b",
      "V2/a",
      "V2/b",
      "V3",
    ]);
    expect(dark).toEqual([]);
    const rated = branches.reduce((sum, one) => sum + one.heaters[0]!.ratedAmps, 0);
    expect(rated).toBeCloseTo(0.9 + 0.9 + 0.6, 9);
    const solved = solve(from, branches);
    expect(solved.busVolts).toBeGreaterThan(6.3);
    expect(solved.busVolts).toBeLessThan(6.8);
    expect(heaters(demo, winding, ["V2"]).branches).toHaveLength(3);
  });
  test("4 to a, 5 to b across 12.6 V: one branch of two halves of 6.3 V", () => {
    const { branches } = heaters(wired({ "4": lead("a"), "5": lead("b") }));
    expect(
      branches.map((one) => one.heaters.map((heater) => [heater.id, heater.ratedVolts, heater.ratedAmps])),
    ).toEqual([
      [
        ["V1/a", 6.3, 0.15],
        ["V1/b", 6.3, 0.15],
      ],
    ]);
  });
  test("4 and 5 to a, 9 to b: two branches", () => {
    const { branches } = heaters(wired({ "4": lead("a"), "5": lead("a"), "9": lead("b") }));
    expect(branches).toHaveLength(2);
  });
  test("two bottles one after the other over a net are one string of four halves", () => {
    const string = {
      ...demo,
      envelopes: [
        { id: "V1", type: "12AU7A", socket: "noval" as const, wiring: { "4": lead("a"), "5": { net: "string" } } },
        { id: "V2", type: "12AX7A", socket: "noval" as const, wiring: { "5": { net: "string" }, "4": lead("b") } },
      ],
    };
    const { branches } = heaters(string);
    expect(branches.map((one) => one.heaters.map((heater) => heater.id))).toEqual([["V1/a", "V1/b", "V2/b", "V2/a"]]);
    expect(solve(stiff(25.2), branches).amps).toBeCloseTo(0.15, 9);
  });
  test("both ends on one lead, or a string that leads nowhere: dark, not guessed", () => {
    expect(heaters(wired({ "4": lead("a"), "5": lead("a") }))).toMatchObject({ branches: [], dark: ["V1"] });
    expect(heaters(wired({ "4": lead("a"), "5": { net: "nowhere" } }))).toMatchObject({ branches: [], dark: ["V1"] });
  });
  test.each([
    [{ dropOhmsPerLeg: "banana" }, /^transformer.heaters\[H1\].dropOhmsPerLeg: 'banana' is not a resistance/],
    [{ direct: { bridge: "silicon" as const, farads: "0" } }, /direct.farads: '0' is not a capacitance/],
    [{ wire: { metres: 1 } }, /wire: The heater wire needs its gauge/],
  ])("a value that is none is named with its place: %j", (edit, words) => {
    const answer = heatersOf(demo, catalogue, { ...winding, ...edit });
    expect(answer.ok ? "read" : answer.failure).toMatch(words);
  });
  test("wire, dropper, bridge and hum pot of the winding are carried over", () => {
    const told = heaters(demo, {
      ...winding,
      wire: { awg: 20, metres: 0.5 },
      dropOhmsPerLeg: "R1",
      direct: { bridge: "schottky", farads: "10000u" },
      referredBy: "hum-pot",
      referredByOhms: "220",
      humPotPosition: 0.4,
    });
    const ohms = wireOhms({ awg: 20, metres: 0.5 });
    expect(told.options).toEqual({ dropOhms: 0.2, wireOhms: ohms.ok ? ohms.value : 0 });
    expect(told.direct).toEqual({ bridge: "schottky", farads: 0.01, hertz: 50, dropOhms: 0 });
    expect(told.reference).toEqual({ kind: "hum-pot", ohms: 220, position: 0.4 });
  });

  describe("findings", () => {
    const mains = { low: 0.9, nominal: 1, high: 1.1 };
    const judged = (document: Document) => {
      const here = document.supply!.transformer.heaters[0]!;
      const found = heaterNetworkFindings(here, heaters(document, here), mains);
      if (!found.ok) throw new Error(found.failure);
      return found.value;
    };
    const withWinding = (edit: Partial<typeof winding>, envelopes = demo.envelopes): Document => ({
      ...demo,
      envelopes,
      supply: {
        ...demo.supply!,
        transformer: { ...demo.supply!.transformer, heaters: [{ ...winding, ...edit }] },
      },
    });
    const levels = (document: Document) => Object.fromEntries(judged(document).map((one) => [one.id, one.level]));

    test("the demo: pins within 5 %, winding inside its rating, numbers and sources everywhere", () => {
      const all = judged(demo);
      for (const one of all) {
        expect(one.title).not.toMatch(/NaN|undefined|Infinity/);
        expect(one.source).not.toBe("");
        expect(one.level).toBe("ok");
      }
      expect(new Set(all.map((one) => one.id)).size).toBe(all.length);
    });
    test("a high winding stops; its Fix brings the pins in and adds no stop", () => {
      const high = withWinding({ unloadedVolts: 7.6, ratedVolts: 7.1 });
      const [worst] = judged(high).filter((one) => one.level === "stop");
      expect(worst?.rule).toBe("heater-pins");
      const [fix] = worst?.fixes ?? [];
      expect(fix?.title).toMatch(/in each leg of H1 brings V1\/a to 6\./);
      const mended = applyChanges(high, fix?.changes ?? []);
      if (!mended.ok) throw new Error("the Fix does not fit");
      expect(Object.values(levels(mended.value))).not.toContain("stop");
      expect(
        Object.entries(levels(mended.value)).filter(([id, level]) => id.startsWith("heater-pins") && level !== "ok"),
      ).toEqual([]);
    });
    test("on a bridge the winding is judged by its rms, which is 1.6 times the dc and more", () => {
      const direct = withWinding({
        direct: { bridge: "schottky", farads: "10000u" },
        unloadedVolts: 6.8,
        ratedAmps: 3,
      });
      const current = judged(direct).find((one) => one.rule === "heater-winding-rms");
      expect(current?.level).toBe("stop");
      expect(current?.value).toBeGreaterThan(1.6 * 2.4);
    });
    test("a dark bottle stops", () => {
      const [, ...rest] = demo.envelopes;
      const dark = {
        ...demo.envelopes[0]!,
        wiring: { ...demo.envelopes[0]!.wiring, "8": { winding: "H1", lead: "a" as const } },
      };
      expect(levels(withWinding({}, [dark, ...rest]))["heater-dark/V1"]).toBe("stop");
    });
  });
});
