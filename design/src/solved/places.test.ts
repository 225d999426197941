import { readFileSync } from "node:fs";
import { amplitude, seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { circuitSwitches } from "../circuit-options/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { neighbourFigures } from "./neighbours.ts";
import { partRoles } from "./part-roles.ts";
import { partSensitivities } from "./sensitivity.ts";
import { signalLevels } from "./signal-levels.ts";
import { solveDesign } from "./solve.ts";
import type { SolvedDesign } from "./types.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;

function solve(document: Document): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels" });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}
const solved = solve(demo);

/** The demo with every part and net called otherwise. */
function renamed(): SolvedDesign {
  const text = JSON.stringify(demo).replaceAll(
    /"(?:in|w1|g1|p1|k1|c2|g2|k2|tap|o1|o2|out)"/g,
    (net) => `"x${net.slice(1)}`,
  );
  const nets = text.replaceAll(/"net":"([LR])\.(?!b")/g, '"net":"$1.x');
  return solve(JSON.parse(nets.replaceAll(/"label":"[^"]*"/g, '"label":"?"')) as Document);
}

describe("roles", () => {
  const names = (of: SolvedDesign, instance = "L") =>
    Object.fromEntries(
      [...partRoles(of)].flatMap(([id, { name }]) =>
        id.startsWith(`${instance}.`) ? [[id.slice(instance.length + 1), name]] : [],
      ),
    );

  test("of the demo's channel and supply", () => {
    expect(names(solved)).toEqual({
      J1: "input jack",
      P1: "drive control",
      R1: "grid leak of V1a",
      R2: "grid stopper of V1a",
      V1a: "gain stage",
      R3: "plate load of V1a",
      R4: "cathode resistor of V1a",
      C1: "cathode bypass of V1a",
      C2: "coupling into V1b",
      R5: "grid leak of V1b",
      R6: "grid stopper of V1b",
      V1b: "cathode follower",
      R7: "bias resistor of V1b",
      R8: "tail of V1b",
      R9: "series resistor behind V1b",
      C3: "coupling to the output",
      R10: "bleed of the coupling capacitor",
      P2: "level control",
      J2: "output jack",
      R11: "dropper",
      C4: "reservoir",
    });
    expect(names(solved, "PS")).toEqual({
      C1: "first capacitor",
      R1: "dropper",
      C2: "reservoir",
      R2: "heater lift, upper half",
      R3: "heater lift, lower half",
      C3: "heater lift capacitor",
    });
  });

  test("do not depend on what nets and labels are called", () => {
    expect(names(renamed())).toEqual(names(solved));
  });

  test("follow the switches: a sink below, a direct follower, a bare cathode", () => {
    const turned = (kind: string) => {
      const found = circuitSwitches({ solved, catalogue, instance: "L" }).find((one) => one.kind === kind);
      const changed = applyChanges(demo, found?.choices.find((one) => !one.present)?.changes ?? []);
      if (!changed.ok) throw new Error(changed.failure.sentence);
      return partRoles(solve(changed.value));
    };
    expect(turned("tail").get("L.I1")?.name).toBe("current sink below V1b");
    expect(turned("coupling").get("L.R6")?.name).toBe("grid stopper of V1b");
    expect(turned("bypass").get("L.R4")?.does).toContain("Nothing bypasses it");
    expect(partRoles(solved).get("L.R4")?.does).toContain("its capacitor stands across it");
  });

  test("every part has words", () => {
    for (const [id, { name, does }] of partRoles(solved)) {
      expect(name, id).not.toBe("");
      expect(does.length, id).toBeGreaterThan(10);
      expect(does, id).not.toMatch(/NaN|not computed|undefined/);
    }
  });
});

describe("signal levels", () => {
  const nets = ["L.in", "L.g1", "L.p1", "L.k2", "L.out"];

  test.each([0.01, 0.3, 1, 2])("at %f V: the jack as asked, the output as the channel's own solve", (level) => {
    const own = solveDesign(demo, catalogue, { levels: [level], detail: "levels" });
    const found = signalLevels(solved, "L", level, nets);
    if (!found.ok || !own.ok) throw new Error("not solved");
    const output = own.value.channels[0]?.levels[0]?.answer.output;
    if (output === undefined) throw new Error("no level");
    expect(found.value.netVolts.get("L.in")).toBe(level);
    expect((found.value.netVolts.get("L.out") ?? 0) / (amplitude(output, 1) / Math.SQRT2)).toBeCloseTo(1, 6);
    expect(found.value.h2Ratio / (amplitude(output, 2) / amplitude(output, 1))).toBeCloseTo(1, 3);
  });

  test("small signals multiply out: plate over grid is the stage's own gain, the follower is below one", () => {
    const found = signalLevels(solved, "L", 1e-3, nets);
    const bias = solved.bias.triodes.get("L.V1a");
    if (!found.ok || bias === undefined) throw new Error("not solved");
    const at = (net: string) => found.value.netVolts.get(net) ?? Number.NaN;
    const stage = at("L.p1") / at("L.g1");
    // Bypassed, the load is R3 with the follower's grid circuit across it: never more than R3 alone.
    const alone = (bias.mu * 15e3) / (bias.plateOhms + 15e3);
    expect(stage).toBeLessThan(alone);
    expect(stage).toBeGreaterThan(0.9 * alone);
    expect(at("L.k2") / at("L.p1")).toBeGreaterThan(0.8);
    expect(at("L.k2") / at("L.p1")).toBeLessThan(1);
    expect(at("L.g1") / at("L.in")).toBeCloseTo(1, 2);
  });

  test("who is no channel is told so", () => {
    const found = signalLevels(solved, "PS", 1, []);
    expect(found.ok ? "" : found.failure).toContain("no channel");
  });
});

test("neighbours agree with first-order sensitivities as far as those go (docs/sensitivity.md)", () => {
  const first = partSensitivities(solved, { channel: "L", levelVolts: 1, catalogue });
  if (!first.ok) throw new Error(first.failure);
  for (const row of first.value.rows) {
    if (row.step?.edit === undefined || row.instance !== "L") continue;
    const exact = neighbourFigures(
      { document: demo, catalogue, near: solved, channel: "L", levelVolts: 1, instances: ["L", "R"], part: row.part },
      [row.step.edit],
    );
    const [then] = exact.ok ? exact.value.after : [];
    if (!exact.ok || then?.ok !== true) throw new Error(row.id);
    const { now } = exact.value;
    expect(Math.abs(then.value.gainDecibels - now.gainDecibels - row.step.change.gainDecibels), row.id).toBeLessThan(
      0.1,
    );
    for (const [n, triode] of row.step.change.triodes.entries()) {
      const [is, was] = [then.value.triodes[n], now.triodes[n]];
      if (is === undefined || was === undefined) throw new Error("triode");
      expect(Math.abs(is.plateAmps - was.plateAmps - triode.plateAmps) / was.plateAmps, row.id).toBeLessThan(0.01);
    }
  }
});

test("a step up and the step back down from there are the same design: seed 7", () => {
  const random = seededRandom(7);
  for (const part of ["R3", "R4", "R8"]) {
    const value = ["12k", "820", "10k", "680"][random.below(4)] ?? "820";
    const up = setPart(demo, ["L", "R"], part, { value });
    const before = demo.blocks["channel"]?.parts.find(({ id }) => id === part);
    const ask = { catalogue, channel: "L", levelVolts: 1, instances: ["L", "R"], part };
    const there = neighbourFigures({ ...ask, document: demo, near: solved }, [{ value }]);
    const back = neighbourFigures({ ...ask, document: up, near: solve(up) }, [
      { value: before !== undefined && "value" in before ? before.value : "" },
    ]);
    const [end] = there.ok ? there.value.after : [];
    const [home] = back.ok ? back.value.after : [];
    if (!there.ok || !back.ok || end?.ok !== true || home?.ok !== true) throw new Error(part);
    expect(end.value.outputOhms / back.value.now.outputOhms).toBeCloseTo(1, 6);
    expect((home.value.h2Ratio ?? 0) / (there.value.now.h2Ratio ?? 1)).toBeCloseTo(1, 4);
  }
});
