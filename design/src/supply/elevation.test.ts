/** The window of elevation by hand-worked cases, by what must always hold of it, and against the findings themselves. */
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { heaterCathodeFindings } from "../limits/heaters.ts";
import type { Judged } from "../limits/judged.ts";
import { solveConditions, solveDesign } from "../solved/solve.ts";
import { chooseDivider, dividerOf, dividerSentence } from "./elevation-divider.ts";
import { heaterReference } from "./elevation-reference.ts";
import { elevationFindings } from "./elevation-findings.ts";
import { elevationSections } from "./elevation-sections.ts";
import {
  type ElevationBound,
  type ElevationLimit,
  type ElevationSection,
  elevationSentences,
  type ElevationState,
  elevationWindow,
} from "./elevation.ts";

const limit = (volts: number, trust: ElevationLimit["trust"] = "ok"): ElevationLimit => ({
  volts,
  trust,
  source: "test",
});
const still = (condition: string, volts: number, factor = 1): ElevationState => ({
  condition,
  cathodeVoltsHigh: volts,
  cathodeVoltsLow: volts,
  swingUpVolts: 0,
  swingDownVolts: 0,
  heaterPeakVolts: 0,
  factor,
});
const running: ElevationState = {
  ...still("running", 170),
  swingUpVolts: 10,
  swingDownVolts: 10,
  heaterPeakVolts: 4.5,
};
const follower: ElevationSection = {
  id: "L.V1b",
  tube: "12AU7A",
  limits: { positive: { dc: limit(100), peak: limit(200) }, negative: { dc: limit(200), peak: limit(200) } },
  states: [running, { ...still("cold", 0, 1.1), heaterPeakVolts: 4.5 }],
};
const first: ElevationSection = { ...follower, id: "L.V1a", states: [still("running", 3), still("cold", 0, 1.1)] };

describe("worked by hand", () => {
  test("a follower at 170 V with 100 V dc wants 70 V or more; cold it allows (200 - 4.5) / 1.1", () => {
    const window = elevationWindow([follower]);
    expect(window).toMatchObject({ kind: "window", low: 70, verified: true });
    if (window.kind === "window") {
      expect(window.high).toBeCloseTo((200 - 4.5) / 1.1, 12);
      expect(window.setLow).toMatchObject({ sign: "positive", measure: "dc", condition: "running" });
      expect(window.setHigh).toMatchObject({ sign: "negative", measure: "peak", condition: "cold" });
    }
  });
  test("the peak takes over when the signal is large: 170 + 40 + 4.5 - 120", () => {
    const loud = {
      ...follower,
      limits: { ...follower.limits, positive: { dc: limit(100), peak: limit(120) } },
      states: [{ ...running, swingUpVolts: 40 }],
    };
    expect(elevationWindow([loud])).toMatchObject({ low: 94.5 });
  });
  test("heaters on 12.6 V dc from one end: the far end counts on dc and on peak: 170 - 100 + 12.6 to (200 - 12.6) / 1.1", () => {
    const direct = follower.states.map((one) => ({ ...one, heaterPeakVolts: 0, heaterDcVolts: 12.6 }));
    const window = elevationWindow([{ ...follower, states: direct }]);
    if (window.kind !== "window") throw new Error("no window");
    expect(window.low).toBeCloseTo(82.6, 9);
    expect(window.high).toBeCloseTo((200 - 12.6) / 1.1, 9);
  });
  test("a stage at 3 V beside a follower at 190 V, both of 90 V: empty, and both are named", () => {
    const ninety = { positive: { peak: limit(90) }, negative: { peak: limit(90) } };
    const window = elevationWindow([
      { ...first, limits: ninety },
      { ...follower, limits: ninety, states: [still("running", 190)] },
    ]);
    if (window.kind !== "empty") throw new Error("a window where there is none");
    const [conflict] = window.conflicts;
    expect(window.conflicts).toHaveLength(1);
    expect(conflict?.needsAtLeast).toMatchObject({ section: "L.V1b", volts: 100 });
    expect(conflict?.allowsAtMost.section).toBe("L.V1a");
    expect(conflict?.allowsAtMost.volts).toBeCloseTo(90 / 1.1, 12);
    expect(conflict?.sentence).toBe(
      "L.V1b (12AU7A, running, peak) needs at least 100 V of elevation, L.V1a (12AU7A, cold, peak) allows at most 82 V: they cannot share one heater winding.",
    );
  });
  test("a follower that stands at 170 V before the source is up is hopeless at 100 V", () => {
    const window = elevationWindow([{ ...follower, states: [running, still("lift shorted", 170, 0)] }]);
    if (window.kind !== "empty") throw new Error("a window where there is none");
    expect(window.hopeless).toMatchObject([{ condition: "lift shorted", measure: "dc", sign: "positive" }]);
    expect(elevationSentences(window)).toEqual([
      "L.V1b (12AU7A, lift shorted, dc): no elevation keeps it inside 100 V from heater to cathode.",
    ]);
  });
  test("a cathode at -150 V with 100 V allowed below cannot be had by lifting", () => {
    const below = {
      ...follower,
      limits: { positive: {}, negative: { dc: limit(100) } },
      states: [still("running", -150)],
    };
    expect(elevationWindow([below])).toMatchObject({ kind: "empty", conflicts: [], hopeless: [{ volts: -50 }] });
    expect(elevationWindow([below], { lowest: -100 })).toMatchObject({ kind: "window", low: -100, high: -50 });
  });
  test("an unknown or doubtful limit is never verified", () => {
    const unknown = elevationWindow([{ ...follower, limits: { positive: { dc: limit(100) }, negative: {} } }]);
    expect(unknown).toMatchObject({ verified: false, high: Infinity, unjudged: [{ sign: "negative" }] });
    const doubtful = { positive: { dc: limit(100, "watch-at-best") }, negative: follower.limits.negative };
    expect(elevationWindow([{ ...follower, limits: doubtful }])).toMatchObject({ verified: false });
  });
});

