/** The data files, once, under their declared shapes; `data.test.ts` proves that they have them. */
import type { DataCurve, DataSource, DataStageTable, DataTube } from "./data-format.ts";
import coupledStages from "../data/coupled-stages.json" with { type: "json" };
import doubleTriodes9a from "../data/double-triodes-9a.json" with { type: "json" };
import doubleTriodes9h from "../data/double-triodes-9h.json" with { type: "json" };
import doubleTriodesNoval from "../data/double-triodes-noval-6v3.json" with { type: "json" };
import octalTriodes from "../data/octal-triodes.json" with { type: "json" };
import plateCurves from "../data/plate-curves.json" with { type: "json" };
import rectifiers from "../data/rectifiers.json" with { type: "json" };
import regulators from "../data/regulators.json" with { type: "json" };
import singleTriodes from "../data/single-triodes.json" with { type: "json" };
import sources from "../data/sources.json" with { type: "json" };

const tubeFiles: readonly unknown[][] = [
  doubleTriodes9a,
  doubleTriodes9h,
  doubleTriodesNoval,
  octalTriodes,
  singleTriodes,
  rectifiers,
  regulators,
];

export const DATA_TUBES = tubeFiles.flat() as readonly DataTube[];
export const DATA_CURVES = plateCurves as readonly unknown[] as readonly DataCurve[];
export const DATA_STAGES = coupledStages as readonly unknown[] as readonly DataStageTable[];
export const DATA_SOURCES = sources as readonly unknown[] as readonly DataSource[];
