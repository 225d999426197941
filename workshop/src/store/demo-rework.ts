/**
 * The rework that the demo of a new shop shows: the invented box with other tubes from its shelf, computed as any rework.
 * `npx tsx scripts/write-demo-steps.ts` writes its steps into `demo-steps.json`; a test computes them again.
 */
import {
  applyChanges,
  chassisFindings,
  type DesignFile,
  type Document,
  frozenCatalogue,
  judgeDesign,
  provenRevision,
  rework,
  type ShelfFile,
} from "@platewright/design";
import { assert, type Catalogue } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { Move } from "./add-design.ts";
import { reworkMoves } from "./rework-steps.ts";

const PUT: ReadonlyMap<string, string> = new Map([
  ["V1", "12BH7A"],
  ["V3", "6X4"],
]);

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
  const moves = reworkMoves(file.now, done.value);
  const reworked = applyChanges(
    file.now,
    moves.flatMap((move) => move.changes),
  );
  assert(reworked.ok, "the demo's moves follow each other");
  return [...moves, ...socketMoves(reworked.value, catalogue)];
}

/** Sockets of another base on the chassis, as their findings would have it; the holes that then do not fit are left to decide. */
function socketMoves(document: Document, catalogue: Catalogue): readonly Move[] {
  return chassisFindings({ document, footprints, catalogue })
    .filter((one) => one.rule === "chassis-socket")
    .flatMap((one) => one.fixes.slice(0, 1));
}
