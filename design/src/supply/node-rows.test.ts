/** Nodes in every condition, heater windings and one mains cycle, against the study and the findings they stand beside. */
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import { judgeDesign } from "../judge-design.ts";
import { levelRank } from "../limits/judge.ts";
import { type Edit, part, testDocuments } from "../limits/test-documents.ts";
import { solveConditions } from "../solved/solve.ts";
import { heaterPlaces } from "./heater-places.ts";
import { mainsCycle } from "./mains-cycle.ts";
import { nodeTable, rowLevel } from "./node-rows.ts";
import { type SupplyStudy, studySupply } from "./study.ts";

const catalogue = openCatalogue();
const { made } = testDocuments(readFileSync("examples/hearth/hearth.design.json", "utf8"), catalogue);

const silicon = { type: "1N4007", volts: 1000, amps: 1 };
const front =
  (rectifier: Record<string, unknown>): Edit =>
  (_power, now) => {
    Object.assign(now.supply.rectifier, rectifier);
    if (rectifier["silicon"] !== undefined) delete now.supply.rectifier["envelope"];
  };

interface Whole {
  readonly document: Document;
  readonly study: SupplyStudy;
  readonly findings: readonly Finding[];
}

function whole(document: Document): Whole {
  const study = studySupply(document, catalogue);
  if (!study.ok) throw new Error(study.failure.sentence);
  const nominal = study.value.solved.get("nominal");
  if (nominal === undefined) throw new Error("not solved");
  const findings = judgeDesign(document, catalogue, nominal, { study: study.value, fixes: false });
  if (!findings.ok) throw new Error(findings.failure);
  return { document, study: study.value, findings: findings.value };
}

describe("nodes", () => {
  let demo: Whole;
  beforeAll(() => {
    demo = whole(made(() => undefined));
  });
  const table = () => nodeTable(demo.study, catalogue);

  test("a column for every condition but the lamp's, volts as solved, the worst column the largest share", () => {
    const { conditions, rows } = table();
    expect(conditions.map((one) => one.id)).toEqual([
      "mains-low",
      "nominal",
      "mains-high",
      "cold",
      "cold-mains-high",
      "pulled",
      "without-V1",
      "without-V2",
    ]);
    for (const row of rows) {
      expect(row.readings.length).toBe(conditions.length);
      if (row.kind === "net")
        for (const [n, condition] of conditions.entries())
          expect(row.readings[n]?.volts).toBe(demo.study.solved.get(condition.id)?.bias.netVolts.get(row.id));
      const shares = row.readings.map((one) => one.share ?? -1);
      if (row.worst !== undefined) expect(shares[row.worst]).toBe(Math.max(...shares));
    }
  });
  test("every reservoir, plate and half has its row; a bottle that is out has no heater-cathode", () => {
    const { conditions, rows } = table();
    const words = rows.map((row) => row.words);
    for (const wanted of [
      "B1, C1",
      "B2, C2",
      "lift, C3",
      "C4",
      "V1a plate",
      "V1b plate",
      "V1a cathode",
      "V1b cathode",
      "V1a heater-cathode",
      "V1b heater-cathode",
      "V3 heater-cathode",
    ])
      expect(words).toContain(wanted);
    expect(new Set(words).size).toBe(words.length);
    const out = conditions.findIndex((one) => one.id === "without-V1");
    expect(rows.find((row) => row.id === "L.V1a/heater")?.readings[out]).toEqual({
      volts: null,
      limit: null,
      share: null,
    });
    expect(rows.find((row) => row.id === "L.V1a/plate")?.readings[out]?.share).toBeNull();
  });
  test("heater to cathode is the cathode less the lift, and shares its limit with the finding", () => {
    const { conditions, rows } = table();
    const row = rows.find((one) => one.id === "L.V1b/heater");
    const n = conditions.findIndex((one) => one.id === "nominal");
    const nominal = demo.study.solved.get("nominal");
    const apart = (nominal?.bias.netVolts.get("L.k2") ?? 0) - (nominal?.bias.netVolts.get("lift") ?? 0);
    expect(row?.readings[n]?.volts).toBeCloseTo(apart, 9);
    const judged = demo.findings.find((one) => one.id === "heater-cathode-dc-positive/L.V1b");
    expect(row?.readings[n]?.limit).toBe(judged?.limit);
  });
  test("a level is never milder than the rating's own and never milder than a finding of the row", () => {
    for (const row of table().rows) {
      const level = rowLevel(row, demo.findings);
      if (level === undefined) continue;
      if (row.level !== undefined) expect(levelRank(level)).toBeGreaterThanOrEqual(levelRank(row.level));
      for (const one of demo.findings)
        if (row.rules.includes(one.rule) && row.where.includes(one.where))
          expect(levelRank(level)).toBeGreaterThanOrEqual(levelRank(one.level));
    }
    // The limits of this tube are unverified: no half of it says ok.
    const half = table().rows.find((row) => row.id === "L.V1a/heater");
    expect(half === undefined ? undefined : rowLevel(half, demo.findings)).toBe("watch");
  });
  test("where channels differ every row says whose it is, and both are there", () => {
    const apart = whole(
      made((_power, now) => {
        Object.assign(now.instances[1] ?? {}, { overrides: { R11: { value: "3.3k" } } });
      }),
    );
    const words = nodeTable(apart.study, catalogue).rows.map((row) => row.words);
    for (const wanted of ["L.V1a plate", "R.V1a plate", "L.C4", "R.C4", "L.V1b heater-cathode"])
      expect(words).toContain(wanted);
    expect(new Set(words).size).toBe(words.length);
  });
  test("a capacitor rated below what it sees is a stop in its row, cold, mains high", () => {
    const low = whole(
      made((power) => {
        part(power, "C2").volts = 350;
      }),
    );
    const { conditions, rows } = nodeTable(low.study, catalogue);
    const row = rows.find((one) => one.words === "B2, C2");
    expect(row?.level).toBe("stop");
    expect(["cold-mains-high", "pulled"]).toContain(conditions[row?.worst ?? -1]?.id);
  });
});

