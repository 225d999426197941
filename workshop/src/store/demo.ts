/** What a new shop begins with: the invented Hearth line box, reworked for other tubes, with its shelf; or an empty shelf. */
import {
  type DesignFile,
  frozenCatalogue,
  judgeDesign,
  provenRevision,
  readDesign,
  readShelf,
  rework,
  type ShelfFile,
} from "@platewright/design";
import { assert, type Catalogue } from "@platewright/engine";
import hearthDesign from "../../../examples/hearth/hearth.design.json" with { type: "json" };
import hearthShelf from "../../../examples/hearth/shelf.json" with { type: "json" };
import { addDesign, type Move } from "./add-design.ts";
import type { Around } from "./around.ts";
import { keyFor } from "./names.ts";
import { reworkMoves } from "./rework-steps.ts";
import { addShelf, EMPTY_SHELF } from "./shelf.ts";

/** The tubes of the demo's shelf that its rework puts in. */
const PUT: ReadonlyMap<string, string> = new Map([["V1", "12BH7A"]]);

export function beginShop(around: Around, withDemo: boolean): void {
  if (!withDemo) {
    addShelf(around, EMPTY_SHELF);
    return;
  }
  const design = readDesign(JSON.stringify(hearthDesign));
  const shelf = readShelf(JSON.stringify(hearthShelf));
  assert(design.ok && shelf.ok, "the demo that is shipped reads");
  addShelf(around, shelf.value);
  const { name } = design.value.now;
  const moves = demoMoves(design.value, shelf.value, around.catalogue);
  addDesign(around, { key: keyFor(name, new Set()), name, why: "first", file: design.value, moves });
}

/** The rework that the demo shows, computed: no design at all is better than one that was never solved. */
function demoMoves(file: DesignFile, shelf: ShelfFile, catalogue: Catalogue): readonly Move[] {
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
