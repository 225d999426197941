/**
 * The rework that the demo of a new shop shows: the invented box with other tubes from its shelf, computed as any rework.
 * `npx tsx scripts/write-demo-steps.ts` writes its steps into `demo-steps.json`; a test computes them again.
 */
import {
  type DesignFile,
  frozenCatalogue,
  judgeDesign,
  provenRevision,
  rework,
  type ShelfFile,
} from "@platewright/design";
import { assert, type Catalogue } from "@platewright/engine";
import type { Move } from "./add-design.ts";
import { reworkMoves } from "./rework-steps.ts";

const PUT: ReadonlyMap<string, string> = new Map([["V1", "12BH7A"]]);

export function demoMoves(file: DesignFile, shelf: ShelfFile, catalogue: Catalogue): readonly Move[] {
  const revision = provenRevision(file);
  const done = rework({
    proven: file.now,
    catalogue,
    ...(revision === undefined ? {} : { provenCatalogue: frozenCatalogue(revision, catalogue) }),
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how),
    put: PUT,
    shelf,
    // No board: nobody reads it here.
    types: [],
  });
  assert(done.ok, "the demo's rework solves");
  return reworkMoves(file.now, done.value);
}
