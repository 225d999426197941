import { build } from "esbuild";
import { describe, expect, test } from "vitest";
import { volts, type LawRecord, type TubeRecord } from "@platewright/engine";
import { openCatalogue } from "./catalogue.ts";
import { editDistance, nearestTypes, plainName } from "./names.ts";

const catalogue = openCatalogue();
const named = (name: string): string | undefined => catalogue.tube(name)?.type;

describe("names", () => {
  test.each([
    ["12AU7", "12AU7A"],
    ["ecc82", "12AU7A"],
    ["ECC 83", "12AX7A"],
    ["12ax7", "12AX7A"],
    ["6FQ7", "6CG7"],
    ["E-88-CC", "6922"],
    ["6922EH", "6922"],
    ["5687wa", "5687"],
    ["6V4", "EZ80"],
    ["ez90", "6X4"],
    ["GZ34", "5AR4"],
    ["OA2", "0A2"],
    ["WE 300-B", "300B"],
    ["6Н6П", "6N6P"],
    ["STV 150/30", "0A2"],
  ])("%s is a %s", (name, type) => {
    expect(named(name)).toBe(type);
  });

  test("relatives that are not the same tube are never put in its place", () => {
    for (const type of catalogue.types)
      for (const { name, how } of catalogue.tube(type)?.equivalents ?? [])
        if (how !== "same") expect(named(name), `${name}, ${how} to ${type}`).not.toBe(type);
    expect(named("6AS7G")).toBeUndefined();
    expect(named("7119")).toBe("7119");
    expect(named("12SN7GT")).toBeUndefined();
  });

  test("a name stands for one type", () => {
    const owners = new Map<string, string>();
    for (const type of catalogue.types) {
      const same = (catalogue.tube(type)?.equivalents ?? []).filter((one) => one.how === "same").map((one) => one.name);
      for (const name of [type, ...same]) {
        expect(owners.get(plainName(name)) ?? type, name).toBe(type);
        owners.set(plainName(name), type);
      }
    }
  });

  test.each([
    ["12BH7X", "12BH7A"],
    ["12HB7A", "12BH7A"],
    ["12BH 7", "12BH7A"],
    ["5678", "5687"],
    ["6AS7G", "6080"],
    ["EZ8O", "EZ80"],
    ["6SN7GTC", "6SN7GTB"],
  ])("%s: did you mean %s?", (name, type) => {
    expect(catalogue.near(name)).toContain(type);
    expect(catalogue.near(name).indexOf(type)).toBeLessThan(2);
  });

  test("nothing is near to nonsense", () => {
    expect(catalogue.near("potentiometer")).toEqual([]);
    expect(catalogue.near("")).toEqual([]);
  });

  test("the distance is a metric on names: zero to itself, the same both ways, one edit is one", () => {
    const names = catalogue.types;
    for (const one of names)
      for (const other of names) {
        const distance = editDistance(one, other);
        expect(distance === 0).toBe(one === other);
        expect(editDistance(other, one)).toBe(distance);
      }
    expect([editDistance("5687", "5678"), editDistance("6J5", "6J"), editDistance("6J5", "6X5")]).toEqual([1, 1, 1]);
    expect(nearestTypes("x", [["y", "Y"]])).toEqual(["Y"]);
  });
});

describe("the user's own tubes and frozen copies", () => {
  const base = catalogue.tube("12AU7A");
  const own: TubeRecord = {
    ...(base as TubeRecord),
    type: "12AU7A",
    ratings: [
      {
        variant: "12AU7A",
        label: "frozen",
        system: "design-centre",
        systemFrom: "stated",
        limits: { plateVolts: { value: volts(250), status: "published", source: "OWN" } },
      },
    ],
  };
  const law = { type: "12AU7A", fittedBy: "test" } as unknown as LawRecord;
  const second = { type: "6EM7/2", fittedBy: "second section" } as unknown as LawRecord;
  const opened = openCatalogue({
    tubes: [
      own,
      { ...own, type: "ECC82", equivalents: [] },
      { ...own, type: "MY-1", equivalents: [{ name: "mine", how: "same" }] },
    ],
    laws: [law, second],
    sources: [{ code: "OWN", title: "own notes", status: "measured" }],
  });

  test("replace the library's record of their type whole", () => {
    expect(opened.limit("12AU7A", "plateVolts")?.value).toBe(250);
    expect(opened.limit("12AU7A", "plateWatts")).toBeUndefined();
    expect(opened.limit("6922", "plateVolts")).toEqual(catalogue.limit("6922", "plateVolts"));
    expect(opened.types.filter((type) => type === "12AU7A")).toHaveLength(1);
  });
  test("add types and names; a type goes before another's equivalent", () => {
    expect(opened.tube("Mine")?.type).toBe("MY-1");
    expect(opened.tube("ecc82")?.type).toBe("ECC82");
    expect(opened.source("OWN")?.title).toBe("own notes");
    expect(catalogue.source("OWN")).toBeUndefined();
  });
  test("laws are found by any name, and by section where the halves differ", () => {
    expect(opened.law("12au7")?.fittedBy).toBe("test");
    expect(opened.law("12AU7A", 2)?.fittedBy).toBe("test");
    expect(opened.law("6EM7", 2)?.fittedBy).toBe("second section");
    expect(opened.law("unheard of")).toBeUndefined();
  });
});