describe("heater windings", () => {
  const places = (document: Document) => {
    const { study } = whole(document);
    const nominal = study.solved.get("nominal");
    if (nominal === undefined) throw new Error("not solved");
    const conditions = solveConditions(document, catalogue, nominal);
    if (!conditions.ok) throw new Error(conditions.failure.sentence);
    return heaterPlaces({ document, catalogue, nominal, conditions: [...conditions.value.values()] });
  };
  test("the window and the inrush are those that the findings say", () => {
    const demo = whole(made(() => undefined));
    const [place] = places(demo.document);
    const rush = demo.findings.find((one) => one.id === "heater-inrush/H1");
    expect(place?.inrushAmps?.[1]).toBeCloseTo(rush?.value ?? Number.NaN, 6);
    const said = demo.findings.find((one) => one.id === "elevation/H1");
    expect(said?.title).toContain(`${place?.window?.low.toFixed(1)} V to ${place?.window?.high?.toFixed(1)} V`);
    expect(place?.volts).toBeCloseTo(said?.value ?? Number.NaN, 6);
    expect(place?.setLow?.section).toBe("L.V1b");
  });
  test("at ground the followers' window is left below, and said who needs it", () => {
    const grounded = made((_power, now) => {
      const supply = now.supply as unknown as { transformer: { heaters: { reference: string }[] } };
      for (const one of supply.transformer.heaters) one.reference = "0";
    });
    const [place] = places(grounded);
    expect(place?.volts).toBe(0);
    expect(place?.window?.low ?? Number.NaN).toBeGreaterThan(0);
  });
});

describe("one mains cycle", () => {
  test.each([
    ["the tube", front({})],
    ["a choke input", front({ choke: { value: "30", seriesOhms: "200", amps: 0.05 } })],
    ["a silicon bridge", front({ silicon, circuit: "bridge" })],
    ["half a wave", front({ silicon, circuit: "half-wave" })],
  ])("%s: closes, and the mean of its currents is the load", (_name, edit) => {
    const { study } = whole(made(edit));
    const nominal = study.solved.get("nominal");
    if (nominal === undefined) throw new Error("not solved");
    const cycle = mainsCycle(nominal, catalogue, 2001);
    if (!cycle.ok) throw new Error(cycle.failure);
    const { seconds, firstCapacitorVolts, pathAmps } = cycle.value;
    const ripple = Math.max(...firstCapacitorVolts) - Math.min(...firstCapacitorVolts);
    expect(Math.abs((firstCapacitorVolts.at(-1) ?? 0) - (firstCapacitorVolts[0] ?? 0))).toBeLessThan(
      0.02 * ripple + 1e-3,
    );
    const span = (seconds.at(-1) ?? 0) - (seconds[0] ?? 0);
    let charge = 0;
    for (const path of pathAmps)
      for (let n = 1; n < path.length; n++)
        charge += (((path[n] ?? 0) + (path[n - 1] ?? 0)) / 2) * ((seconds[n] ?? 0) - (seconds[n - 1] ?? 0));
    expect(charge / span / (nominal.supply?.loadAmps ?? Number.NaN)).toBeCloseTo(1, 2);
  });
});
