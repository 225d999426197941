import { existsSync, readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { DATA_CURVES, DATA_SOURCES, DATA_STAGES, DATA_TUBES } from "./data-files.ts";
import { DATA_FOOTPRINTS } from "./footprints.ts";
import { DATA_HOLES } from "./holes.ts";
import { fittedLaws } from "./laws.ts";
import { workedStages } from "./worked-stages.ts";

/** The file shapes of data-format.ts, with the ranges a tube of this trade can have: a slipped unit fails here. */
const between = (low: number, high: number) => z.number().min(low).max(high);
const text = z.string().min(1).max(300);
const provenance = {
  source: z.string().refine((code) => DATA_SOURCES.some((one) => one.code === code), "a code of sources.json"),
  status: z.enum(["published", "quoted", "memory", "derived"]),
  confidence: z.enum(["high", "medium", "low"]).optional(),
  note: text.optional(),
};
/** Remembered rows say how well; others do not pretend to. A row's status is its document's. */
const row = <S extends z.ZodRawShape>(shape: S) =>
  z.strictObject({ ...provenance, ...shape }).superRefine((value, context) => {
    const { status, confidence, source } = value as { status: string; confidence?: string; source: string };
    if ((status === "memory") !== (confidence !== undefined))
      context.addIssue({ code: "custom", message: `${status} with confidence ${confidence}` });
    const known = DATA_SOURCES.find((one) => one.code === source);
    if (known?.status !== status)
      context.addIssue({ code: "custom", message: `${status}, but ${source} is ${known?.status}` });
  });

const limitRanges: Record<string, readonly [number, number]> = {
  plateVolts: [100, 500],
  coldPlateVolts: [300, 1200],
  plateWatts: [0.5, 45],
  plateWattsTogether: [1, 45],
  cathodeMilliamps: [5, 200],
  peakCathodeMilliamps: [20, 1000],
  heaterCathodeVolts: [50, 600],
  heaterCathodeDcVolts: [50, 600],
  heaterPositiveDcVolts: [50, 300],
  heaterPositivePeakVolts: [50, 600],
  heaterNegativePeakVolts: [50, 600],
  cathodePositiveVolts: [50, 600],
  cathodeNegativeVolts: [50, 600],
  gridNegativeVolts: [20, 400],
  gridPositiveVolts: [0, 50],
  gridMegohms: [0.01, 10],
  gridMegohmsFixedBias: [0.01, 10],
  gridMegohmsCathodeBias: [0.01, 10],
  heaterCathodeKilohms: [1, 500],
  peakInverseVolts: [500, 4000],
  peakPlateMilliamps: [100, 2000],
  dcMilliamps: [30, 500],
  dcMilliampsChoke: [30, 500],
  transientPlateMilliamps: [500, 10000],
  rmsVoltsPerPlate: [200, 1200],
  rmsVoltsPerPlateChoke: [200, 1200],
  firstCapacitorMicrofarads: [2, 100],
};
const limit = (range: readonly [number, number]) =>
  z.union([
    between(...range),
    z.strictObject({ value: between(...range), note: text.optional() }),
    z.array(z.strictObject({ value: between(...range), upToRmsVoltsPerPlate: between(200, 1200) })).min(1),
  ]);
const limits = z.strictObject(
  Object.fromEntries(Object.entries(limitRanges).map(([name, range]) => [name, limit(range).optional()])),
);
/** Files that have a reader of their own. */
const READERS: Readonly<Record<string, string>> = {
  "footprints.json": "footprints.ts",
  "mechanical.json": "holes.ts",
  "worked-stages.json": "worked-stages.ts",
};
const picofarads = between(0.1, 20);
const millimetres = between(15, 170);

const rectifier = z.strictObject({
  warmUp: z.array(row({ kind: z.enum(["direct", "indirect"]) })).max(1),
  drops: z.array(row({ volts: between(5, 100), milliamps: between(30, 500) })),
  seriesOhms: z.array(row({ rmsVoltsPerPlate: between(200, 1200), ohms: between(20, 1000) })),
  operation: z.array(
    row({
      input: z.enum(["capacitor", "choke"]),
      rmsVoltsPerPlate: between(200, 1200),
      microfarads: between(1, 100).optional(),
      henries: between(1, 50).optional(),
      supplyOhmsPerPlate: between(20, 1000).optional(),
      dcMilliamps: between(0, 500),
      dcVolts: between(150, 1500),
      reading: z.enum(["table", "curve"]),
    }),
  ),
  plateCurve: z.array(row({ dropVolts: between(1, 100), milliamps: between(1, 500) })),
  ratingChart: z.array(row({ efficiency: between(0.4, 1), milliamps: between(10, 500) })),
});

const tube = z.strictObject({
  type: text,
  kind: z.enum(["triode", "rectifier", "regulator"]),
  sections: z.union([z.literal(1), z.literal(2)]),
  identity: row({}),
  names: z.array(z.strictObject({ name: text, how: z.enum(["same", "similar", "near"]), note: text.optional() })),
  variants: z
    .array(z.strictObject({ name: text, names: z.array(text), supersededBy: text.optional() }))
    .min(2)
    .optional(),
  bases: z
    .array(
      row({
        socket: z.enum(["noval", "octal", "7-pin miniature", "UX4", "UY5"]),
        basing: text.optional(),
        pins: text.optional(),
      }),
    )
    .min(1),
  heaters: z.array(
    row({
      filament: z.literal(true).optional(),
      options: z
        .array(
          z.strictObject({
            volts: z.union([2.5, 5, 6.3, 12.6].map((volts) => z.literal(volts))),
            amps: between(0.1, 4),
            wiring: z.enum(["series", "parallel", "single"]),
          }),
        )
        .min(1)
        .max(2),
    }),
  ),
  ratings: z.array(
    row({
      variant: text,
      label: text,
      system: z.enum(["design-centre", "design-maximum", "absolute", "unknown"]),
      systemFrom: z.enum(["stated", "the maker's habit at that date (memory)", "not stated"]),
      limits,
      other: z.record(z.string(), z.number()).optional(),
    }),
  ),
  capacitances: z.array(
    row({
      gridPlatePicofarads: z.array(picofarads).min(1).max(2).optional(),
      inputPicofarads: z.array(picofarads).min(1).max(2).optional(),
      outputPicofarads: z.array(picofarads).min(1).max(2).optional(),
      heaterCathodePicofarads: picofarads.optional(),
      platePlatePicofarads: picofarads.optional(),
    }),
  ),
  dimensions: z.array(
    row({
      overallMillimetres: millimetres.optional(),
      seatedMillimetres: millimetres.optional(),
      diameterMillimetres: millimetres.optional(),
    }),
  ),
  points: z.array(
    row({
      reading: z.enum(["table", "cut-off", "maximum", "range"]),
      plateVolts: between(40, 500).optional(),
      gridVolts: between(-150, 0).optional(),
      cathodeOhms: between(50, 3000).optional(),
      supplyVolts: between(40, 500).optional(),
      gridSupplyVolts: between(-50, 50).optional(),
      milliamps: between(0.001, 200).optional(),
      milliampsRange: z.tuple([between(0.1, 200), between(0.1, 200)]).optional(),
      micromhos: between(500, 25000).optional(),
      plateOhms: between(200, 120e3).optional(),
      mu: between(1.5, 110).optional(),
      section: z.union([z.literal(1), z.literal(2)]).optional(),
    }),
  ),
  rectifier: rectifier.optional(),
  regulator: z
    .array(
      row({
        runningVolts: between(70, 160).optional(),
        minimumMilliamps: between(1, 10).optional(),
        maximumMilliamps: between(10, 50).optional(),
        strikingSupplyVolts: between(90, 200).optional(),
        regulationVolts: between(0.5, 10).optional(),
      }),
    )
    .optional(),
  traps: z.array(text),
});

const curve = row({
  type: text,
  where: text,
  tolerance: z.strictObject({
    plateVolts: between(1, 10).optional(),
    milliamps: between(0.01, 2).optional(),
    fraction: between(0.005, 0.2).optional(),
  }),
  points: z.array(z.tuple([between(10, 520), between(-150, 0), between(0.01, 200)])).min(1),
});

const stageTable = row({
  type: text,
  table: text,
  outputAt: text.optional(),
  contested: text.optional(),
  rows: z
    .array(
      z.strictObject({
        supplyVolts: between(80, 450),
        plateLoadKilohms: between(10, 600),
        nextGridKilohms: between(20, 3000).optional(),
        cathodeOhms: between(0, 20e3),
        cathodeMicrofarads: between(0.3, 100).optional(),
        couplingMicrofarads: between(0.001, 1).optional(),
        gridLeakMegohms: between(0.05, 12).optional(),
        milliamps: between(0.1, 10).optional(),
        outputVoltsRms: between(2, 100).optional(),
        outputVoltsPeak: between(3, 120).optional(),
        gain: between(8, 90),
        distortionPercent: between(0.2, 10).optional(),
        note: text.optional(),
      }),
    )
    .min(1),
});

const TYPES =
  "12AU7A 12AX7A 12AT7 12AY7 12BH7A 5751 5814A 5963 5687 7119 6DJ8 6922 6CG7 6BQ7A 6GU7 6H30 6N6P 6N1P 6SN7GT " +
  "6SN7GTB 6SL7GT 6EM7 6080 6J5 6C4 76 2A3 300B EZ80 EZ81 6X4 6X5GT 6AX5GT 6BY5GA 5Y3GT 5V4GA 5AR4 5U4G 5U4GB " +
  "5R4GYB GZ32 0A2 0B2 0A3 0C3 0D3";

describe("data files", () => {
  test("every one of the 46 types is there once", () => {
    expect(DATA_TUBES.map((one) => one.type).sort()).toEqual(TYPES.split(" ").sort());
  });

  test.each(DATA_TUBES.map((one) => [one.type, one] as const))(
    "%s has the shape, known sources, sane numbers",
    (_type, one) => {
      expect(tube.safeParse(one).error?.issues ?? []).toEqual([]);
    },
  );

  test("curves, tables, holes, worked stages and sources have theirs", () => {
    expect(z.array(curve).safeParse(DATA_CURVES).error?.issues ?? []).toEqual([]);
    expect(z.array(stageTable).safeParse(DATA_STAGES).error?.issues ?? []).toEqual([]);
    const pair = z.tuple([between(2, 60), between(2, 60)]);
    const hole = row({
      id: text,
      label: text,
      socket: text.optional(),
      holeMillimetres: pair.optional(),
      cutoutMillimetres: pair.optional(),
      fixingMillimetres: between(10, 60).optional(),
      fixingAcrossMillimetres: pair.optional(),
      pairMillimetres: between(10, 30).optional(),
      screwMillimetres: pair.optional(),
      lugMillimetres: between(1, 5).optional(),
      lugOffsetMillimetres: pair.optional(),
    });
    expect(z.array(hole).safeParse(DATA_HOLES).error?.issues ?? []).toEqual([]);
    const worked = row({
      type: text,
      stage: text,
      condition: z.number().int().optional(),
      where: text.optional(),
      circuit: z.record(z.string().regex(/(Volts|Kilohms|Ohms|Microfarads)$/), z.number()),
      results: z.array(z.looseObject({ quantity: text, value: z.number() })).min(1),
    });
    expect(z.array(worked).safeParse(workedStages).error?.issues ?? []).toEqual([]);
    const source = z.strictObject({
      code: z.string().regex(/^[A-Z0-9_]+$/),
      title: text,
      status: z.enum(["published", "quoted", "memory", "derived"]),
      where: z.url({ protocol: /^https?$/ }).optional(),
    });
    expect(z.array(source).safeParse(DATA_SOURCES).error?.issues ?? []).toEqual([]);
    expect(new Set(DATA_SOURCES.map((one) => one.code)).size).toBe(DATA_SOURCES.length);
  });

  test("curves and tables speak of types that exist, and of triodes", () => {
    const triodes = new Set(DATA_TUBES.filter((one) => one.kind === "triode").map((one) => one.type));
    for (const one of [...DATA_CURVES, ...DATA_STAGES, ...workedStages]) expect(triodes, one.type).toContain(one.type);
  });

  /** How much of each standing there is. A change here is a change of the data and belongs in its commit. */
  test("counts of rows by status", () => {
    const counts: Record<string, number> = {};
    const count = (status: string, rows = 1): void => {
      counts[status] = (counts[status] ?? 0) + rows;
    };
    for (const one of DATA_TUBES) {
      for (const rating of one.ratings) count(rating.status, Object.keys(rating.limits).length);
      for (const list of [one.bases, one.heaters, one.capacitances, one.dimensions, one.points, one.regulator ?? []])
        for (const entry of list) count(entry.status);
      for (const list of Object.values(one.rectifier ?? {})) for (const entry of list) count(entry.status);
    }
    for (const one of DATA_CURVES) count(one.status, one.points.length);
    for (const one of DATA_STAGES) count(one.status, one.rows.length);
    for (const one of workedStages) count(one.status, one.results.length);
    for (const one of [...DATA_HOLES, ...DATA_FOOTPRINTS]) count(one.status);
    expect(counts).toMatchInlineSnapshot(`
      {
        "memory": 539,
        "published": 549,
        "quoted": 129,
      }
    `);
  });

  test("every data file is loaded, and none holds a path of a machine", () => {
    const folder = new URL("../data/", import.meta.url);
    const loaded = readFileSync(new URL("data-files.ts", import.meta.url), "utf8");
    for (const file of readdirSync(folder)) {
      const code = READERS[file] ?? "";
      const reader = code === "" ? loaded : readFileSync(new URL(code, import.meta.url), "utf8");
      expect(reader, file).toContain(`"../data/${file}"`);
      expect(readFileSync(new URL(file, folder), "utf8")).not.toMatch(/"\/|file:|localhost/);
    }
  });

  test("every fitted law in library/laws is listed in law-files.ts", () => {
    const folder = new URL("../laws/", import.meta.url);
    const listed = readFileSync(new URL("law-files.ts", import.meta.url), "utf8");
    for (const file of existsSync(folder) ? readdirSync(folder) : [])
      if (file.endsWith(".json")) expect(listed, `import it there`).toContain(`"../laws/${file}"`);
  });

  test("fitted laws are of types that exist, with numbers that are numbers", () => {
    for (const law of fittedLaws) {
      const [type, section] = law.type.split("/");
      expect(
        DATA_TUBES.some((one) => one.type === type && one.kind === "triode"),
        law.type,
      ).toBe(true);
      expect([undefined, "2"]).toContain(section);
      const numbers = [...law.covariance, ...law.parameters.flatMap((one) => [one.value, one.sd, one.priorSd])];
      for (const value of numbers) expect(Number.isFinite(value), law.type).toBe(true);
      expect(law.covariance, law.type).toHaveLength(law.parameters.length ** 2);
    }
  });
});