const volts = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const arbitraryState = fc.record({
  condition: fc.constantFrom("running", "cold", "mains high"),
  cathodeVoltsHigh: volts(0, 250),
  cathodeVoltsLow: fc.constant(0),
  swingUpVolts: volts(0, 40),
  swingDownVolts: volts(0, 40),
  heaterPeakVolts: volts(0, 10),
  factor: volts(0.5, 1.5),
});
const arbitraryLimit = fc.option(
  volts(50, 300).map((one) => limit(one)),
  { nil: undefined },
);
const arbitrarySection = fc
  .tuple(
    fc.array(arbitraryState, { minLength: 1, maxLength: 4 }),
    arbitraryLimit,
    arbitraryLimit,
    arbitraryLimit,
    arbitraryLimit,
  )
  .map(
    ([states, a, b, c, d]): ElevationSection => ({
      id: "V",
      tube: "T",
      limits: {
        positive: { ...(a === undefined ? {} : { dc: a }), ...(b === undefined ? {} : { peak: b }) },
        negative: { ...(c === undefined ? {} : { dc: c }), ...(d === undefined ? {} : { peak: d }) },
      },
      states: states.map((one) => ({ ...one, cathodeVoltsLow: one.cathodeVoltsHigh * 0.9 })),
    }),
  );

const arbitrarySections = (minLength: number) =>
  fc
    .array(arbitrarySection, { minLength, maxLength: 4 })
    .map((sections) => sections.map((one, n): ElevationSection => ({ ...one, id: `V${n}` })));

/** Told from the definition alone: is every limit kept at an elevation? */
function legal(sections: readonly ElevationSection[], elevation: number): boolean {
  return sections.every((section) =>
    section.states.every((state) => {
      const at = elevation * state.factor;
      const { positive, negative } = section.limits;
      return (
        (positive.dc === undefined || state.cathodeVoltsHigh - at <= positive.dc.volts) &&
        (positive.peak === undefined ||
          state.cathodeVoltsHigh + state.swingUpVolts + state.heaterPeakVolts - at <= positive.peak.volts) &&
        (negative.dc === undefined || at - state.cathodeVoltsLow <= negative.dc.volts) &&
        (negative.peak === undefined ||
          at - state.cathodeVoltsLow + state.swingDownVolts + state.heaterPeakVolts <= negative.peak.volts)
      );
    }),
  );
}

