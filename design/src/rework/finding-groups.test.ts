import { expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import type { Finding } from "../findings.ts";
import { judgeDesign } from "../judge-design.ts";
import { solveDesign } from "../solved/solve.ts";
import { findingGroups } from "./finding-groups.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const base = file.value.now;
const solved = solveDesign(base, catalogue);
if (!solved.ok) throw new Error(solved.failure.sentence);
const judged = judgeDesign(base, catalogue, solved.value);
if (!judged.ok) throw new Error(judged.failure);

const made = (given: Partial<Finding>): Finding => ({
  id: "rule/where",
  rule: "rule",
  level: "watch",
  title: "where takes 70 of 100",
  value: 70,
  limit: 100,
  unit: "V",
  sense: "below",
  condition: "running, mains nominal",
  source: "a sheet",
  provenance: { status: "memory", confidence: "low", source: "X" },
  ratingSystem: "design-centre",
  where: "where",
  fixes: [],
  ...given,
});
const kindOf = (given: Partial<Finding>) => {
  const groups = findingGroups([made(given)], base);
  return Object.entries(groups).find(([, rows]) => rows.length > 0)?.[0];
};

test("every finding of the demo stands in exactly one group, its level with it", () => {
  const groups = findingGroups(judged.value, base);
  const all = Object.values(groups).flat();
  expect(all.flatMap((row) => row.where).length).toBe(judged.value.length);
  expect(groups.ok.every((row) => row.finding.level === "ok")).toBe(true);
  expect(groups.unverified.length).toBeGreaterThan(0);
  expect(groups.unverified.every((row) => row.finding.level === "watch")).toBe(true);
  expect(groups.decide.length).toBeLessThan(6);
});

test("what the number, a fix, an unsolved condition or a missing limit makes a watch is never put away as unverified", () => {
  expect(kindOf({})).toBe("unverified");
  expect(kindOf({ ratingSystem: "unknown", provenance: { status: "published", source: "X" } })).toBe("unverified");
  expect(kindOf({ value: 85 })).toBe("decide");
  expect(kindOf({ value: 120, sense: "above" })).toBe("decide");
  expect(kindOf({ value: 130, sense: "above" })).toBe("unverified");
  expect(kindOf({ level: "stop" })).toBe("decide");
  expect(kindOf({ limit: null })).toBe("decide");
  expect(kindOf({ title: "where takes 70 of 100; not solved: cold" })).toBe("decide");
  expect(kindOf({ fixes: [{ title: "more of it", changes: [] }] })).toBe("decide");
  expect(kindOf({ provenance: { status: "published", source: "X" } })).toBe("decide");
  expect(kindOf({ level: "ok" })).toBe("ok");
  expect(kindOf({ rule: "single-fault" })).toBe("faults");
});

test("the same said of several places is one row; stop comes first", () => {
  const twice = [
    made({ id: "rule/a", where: "V-a", title: "V-a takes 85 of 100", value: 85 }),
    made({ id: "rule/b", where: "V-b", title: "V-b takes 85 of 100", value: 85 }),
    made({ id: "rule/c", where: "V-c", title: "V-c takes 86 of 100", value: 86 }),
    made({ id: "rule/d", where: "V-d", title: "V-d takes 186 of 100", value: 186, level: "stop" }),
  ];
  expect(findingGroups(twice, base).decide.map((row) => row.where)).toEqual([["V-d"], ["V-a", "V-b"], ["V-c"]]);
});
