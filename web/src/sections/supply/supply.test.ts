/** The Supply screen's asks against the rooms they stand on, and its edits. */
import { applyChanges, type Document, nodeTable, solveDesign, studySupply, supplyChain } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { partEdit } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { supplyAsks } from "./asks.ts";
import { decimated } from "./decimated.ts";
import { fillMeasured, fillUnknown, measuredFrom, unknownFrom } from "./iron-forms.ts";
import { movedIn } from "./moved.ts";
import { readNumber } from "./read-number.ts";
import {
  circuitsFor,
  dropMeasured,
  fitLabel,
  setDropper,
  setFuse,
  setHeater,
  setIron,
  setMains,
  setSeriesOhms,
  siliconForTube,
  supplyEdit,
} from "./supply-edits.ts";
import { along } from "./switch-on.tsx";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const { supply } = document;
const [revision] = revisions;
if (supply === undefined || revision === undefined) throw new Error("the demo has a supply and a revision");
const { line: _line, seq: _seq, ...proven } = revision;
const bench = openBench({ document, proven, provenKey: "A" }, catalogue);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  let whole: Answer<A> | undefined = "ok" in answer ? answer : undefined;
  if (!("ok" in answer))
    for (let step = answer.next(); ; step = answer.next())
      if (step.done === true) {
        whole = step.value;
        break;
      }
  if (whole === undefined || !whole.ok) throw new Error(whole?.failure ?? "no answer");
  return whole.value;
}

const changed = (of: Document, changes: Parameters<typeof applyChanges>[1]): Document => {
  const after = applyChanges(of, changes);
  if (!after.ok) throw new Error(after.failure.sentence);
  return after.value;
};

const study = (() => {
  const answer = studySupply(document, catalogue);
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
})();