describe("records", () => {
  test("every source a record names is known", () => {
    const walk = (value: unknown, where: string): void => {
      if (typeof value !== "object" || value === null) return;
      if ("source" in value && typeof value.source === "string")
        expect(catalogue.source(value.source), `${where}: ${value.source}`).toBeDefined();
      for (const [key, inner] of Object.entries(value)) walk(inner, `${where}.${key}`);
    };
    for (const type of catalogue.types) walk(catalogue.tube(type), type);
  });

  test("SI as printed: no digits that the document does not have", () => {
    // Philips ECC82, 1959: 1.5 / 1.8 / 0.37 and 0.25 pF; 11.8 mA, 3.1 mA/V. Tung-Sol 12AU7, 1962, comes first.
    const tube = catalogue.tube("12AU7A");
    expect(tube?.capacitances.find((one) => one.provenance.source === "PH82")).toMatchObject({
      gridPlateFarads: 1.5e-12,
      gridCathodeFarads: 1.8e-12,
      plateCathodeFarads: 0.31e-12,
    });
    expect(tube?.points[0]).toMatchObject({ plateVolts: 100, gridVolts: 0, plateAmps: 11.8e-3, siemens: 3.1e-3 });
    expect(tube?.dimensions.overallHeight?.value).toBe(55.6e-3);
  });

  test("points off curves carry how finely they were read; printed ones do not", () => {
    for (const type of catalogue.types)
      for (const point of catalogue.tube(type)?.points ?? [])
        expect(point.tolerance !== undefined, `${type} ${point.source}`).toBe(point.reading === "curve");
  });

  test("Philips' 6922 point is kept with its supplies: 89.8 V from plate to cathode", () => {
    const point = catalogue.tube("6922")?.points.find((one) => one.gridSupplyVolts !== undefined);
    expect(point).toMatchObject({ supplyVolts: 100, gridSupplyVolts: 9, cathodeOhms: 680, plateAmps: 0.015 });
    expect(point?.plateVolts).toBeUndefined();
    expect((point?.supplyVolts ?? 0) - (point?.plateAmps ?? 0) * (point?.cathodeOhms ?? 0)).toBeCloseTo(89.8, 10);
  });

  test("printed gm, rp and mu of one point agree within their rounding", () => {
    // mu = gm rp. 6EM7 unit 2, 6080 and 2A3 are printed to two digits; 6DJ8 keeps mu 33 for 12.5 mA/V times 2.64 kΩ.
    for (const type of catalogue.types)
      for (const point of catalogue.tube(type)?.points ?? [])
        if (point.siemens !== undefined && point.plateOhms !== undefined && point.mu !== undefined)
          expect(Math.abs((point.siemens * point.plateOhms) / point.mu - 1), `${type} ${point.source}`).toBeLessThan(
            0.04,
          );
  });

  test("stage tables: peak outputs become rms, contested tables say so, and no row draws more than its supply gives", () => {
    const rows = catalogue.types.flatMap((type) => catalogue.tube(type)?.coupledStages ?? []);
    expect(rows).toHaveLength(14 + 10 + 2 + 42 + 15 + 1 + 6 + 12 + 20 + 18);
    // Tung-Sol 6SN7GT, 1945: 56 V peak at 300 V.
    const octal = catalogue.tube("6SN7GT")?.coupledStages.find((row) => row.supplyVolts === 300);
    expect(octal?.outputVoltsRms).toBeCloseTo(56 / Math.SQRT2, 9);
    expect([...new Set(rows.filter((row) => row.contested !== undefined).map((row) => row.source))].sort()).toEqual([
      "TS6SN7",
      "TSAU62",
    ]);
    for (const row of rows) {
      if (row.plateAmps !== undefined)
        expect(row.plateAmps * (row.plateLoadOhms + row.cathodeOhms)).toBeLessThan(row.supplyVolts);
      if (row.outputVoltsRms !== undefined) expect(row.outputVoltsRms * Math.SQRT2).toBeLessThan(row.supplyVolts / 2);
    }
  });

  test("a row of a chart remembered is dropped where the same row has been seen", () => {
    const seen = new Set<string>();
    const key = (row: { supplyVolts: number; plateLoadOhms: number; nextGridOhms?: number }): string =>
      `${row.supplyVolts}/${row.plateLoadOhms}/${row.nextGridOhms}`;
    for (const type of ["12AU7A", "12AX7A"]) {
      const rows = catalogue.tube(type)?.coupledStages ?? [];
      for (const row of rows) if (["TSAX47", "BRAX", "BRAU"].includes(row.source)) seen.add(type + key(row));
      for (const row of rows) if (row.source === "RCRC") expect(seen).not.toContain(type + key(row));
    }
  });
});

test("the library bundles for a browser: no Node, no file reading", async () => {
  const bundle = await build({
    entryPoints: [new URL("index.ts", import.meta.url).pathname],
    bundle: true,
    write: false,
    format: "esm",
    platform: "browser",
    logLevel: "silent",
  });
  expect(bundle.errors).toEqual([]);
  expect(bundle.outputFiles[0]?.text).not.toMatch(/from "node:|require\(/);
});
