/** The supply's study on the demo and on what was done to it: balances, closed forms, and every Fix tried. */
import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Finding } from "../findings.ts";
import { supplyFindings } from "../limits/supply.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { chooseFuse, fuseVerdict } from "./fuse.ts";
import { reservoirs, solveDischarge, solveStartUp } from "./start-up.ts";
import { solveBehindLamp } from "./situations.ts";
import { STUDY_STAGES, type SupplyStudy, studySteps, studySupply } from "./study.ts";
import { dropperFix } from "./values.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;
const supply = base.supply as NonNullable<Document["supply"]>;

const study = (document: Document): SupplyStudy => {
  const answer = studySupply(document, catalogue);
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
};
const whole = study(base);
const nominal = whole.solved.get("nominal") as SolvedDesign;

describe("balance", () => {
  test.each([...whole.solved].map(([id, solved]) => ({ id, solved })))(
    "$id: heat is what the winding gives",
    ({ solved }) => {
      const { rectifier, loadAmps = 0 } = solved.supply ?? {};
      if (rectifier === undefined) return;
      const { windingWatts, heatWatts, loadWatts, capacitorMeanAmps } = rectifier.balance;
      expect(Math.abs(windingWatts - heatWatts - loadWatts)).toBeLessThan(1e-3 * windingWatts);
      expect(Math.abs(capacitorMeanAmps)).toBeLessThan(1e-6 * Math.max(loadAmps, 1e-3));
      // And what the load takes is what the circuit's resistors and tubes turn into heat.
      const at = (net: string) => (net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? 0));
      let heat = 0;
      for (const part of solved.parts) {
        if (part.kind === "resistor") heat += (at(part.a) - at(part.b)) ** 2 / part.ohms;
        if (part.kind === "potentiometer") heat += (at(part.top) - at(part.bottom)) ** 2 / part.ohms;
      }
      for (const bias of solved.bias.triodes.values()) heat += bias.plateWatts + bias.gridVolts * bias.gridAmps;
      const taken = at(supply.rectifier.output) * loadAmps;
      expect(Math.abs(heat - taken)).toBeLessThan(1e-3 * taken);
    },
  );
});

describe("in steps", () => {
  test("stages come in their order, what is known only grows, and the end is the whole study", () => {
    const steps = studySteps(base, catalogue, nominal);
    let known = { rows: 0, faults: 0, lamp: 0 };
    let stage = 0;
    let count = 0;
    for (;;) {
      const step = steps.next();
      if (step.done === true) {
        if (!step.value.ok) throw new Error(step.value.failure.sentence);
        expect(step.value.value.rows).toEqual(studied().rows);
        expect(step.value.value.faults.map((one) => one.fault.id)).toEqual(whole.faults.map((one) => one.fault.id));
        expect(step.value.value.discharge?.seconds).toBe(whole.discharge?.seconds);
        break;
      }
      const { done, total, soFar } = step.value;
      count++;
      expect(done).toBe(count);
      expect(done).toBeLessThanOrEqual(total);
      expect(STUDY_STAGES.indexOf(step.value.stage)).toBeGreaterThanOrEqual(stage);
      stage = STUDY_STAGES.indexOf(step.value.stage);
      const now = { rows: soFar.rows.length, faults: soFar.faults.length, lamp: soFar.lamp.length };
      for (const key of ["rows", "faults", "lamp"] as const) expect(now[key]).toBeGreaterThanOrEqual(known[key]);
      known = now;
    }
    expect(known.faults).toBe(whole.faults.length);
  });
  const studied = () => {
    const again = studySupply(base, catalogue, nominal);
    if (!again.ok) throw new Error(again.failure.sentence);
    return again.value;
  };
});

