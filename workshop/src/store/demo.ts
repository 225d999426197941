/** What a new shop begins with: the invented Hearth line box, reworked for other tubes, with its shelf; or an empty shelf. */
import { type DesignFile, readDesign, readShelf, type ShelfFile } from "@platewright/design";
import { assert } from "@platewright/engine";
import hearthDesign from "../../../examples/hearth/hearth.design.json" with { type: "json" };
import hearthShelf from "../../../examples/hearth/shelf.json" with { type: "json" };
import { addDesign } from "./add-design.ts";
import type { Around } from "./around.ts";
import demoSteps from "./demo-steps.json" with { type: "json" };
import { keyFor } from "./names.ts";
import { addShelf, EMPTY_SHELF } from "./shelf.ts";

export function beginShop(around: Around, withDemo: boolean): void {
  if (!withDemo) {
    addShelf(around, EMPTY_SHELF);
    return;
  }
  const { design, shelf } = demoFiles();
  addShelf(around, shelf);
  const { name } = design.now;
  addDesign(around, { key: keyFor(name, new Set()), name, why: "first", file: design, moves: demoSteps });
}

export function demoFiles(): { readonly design: DesignFile; readonly shelf: ShelfFile } {
  const design = readDesign(JSON.stringify(hearthDesign));
  const shelf = readShelf(JSON.stringify(hearthShelf));
  assert(design.ok && shelf.ok, "the demo that is shipped reads");
  return { design: design.value, shelf: shelf.value };
}
