/**
 * Compares forms of law on published rows that none has seen: each is fitted to the same sheet rows (no stage rows) and predicts the
 * stage tables. Prints the table of docs/laws.md. `npm run compare`.
 */
import { leastSquares, type SpaceLaw, type TriodeLaw, type TubeRecord } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { gridLawFor, solveOnePoint } from "./fit.ts";
import {
  evaluatorOf,
  mainSource,
  observePoints,
  observeStage,
  type ObservedPoint,
  predictPoint,
  predictStage,
} from "./observations.ts";

interface Form {
  readonly name: string;
  readonly law: (x: ArrayLike<number>) => SpaceLaw;
  /** Mean and deviation per parameter; the first (ln of the current's scale) has a wide one. */
  readonly prior: (mu: number) => readonly (readonly [number, number])[];
  readonly starts: (mu: number) => readonly (readonly number[])[];
}

const exp = (x: ArrayLike<number>, i: number): number => Math.exp(x[i] as number);

const koren = (name: string, kvb: number): Form => ({
  name,
  law: (x) => ({
    form: "koren",
    kg1: exp(x, 0),
    mu: exp(x, 1),
    ex: exp(x, 2),
    kp: exp(x, 3),
    kvb,
    Vct: x[4] as number,
  }),
  prior: (mu) => [
    [Math.log(1000), 3],
    [Math.log(1.05 * mu), 0.15],
    [Math.log(1.35), 0.08],
    [Math.log(5 * mu), 0.7],
    [0.3, 0.4],
  ],
  starts: (mu) =>
    [100, 300, 1000].flatMap((kg1) =>
      [3, 6, 10].map((k) => [Math.log(kg1), Math.log(1.05 * mu), Math.log(1.35), Math.log(k * mu), 0.3]),
    ),
});

const FORMS: readonly Form[] = [
  {
    name: "island",
    law: (x) => ({
      form: "island",
      G: exp(x, 0),
      mu: exp(x, 1),
      p: exp(x, 2),
      k: exp(x, 3),
      a: Math.min(0.95, exp(x, 4)),
      Vt: exp(x, 5),
      Vct: x[6] as number,
    }),
    prior: (mu) => [
      [Math.log(2e-3), 3],
      [Math.log(1.1 * mu), 0.15],
      [Math.log(1.42), 0.06],
      [Math.log(8), 0.4],
      [Math.log(0.16), 0.8],
      [Math.log(0.18), 0.35],
      [0.3, 0.3],
    ],
    starts: (mu) =>
      [1e-3, 5e-3].flatMap((G) =>
        [3, 6, 12].flatMap((k) =>
          [0.05, 0.3].map((a) => [
            Math.log(G),
            Math.log(1.1 * mu),
            Math.log(1.42),
            Math.log(k),
            Math.log(a),
            Math.log(0.18),
            0.3,
          ]),
        ),
      ),
  },
  koren("Koren, Kvb 300", 300),
  koren("Koren, Kvb 0", 0),
  {
    name: "constant mu, softplus",
    law: (x) => ({
      form: "softplus",
      G: exp(x, 0),
      mu: exp(x, 1),
      gamma: exp(x, 2),
      C: exp(x, 3),
      Vct: x[4] as number,
    }),
    prior: (mu) => [
      [Math.log(2e-3), 3],
      [Math.log(1.05 * mu), 0.15],
      [Math.log(1.35), 0.1],
      [Math.log(4), 1],
      [0.3, 0.4],
    ],
    starts: (mu) =>
      [5e-4, 1e-3, 3e-3, 1e-2].flatMap((G) =>
        [0.3, 1, 3].map((C) => [Math.log(G), Math.log(1.05 * mu), Math.log(1.35), Math.log(C), 0.3]),
      ),
  },
];