describe("in time", () => {
  test("the course of the slowest net falls from where it stood, and passes 60 V at the time that is told", () => {
    const { discharge } = whole;
    if (discharge === undefined) throw new Error("no discharge");
    const { seconds, volts } = discharge.course;
    expect(seconds[0]).toBe(0);
    expect(volts[0]).toBeCloseTo(whole.solved.get("cold-mains-high")?.bias.netVolts.get(discharge.slowestNet) ?? 0, 2);
    for (let n = 1; n < seconds.length; n++) expect(seconds[n]).toBeGreaterThan(seconds[n - 1] ?? 0);
    const after = seconds.findIndex((time) => time >= discharge.seconds);
    expect(volts[after] ?? 0).toBeLessThanOrEqual(60);
    expect(volts[after - 1] ?? 0).toBeGreaterThanOrEqual(60 * 0.98);
  });

  test.each([1, 1.1])("a start at %f of the mains ends where the steady solve stands, to 0.5 %", (factor) => {
    const id = factor === 1 ? "nominal" : "mains-high";
    const started = solveStartUp(base, supply, catalogue, nominal, factor);
    if (!started.ok) throw new Error(started.failure);
    for (const net of reservoirs(nominal)) {
      const steady = whole.solved.get(id)?.bias.netVolts.get(net) ?? Number.NaN;
      const end = started.value.netVolts.get(net)?.at(-1) ?? Number.NaN;
      expect(Math.abs(end - steady)).toBeLessThan(0.005 * Math.abs(steady) + 1e-3);
    }
    // With the tubes late, the capacitors come near the cold solve, and never above it.
    const cold = whole.solved.get(factor === 1 ? "cold" : "cold-mains-high")?.bias.netVolts.get("B1") ?? Number.NaN;
    expect(started.value.peaks.get("B1")?.volts).toBeLessThan(cold);
    expect(started.value.peaks.get("B1")?.volts).toBeGreaterThan(0.95 * cold);
  });

  test("discharge without tubes: R C ln(V / 60) of the divider and everything it drains, within the spread of the chain", () => {
    const cold = whole.solved.get("cold-mains-high") as SolvedDesign;
    const answer = solveDischarge(base, catalogue, cold, "");
    if (!answer.ok) throw new Error(answer.failure);
    // 33 + 47 + 2 x 47 uF into 122 kohm; the small resistors between hold them nearly together.
    const closed = 122e3 * 174e-6 * Math.log((cold.bias.netVolts.get("B2") ?? 0) / 60);
    expect(answer.value.seconds).toBeGreaterThan(0.97 * closed);
    expect(answer.value.seconds).toBeLessThan(1.05 * closed);
    expect(answer.value.joules).toBeGreaterThan(0.5 * 174e-6 * 368 ** 2);
  });
});

test.each([25, 40, 60, 100, 200])(
  "behind a lamp of %i W lamp and primary share the mains; a larger lamp leaves more",
  (watts) => {
    const at = (lampWatts: number) => {
      const lamp = { watts: lampWatts, volts: 230 };
      const answer = solveBehindLamp(base, { ...supply, lamp }, catalogue, "lamp-all", nominal);
      if (!answer.ok) throw new Error(answer.failure.sentence);
      return answer.value;
    };
    const here = at(watts);
    expect(here.lampVolts + here.solved.condition.mainsFactor * 230).toBeCloseTo(230, 0);
    expect(at(watts * 1.5).solved.condition.mainsFactor).toBeGreaterThan(here.solved.condition.mainsFactor);
  },
);

test("a fuse carries what is drawn and opens at what a short draws", () => {
  const random = seededRandom(71);
  for (let n = 0; n < 100; n++) {
    const amps = 0.04 * 80 ** random.uniform();
    const fuse = chooseFuse(amps);
    expect(fuseVerdict(fuse, amps)).toBe("does not open");
    expect(fuse).toBeLessThan(2 * amps);
    expect(fuseVerdict(fuse, 3 * fuse)).toBe("opens within seconds");
  }
});

test("faults: the shorted capacitor's feed burns, an open part carries nothing, a twin is asked once", () => {
  const of = (id: string) => whole.faults.find((one) => one.fault.id === id);
  // The shorted channel reservoir puts B2 over 2.2 kohm, 2 W.
  const feed = of("short/L.C4")?.burns.find((one) => one.part === "L.R11");
  expect(feed?.times).toBeGreaterThan(3);
  expect(of("open/L.R4")?.burns.some((one) => one.part === "L.R4")).toBe(false);
  expect(whole.faults.some((one) => one.fault.where.startsWith("R."))).toBe(false);
  expect(of("short/PS.C1")?.fuse).toBe("opens within seconds");
  // The output capacitor is all that keeps the follower's cathode off the jack.
  expect(of("short/L.C3")?.outputVolts).toBeGreaterThan(1);
});