test("inside the window all is legal, outside something is not, and an empty one has no legal volt (fast-check, seed 61)", () => {
  fc.assert(
    fc.property(arbitrarySections(1), (sections) => {
      const window = elevationWindow(sections);
      if (window.kind === "empty") {
        for (let at = 0; at <= 700; at += 1.7) expect(legal(sections, at)).toBe(false);
        return;
      }
      const high = Math.min(window.high, 1000);
      for (const share of [1e-9, 0.3, 0.7, 1 - 1e-9])
        expect(legal(sections, window.low + share * (high - window.low))).toBe(true);
      if (window.high < Infinity) expect(legal(sections, window.high + 1e-6)).toBe(false);
      if (window.low > 0) expect(legal(sections, window.low - 1e-6)).toBe(false);
    }),
    { seed: 61, numRuns: 300 },
  );
});

test("one more section never widens the window; higher limits never narrow it (fast-check, seed 62)", () => {
  fc.assert(
    fc.property(arbitrarySections(2), (sections) => {
      const all = elevationWindow(sections);
      const fewer = elevationWindow(sections.slice(1));
      if (fewer.kind === "empty") expect(all.kind).toBe("empty");
      if (all.kind === "empty" || fewer.kind === "empty") return;
      expect(all.low).toBeGreaterThanOrEqual(fewer.low);
      expect(all.high).toBeLessThanOrEqual(fewer.high);
      const careful = elevationWindow(sections, { limitFraction: 0.9 });
      if (careful.kind === "window") {
        expect(careful.low).toBeGreaterThanOrEqual(all.low);
        expect(careful.high).toBeLessThanOrEqual(all.high);
      }
    }),
    { seed: 62, numRuns: 300 },
  );
});

describe("a divider of preferred values", () => {
  test("220k over 47k from 300 V: 52.8 V, 1.12 mA", () => {
    const divider = dividerOf(220e3, 47e3, 300, 0.05);
    expect(divider.volts).toBeCloseTo(52.809, 4);
    expect(divider.amps).toBeCloseTo(1.1236e-3, 8);
    expect(divider.topWatts + divider.bottomWatts).toBeCloseTo(300 * divider.amps, 12);
  });
  test("aims at the middle of what lies between 30 and 90 V, else of the window; resistors of 5 % unless told", () => {
    for (const [low, high, aim] of [
      [0, 400, 60],
      [40, 70, 55],
      [100, 150, 125],
    ] as const) {
      const chosen = chooseDivider({ low, high }, 300, { series: "E24" });
      if (!chosen.ok) throw new Error(dividerSentence(chosen.failure));
      const { topOhms, bottomOhms, volts: at, voltsRange } = chosen.value;
      expect(Math.abs(at / aim - 1)).toBeLessThan(0.01);
      expect(voltsRange).toEqual(dividerOf(topOhms, bottomOhms, 300, 0.05).voltsRange);
    }
  });
  test("stays in the window with both tolerances, in the wanted current, or says why not (fast-check, seed 63)", () => {
    fc.assert(
      fc.property(
        volts(0, 120),
        volts(10, 150),
        volts(150, 450),
        fc.constantFrom("E12" as const, "E24" as const),
        (low, wide, supply, series) => {
          const window = { low, high: low + wide };
          const chosen = chooseDivider(window, supply, { series });
          if (!chosen.ok) {
            expect(dividerSentence(chosen.failure)).toMatch(/^[^\n]+\.$/);
            expect(wide < 40 || low + 15 > supply, `window ${low} to ${low + wide} of ${supply} V`).toBe(true);
            return;
          }
          const { voltsRange, amps, topOhms, bottomOhms } = chosen.value;
          expect(voltsRange[0]).toBeGreaterThanOrEqual(low);
          expect(voltsRange[1]).toBeLessThanOrEqual(low + wide);
          expect(amps).toBeCloseTo(supply / (topOhms + bottomOhms), 12);
          expect(amps >= 0.4e-3 && amps <= 1.2e-3).toBe(true);
        },
      ),
      { seed: 63, numRuns: 200 },
    );
  });
  test.each([
    [{ low: 70, high: 90 }, 60, /cannot lift the heaters to 70 V/],
    [{ low: 70, high: 70.5 }, 300, /No two resistors/],
    [{ low: 70, high: 90 }, Number.NaN, /supply volts is NaN/],
    [{ low: 70, high: 90 }, 0, /above 0/],
  ] as const)("%j from %s V is refused in a sentence", (window, supply, words) => {
    const chosen = chooseDivider(window, supply);
    expect(chosen.ok ? "chosen" : dividerSentence(chosen.failure)).toMatch(words);
  });
});

