export { type Figure, letterWidth, missingLetters, PAPER_SIZES } from "./letters.ts";
export { PAGE_SIZES, type PageSize, type Paper } from "./page.ts";
export { benchSheet } from "./bench-sheet.ts";
export { partsList } from "./parts-list.ts";
export { partsTable } from "./parts-rows.ts";
export { schematicPaper } from "./schematic-paper.ts";
export { wiringPaper } from "./wiring-paper.ts";
export { groundPaper } from "./ground-paper.ts";
