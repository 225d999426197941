/** Writes docs/verification.md: every outside check of the main job with predicted, published, error, source. `npm run verify`. */
import { writeFileSync } from "node:fs";
import { openCatalogue } from "@platewright/library";
import { distortionBand } from "./band.ts";
import { predictedRegulation, rectifierLines } from "./rectifier-rows.ts";
import { medianAndWorst, type PredictedStage, predictedStages } from "./stage-rows.ts";

const catalogue = openCatalogue();
const percent = (value: number | undefined): string =>
  value === undefined ? "" : Number.isFinite(value) ? `${(100 * value).toFixed(1)} %` : "not solved";
const decibels = (value: number | undefined): string =>
  value === undefined ? "" : Number.isFinite(value) ? `${value.toFixed(2)} dB` : "not solved";
const titleOf = (code: string): string => catalogue.source(code)?.title ?? code;

const pair = (values: readonly (number | undefined)[], print: (value: number) => string): string => {
  const { median, worst, count } = medianAndWorst(values.filter((one) => one === undefined || Number.isFinite(one)));
  return count === 0 ? "" : `${print(median)} / ${print(worst)}`;
};

const stages = predictedStages();
const tables = new Map<string, PredictedStage[]>();
for (const one of stages) {
  const key = `${one.type}: ${one.row.table}`;
  tables.set(key, [...(tables.get(key) ?? []), one]);
}

const lines: string[] = [
  "# Verification",
  "",
  "Written by `npm run verify`; not edited by hand. Misses stand here like hits. Rows marked *fit* have informed the law they are",
  "compared with; all others were predicted. Errors are predicted over published.",
  "",
  "## Resistance-coupled tables, rows left out",
  "",
  'Median / worst over the rows that no fit has seen. "Inside band" counts distortion rows within the 90 % band of their own stage.',
  "",
  "| type and table | rows | current | gain | total distortion | inside band | output at grid current | standing |",
  "|---|---|---|---|---|---|---|---|",
];
let inside = 0;
let banded = 0;
let squares = 0;
for (const [key, rows] of tables) {
  const left = rows.filter((one) => !one.usedInFit);
  const first = rows[0] as PredictedStage;
  const withDistortion = left.filter(
    (one) => one.distortionDecibels !== undefined && Number.isFinite(one.distortionDecibels),
  );
  const good = withDistortion.filter((one) => Math.abs(one.distortionDecibels as number) <= distortionBand(one));
  if (first.contested === undefined) {
    inside += good.length;
    banded += withDistortion.length;
    for (const one of withDistortion) squares += (one.distortionDecibels as number) ** 2;
  }
  lines.push(
    `| ${key} | ${left.length} | ${pair(
      left.map((one) => one.currentError),
      percent,
    )} | ${pair(
      left.map((one) => one.gainError),
      percent,
    )} | ${pair(
      left.map((one) => one.distortionDecibels),
      decibels,
    )} | ${withDistortion.length === 0 ? "" : `${good.length} of ${withDistortion.length}`} | ${pair(
      left.map((one) => one.onsetDecibels),
      decibels,
    )} | ${first.row.status}${first.contested === undefined ? "" : "; contested"} |`,
  );
}
lines.push(
  "",
  `Of the distortion rows left out and not contested, ${inside} of ${banded} (${Math.round((100 * inside) / banded)} %) lie inside the 90 % band; their rms miss is ${Math.sqrt(squares / banded).toFixed(2)} dB.`,
  "",
  "## Row by row",
);
for (const [key, rows] of tables) {
  const first = rows[0] as PredictedStage;
  lines.push(
    "",
    `### ${key}`,
    "",
    `Source: ${titleOf(first.row.source)} (${first.row.status}).${first.contested === undefined ? "" : ` Remark: ${first.contested}.`}`,
    "",
  );
  lines.push(
    "| row | | plate mA | published | error | gain | published | error | total % | published | error | out at onset V | published | error |",
    "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|",
  );
  const number = (value: number | undefined, scale = 1): string =>
    value === undefined ? "" : Number.isFinite(value) ? String(Number((value * scale).toPrecision(3))) : "–";
  for (const one of rows) {
    const { row, predicted } = one;
    lines.push(
      `| ${one.name.replace(`${row.table}, `, "")} | ${one.usedInFit ? "fit" : ""} | ${number(predicted.plateAmps, 1000)} | ${number(row.plateAmps, 1000)} | ${percent(one.currentError)} | ${number(predicted.gain)} | ${number(row.gain)} | ${percent(one.gainError)} | ${number(predicted.totalPercent)} | ${number(row.totalDistortionPercent)} | ${decibels(one.distortionDecibels)} | ${number(predicted.onsetOutputVolts)} | ${one.onsetDecibels === undefined ? "" : number(row.outputVoltsRms)} | ${decibels(one.onsetDecibels)} |`,
    );
  }
}
lines.push(...rectifierLines(titleOf));
lines.push(
  "",
  "## Checked in the test suite",
  "",
  "- Circuit P2 (bias, response, spectrum): `checks/p2.test.ts`, `checks/harmonics-p2.test.ts`.",
  "- Rectifier closed forms and ideal-switch table: `checks/rectifier.test.ts`; choke input: `checks/rectifier-choke.test.ts`;",
  "  three capacitors by shooting and by brute force: `checks/rectifier-chain.test.ts`; rating charts: `checks/rectifier-chart.test.ts`.",
  "- Worked cases and identities: `checks/harmonics-cases.test.ts`, `checks/worked-cases.test.ts`.",
  "- SciPy fixtures: `checks/scipy/`.",
  "",
);
writeFileSync(new URL("../../docs/verification.md", import.meta.url), lines.join("\n"));
console.log(lines.slice(5, 30).join("\n"));
const regulation = predictedRegulation().filter((one) => one.type === "EZ80");
console.log(
  `EZ80 regulation: ${regulation.length} rows, worst ${percent(Math.max(...regulation.map((one) => Math.abs(one.error))))}`,
);