describe("answers", () => {
  test("the chain is the solved design's, now and proven, in each condition that can be chosen", () => {
    const nominal = study.solved.get("nominal");
    if (nominal === undefined) throw new Error("not solved");
    const { now, was } = valueOf(supplyAsks.supplyChain.run(bench, {}));
    for (const [n, node] of (supplyChain(nominal)?.nodes ?? []).entries())
      expect(now.nodes[n]?.volts).toBeCloseTo(node.volts, 4);
    expect(was?.nodes.length).toBeGreaterThan(0);
    for (const condition of ["cold-mains-high", "without-V1", "lamp-all"]) {
      const there = valueOf(supplyAsks.supplyChainIn.run(bench, { condition }));
      expect(there.now.nodes[0]?.volts).toBeCloseTo(study.solved.get(condition)?.bias.netVolts.get("B1") ?? 0, 2);
    }
  });
  test("nodes and parts are the study's, condition by condition", () => {
    const shown = valueOf(supplyAsks.supplyNodes.run(bench, {}));
    const table = nodeTable(study, catalogue);
    expect(shown.rows.map((row) => row.id)).toEqual(table.rows.map((row) => row.id));
    for (const [n, row] of shown.rows.entries())
      for (const [k, reading] of row.readings.entries())
        if (reading.volts !== null)
          expect(reading.volts).toBeCloseTo(table.rows[n]?.readings[k]?.volts ?? Number.NaN, 3);
    for (const part of shown.parts)
      for (const [k, condition] of shown.conditions.entries()) {
        const row = study.rows.find((one) => one.condition.id === condition.id);
        const reading = part.readings[k];
        if (reading != null) expect(reading.share).toBeCloseTo(row?.parts[part.id]?.fraction ?? Number.NaN, 4);
      }
  });
  test("the worst load of each winding is never under its nominal one", () => {
    const { loads, power } = valueOf(supplyAsks.supplyNominal.run(bench, {}));
    const { worst } = valueOf(supplyAsks.supplyLoads.run(bench, {}));
    expect(loads.map((one) => one.id)).toEqual(expect.arrayContaining(["HT.amps", "H1.amps", "transformer.voltAmps"]));
    for (const one of loads)
      expect(worst.find((other) => other.id === one.id)?.value ?? 0).toBeGreaterThanOrEqual(one.value - 1e-9);
    const { mainsWatts, ...shares } = power;
    expect(Object.values(shares).reduce((sum, one) => sum + one, 0)).toBeCloseTo(mainsWatts, 9);
  });
  test("time, hum, lamp, faults and cycle are all there for the demo, as the study has them", () => {
    const on = valueOf(supplyAsks.supplyStartUp.run(bench, {}));
    expect(on.now?.nets[0]?.peak.volts).toBeCloseTo(study.startUp?.peaks.get("B1")?.volts ?? 0, 1);
    expect(on.bottles).toEqual(["V1", "V2"]);
    const off = valueOf(supplyAsks.supplyOff.run(bench, {}));
    expect(off.cold?.seconds).toBeCloseTo(study.discharge?.seconds ?? 0, 2);
    const hum = valueOf(supplyAsks.supplyHum.run(bench, { level: "unity" }));
    expect(hum.lines.length).toBe(study.hum?.lines.length);
    const set = valueOf(supplyAsks.supplyHum.run(bench, { level: "as set" }));
    expect(set.words).toBe("as set");
    const lamp = valueOf(supplyAsks.supplyLamp.run(bench, {}));
    expect(lamp.nodes.find((one) => one.id === "L.V1a/plate")?.volts[2]).toBeCloseTo(
      study.solved.get("lamp-all")?.bias.netVolts.get("L.p1") ?? 0,
      1,
    );
    const faults = valueOf(supplyAsks.supplyFaults.run(bench, {}));
    expect(faults.map((one) => one.id)).toEqual(study.faults.map((one) => one.fault.id));
    for (const one of faults) expect(one.advice.length).toBeGreaterThan(10);
    expect(valueOf(supplyAsks.supplyCycle.run(bench, {})).now.seconds.length).toBeGreaterThan(100);
  });
  test("heaters' places carry the sources of their edges", () => {
    const { places, conditions } = valueOf(supplyAsks.supplyHeaters.run(bench, {}));
    expect(conditions.length).toBe(4);
    expect(places[0]?.sources.every((one) => one !== null && one.length > 5)).toBe(true);
  });
  test("each wish is answered by a change that does it, tried on the whole", () => {
    const after = (what: string, value: number) => {
      const fix = valueOf(supplyAsks.supplyWish.run(bench, { what, value }));
      return openBench({ document: changed(document, fix.changes), provenKey: "" }, catalogue);
    };
    const volts = after("B2", 240).now();
    expect(volts.ok && Math.abs((volts.value.bias.netVolts.get("B2") ?? 0) - 240)).toBeLessThan(4);
    const hum = valueOf(supplyAsks.supplyHum.run(after("hum", -100), { level: "unity" }));
    for (const line of hum.lines) if (line.from === "ripple") expect(line.dbv).toBeLessThanOrEqual(-99.9);
    const off = valueOf(supplyAsks.supplyOff.run(after("discharge", 20), {}));
    expect(off.cold?.seconds).toBeLessThanOrEqual(20);
  });
  test("a design without a supply says so in every ask", () => {
    const { supply: _supply, ...rest } = document;
    const bare = openBench({ document: rest, provenKey: "" }, catalogue);
    for (const one of [supplyAsks.supplyChain, supplyAsks.supplyNominal] as const)
      expect(() => valueOf(one.run(bare, {}) as Answer<unknown>)).toThrow();
  });
  test("a label is read into a transformer with its assumptions, and a bad one refused with a sentence", () => {
    const read = valueOf(supplyAsks.supplyLabel.run(bench, { label: "250-0-250 V 80 mA, 6.3 V 3 A" }));
    expect(read.transformer.highTension.ratedRmsVoltsPerHalf).toBe(250);
    expect(read.notes.join(" ")).toMatch(/assumed/);
    expect(() => valueOf(supplyAsks.supplyLabel.run(bench, { label: "a lump of iron" }))).toThrow(/write it like/);
  });
});

