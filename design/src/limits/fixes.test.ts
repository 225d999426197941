/** Every Fix of every finding, applied in turn: the finding goes or gets milder, and no stop is added. */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Finding } from "../findings.ts";
import { judgeDesign } from "../judge-design.ts";
import { solveDesign } from "../solved/solve.ts";
import { levelRank } from "./judge.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;
const supply = base.supply as NonNullable<Document["supply"]>;

function judged(document: Document): readonly Finding[] {
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  const findings = judgeDesign(document, catalogue, solved.value);
  if (!findings.ok) throw new Error(findings.failure);
  return findings.value;
}

const inSockets = (type: string, socket = "noval"): Document => ({
  ...base,
  envelopes: base.envelopes.map((one) => (one.id === "V3" || one.socket !== socket ? one : { ...one, type })),
});
const withHeaters = (change: Partial<NonNullable<Document["supply"]>["transformer"]["heaters"][number]>): Document => ({
  ...base,
  supply: {
    ...supply,
    transformer: { ...supply.transformer, heaters: supply.transformer.heaters.map((one) => ({ ...one, ...change })) },
  },
});

const worse: readonly (readonly [string, readonly string[], Document])[] = [
  ["the demo as it is", [], base],
  ["12BH7A in sockets wired for another type", ["socket"], inSockets("12BH7A")],
  ["6FQ7 in them", ["socket"], inSockets("6FQ7")],
  ["capacitors for the running volts alone", ["capacitor-volts"], setPart(base, ["PS"], "C1", { volts: 350 })],
  ["a dropper of half a watt", ["resistor-watts"], setPart(base, ["PS"], "R1", { watts: 0.5 })],
  ["a heater winding that runs high", ["heater-pins"], withHeaters({ ratedVolts: 7.1, unloadedVolts: 7.6 })],
  ["an elevation too low", ["elevation"], setPart(base, ["PS"], "R3", { value: "10k" })],
  [
    "too little resistance per plate",
    ["rectifier-series"],
    {
      ...base,
      supply: {
        ...supply,
        transformer: { ...supply.transformer, highTension: { ...supply.transformer.highTension, ohmsPerHalf: 80 } },
      },
    },
  ],
  ["a first capacitor too large", ["rectifier-first-capacitor"], setPart(base, ["PS"], "C1", { value: "100u" })],
];

test.each(worse)(
  "%s",
  (_name, rules, document) => {
    const before = judged(document);
    for (const rule of rules)
      expect(
        before.some((one) => one.rule.startsWith(rule) && one.level !== "ok" && one.fixes.length > 0),
        `${rule} is noticed, with a fix`,
      ).toBe(true);
    const stops = (list: readonly Finding[]) => list.filter((one) => one.level === "stop").map((one) => one.id);
    for (const finding of before)
      for (const fix of finding.fixes) {
        const changed = applyChanges(document, fix.changes);
        if (!changed.ok) throw new Error(`${fix.title}: ${changed.failure.sentence}`);
        const after = judged(changed.value);
        const same = after.find((one) => one.id === finding.id);
        const milder =
          same === undefined ||
          levelRank(same.level) < levelRank(finding.level) ||
          (same.value !== null && finding.value !== null && same.value !== finding.value);
        expect(milder, `${finding.title} || ${fix.title} || ${same?.title ?? ""}`).toBe(true);
        expect(
          stops(after).filter((id) => !stops(before).includes(id)),
          fix.title,
        ).toEqual([]);
      }
  },
  60_000,
);
