import { expect, test } from "vitest";
import { changeWords } from "./change-words.ts";

test.each([
  [{ target: "blocks.line.parts[R4].value", before: "680", after: "820" }, "R4: 680 → 820"],
  [{ target: "blocks.line.parts[R4].watts", before: 0.5, after: 3 }, "R4, rated watts: 0.5 → 3"],
  [{ target: "blocks.line.parts[C1]", after: { id: "C1" } }, "C1: added"],
  [{ target: "blocks.line.parts[C1]", before: { id: "C1" } }, "C1: taken out"],
  [{ target: "instances[L].overrides.R3.value", before: "18k", after: "22k" }, "R3 in L alone: 18k → 22k"],
  [{ target: "envelopes[V1].type", before: "5687", after: "12BH7A" }, "V1: 5687 → 12BH7A"],
  [{ target: "envelopes[V1].wiring.8", before: { net: "a" }, after: { net: "b" } }, "V1: wires on its socket, pin 8"],
  [{ target: "supply.rectifier.seriesOhms", after: "330" }, "supply, rectifier series ohms: none → 330"],
  [{ target: "targets.largestInputVolts", before: 2, after: 3 }, "targets largest input volts: 2 → 3"],
])("%j is said as %s", (change, words) => {
  expect(changeWords(change)).toBe(words);
});