describe("what the winding is referred by", () => {
  test("two 100 Ω across 6.3 V: 31.5 mA, 0.1 W each, each end 4.45 V peak, no hum", () => {
    const pair = heaterReference({ kind: "two-resistors", aOhms: 100, bOhms: 100 }, 6.3);
    expect(pair.amps).toBeCloseTo(0.0315, 12);
    expect(pair.wattsA).toBeCloseTo(0.099225, 9);
    expect(pair.peakVolts).toBeCloseTo(3.15 * Math.SQRT2, 12);
    expect(pair.humVolts).toBe(0);
    expect(heaterReference({ kind: "centre-tap" }, 6.3).peakVolts).toBe(pair.peakVolts);
  });
  test("one end grounded swings the other by the whole winding", () => {
    expect(heaterReference({ kind: "one-end" }, 6.3).peakVolts).toBeCloseTo(6.3 * Math.SQRT2, 12);
    expect(heaterReference({ kind: "one-end" }, 6.3).humVolts).toBeCloseTo(3.15, 12);
  });
  test("a hum pot's ends add up to the winding and its heat to V²/R (fast-check, seed 64)", () => {
    fc.assert(
      fc.property(volts(0, 1), volts(50, 1000), volts(1, 20), (position, ohms, winding) => {
        const pot = heaterReference({ kind: "hum-pot", ohms, position }, winding);
        expect(pot.aPeakVolts + pot.bPeakVolts).toBeCloseTo(winding * Math.SQRT2, 9);
        expect(pot.wattsA + pot.wattsB).toBeCloseTo(winding ** 2 / ohms, 9);
        expect(pot.peakVolts).toBeGreaterThanOrEqual(winding * Math.SQRT1_2 - 1e-12);
      }),
      { seed: 64, numRuns: 100 },
    );
  });
});

