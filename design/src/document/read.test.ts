import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { expand } from "./expand.ts";
import { migrate, MIGRATIONS } from "./migrations.ts";
import { turnForFraction, wiperFraction } from "./parts.ts";
import { readDesign, readShelf } from "./read.ts";

const text = readFileSync("examples/hearth/hearth.design.json", "utf8");
const shelfText = readFileSync("examples/hearth/shelf.json", "utf8");

type Json = Record<string, unknown>;
// oxlint-disable-next-line typescript/no-explicit-any -- a document being spoilt on purpose has no type
type Spoilt = any;
/** The demo with one edit, without its revisions. */
function edited(edit: (now: Spoilt, file: Spoilt) => void): string {
  const file = JSON.parse(text) as Json;
  file.revisions = [];
  delete file.proven;
  edit(file.now, file);
  return JSON.stringify(file);
}
const complaint = (given: string): string => {
  const read = readDesign(given);
  return read.ok ? "" : read.failure.sentence;
};
const part = (now: Spoilt, id: string) => now.blocks.channel.parts.find((one: { id: string }) => one.id === id);

test("the demo reads, and expands to both channels and the supply", () => {
  const read = readDesign(text);
  expect(read.ok).toBe(true);
  if (!read.ok) return;
  const expanded = expand(read.value.now);
  expect(expanded.ok && expanded.value.channels.map((one) => one.instance)).toEqual(["L", "R"]);
  expect(expanded.ok && [...expanded.value.equalTo]).toEqual([["R", "L"]]);
});

describe("what is wrong is one sentence with its place", () => {
  test.each<[string, string, RegExp]>([
    [
      "a value that is not one",
      edited((now) => void (part(now, "R4").value = "47kk")),
      /blocks\.channel\.parts\[R4\]\.value: '47kk' is not a resistance/,
    ],
    ["a value of another kind", edited((now) => void (part(now, "C1").value = "47k")), /parts\[C1\]\.value: '47k' /],
    [
      "an insane value",
      edited((now) => void (part(now, "R4").value = "680G")),
      /is outside 1 mΩ to 1 GΩ|is not a resistance/,
    ],
    ["an unknown field", edited((now) => void (part(now, "R4").wats = 1)), /parts\[R4\]: 'wats' is not a field/],
    ["a missing field", edited((now) => void delete part(now, "R4").value), /parts\[R4\]\.value: is missing/],
    [
      "a duplicate id",
      edited((now) => void now.blocks.channel.parts.push({ ...part(now, "R4") })),
      /parts\[R4\]: two have this id/,
    ],
    [
      "a net with one pin",
      edited((now) => void (part(now, "R1").pins.a = "nowhere")),
      /net L\.nowhere has a single pin/,
    ],
    ["an unknown block", edited((now) => void (now.instances[0].block = "chanel")), /there is no block chanel/],
    ["an untied port", edited((now) => void (now.instances[0].ports = {})), /port feed is tied to nothing/],
    [
      "an override of nothing",
      edited((now) => void (now.instances[0].overrides = { R77: { value: "1k" } })),
      /overrides\.R77: block channel has no such part/,
    ],
    [
      "an override that is no value",
      edited((now) => void (now.instances[0].overrides = { R4: { value: "1q" } })),
      /overrides\.R4\.value: '1q'/,
    ],
    ["a triode without tube", edited((now) => void (now.instances[0].sections = {})), /V1a has no tube/],
    [
      "a section that serves two",
      edited((now) => void (now.instances[1].sections.V1a = { envelope: "V1", section: 1 })),
      /section 1 of V1 already serves L\.V1a/,
    ],
    ["an unknown envelope", edited((now) => void (now.instances[0].sections.V1a.envelope = "V9")), /no envelope V9/],
    [
      "a wire to nowhere",
      edited((now) => void (now.envelopes[0].wiring["9"] = { net: "L.p9" })),
      /envelopes\[V1\]\.wiring\.9: there is no net L\.p9/,
    ],
    [
      "an unknown winding",
      edited((now) => void (now.envelopes[0].wiring["4"] = { winding: "H7", lead: "a" })),
      /no winding H7; one of HT, H1/,
    ],
    [
      "no first capacitor",
      edited((now) => void (now.supply.rectifier.firstCapacitor = "PS.C9")),
      /PS\.C9 is no capacitor/,
    ],
    [
      "a first capacitor elsewhere",
      edited((now) => void (now.supply.rectifier.firstCapacitor = "PS.C2")),
      /must stand from B1 to ground/,
    ],
    [
      "a winding that rises under load",
      edited((now) => void (now.supply.transformer.highTension.unloadedRmsVoltsPerHalf = 200)),
      /no less unloaded/,
    ],
    ["a proven revision that is not there", edited((_, file) => void (file.proven = "Z")), /no revision Z/],
    [
      "a newer format",
      edited((_, file) => void (file.format = "platewright/design@3")),
      /newer version \(platewright\/design@3\); this one reads platewright\/design@1/,
    ],
    ["another format", edited((_, file) => void (file.format = "recipe@1")), /"recipe@1" is not known/],
    ["a file cut in half", text.slice(0, text.length / 2), /ends in the middle/],
    ["an empty file", "  ", /is empty/],
    ["no JSON", "value = 47k", /is not JSON/],
    ["a list", "[]", /must be an object/],
    ["50 MB", " ".repeat(50_000_000), /50 MB; 10 MB is the most/],
    ["a deep nest", `{"format":"platewright/design@1","a":${"[".repeat(5000)}${"]".repeat(5000)}}`, /nested more than/],
    [
      "NaN",
      edited((now) => void (now.targets.largestInputVolts = Number.NaN)),
      /largestInputVolts: null is not a number/,
    ],
  ])("%s", (_, given, sentence) => {
    const says = complaint(given);
    expect(says).toMatch(sentence);
    expect(says.split("\n")).toHaveLength(1);
    expect(says.length).toBeLessThan(300);
  });

  test.each<[string, (shelf: Spoilt) => void, RegExp]>([
    ["negative counts", (shelf) => void (shelf.tubes[2].count = -3), /tubes\[2\]\.count: -3 is too small; at least 0/],
    ["half a tube", (shelf) => void (shelf.tubes[0].count = 1.5), /tubes\[0\]\.count: 1\.5/],
    ["no value", (shelf) => void (shelf.capacitors[0].value = "big"), /capacitors\[0\]\.value: 'big'/],
  ])("shelf: %s", (_, edit, sentence) => {
    const shelf = JSON.parse(shelfText) as Json;
    edit(shelf);
    const read = readShelf(JSON.stringify(shelf));
    expect(read.ok ? "" : read.failure.sentence).toMatch(sentence);
  });

  test("ids named like parts of the language are ids", () => {
    const odd = edited((now) => {
      now.instances[0].overrides = JSON.parse('{"__proto__":{"value":"1k"}}');
    });
    readDesign(odd);
    expect(({} as Json).value).toBeUndefined();
    expect(complaint(edited((now) => void (now.instances[0].block = "constructor")))).toMatch(/no block constructor/);
  });
});