describe("what an edit moves", () => {
  const chainOf = (of: Document) => {
    const solved = solveDesign(of, catalogue, { detail: "bias" });
    const chain = solved.ok ? supplyChain(solved.value) : undefined;
    if (chain === undefined) throw new Error("no chain");
    return chain;
  };
  test("nothing by nothing; a dropper moves itself and the nets behind it", () => {
    const kept = chainOf(document);
    expect([...movedIn(kept, kept)]).toEqual([]);
    const now = chainOf(changed(document, partEdit(document, ["PS"], "R1", { value: "2.2k" }).changes));
    const moved = movedIn(now, kept);
    for (const id of ["PS.R1", "B2", "L.b", "lift"]) expect(moved).toContain(id);
    expect(moved).not.toContain("PS.C1");
  });
});

describe("edits", () => {
  const edits = [
    setFuse(document, { amps: 0.5, kind: "slow", breaking: "high" }),
    setMains(document, "volts", 240),
    setMains(document, "lowPercent", -6),
    setSeriesOhms(document, "100"),
    setDropper(document, "H1", "0.1"),
    setHeater(document, "H1", "to ground", (one) => ({ ...one, reference: "0" })),
    setIron(document, "ac rms", (one) => ({ ...one, currentRating: "ac-rms" })),
    supplyEdit(document, "lamp", (one) => ({ ...one, lamp: { watts: 40, volts: 230 } })),
  ];
  test.each(edits.map((edit) => [edit.title, edit] as const))("%s: one step that can be taken back", (_title, edit) => {
    expect(edit.changes.length).toBeGreaterThan(0);
    const after = changed(document, edit.changes);
    expect(after).not.toEqual(document);
    const back = edit.changes.toReversed().map(({ target, before, after: then }) => ({
      target,
      ...(then === undefined ? {} : { before: then }),
      ...(before === undefined ? {} : { after: before }),
    }));
    expect(changed(after, back)).toEqual(document);
  });
  test("nought takes a resistance out again; what is as it was is no change", () => {
    const with100 = changed(document, setSeriesOhms(document, "100").changes);
    expect(changed(with100, setSeriesOhms(with100, "0").changes)).toEqual(document);
    expect(setSeriesOhms(document, "0").changes).toEqual([]);
    expect(setMains(document, "volts", supply.mains.volts).changes).toEqual([]);
  });
  test("circuits that can be made: no bridge with a tube alone, no hybrid with silicon alone", () => {
    expect(circuitsFor(supply)).toEqual(["full-wave", "half-wave"]);
    const silicon = { type: "1N4007", volts: 1000, amps: 1 };
    expect(circuitsFor({ ...supply, rectifier: { ...supply.rectifier, silicon } })).toContain("hybrid-bridge");
    const { envelope: _envelope, ...bare } = supply.rectifier;
    expect(circuitsFor({ ...supply, rectifier: { ...bare, silicon } })).toContain("bridge");
  });
  test("another label keeps the wired windings' names and reference; too few windings are refused", () => {
    const { transformer } = valueOf(
      supplyAsks.supplyLabel.run(bench, { label: "250-0-250 V 80 mA, 6.3 V 3 A, 5 V 2 A" }),
    );
    const edit = fitLabel(document, transformer);
    const fitted = changed(document, edit?.changes ?? []).supply?.transformer;
    expect(fitted?.heaters.map((one) => one.id)).toEqual(["H1", "H2"]);
    expect(fitted?.heaters[0]?.reference).toBe("lift");
    expect(fitLabel(document, { ...transformer, heaters: [] })).toBeUndefined();
  });
});

describe("iron by readings", () => {
  const iron = supply.transformer;
  const filled = { ...fillMeasured(iron, 230), primaryOhms: "48", ohms: "190", unloaded: "251" };
  test("readings go into the document and come back as they were written", () => {
    const made = measuredFrom(iron, {
      ...filled,
      "H1.unloaded": "6.9",
      "H1.loadedVolts": "6.4",
      "H1.loadedAmps": "2.4",
    });
    if (!made.ok) throw new Error(made.failure);
    const after = setIron(document, "x", (one) => ({ ...one, measured: made.value }));
    const then = changed(document, after.changes).supply?.transformer;
    if (then === undefined) throw new Error("no iron");
    const again = measuredFrom(then, fillMeasured(then, 230));
    expect(again.ok && again.value).toEqual(made.value);
    expect(dropMeasured(then)).toEqual(iron);
  });
  test("what is wanted is said: a missing reading, half a reading under load, a winding without its open volts", () => {
    const failure = (more: Record<string, string>) => {
      const made = measuredFrom(iron, { ...filled, ...more });
      return made.ok ? "" : made.failure;
    };
    expect(failure({})).toBe("");
    expect(failure({ primaryOhms: "" })).toMatch(/^Primary, cold: /);
    expect(failure({ loadedVolts: "240" })).toMatch(/its volts and its amperes/);
    expect(failure({ "H1.ohms": "0.1" })).toMatch(/^H1/);
    expect(failure({ ohms: "lots" })).toMatch(/High tension/);
  });
  test("unknown iron keeps only what was filled", () => {
    const made = unknownFrom({ ...fillUnknown(iron, 230), unloaded: "250", primaryOhms: "60", kilograms: "1.4" });
    expect(made.ok && made.value).toEqual({
      mainsVolts: 230,
      unloadedRmsVoltsPerHalf: 250,
      primaryOhms: 60,
      kilograms: 1.4,
    });
  });
});

