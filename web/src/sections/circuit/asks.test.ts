import { applyChanges, type Document, solveDesign } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { demoOpen, demoShelf } from "../../../test/demo.ts";
import { partEdit } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { type Bench, openBench } from "../../worker/bench.ts";
import { circuitAsks } from "./asks.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const [first] = revisions;
if (first === undefined) throw new Error("the demo has a revision");
const { line: _line, seq: _seq, ...proven } = first;
const shelf = demoShelf().shelf;

const lay = (now: Document, kept = now): Bench =>
  openBench({ document: now, kept, proven, provenKey: "A", shelf }, catalogue);

function told<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("in steps");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

function changed(value: string, part = "R4"): Document {
  const next = applyChanges(document, partEdit(document, ["L", "R"], part, { value }).changes);
  if (!next.ok) throw new Error(next.failure.sentence);
  return next.value;
}

const bench = lay(document);
const now = solveDesign(document, catalogue);
if (!now.ok) throw new Error(now.failure.sentence);

describe("the drawing", () => {
  const { circuitLayout: layout } = circuitAsks;

  test("stands on the structure: a value in hand leaves it, a part less does not", () => {
    const reads = (of: Bench) => layout.reads?.(of) ?? [];
    expect(reads(lay(changed("820"), document))).toEqual(reads(bench));
    const own = document.blocks["channel"];
    if (own === undefined) throw new Error("channel");
    const parts = own.parts.filter(({ id }) => id !== "C1");
    const less = { ...document, blocks: { ...document.blocks, channel: { ...own, parts } } };
    expect(reads(lay(less, document))).not.toEqual(reads(bench));
    expect(layout.inHand).toBe(true);
  });

  test("fits the width that it is given as long as it can, and can be copied", () => {
    for (const width of [320, 245, 236]) {
      const found = told(layout.run(bench, { instance: "L", width }));
      if (found === null) throw new Error("no width");
      expect(found.width).toBeLessThanOrEqual(width);
      expect(found.apart).toBe(false);
      expect(structuredClone(found)).toEqual(found);
    }
    expect(layout.run(bench, { instance: "X", width: 200 })).toMatchObject({ ok: false });
  });
});

test("facts: figures of the solve, of the instance alone, with what the proven unit says otherwise", () => {
  const { facts } = told(circuitAsks.circuitFacts.run(bench, { instance: "L" }));
  expect(Object.keys(facts.values).every((id) => id.startsWith("L."))).toBe(true);
  expect(Number.parseFloat(facts.volts["L.p1"]?.now ?? "")).toBeCloseTo(now.value.bias.netVolts.get("L.p1") ?? 0, 0);
  const moved = told(circuitAsks.circuitFacts.run(lay(changed("1k2")), { instance: "L" })).facts;
  expect(moved.values["L.R4"]).toEqual({ now: "1.2\u202fkΩ", was: "680\u202fΩ" });
  expect(moved.volts["L.k1"]?.was).toBe(facts.volts["L.k1"]?.now);
});

test("signal: the jack as asked, the output as solved, the proven unit beside it", () => {
  const nets = ["L.in", "L.g1", "L.p1", "L.k2", "L.out"];
  const found = told(circuitAsks.circuitSignal.run(bench, { instance: "L", levelVolts: 1, nets }));
  if (found === null) throw new Error("nothing asked");
  expect(found.now["L.in"]).toBe(1);
  const output = now.value.channels[0]?.levels.find((one) => one.inputVolts === 1)?.outputVolts ?? 0;
  expect((found.now["L.out"] ?? 0) / output).toBeCloseTo(1, 3);
  expect(found.was).toEqual(found.now);
});

test("parts: each has a role, and stress is what stands there", () => {
  const parts = told(circuitAsks.circuitParts.run(bench, { instance: "L" }));
  expect(parts.map(({ part }) => part)).toEqual(document.blocks["channel"]?.parts.map(({ id }) => id));
  const load = parts.find(({ part }) => part === "R3");
  const amps = now.value.bias.triodes.get("L.V1a")?.plateAmps ?? 0;
  expect(load?.stress?.value).toBeCloseTo(amps * amps * 15e3, 6);
  expect(load?.stress?.limit).toBe(3);
  expect(load?.role).toBe("plate load of V1a");
});

test("a part: both steps solved whole, what is asked of it in every condition", () => {
  const found = told(
    circuitAsks.circuitPart.run(bench, {
      id: "L.R4",
      instance: "L",
      instances: ["L", "R"],
      series: "E12",
      levelVolts: 1,
    }),
  );
  expect(found.steps.map(({ edit }) => edit)).toEqual([{ value: "820" }, { value: "560" }]);
  const up = solveDesign(changed("820"), catalogue);
  if (!up.ok) throw new Error(up.failure.sentence);
  expect(found.steps[0]?.figures?.gainDecibels).toBeCloseTo(20 * Math.log10(up.value.channels[0]?.gain ?? 0), 6);
  expect(found.steps[0]?.figures?.triodes[0]?.plateAmps).toBeCloseTo(
    up.value.bias.triodes.get("L.V1a")?.plateAmps ?? 0,
    8,
  );
  expect(found.asked.map(({ rule }) => rule)).toEqual(["resistor-watts", "resistor-volts"]);
  const cold = told(
    circuitAsks.circuitPart.run(bench, { id: "L.C2", instance: "L", instances: ["L"], series: "E12", levelVolts: 1 }),
  );
  expect(cold.asked[0]?.condition).toContain("cold");
});

test("switches are edits of what is kept, whatever is in hand", () => {
  const { circuitSwitches: switches } = circuitAsks;
  const held = lay(changed("820"), document);
  expect(switches.reads?.(held)).toEqual(switches.reads?.(lay(document)));
  for (const one of told(switches.run(held, { instance: "L" })))
    for (const { changes } of one.choices) expect(applyChanges(document, changes).ok).toBe(true);
});

test("what matters most and a section's picture are plain and finite", () => {
  const rows = told(circuitAsks.circuitMatters.run(bench, { instance: "L", levelVolts: 1 }));
  expect(rows.length).toBeGreaterThan(4);
  const stage = told(circuitAsks.circuitStage.run(bench, { triode: "L.V1a" }));
  expect(stage.at.plateAmps).toBeCloseTo(now.value.bias.triodes.get("L.V1a")?.plateAmps ?? 0, 9);
  expect(structuredClone(stage)).toEqual(stage);
});
