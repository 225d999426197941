/** Cuts revision A of the Hearth line box from its working document and pins it as proven. Run after the demo's values change. */
import { readFileSync, writeFileSync } from "node:fs";
import { cutRevision, pinProven, readDesign } from "@platewright/design";
import { footprints, openCatalogue } from "@platewright/library";

const path = new URL("../examples/hearth/hearth.design.json", import.meta.url);
const file = readDesign(readFileSync(path, "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const { proven: _, ...working } = file.value;
const ask = {
  id: "A",
  note: "The unit as first built and liked. Invented, like everything about this box.",
  cutOn: "2026-11-25",
};
const cut = cutRevision({ ...working, revisions: [] }, openCatalogue(), ask, footprints);
if (!cut.ok) throw new Error(cut.failure);
const pinned = pinProven(cut.value, "A");
if (!pinned.ok) throw new Error(pinned.failure);
writeFileSync(path, `${JSON.stringify(pinned.value, undefined, 1)}\n`);
