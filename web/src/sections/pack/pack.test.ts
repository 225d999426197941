/** What the Pack screen asks, compares and judges, against the papers themselves. */
import {
  applyChanges,
  type Change,
  type Document,
  readPriceBook,
  type Revision,
  setPart,
  diffDocuments,
} from "@platewright/design";
import { flatten, makePack, packSubject } from "@platewright/drawing";
import { footprints, openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { demoOpen, demoShelf } from "../../../test/demo.ts";
import type { Answer, Progress } from "../../worker/ask.ts";
import { type Bench, openBench } from "../../worker/bench.ts";
import { packAsks, type PackAnswer, type PaperAsk } from "./asks.ts";
import { changeBars } from "./change-bars.ts";
import { compareMarks, type PaperMarks } from "./marks.ts";
import { bookOf, draftOf, pricesFile } from "./price-draft.ts";
import { judgeBars, readBar } from "./true-size.ts";
import { changeWords, figureWords, newWords, wasNow } from "./words.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const [found] = revisions;
if (found === undefined) throw new Error("the demo has a revision");
const { line: _, seq: __, ...proven } = found;
const { shelf } = demoShelf();
const WANTED: PaperAsk = { size: "A4", date: "2026-11-25" };
const R4 = setPart(document, ["L", "R"], "R4", { value: "910" });

const benchOf = (now: Document): Bench => openBench({ document: now, proven, provenKey: "A", shelf }, catalogue);

function answer<T>(steps: Generator<Progress<T>, Answer<T>>): { readonly value: T; readonly steps: number } {
  for (let n = 0; ; n++) {
    const step = steps.next();
    if (step.done !== true) continue;
    if (!step.value.ok) throw new Error(step.value.failure);
    return { value: step.value.value, steps: n };
  }
}
const papersOn = (bench: Bench, wanted = WANTED): PackAnswer =>
  answer(packAsks.packPapers.run(bench, wanted) as Generator<Progress<PackAnswer>, Answer<PackAnswer>>).value;
const marksOn = (bench: Bench, revision: Revision | undefined): readonly PaperMarks[] =>
  answer(
    packAsks.packMarks.run(bench, {
      ...WANTED,
      ...(revision === undefined ? {} : { revision }),
      as: "draft",
    }) as Generator<Progress<readonly PaperMarks[]>, Answer<readonly PaperMarks[]>>,
  ).value;

/** The papers as the command and the server make them. */
function asCommand(now: Document, revision?: string) {
  const subject = packSubject({ now, revisions: [proven], proven: "A" }, { catalogue, footprints }, revision);
  if (!subject.ok) throw new Error(subject.failure);
  const made = makePack({ ...subject.value, size: WANTED.size, date: WANTED.date, shelf });
  if (!made.ok) throw new Error(made.failure);
  return made.value.papers;
}
const drawn = (papers: readonly { readonly kind: string; readonly pages: readonly unknown[] }[]) =>
  papers.map(({ kind, pages }) => ({ kind, pages }));

const changed = papersOn(benchOf(R4));

describe("papers on the bench", () => {
  test("are those of the command and of the server, item by item, from solutions that were there already", () => {
    expect(changed.revision).toBe("draft");
    expect(drawn(changed.papers)).toEqual(drawn(asCommand(R4)));
  });

  test("of a design at its revision are that revision's, named so, with what was frozen in it", () => {
    const now = papersOn(benchOf(document));
    expect(now).toMatchObject({ revision: "A", dated: "25 Nov 2026" });
    expect(drawn(now.papers)).toEqual(drawn(asCommand(R4, "A")));
    expect(drawn(papersOn(benchOf(R4), { ...WANTED, revision: proven }).papers)).toEqual(drawn(now.papers));
  });

  test("are made in turns, so that an edit is heard between two", () => {
    const { steps, value } = answer(
      packAsks.packPapers.run(benchOf(R4), WANTED) as Generator<Progress<PackAnswer>, Answer<PackAnswer>>,
    );
    expect(steps).toBeGreaterThanOrEqual(value.papers.length);
  });

  test("stand while something is in hand, and go with what is kept", () => {
    const { reads } = packAsks.packPapers;
    const kept = openBench({ document, kept: document, proven, provenKey: "A", shelf }, catalogue);
    const held = openBench({ document: R4, kept: document, proven, provenKey: "A", shelf }, catalogue, kept);
    const after = openBench({ document: R4, kept: R4, proven, provenKey: "A", shelf }, catalogue, held);
    expect(reads?.(held)).toEqual(reads?.(kept));
    expect(reads?.(after)?.[0]).not.toBe(reads?.(kept)?.[0]);
  });

  test("of what does not solve are a sentence", () => {
    const changes: Change[] = diffDocuments(document, {
      ...document,
      envelopes: document.envelopes.map((one) => (one.id === "V1" ? { ...one, type: "NOTUBE" } : one)),
    }).slice();
    const broken = applyChanges(document, changes);
    if (!broken.ok) throw new Error("the change applies");
    const steps = packAsks.packPapers.run(benchOf(broken.value), WANTED) as Generator<
      Progress<PackAnswer>,
      Answer<PackAnswer>
    >;
    let step = steps.next();
    while (step.done !== true) step = steps.next();
    expect(step.value.ok).toBe(false);
    expect(step.value.ok ? "" : step.value.failure).toMatch(/NOTUBE/);
  });
});

describe("what changed", () => {
  const before = marksOn(benchOf(R4), proven);
  const changes = compareMarks(before, changed.papers);

  test("nothing, against itself; and without a revision there is nothing to compare with", () => {
    for (const one of compareMarks(before, before).values()) expect(one.what).toBe("same");
    expect(marksOn(benchOf(R4), undefined)).toEqual([]);
    // The revision's own papers under another name and date are the same papers.
    const again = compareMarks(marksOn(benchOf(document), proven), before);
    for (const one of again.values()) expect(one.what, one.kind).toBe("same");
  });

  test("a cathode resistor moves the bench sheet's volts and the parts list's row, and of the wiring the value alone", () => {
    const bench = changes.get("bench-sheet");
    const cathode = bench?.figures.find((one) => one.of === "volts/nominal/L.k1");
    expect(cathode?.was).toMatch(/V$/);
    expect(cathode?.now).toMatch(/V$/);
    expect(cathode?.was).not.toBe(cathode?.now);
    expect(changes.get("parts-list")?.wordsNew).toContain("910");
    expect(changes.get("wiring")).toMatchObject({ figures: [], wordsNew: ["910"] });
    expect(changeWords(bench ?? never())).toMatch(/^\d+ figures$/);
    expect(changeWords(changes.get("wiring") ?? never())).toBe("1 word");
  });

  test("a note of the design is on the technical file alone; every other paper is as it was", () => {
    const noted = papersOn(benchOf({ ...document, note: "tried on the bench" }));
    expect(noted.revision).toBe("draft");
    const notes = compareMarks(before, noted.papers);
    expect(notes.get("technical-file")?.wordsCome).toEqual(expect.arrayContaining(["tried", "bench"]));
    for (const one of notes.values()) if (one.kind !== "technical-file") expect(one.what, one.kind).toBe("same");
  });

  test("every changed figure of a page has its bar, within the page, and bars do not overlap", () => {
    for (const paper of changed.papers) {
      const change = changes.get(paper.kind);
      if (change?.what !== "changed") continue;
      let bars = 0;
      for (const page of paper.pages) {
        const list = changeBars(page, change);
        bars += list.length;
        for (const [n, [top, bottom]] of list.entries()) {
          expect(top).toBeGreaterThan(list[n - 1]?.[1] ?? 0);
          expect(bottom).toBeLessThan(page.height);
        }
        for (const item of flatten(page.items)) {
          const of = item.kind === "text" ? item.ids?.[0] : undefined;
          if (item.kind !== "text" || !change.figures.some((one) => of === `=${one.of}` && one.now !== undefined))
            continue;
          expect(list.some(([top, bottom]) => item.at[1] >= top && item.at[1] <= bottom)).toBe(true);
        }
      }
      if (change.figures.length > 0 || change.wordsNew.length > 0) expect(bars, paper.kind).toBeGreaterThan(0);
    }
  });

  test("order and line breaks are no change; one word or figure more or less is (seed 6)", () => {
    const word = fc.constantFrom("a", "b", "47k", "Rev", "V");
    fc.assert(
      fc.property(fc.array(word, { maxLength: 12 }), word, (words, more) => {
        const of = (list: readonly string[]): PaperMarks => ({ kind: "x", title: "X", figures: [], words: list });
        const one = compareMarks([of(words)], [of([...words].reverse())]).get("x");
        expect(one?.what).toBe("same");
        const come = compareMarks([of(words)], [of([...words, more])]).get("x");
        expect(come).toMatchObject({ what: "changed", wordsCome: [more], wordsGone: [] });
        expect(come?.wordsNew).toEqual(words.includes(more) ? [] : [more]);
        expect(compareMarks([of([...words, more])], [of(words)]).get("x")?.wordsGone).toEqual([more]);
      }),
      { seed: 6, numRuns: 200 },
    );
  });

  test("is said in a builder's words", () => {
    expect(figureWords("volts/mains-low/L.p1")).toBe("L.p1 volts, mains low");
    expect(figureWords("volts/nominal/B1")).toBe("B1 volts");
    expect(figureWords("h2-decibels/L/0.3")).toBe("L 0.3 H2 decibels");
    expect(figureWords("hole/diameter-inch/V3/body")).toBe("V3 body hole, diameter inch");
    expect(figureWords("plateAmps/L.V1a")).toBe("L.V1a plate amps");
    expect(figureWords("dischargeHot/seconds")).toBe("discharge hot, seconds");
    expect(newWords(["12BH7A,", "(6X4)", "the", "…"])).toEqual(["12BH7A", "6X4"]);
    expect(newWords(["advised;", "—"])).toEqual(["advised"]);
    expect(wasNow({ of: "x", was: "1 V", now: "2 V" })).toBe("1 V → 2 V");
    expect(wasNow({ of: "x", now: "2 V" })).toBe("2 V, new");
  });
});

describe("true size", () => {
  test.each([
    ["100", "100,0", "ok"],
    ["99.7", "100.3 mm", "ok"],
    ["99.69", "100", "stop"],
    ["100", "97.0", "stop"],
    ["97.0", "", "stop"],
    ["100", "", undefined],
    ["", "", undefined],
    ["100", "ten", undefined],
  ] as const)("across %s, up %s: %s", (across, up, level) => {
    const judged = judgeBars(readBar(across), readBar(up));
    expect(judged.level).toBe(level);
    expect(judged.words).toMatch(
      level === "ok"
        ? /True to size/
        : level === "stop"
          ? /(small|large)\. Print again at 100/
          : /Do not cut|other bar/,
    );
  });
  test("what no ruler says of such a bar is asked again", () => {
    for (const written of ["3", "1000", "-100", "1e2", "99..7", "abc"]) expect(readBar(written).kind).toBe("wrong");
  });
});

test("a price book goes through the form and through its file unchanged; what is wrong is named", () => {
  const read = readPriceBook(readFileSync("examples/hearth/prices.json", "utf8"));
  if (!read.ok) throw new Error(read.failure);
  expect(bookOf(draftOf(read.value))).toEqual({ ok: true, value: read.value });
  expect(readPriceBook(pricesFile(read.value))).toEqual(read);
  const draft = draftOf(read.value);
  expect(bookOf({ ...draft, perHour: "much" })).toMatchObject({
    ok: false,
    failure: expect.stringMatching(/^Per hour/),
  });
  expect(bookOf({ ...draft, marginPercent: "96" })).toMatchObject({ ok: false });
  expect(bookOf(draftOf(undefined))).toMatchObject({ ok: false, failure: expect.stringMatching(/^Currency/) });
  expect(packAsks.readPrices.run(benchOf(document), { text: "{" })).toMatchObject({ ok: false });
});

const never = (): never => {
  throw new Error("a paper is missing");
};
