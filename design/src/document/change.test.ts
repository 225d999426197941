import { readFileSync } from "node:fs";
import { seededRandom, type SeededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { applyChange, applyChanges, diffDocuments, inverseOf, pathOf } from "./change.ts";
import { readDesign } from "./read.ts";
import type { Document } from "./schema.ts";
import { setPart } from "./set-part.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

const VALUES = ["1k", "2k2", "47k", "470k", "820", "15k"];

/** A few edits of the kinds that screens and reworks make. */
function randomlyEdited(random: SeededRandom): Document {
  let document = base;
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random.uniform() * list.length)] as T;
  const edits = 1 + Math.floor(random.uniform() * 4);
  for (let n = 0; n < edits; n++) {
    switch (Math.floor(random.uniform() * 6)) {
      case 0:
        document = setPart(document, ["L", "R"], pick(["R3", "R4", "R7", "R8"]), { value: pick(VALUES) });
        break;
      case 1:
        document = setPart(document, [pick(["L", "R"])], pick(["R3", "R4"]), { value: pick(VALUES) });
        break;
      case 2:
        document = {
          ...document,
          envelopes: document.envelopes.map((e) => (e.id === "V1" ? { ...e, type: pick(["12BH7A", "6FQ7"]) } : e)),
        };
        break;
      case 3:
        document = { ...document, note: `edited ${n}` };
        break;
      case 4:
        document = {
          ...document,
          envelopes: document.envelopes.map((e) =>
            e.id === "V2" ? { ...e, wiring: { "1": { net: "R.b" }, "5": { winding: "H1", lead: "a" } } } : e,
          ),
        };
        break;
      default:
        document = { ...document, targets: { ...document.targets, voicingVolts: [random.uniform() + 0.1] } };
    }
  }
  return document;
}

test("differences applied lead to the other document, their inverses back (seed 7, 300 edits)", () => {
  const random = seededRandom(7);
  for (let n = 0; n < 300; n++) {
    const after = randomlyEdited(random);
    const changes = diffDocuments(base, after);
    const there = applyChanges(base, changes);
    expect(there).toMatchObject({ ok: true });
    if (!there.ok) return;
    expect(there.value).toEqual(after);
    const back = applyChanges(there.value, [...changes].reverse().map(inverseOf));
    expect(back.ok && back.value).toEqual(base);
  }
});

test("changes of different places commute (seed 8, 200 pairs)", () => {
  const random = seededRandom(8);
  for (let n = 0; n < 200; n++) {
    const changes = diffDocuments(base, randomlyEdited(random));
    const one = applyChanges(base, changes);
    const other = applyChanges(base, [...changes].reverse());
    expect(one.ok && other.ok && other.value).toEqual(one.ok && one.value);
  }
});

test("the document that a change is applied to stays as it was", () => {
  const frozen = JSON.stringify(base);
  applyChange(base, { target: "blocks.channel.parts[R4].value", before: "680", after: "1k" });
  expect(JSON.stringify(base)).toBe(frozen);
});

describe("conflicts", () => {
  test("a stale before names both values and changes nothing", () => {
    const done = applyChange(base, { target: "blocks.channel.parts[R4].value", before: "820", after: "1k" });
    expect(done.ok).toBe(false);
    if (done.ok) return;
    expect(done.failure.found).toBe("680");
    expect(done.failure.sentence).toMatch(/"680" and not "820"/);
  });
  test("a part that is gone is said", () => {
    const done = applyChange(base, { target: "blocks.channel.parts[R99].value", before: "1k", after: "2k2" });
    expect(done.ok ? "" : done.failure.sentence).toMatch(/there is no R99/);
  });
  test("a part may be added and taken away by its id", () => {
    const part = { kind: "resistor", id: "R99", value: "1M", pins: { a: "w1", b: "0" } };
    const added = applyChange(base, { target: "blocks.channel.parts[R99]", after: part });
    expect(added.ok && added.value.blocks.channel?.parts.at(-1)).toEqual(part);
    const gone = added.ok
      ? applyChange(added.value, inverseOf({ target: "blocks.channel.parts[R99]", after: part }))
      : added;
    expect(gone.ok && gone.value).toEqual(base);
  });
  test("a target that is no path is refused", () => {
    expect(pathOf("a..b")).toBeUndefined();
    expect(pathOf("blocks[a.b].parts[R1].value")).toEqual(["blocks", "a.b", "parts", "R1", "value"]);
    expect(applyChange(base, { target: "[", after: 1 }).ok).toBe(false);
  });
});
