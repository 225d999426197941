import { applyChanges } from "@platewright/design";
import { expect, test } from "vitest";
import { demoOpen } from "../../test/demo.ts";
import { partOf } from "../state/edits.ts";
import { type Command, matching, readTyped } from "./commands.ts";

const { document } = demoOpen();

test.each([
  ["R4 820", "820"],
  ["r4=4k7", "4k7"],
  ["R4 2,2k", "2,2k"],
  [" r4   1k5 ", "1k5"],
])("%s sets the part in both channels", (typed, value) => {
  const read = readTyped(document, typed);
  if (read?.kind !== "edit") throw new Error("not an edit");
  const changed = applyChanges(document, read.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  for (const channel of ["L", "R"]) expect(partOf(changed.value, channel, "R4")).toMatchObject({ value });
});

test("a part of one channel alone is set there alone", () => {
  const read = readTyped(document, "L.R4 820");
  if (read?.kind !== "edit") throw new Error("not an edit");
  const changed = applyChanges(document, read.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  expect(partOf(changed.value, "L", "R4")).toMatchObject({ value: "820" });
  expect(partOf(changed.value, "R", "R4")).toEqual(partOf(document, "R", "R4"));
});

test("a bottle and a type ask for a tube; what is no value says what would be one; a plain word is neither", () => {
  expect(readTyped(document, "v1 12bh7a")).toEqual({ kind: "tube", envelope: "V1", type: "12BH7A" });
  expect(readTyped(document, "R4 47kk")).toMatchObject({ kind: "wrong" });
  expect(readTyped(document, "print")).toBeUndefined();
  expect(readTyped(document, "go circuit")).toBeUndefined();
});

test("commands are found by every word typed, those that begin with it first", () => {
  const command = (words: string): Command => ({ id: words, words, run: () => undefined });
  const commands = ["Go to Circuit", "Night colours", "Go to Curves", "Circuit printed"].map(command);
  expect(matching(commands, "circ").map((one) => one.words)).toEqual(["Circuit printed", "Go to Circuit"]);
  expect(matching(commands, "go cu").map((one) => one.words)).toEqual(["Go to Curves"]);
  expect(matching(commands, " ")).toHaveLength(4);
});

test.each([
  ["V3 170, 120", { x: 170, y: 120 }, "V3 to 170, 120"],
  ["lamp 214 24.5", { x: 214, y: 24.5 }, "LAMP to 214, 24.5"],
  ["v1 -90°", { degrees: 270 }, "V1 turned to 270°"],
  ["V1 45 deg", { degrees: 45 }, "V1 turned to 45°"],
])("%s puts what stands on the plate there", (typed, put, title) => {
  const read = readTyped(document, typed);
  if (read?.kind !== "edit") throw new Error("not an edit");
  expect(read.title).toBe(title);
  const changed = applyChanges(document, read.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const id = title.split(" ")[0];
  expect(changed.value.chassis?.items.find((one) => one.id === id)).toMatchObject(put);
});

test("one number after a bottle is a tube, not a place", () => {
  expect(readTyped(document, "V1 5687")).toEqual({ kind: "tube", envelope: "V1", type: "5687" });
});