test.each([
  ["-10", -10],
  ["−6", -6],
  ["0", 0],
  ["60m", 0.06],
])("the number of %s is %d", (text, value) => {
  expect(readNumber("voltage", text, -30, 100, false)).toEqual({ ok: true, value });
});
test.each(["", "ten", "-40", "101"])("%s is refused", (text) => {
  expect(readNumber("voltage", text, -30, 100, false).ok).toBe(false);
});

test("values of one curve at another's times: straight between, its own at its own (seed 5)", () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.double({ min: 0.1, max: 2, noNaN: true }), fc.double({ min: -9, max: 9, noNaN: true })), {
        minLength: 3,
        maxLength: 40,
      }),
      (steps) => {
        let at = 0;
        const times = steps.map(([step]) => (at += step));
        const values = steps.map(([, value]) => value);
        for (const [n, value] of along(times, times, values).entries()) expect(value).toBeCloseTo(values[n] ?? 0, 9);
        const middle = ((times[0] ?? 0) + (times[1] ?? 0)) / 2;
        expect(along([middle], times, values)[0]).toBeCloseTo(((values[0] ?? 0) + (values[1] ?? 0)) / 2, 9);
      },
    ),
    { seed: 5 },
  );
});

test("a curve thinned keeps its ends, rises, and is never longer than asked by more than its end (seed 8)", () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 1e-6, max: 1, noNaN: true }), { minLength: 2, maxLength: 400 }),
      fc.integer({ min: 3, max: 120 }),
      (steps, most) => {
        let at = 0;
        const times = steps.map((step) => (at += step));
        const kept = decimated(times, most);
        expect(kept[0]).toBe(0);
        expect(kept.at(-1)).toBe(times.length - 1);
        expect(kept.length).toBeLessThanOrEqual(Math.max(most + 1, times.length <= most ? times.length : 0));
        for (let n = 1; n < kept.length; n++) expect(kept[n]).toBeGreaterThan(kept[n - 1] ?? -1);
      },
    ),
    { seed: 8 },
  );
});

test("silicon in the tube's place: the bottle, its heater and its item are gone, and what is left solves", () => {
  const { title, changes } = siliconForTube(document);
  expect(title).toContain("1N4007");
  const changed = applyChanges(document, changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const { value } = changed;
  const was = supply.rectifier.envelope;
  expect(value.supply?.rectifier).not.toHaveProperty("envelope");
  expect(value.envelopes.map((one) => one.id)).not.toContain(was);
  expect(value.chassis?.items.some(({ what }) => "envelope" in what && what.envelope === was)).toBe(false);
  const [before, after] = [solveDesign(document, catalogue), solveDesign(value, catalogue)];
  if (!before.ok || !after.ok) throw new Error("both solve");
  // Silicon drops a volt where the tube dropped tens: more volts, and the heater's current is spared.
  const first = (one: typeof after) => (one.ok ? (one.value.bias.netVolts.get(supply.rectifier.output) ?? 0) : 0);
  expect(first(after)).toBeGreaterThan(first(before) + 10);
  const heater = (one: typeof after) => (one.ok ? one.value.heaters.reduce((sum, { amps }) => sum + amps, 0) : 0);
  expect(heater(after)).toBeLessThan(heater(before) - 0.4);
});
