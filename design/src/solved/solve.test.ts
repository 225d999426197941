import { readFileSync } from "node:fs";
import { amplitude, seededRandom, solveRectifier } from "@platewright/engine";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { rectifierProblem } from "../supply/rectifier-problem.ts";
import { solveConditions, solveDesign } from "./solve.ts";
import type { SolvedDesign } from "./types.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

const solved = (document = base, near?: SolvedDesign): SolvedDesign => {
  const answer = solveDesign(document, catalogue, { detail: "levels", ...(near === undefined ? {} : { near }) });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
};

test("supply and circuit agree: the rectifier at the load's current gives the volts of the first capacitor, to 1 mV", () => {
  const design = solved();
  const { supply } = design;
  if (supply === undefined || base.supply === undefined) throw new Error("no supply");
  const problem = rectifierProblem(base, base.supply, catalogue, 1, 33e-6);
  if (!problem.ok) throw new Error(problem.failure);
  const alone = solveRectifier({ ...problem.value, load: { amps: supply.loadAmps } });
  if (!alone.ok) throw new Error(alone.failure.kind);
  expect(Math.abs(alone.value.dcVolts - (design.bias.netVolts.get("B1") ?? 0))).toBeLessThan(1e-3);
  // Kirchhoff: both channels' tubes and the divider draw it all.
  const tubes = [...design.bias.triodes.values()].reduce((sum, t) => sum + t.plateAmps, 0);
  const divider = (design.bias.netVolts.get("B2") ?? 0) / 122e3;
  expect(supply.loadAmps).toBeCloseTo(tubes + divider, 8);
});

test("warm equals cold over a run of edits: 2 uV, 1e-7 of the fundamental (seed 31)", () => {
  const random = seededRandom(31);
  let near = solved();
  let document = base;
  const values = {
    R3: ["10k", "12k", "15k", "18k", "22k"],
    R4: ["390", "470", "680", "820", "1k"],
    R8: ["6k8", "8k2", "10k", "12k"],
    R11: ["1k8", "2k2", "2k7"],
  };
  for (let n = 0; n < 25; n++) {
    const ids = Object.keys(values) as (keyof typeof values)[];
    const id = ids[Math.floor(random.uniform() * ids.length)] as keyof typeof values;
    const list = values[id];
    const instances = random.uniform() < 0.3 ? ["L"] : ["L", "R"];
    document = setPart(document, instances, id, { value: list[Math.floor(random.uniform() * list.length)] as string });
    const warm = solved(document, near);
    const cold = solved(document);
    for (const [net, volts] of cold.bias.netVolts)
      expect(Math.abs((warm.bias.netVolts.get(net) ?? Number.NaN) - volts), net).toBeLessThan(2e-6);
    for (const [c, channel] of cold.channels.entries())
      for (const [l, level] of channel.levels.entries()) {
        const other = warm.channels[c]?.levels[l]?.answer.output;
        if (other === undefined) throw new Error("missing level");
        for (const k of [1, 2, 3])
          expect(
            Math.abs(amplitude(other, k) - amplitude(level.answer.output, k)) / amplitude(level.answer.output, 1),
          ).toBeLessThan(1e-7);
      }
    near = warm;
  }
});

test("an override in one channel parts the channels; equal ones are solved once and read alike", () => {
  const equal = solved();
  expect(equal.channels.map((one) => one.sameAs)).toEqual([undefined, "L"]);
  const parted = solved(setPart(base, ["R"], "R4", { value: "820" }));
  expect(parted.channels.map((one) => one.sameAs)).toEqual([undefined, undefined]);
  const [left, right] = parted.channels;
  expect(right?.levels[1]?.ratios[0]).not.toBeCloseTo(left?.levels[1]?.ratios[0] ?? 0, 4);
  // The left one keeps its values but for the shared supply.
  expect(left?.gain).toBeCloseTo(equal.channels[0]?.gain ?? 0, 2);
});

test("the level at the jack is the level asked, whatever stands in the source", () => {
  const soft = { ...base, targets: { ...base.targets, sourceOhms: "10k" } };
  const [stiff, weak] = [solved(), solved(soft)].map((one) => one.channels[0]);
  // The drive control's 50k (beside the grid leak) loads the source; the jack's level is held all the same.
  expect(weak?.levels[1]?.outputVolts).toBeCloseTo(stiff?.levels[1]?.outputVolts ?? 0, 3);
});

test("conditions: more mains, more volts; cold draws only the divider and stands highest", () => {
  const all = solveConditions(base, catalogue);
  if (!all.ok) throw new Error(all.failure.sentence);
  const volts = (id: "nominal" | "mains-low" | "mains-high" | "cold" | "cold-mains-high") =>
    all.value.get(id)?.bias.netVolts.get("B1") ?? 0;
  expect(volts("mains-low")).toBeLessThan(volts("nominal"));
  expect(volts("nominal")).toBeLessThan(volts("mains-high"));
  expect(volts("mains-high")).toBeLessThan(volts("cold-mains-high"));
  const cold = all.value.get("cold");
  expect(cold?.supply?.loadAmps).toBeCloseTo((cold?.bias.netVolts.get("B2") ?? 0) / 122e3, 9);
  expect(cold?.bias.netVolts.get("L.p1")).toBeCloseTo(cold?.bias.netVolts.get("L.b") ?? 0, 6);
});

test("a tube without a law is one sentence", () => {
  const answer = solveDesign(
    { ...base, envelopes: base.envelopes.map((one) => (one.id === "V1" ? { ...one, type: "6H30" } : one)) },
    catalogue,
  );
  expect(answer).toMatchObject({ ok: false });
  expect(answer.ok ? "" : answer.failure.sentence).toMatch(/L\.V1a: the library has no law for 6H30/);
});