describe("the demo's window against its own findings", () => {
  const catalogue = openCatalogue();
  const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
  if (!file.ok) throw new Error(file.failure.sentence);
  const document: Document = file.value.now;
  const judge = (of: Document): Judged => {
    const nominal = solveDesign(of, catalogue);
    if (!nominal.ok) throw new Error(nominal.failure.sentence);
    const conditions = solveConditions(of, catalogue, nominal.value);
    if (!conditions.ok) throw new Error(conditions.failure.sentence);
    return { document: of, catalogue, nominal: nominal.value, conditions: [...conditions.value.values()] };
  };
  const judged = judge(document);
  const lift = judged.nominal.bias.netVolts.get("lift") ?? Number.NaN;
  const ground = { judged, winding: "H1", lifter: "lift", reference: { kind: "centre-tap" } } as const;
  const window = elevationWindow(elevationSections(ground));
  /** Findings as they stand with the reference moved to `volts` nominal. */
  const stopsAt = (volts: number): readonly string[] => {
    const moved = judged.conditions.map((one) => ({
      ...one,
      heaters: one.heaters.map((heater) => ({
        ...heater,
        referenceVolts: ((heater.referenceVolts * volts) / lift) as typeof heater.referenceVolts,
      })),
    }));
    const nominal = moved.find((one) => one.condition.id === "nominal") ?? { ...judged.nominal };
    return judged.nominal.expanded.triodes.flatMap((triode) =>
      heaterCathodeFindings({ ...judged, nominal, conditions: moved }, triode)
        .filter((one) => one.level === "stop")
        .map((one) => one.id),
    );
  };

  test("its lift lies inside, every section and the rectifier count", () => {
    if (window.kind !== "window") throw new Error(window.conflicts[0]?.sentence ?? "empty");
    expect(lift).toBeGreaterThan(window.low);
    expect(lift).toBeLessThan(window.high);
    expect(elevationSections(ground).map((one) => one.id)).toEqual(["L.V1a", "L.V1b", "R.V1a", "R.V1b", "V3"]);
  });
  test("on 12.6 V dc from a centre the ends stand 6.3 V off, still; from one end 12.6 V", () => {
    for (const [kind, off] of [
      ["centre-tap", 6.3],
      ["one-end", 12.6],
    ] as const) {
      const [section] = elevationSections({ ...ground, reference: { kind }, directVolts: 12.6 });
      expect(section?.states[0]?.heaterPeakVolts).toBe(0);
      expect(section?.states[0]?.heaterDcVolts).toBeCloseTo(off, 9);
    }
  });
  test("just inside its upper edge no heater-cathode finding stops, just outside one does; and so below", () => {
    if (window.kind !== "window") throw new Error("empty");
    expect(stopsAt(lift)).toEqual([]);
    expect(stopsAt(window.high - 1e-3)).toEqual([]);
    expect(stopsAt(window.high + 1e-3)).not.toEqual([]);
    const edge: ElevationBound | undefined = window.setLow;
    if (edge !== undefined && edge.section !== "V3" && window.low > 0) {
      expect(stopsAt(window.low + 1e-3)).toEqual([]);
      expect(stopsAt(window.low - 1e-3)).not.toEqual([]);
    }
  });

  const ask = { winding: "H1", net: "lift", reference: { kind: "centre-tap" } } as const;
  test("as a finding: the demo's lift is inside; lifted too far it stops and the Fix brings it back", () => {
    const [here] = elevationFindings(judged, ask);
    expect(here).toMatchObject({ rule: "elevation", where: "H1", fixes: [] });
    expect(here?.level).not.toBe("stop");
    const far = setPart(document, ["PS"], "R3", { value: "180k" });
    const [stop] = elevationFindings(judge(far), ask);
    expect(stop?.level).toBe("stop");
    const [fix] = stop?.fixes ?? [];
    expect(fix?.title).toMatch(/^PS.R2 100k → .* lifts the heaters to \d/);
    const mended = applyChanges(far, fix?.changes ?? []);
    if (!mended.ok) throw new Error("the Fix does not fit");
    const after = judge(mended.value);
    expect(elevationFindings(after, ask)[0]?.level).not.toBe("stop");
    for (const triode of after.nominal.expanded.triodes)
      expect(heaterCathodeFindings(after, triode).filter((one) => one.level === "stop")).toEqual([]);
  });
  test("the capacitor on the lift bounds the Fix in its worst condition: none at 63 V, as 80 % of it is 35 V cold at high mains", () => {
    const far = setPart(document, ["PS"], "R3", { value: "180k" });
    const power = far.blocks.power!;
    const small = (rating: number): Document => ({
      ...far,
      blocks: {
        ...far.blocks,
        power: {
          ...power,
          parts: power.parts.map((one) =>
            one.id === "C3" && one.kind === "capacitor" ? { ...one, volts: rating } : one,
          ),
        },
      },
    });
    const fixes = (rating: number) => elevationFindings(judge(small(rating)), ask)[0]?.fixes.length;
    expect([63, 160].map(fixes)).toEqual([0, 1]);
  });
  test("with the winding at ground the follower's limit stops, and the window of a lift is told", () => {
    const supply = document.supply!;
    const grounded: Document = {
      ...document,
      supply: {
        ...supply,
        transformer: {
          ...supply.transformer,
          heaters: supply.transformer.heaters.map((one) => ({ ...one, reference: "0" })),
        },
      },
    };
    const [stop] = elevationFindings(judge(grounded), { ...ask, net: "0" });
    expect(stop).toMatchObject({ level: "stop", rule: "elevation", value: 0 });
    expect(stop?.title).toMatch(/^H1 stands at 0.V; \d\d\.\d.V to \d\d\.\d.V keeps every tube on it legal$/);
    expect(stop?.limit).toBeGreaterThan(30);
    expect(stop?.source).not.toBe("");
  });
});
