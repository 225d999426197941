import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { chassisFindings } from "../chassis/chassis-findings.ts";
import { readDesign, readShelf } from "../document/read.ts";
import { judgeDesign } from "../judge-design.ts";
import { differenceRows, type DifferenceRow } from "./difference-rows.ts";
import { rework } from "./rework.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const shelf = readShelf(readFileSync("examples/hearth/shelf.json", "utf8"));
if (!file.ok || !shelf.ok) throw new Error("the demo does not read");
const base = file.value.now;

function reworked(put: readonly (readonly [string, string])[]) {
  const done = rework({
    proven: base,
    catalogue,
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, { ...how, fixes: false }),
    types: [],
    put: new Map(put),
  });
  if (!done.ok) throw new Error(done.failure.sentence);
  const provenFindings = judgeDesign(base, catalogue, done.value.proven, { fixes: false });
  if (!provenFindings.ok) throw new Error(provenFindings.failure);
  const { differences, findings, document } = done.value;
  return {
    differences,
    findings,
    document,
    groups: differenceRows(differences, findings, document, provenFindings.value),
  };
}

const equal = reworked([["V1", "12BH7A"]]);
const apart = reworked([
  ["V1", "12BH7A"],
  ["V2", "5687"],
]);
const rowsOf = ({ groups }: typeof equal): readonly DifferenceRow[] => groups.flatMap((group) => group.rows);

describe.each([
  ["equal channels", equal],
  ["channels apart", apart],
])("%s", (_name, done) => {
  test("every limit, condition, source and level is that of one finding", () => {
    const limited = rowsOf(done).filter((row) => row.limit !== undefined);
    expect(limited.length).toBeGreaterThan(30);
    for (const { limit } of limited) {
      const finding = done.findings.find((one) => one.id === limit?.finding);
      expect(finding).toMatchObject({
        level: limit?.level,
        limit: limit?.value,
        condition: limit?.condition,
        source: limit?.source,
        title: limit?.title,
      });
    }
  });

  test("what a finding judges at nominal mains is the number of its row", () => {
    const judged = rowsOf(done).filter((row) => row.limit?.condition === "running, mains nominal");
    expect(judged.length).toBeGreaterThan(10);
    for (const { id, now, limit } of judged) expect((now ?? 0) / (limit?.judged ?? Number.NaN), id).toBeCloseTo(1, 2);
  });

  test("every number that a finding judges has one row, and every difference at most one", () => {
    const ids = rowsOf(done).map((row) => row.id);
    expect(new Set(ids).size).toBe(ids.length);
    const shown = new Set([...ids, ...rowsOf(done).flatMap((row) => row.limit?.finding ?? [])]);
    const lost = done.findings.filter((one) => one.value !== null && one.limit !== null && !shown.has(one.id));
    // Two findings judge the B+ current; the nearer one is shown.
    expect(lost.every((one) => ["transformer-amps", "rectifier-dc"].includes(one.rule))).toBe(true);
    for (const { id, unit } of done.differences) if (unit !== "dBc") expect(ids, id).toContain(id);
  });

  test("harmonics carry their band", () => {
    for (const row of rowsOf(done).filter((one) => /\.h[23]\//.test(one.id))) {
      expect(row.decibels?.band).toBeGreaterThan(1);
      expect(row.decibels?.now).toBeCloseTo(20 * Math.log10(Math.abs(row.now ?? 0)), 6);
    }
  });
});

test("equal channels once, unequal ones each", () => {
  expect(equal.groups.map((one) => one.title)).toEqual(["V1a", "V1b", "Voicing", "Supply"]);
  expect(apart.groups.map((one) => one.title)).toEqual([
    "L.V1a",
    "L.V1b",
    "Voicing L",
    "R.V1a",
    "R.V1b",
    "Voicing R",
    "Supply",
  ]);
});

test("the short view has what is looked at first, in every group", () => {
  const main = equal.groups.map((group) => group.rows.filter((row) => row.main).map((row) => row.label));
  expect(main).toEqual([
    ["Plate current", "Plate to cathode", "Plate dissipation"],
    ["Plate current", "Plate dissipation"],
    [
      "Gain at 1 kHz",
      "H2 at 0.3 V in",
      "H2 at 1 V in",
      "H3 at 1 V in",
      "H2 at 2 V in",
      "V1a grid current from",
      "Output impedance",
    ],
    ["B+ at the first capacitor", "B+ current", "Heater current, H1", "Hum at the output"],
  ]);
});

test("a dissipation is its watts, with the shares of both limits; another limit of the proven tube is told", () => {
  const row = rowsOf(equal).find((one) => one.label === "Plate dissipation");
  expect((row?.now ?? 0) / (row?.limit?.value ?? Number.NaN)).toBeCloseTo(row?.shares?.now ?? Number.NaN, 9);
  expect((row?.proven ?? 0) / (row?.limit?.proven ?? Number.NaN)).toBeCloseTo(row?.shares?.proven ?? Number.NaN, 9);
  expect(row?.limit?.proven).toBeGreaterThan(row?.limit?.value ?? Infinity);
});

test("without a supply there is no group of one, and nothing is judged that was not found", () => {
  const { supply: _supply, ...alone } = base;
  const groups = differenceRows(
    equal.differences.filter((one) => one.channel !== undefined && !one.id.endsWith("supplyVolts")),
    [],
    alone,
  );
  expect(groups.map((one) => one.title)).toEqual(["V1a", "V1b", "Voicing"]);
  expect(groups.flatMap((one) => one.rows).every((row) => row.limit === undefined)).toBe(true);
});

test("what the chassis is judged for is a group of its own, last, with its own words", () => {
  const { chassis } = base;
  if (chassis === undefined) throw new Error("the demo has a chassis");
  const items = chassis.items.map((one) => (one.id === "V3" ? { ...one, footprint: "7-pin-saddle-above" } : one));
  const findings = chassisFindings({ document: { ...base, chassis: { ...chassis, items } }, footprints, catalogue });
  const groups = differenceRows(equal.differences, findings, base);
  const last = groups[groups.length - 1];
  expect(last?.title).toBe("Chassis");
  expect(last?.rows.map((row) => row.label)).toContain("Hole of V3");
  for (const { id, label } of last?.rows ?? []) {
    expect(findings.find((one) => one.id === id)?.rule).toMatch(/^chassis-/);
    expect(label).not.toMatch(/chassis |\+/);
  }
  expect(
    groups
      .slice(0, -1)
      .flatMap((group) => group.rows)
      .filter((row) => row.id.startsWith("chassis-")),
  ).toEqual([]);
});
