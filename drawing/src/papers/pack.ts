/** All papers of one revision, in the order of the job. */
import { benchSheet } from "./bench-sheet.ts";
import { fabricatorPaper } from "./fabricator-paper.ts";
import { groundPaper } from "./ground-paper.ts";
import { holeChart } from "./hole-chart.ts";
import { layoutPaper } from "./layout-paper.ts";
import { measurementSheet } from "./measurement-sheet.ts";
import { ownerSheet } from "./owner-sheet.ts";
import type { Paper } from "./page.ts";
import type { PackInput } from "./pack-input.ts";
import { partsList } from "./parts-list.ts";
import { priceSheet } from "./price-sheet.ts";
import { safetySlip, technicalFile } from "./safety-slip.ts";
import { schematicPaper } from "./schematic-paper.ts";
import { templatePaper } from "./template.ts";
import { wiringPaper } from "./wiring-paper.ts";

/** Each makes one paper; none where the design has nothing for it. */
export const PAPERS: readonly ((input: PackInput) => Paper | undefined)[] = [
  partsList,
  schematicPaper,
  layoutPaper,
  wiringPaper,
  groundPaper,
  holeChart,
  templatePaper,
  fabricatorPaper,
  benchSheet,
  measurementSheet,
  safetySlip,
  technicalFile,
  ownerSheet,
  priceSheet,
];

export const packPapers = (input: PackInput): readonly Paper[] => PAPERS.flatMap((make) => make(input) ?? []);
