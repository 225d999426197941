/** What a new shop shows. */
import { same } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { afterAll, expect, test } from "vitest";
import { demoFiles } from "./demo.ts";
import { demoMoves } from "./demo-rework.ts";
import demoSteps from "./demo-steps.json" with { type: "json" };
import { DEMO, testFolder, valueOf } from "./test-shop.ts";

const folder = testFolder();
afterAll(folder.remove);

test("the demo's steps are what the rework computes; `npx tsx scripts/write-demo-steps.ts` writes them", () => {
  const { design, shelf } = demoFiles();
  const moves = demoMoves(design, shelf, openCatalogue());
  expect(moves.length).toBeGreaterThan(1);
  expect(demoSteps).toEqual(JSON.parse(JSON.stringify(moves)));
});

test("a new shop has the demo, said to be invented, proven and pinned, and now differs from it", () => {
  const store = folder.shop("new.sqlite");
  const { design, document, line, revisions } = valueOf(store.open(DEMO));
  expect(design.invented).toBe(true);
  expect(design.proven).toBe("A");
  expect(line).toMatchObject({ key: "now", why: "first", seq: demoSteps.length });
  const proven = revisions.find((one) => one.id === "A");
  expect([proven?.line, proven?.seq]).toEqual(["now", 0]);
  expect(same(proven?.document, document)).toBe(false);
  expect(document.envelopes.map((one) => one.type)).toContain("12BH7A");
  expect(valueOf(store.shelf()).shelf.tubes.map((one) => one.type)).toContain("12BH7A");
  store.close();
});