describe("fixes", () => {
  const without = (document: Document, id: string): Document => ({
    ...document,
    blocks: Object.fromEntries(
      Object.entries(document.blocks).map(([name, block]) => [
        name,
        name === "power" ? { ...block, parts: block.parts.filter((one) => one.id !== id) } : block,
      ]),
    ),
  });
  const { fuse: _fuse, ...unfused } = supply;
  // Each is the demo with one thing made worse, and the rule that must notice it.
  const worse: readonly (readonly [string, string, Document])[] = [
    ["no fuse", "fuse", { ...base, supply: unfused }],
    [
      "a fuse too small",
      "fuse",
      { ...base, supply: { ...supply, fuse: { amps: 0.1, kind: "slow", breaking: "high" } } },
    ],
    ["less smoothing", "hum", setPart(base, ["L", "R"], "C4", { value: "10u" })],
    [
      "a slow bleeder",
      "discharge",
      setPart(setPart(base, ["PS"], "R2", { value: "330k" }), ["PS"], "R3", { value: "68k" }),
    ],
    ["a house that wants silence", "thump", { ...base, houseRules: { ...base.houseRules, thumpVolts: 0.2 } }],
  ];
  test.each(worse)("%s: the Fix of %s removes its finding and adds no stop", (_name, rule, document) => {
    const before = supplyFindings(study(document), catalogue);
    const bad = before.filter((one) => one.rule === rule && one.level !== "ok");
    expect(bad.length).toBeGreaterThan(0);
    for (const finding of bad) {
      expect(finding.fixes.length, finding.title).toBeGreaterThan(0);
      for (const fix of finding.fixes) {
        const changed = applyChanges(document, fix.changes);
        if (!changed.ok) throw new Error(changed.failure.sentence);
        const after = supplyFindings(study(changed.value), catalogue);
        expect(after.find((one) => one.id === finding.id)?.level ?? "ok", fix.title).toBe("ok");
        const stops = (list: readonly Finding[]) => list.filter((one) => one.level === "stop").map((one) => one.id);
        expect(stops(after).filter((id) => !stops(before).includes(id))).toEqual([]);
      }
    }
  });

  test("no bleeder at all is never said to be fine", () => {
    const bare = without(without(without(base, "R2"), "R3"), "C3");
    const document: Document = {
      ...bare,
      supply: {
        ...supply,
        transformer: {
          ...supply.transformer,
          heaters: supply.transformer.heaters.map((one) => ({ ...one, reference: "0" })),
        },
      },
      instances: bare.instances.map((one) => (one.id === "PS" ? { ...one, ports: { b1: "B1", b2: "B2" } } : one)),
    };
    const found = supplyFindings(study(document), catalogue).find((one) => one.rule === "discharge");
    expect(found?.level).not.toBe("ok");
    expect(found?.title).toContain("measure before touching");
  });

  test.each([230, 245, 262])("a dropper for %i V at B2 from E12 comes as near as the series allows", (wanted) => {
    const fix = dropperFix(base, catalogue, nominal, "B2", wanted);
    if (fix === undefined) throw new Error("no dropper");
    const changed = applyChanges(base, fix.changes);
    if (!changed.ok) throw new Error(changed.failure.sentence);
    const solved = solveDesign(changed.value, catalogue, { detail: "bias" });
    if (!solved.ok) throw new Error(solved.failure.sentence);
    // A step of E12 is some 20 %, so half a step of the drop is left at most.
    const volts = solved.value.bias.netVolts.get("B2") ?? 0;
    const drop = (solved.value.bias.netVolts.get("B1") ?? 0) - volts;
    expect(Math.abs(volts - wanted)).toBeLessThan(0.12 * drop);
  });
});
