/** All papers of one revision, in the order of the job. */
import { benchSheet } from "./bench-sheet.ts";
import { groundPaper } from "./ground-paper.ts";
import { measurementSheet } from "./measurement-sheet.ts";
import { ownerSheet } from "./owner-sheet.ts";
import type { Paper } from "./page.ts";
import type { PackInput } from "./pack-input.ts";
import { partsList } from "./parts-list.ts";
import { priceSheet } from "./price-sheet.ts";
import { safetySlip, technicalFile } from "./safety-slip.ts";
import { schematicPaper } from "./schematic-paper.ts";
import { wiringPaper } from "./wiring-paper.ts";

export const packPapers = (input: PackInput): readonly Paper[] => [
  partsList(input),
  schematicPaper(input),
  wiringPaper(input),
  groundPaper(input),
  benchSheet(input),
  measurementSheet(input),
  safetySlip(input),
  technicalFile(input),
  ownerSheet(input),
  priceSheet(input),
];
