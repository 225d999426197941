export { type Figure, letterWidth, missingLetters, PAPER_SIZES } from "./letters.ts";
export { packPapers } from "./pack.ts";
export { dateWords, type PackInput } from "./pack-input.ts";
export { makePack, type PackAsk, type PackMade, type PackStep, packSteps } from "./pack-steps.ts";
export { type PackSubject, packSubject } from "./pack-subject.ts";
export { offPage, PAGE_SIZES, type PageSize, type Paper } from "./page.ts";
export { partsTable } from "./parts-rows.ts";
export { fabricatorPaper } from "./fabricator-paper.ts";
export { templatePaper } from "./template.ts";
