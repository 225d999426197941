/** What a new shop begins with: the invented Hearth line box with its shelf, or nothing but an empty shelf. */
import { readDesign, readShelf } from "@platewright/design";
import { assert } from "@platewright/engine";
import hearthDesign from "../../../examples/hearth/hearth.design.json" with { type: "json" };
import hearthShelf from "../../../examples/hearth/shelf.json" with { type: "json" };
import { addDesign } from "./add-design.ts";
import type { Around } from "./around.ts";
import { keyFor } from "./names.ts";
import { addShelf, EMPTY_SHELF } from "./shelf.ts";

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
  addDesign(around, { key: keyFor(name, new Set()), name, why: "first", file: design.value });
}