describe("migrations", () => {
  test("an early file gets the field's present name, once, and keeps the record", () => {
    const early = edited((now, file) => {
      now.targets.maximumInputVolts = now.targets.largestInputVolts;
      delete now.targets.largestInputVolts;
      file.migrations = [];
    });
    const read = readDesign(early);
    expect(read.ok && read.value.now.targets.largestInputVolts).toBe(2);
    expect(read.ok && read.value.migrations).toEqual(MIGRATIONS.map((one) => one.name));
  });
  test("what has run does not run again", () => {
    const had = { migrations: ["x"], count: 1 };
    const twice = [
      { name: "x", run: (file: Json) => ({ ...file, count: 2 }) },
      { name: "y", run: (file: Json) => ({ ...file, done: true }) },
    ];
    expect(migrate(had, twice)).toEqual({ migrations: ["x", "y"], count: 1, done: true });
  });
});

test("tapers run from 0 to 1, rise, and invert", () => {
  for (const taper of ["linear", "log", "reverse-log"] as const) {
    expect(wiperFraction(taper, 0)).toBeCloseTo(0, 12);
    expect(wiperFraction(taper, 1)).toBeCloseTo(1, 12);
    for (let turn = 0.05; turn < 1; turn += 0.05) {
      expect(wiperFraction(taper, turn)).toBeGreaterThan(wiperFraction(taper, turn - 0.05));
      expect(turnForFraction(taper, wiperFraction(taper, turn))).toBeCloseTo(turn, 10);
    }
  }
  expect(wiperFraction("log", 0.5)).toBeCloseTo(0.15, 12);
});

test("10,000 mutations of the demo: a document or one sentence, never a throw (seed 11)", () => {
  const random = seededRandom(11);
  const small = edited(() => undefined);
  const at = (length: number) => Math.floor(random.uniform() * length);
  const insertions = [
    "1e309",
    "-1",
    '"NaN"',
    "null",
    "[]",
    "{}",
    '""',
    '"0"',
    "true",
    '"\\u0000"',
    '"__proto__"',
    "9".repeat(400),
  ];
  let read = 0;
  for (let n = 0; n < 10_000; n++) {
    let mutant = small;
    for (let m = 0; m <= at(3); m++) {
      const from = at(mutant.length);
      switch (at(6)) {
        case 0:
          mutant = mutant.slice(0, from);
          break;
        case 1:
          mutant = mutant.slice(0, from) + String.fromCharCode(32 + at(95)) + mutant.slice(from + 1);
          break;
        case 2: {
          // Another value after some colon.
          const colon = mutant.indexOf(":", from);
          const end = mutant.slice(colon + 1).search(/[,}\]]/);
          if (colon >= 0 && end >= 0)
            mutant = `${mutant.slice(0, colon + 1)}${insertions[at(insertions.length)] ?? ""}${mutant.slice(colon + 1 + end)}`;
          break;
        }
        case 3:
          mutant = mutant.slice(0, from) + mutant.slice(from + 1 + at(40));
          break;
        case 4:
          mutant = mutant.replace(/"value":"([^"]*)"/, `"value":"${String(at(1000))}${"kMunp"[at(5)] ?? ""}"`);
          break;
        default: {
          const piece = mutant.slice(from, from + at(60));
          mutant = mutant.slice(0, from) + piece + mutant.slice(from);
        }
      }
    }
    const result = readDesign(mutant);
    if (!result.ok) {
      expect(result.failure.sentence.length).toBeGreaterThan(10);
      expect(result.failure.sentence).not.toContain("\n");
    } else {
      read++;
      expect(expand(result.value.now).ok).toBe(true);
    }
  }
  // Some mutants are good documents; a reader that refused all would pass the rest of this test.
  expect(read).toBeGreaterThan(100);
}, 60_000);
