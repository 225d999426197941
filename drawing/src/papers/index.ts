export { type Figure, letterWidth, missingLetters, PAPER_SIZES } from "./letters.ts";
export { packPapers } from "./pack.ts";
export type { PackInput, PriceBook } from "./pack-input.ts";
export { offPage, PAGE_SIZES, type PageSize, type Paper } from "./page.ts";
export { partsTable } from "./parts-rows.ts";
