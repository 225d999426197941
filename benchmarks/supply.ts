/**
 * The supply's study on the demo: what the budgets ask of conditions, single faults and start-up. Processor time per call,
 * code warm, the best of several rounds, so that a busy machine disturbs it little. `npm run bench:supply`.
 */
import { readFileSync } from "node:fs";
import {
  plainSituations,
  readDesign,
  solveBehindLamp,
  LAMP_STEPS,
  solveDesign,
  solveDischarge,
  solveFaults,
  solveHum,
  solveStartUp,
  studySupply,
} from "@platewright/design";
import { openCatalogue } from "@platewright/library";

const file = readDesign(readFileSync(new URL("../examples/hearth/hearth.design.json", import.meta.url), "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const catalogue = openCatalogue();
const document = file.value.now;
const { supply } = document;
const solved = solveDesign(document, catalogue, { detail: "bias" });
if (!solved.ok || supply === undefined) throw new Error("The demo did not solve.");
const near = solved.value;

/** Milliseconds of processor time of one call: the best round of several. */
function best(call: () => unknown, rounds = 9, calls = 6): number {
  for (let n = 0; n < 8; n++) call();
  let least = Infinity;
  for (let round = 0; round < rounds; round++) {
    const before = process.cpuUsage();
    for (let n = 0; n < calls; n++) call();
    const { user, system } = process.cpuUsage(before);
    least = Math.min(least, (user + system) / calls / 1000);
  }
  return least;
}

const conditions = () =>
  plainSituations(document).map((situation) => solveDesign(document, catalogue, { situation, detail: "bias", near }));
const rows: readonly (readonly [string, string, () => unknown])[] = [
  [
    "all conditions of the mains and single faults",
    "30 ms",
    () => [conditions(), solveFaults(document, catalogue, near)],
  ],
  ["  of it: conditions, bottles out", "", conditions],
  ["  of it: single faults", "", () => solveFaults(document, catalogue, near)],
  [
    "three steps behind the lamp",
    "",
    () => LAMP_STEPS.map((step) => solveBehindLamp(document, supply, catalogue, step, near)),
  ],
  ["start-up of 40 s, mains high", "300 ms", () => solveStartUp(document, supply, catalogue, near, 1.1)],
  ["discharge to 60 V", "", () => solveDischarge(document, catalogue, near, "")],
  ["hum, crosstalk and noise of the output", "", () => solveHum(document, supply, catalogue, near)],
  ["the whole study", "", () => studySupply(document, catalogue, near)],
];
for (const [name, goal, call] of rows)
  console.log(`${name.padEnd(48)} ${best(call).toFixed(2).padStart(8)} ms${goal === "" ? "" : `   goal ${goal}`}`);
