/**
 * Fits a law to every triode type (and to each unlike half) that has a usable point, and writes library/laws/*.json.
 * Run with `npm run fit`; the same data give the same files.
 */
import { writeFileSync } from "node:fs";
import { type CoupledStageRow, type LawRecord, type TubeRecord, volts } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { bandsFor, SPREAD, typicalStage } from "./band.ts";
import { fitIsland, solveOnePoint, withGrid } from "./fit.ts";
import {
  evaluatorOf,
  fittedStageRows,
  mainSource,
  observePoints,
  observeStage,
  predictPoint,
  predictStage,
  voltsOf,
} from "./observations.ts";
import { NAMES, NO_PRIOR_SD, priorsFor, toLaw } from "./parameters.ts";

const DETERMINED = 0.7;

export function fitType(record: TubeRecord, section?: 1 | 2): LawRecord | string {
  const points = record.points.filter((point) => section === undefined || point.section === section);
  const main = mainSource(points, record.coupledStages);
  const starts = points
    .map((point) => ({ point, law: solveOnePoint(point) }))
    .filter((one) => one.law !== undefined)
    .sort((a, b) => Number(b.point.source === main) - Number(a.point.source === main));
  // The last table point of the main source is the one sheets call typical operation.
  const mine = starts.filter((one) => one.point.source === starts[0]?.point.source);
  const sheet = mine[mine.length - 1];
  if (sheet?.law === undefined) return "no point with current, slope and plate resistance";
  const start = sheet.law;
  const rough = evaluatorOf(withGrid(start));
  const out = new Float64Array(6);
  const observed = observePoints(points, main, (plateVolts, gridVolts) => {
    rough(gridVolts, plateVolts, out);
    return out[2] as number;
  });
  const stages = section === undefined ? fittedStageRows(record).map((row) => observeStage(row)) : [];
  const { mu, siemens, plateOhms } = sheet.point;
  const sheetMu = mu ?? (siemens ?? 0) * (plateOhms ?? 0);
  const priors = priorsFor(sheetMu);
  const capacitances = record.capacitances[(section ?? 1) - 1] ?? record.capacitances[0];
  const fit = fitIsland({ points: observed, stages, priors, start, capacitances });
  if (fit === undefined) return "no start settled";
  const space = toLaw(fit.x);
  const law = withGrid(rounded(space));
  const evaluate = evaluatorOf(law);
  const at = voltsOf(sheet.point) ?? { plateVolts: 250, gridVolts: -1 };
  evaluate(at.gridVolts, at.plateVolts, out);
  const bias = new Set(
    observed
      .filter(({ point }) => point.reading === "table")
      .map(({ point }) => {
        const here = voltsOf(point) ?? at;
        return Math.round((20 * sheetMu * (here.gridVolts + 0.3)) / here.plateVolts);
      }),
  );
  const basis: LawRecord["basis"] =
    stages.length > 0
      ? "distortion rows"
      : observed.some(({ point }) => point.reading === "curve")
        ? "curves"
        : bias.size > 1
          ? "two points"
          : "one point";
  const printed = record.coupledStages.filter(
    (one) => one.contested === undefined && one.totalDistortionPercent !== undefined,
  );
  const typical =
    stages.length > 0
      ? (printed[printed.length >> 1] as CoupledStageRow)
      : typicalStage({ ...at, plateAmps: out[0] as number, plateOhms: 1 / (out[2] as number) });
  const bands = bandsFor(fit.x, fit.covariance, typical, basis);
  return {
    type: section === 2 ? `${record.type}/2` : record.type,
    law,
    parameters: NAMES.map((name, i) => {
      const sd = Math.sqrt(fit.covariance[i * 7 + i] as number);
      const priorSd = priors[i]?.sd ?? NO_PRIOR_SD;
      return {
        name,
        value: law.space.form === "island" ? round(law.space[name]) : Number.NaN,
        sd: round(sd, 3),
        priorSd: round(priorSd, 3),
        determined: sd <= DETERMINED * priorSd,
      };
    }),
    covariance: Array.from(fit.covariance, (value) => round(value, 5)),
    basis,
    residuals: [
      ...observed.flatMap((one) => {
        const predicted = predictPoint(one, evaluate);
        return one.observations.map((o, i) => row(o, predicted[i] as number));
      }),
      ...stages.flatMap((one) => {
        const predicted = predictStage(one, law, capacitances);
        return one.observations.map((o, i) => row(o, predicted[i] as number));
      }),
    ],
    h2BandDecibels: round(bands.h2, 2),
    h3BandDecibels: round(bands.h3, 2),
    spread: { ...SPREAD, contactVolts: volts(SPREAD.contactVolts) },
    fittedBy: `library/fit/fit-laws.ts: island law, ${observed.length} points${stages.length > 0 ? ` and ${stages.length} stage rows` : ""}, ${fit.starts} starts settled`,
  };
}

function row(o: { row: string; quantity: string; published: number; source: string }, predicted: number) {
  return {
    row: o.row,
    quantity: o.quantity,
    published: round(o.published),
    predicted: round(predicted),
    source: o.source,
  };
}

const round = (value: number, digits = 5): number => Number(value.toPrecision(digits));

function rounded(law: ReturnType<typeof toLaw>): ReturnType<typeof toLaw> {
  const r = (value: number) => round(value, 6);
  return {
    form: "island",
    G: r(law.G),
    mu: r(law.mu),
    p: r(law.p),
    k: r(law.k),
    a: r(law.a),
    Vt: r(law.Vt),
    Vct: r(law.Vct),
  };
}

function main(): void {
  const folder = new URL("../laws/", import.meta.url);
  const catalogue = openCatalogue();
  const files: string[] = [];
  for (const type of catalogue.types) {
    const record = catalogue.tube(type);
    if (record === undefined || record.kind !== "triode") continue;
    const unlike = record.points.some((point) => point.section === 2);
    const laws = (unlike ? ([1, 2] as const) : [undefined]).map((section) => fitType(record, section));
    const good = laws.filter((law): law is LawRecord => typeof law !== "string");
    for (const complaint of laws) if (typeof complaint === "string") console.log(`${type}: ${complaint}`);
    if (good.length === 0) continue;
    const name = `${type.toLowerCase()}.json`;
    writeFileSync(new URL(name, folder), `${JSON.stringify(good, null, 1)}\n`);
    files.push(name);
    for (const law of good) {
      const { space } = law.law;
      console.log(
        law.type.padEnd(8),
        law.basis.padEnd(16),
        space.form === "island" ? NAMES.map((n) => `${n} ${round(space[n], 4)}`).join("  ") : "",
        `H2 ±${law.h2BandDecibels} dB`,
      );
    }
  }
  const imports = files.map((name) => `import ${identifier(name)} from "../laws/${name}" with { type: "json" };`);
  writeFileSync(
    new URL("../src/law-files.ts", import.meta.url),
    `/**\n * The laws that \`npm run fit\` wrote: one import per file of \`library/laws\`, each holding a list of records.\n * Written by that script. The data test fails when a file of that folder is not listed here.\n */\n${imports.join("\n")}\n\nexport const LAW_FILES: readonly unknown[] = [\n${files.map((name) => `  ${identifier(name)},`).join("\n")}\n];\n`,
  );
}

const identifier = (name: string): string =>
  `law${name
    .replace(/\.json$/, "")
    .replace(/[^a-z0-9]/gi, "")
    .toUpperCase()}`;

if (process.argv[1]?.endsWith("fit-laws.ts") === true) main();
