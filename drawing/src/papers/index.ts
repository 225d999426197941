export { type Figure, letterWidth, missingLetters, PAPER_SIZES } from "./letters.ts";
export { PAGE_SIZES, type PageSize, type Paper } from "./page.ts";