function fitForm(form: Form, points: readonly ObservedPoint[], mu: number): TriodeLaw | undefined {
  const prior = form.prior(mu);
  const residuals = (x: Float64Array): Float64Array => {
    const evaluate = evaluatorOf({ space: form.law(x), grid: { form: "none" } });
    const r: number[] = [];
    for (const point of points) {
      const predicted = predictPoint(point, evaluate);
      for (const [i, { published, deviation, side }] of point.observations.entries()) {
        const off = Math.log((predicted[i] as number) / published) / deviation;
        r.push(side === "above" ? Math.max(0, off) : off);
      }
    }
    for (const [i, [mean, sd]] of prior.entries()) r.push(((x[i] as number) - mean) / sd);
    return Float64Array.from(r);
  };
  let best: { readonly cost: number; readonly x: Float64Array } | undefined;
  for (const start of form.starts(mu)) {
    const fit = leastSquares(residuals, start, { iterations: 300, stepTolerance: 1e-8, gradientTolerance: 1e-8 });
    if (fit.ok && (best === undefined || fit.value.cost < best.cost)) best = { cost: fit.value.cost, x: fit.value.x };
  }
  if (best === undefined) return undefined;
  const space = form.law(best.x);
  const scale =
    space.form === "koren" ? 2 / space.kg1 : space.form === "island" || space.form === "softplus" ? space.G : 1e-3;
  return { space, grid: gridLawFor(scale) };
}

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

/** rms misses of every form on the stage rows of a type that print gain and distortion. */
export function compareForms(record: TubeRecord, table: string) {
  const main = mainSource(record.points, record.coupledStages);
  const start = record.points
    .map((point) => ({ point, law: solveOnePoint(point) }))
    .find((one) => one.law !== undefined && one.point.source === main);
  if (start?.law === undefined) return [];
  const rough = evaluatorOf({ space: start.law, grid: { form: "none" } });
  const out = new Float64Array(6);
  const points = observePoints(record.points, main, (va, vg) => {
    rough(vg, va, out);
    return out[2] as number;
  });
  const mu = start.point.mu ?? (start.point.siemens ?? 0) * (start.point.plateOhms ?? 0);
  const rows = record.coupledStages.filter(
    (row) =>
      row.table === table &&
      row.contested === undefined &&
      row.gain !== undefined &&
      row.totalDistortionPercent !== undefined &&
      row.outputVoltsRms !== undefined,
  );
  return FORMS.map((form) => {
    const law = fitForm(form, points, mu);
    const misses =
      law === undefined
        ? []
        : rows.map((row) => ({ row, predicted: predictStage(observeStage(row), law, record.capacitances[0]) }));
    return {
      form: form.name,
      rows: rows.length,
      gain: rms(misses.map(({ row, predicted }) => (predicted[0] as number) / (row.gain as number) - 1)),
      distortion: rms(
        misses.map(
          ({ row, predicted }) => 20 * Math.log10((predicted[1] as number) / (row.totalDistortionPercent as number)),
        ),
      ),
    };
  });
}

const TABLES = [
  ["12AU7A", "Philips ECC82"],
  ["6922", "TAD RT-6922"],
  ["12AX7A", "Philips and Mullard ECC83"],
] as const;

function main(): void {
  const catalogue = openCatalogue();
  const all = TABLES.map(([type, table]) => compareForms(catalogue.tube(type) as TubeRecord, table));
  console.log(
    `| form, fitted to sheet rows only | ${TABLES.map(([type, table]) => `${type}, ${table}: gain, distortion (rms)`).join(" | ")} |`,
  );
  console.log(`|---|${TABLES.map(() => "---").join("|")}|`);
  for (const [i, form] of FORMS.entries())
    console.log(
      `| ${form.name} | ${all.map((one) => `${(100 * (one[i]?.gain ?? Number.NaN)).toFixed(1)} %, ${(one[i]?.distortion ?? Number.NaN).toFixed(1)} dB`).join(" | ")} |`,
    );
}

if (process.argv[1]?.endsWith("compare-laws.ts") === true) main();
