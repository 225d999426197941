import { describe, expect, test } from "vitest";
import { openCatalogue } from "./catalogue.ts";
import { lawFromCurve, lawFromDrop } from "./rectifier-law.ts";

const catalogue = openCatalogue();
const rectifiers = catalogue.types.flatMap((type) => {
  const tube = catalogue.tube(type);
  return tube?.rectifier === undefined ? [] : [{ type, tube, rectifier: tube.rectifier }];
});

describe("rectifier law", () => {
  test("a curve made of a power law gives that law back", () => {
    for (const [K, p] of [
      [7e-4, 1.5],
      [2e-3, 1.3],
    ] as const) {
      const points = [3, 7, 15, 40].map((dropVolts) => ({ dropVolts, amps: K * dropVolts ** p }));
      const law = lawFromCurve(points);
      expect(law?.K).toBeCloseTo(K, 12);
      expect(law?.p).toBeCloseTo(p, 12);
    }
  });
  test("too few points, or none above zero: no law", () => {
    expect(lawFromCurve([])).toBeUndefined();
    expect(lawFromCurve([{ dropVolts: 5, amps: 0.01 }])).toBeUndefined();
    expect(
      lawFromCurve([
        { dropVolts: 5, amps: 0.01 },
        { dropVolts: 5, amps: 0.02 },
      ]),
    ).toBeUndefined();
    expect(lawFromDrop({ dropVolts: 0, amps: 0.1 })).toBeUndefined();
  });

  test("EZ80: exponent 1.488 and K 7.43e-4; the readings (±3 %) lie within 4.5 % of it, 3.5 % rms", () => {
    // Mazda (Thorn-AEI) EZ80 sheet, August 1963: curve of each section, steeper at its lower end than a power law.
    const { law, plateCurve } = catalogue.tube("EZ80")?.rectifier ?? {};
    expect(law).toMatchObject({ form: "power" });
    if (law?.form !== "power" || plateCurve === undefined) return;
    expect(law.p).toBeCloseTo(1.488, 3);
    expect(law.K * 1e4).toBeCloseTo(7.43, 2);
    const errors = plateCurve.map(({ value }) => Math.abs((law.K * value.dropVolts ** law.p) / value.amps - 1));
    expect(Math.max(...errors)).toBeLessThan(0.045);
    expect(Math.hypot(...errors) / Math.sqrt(errors.length)).toBeLessThan(0.035);
  });

  test.each([
    // RCA receiving tube manual, from memory or quoted: drop of one plate.
    ["6X4", 22, 0.07],
    ["5AR4", 17, 0.225],
    ["5U4GB", 50, 0.275],
    ["5Y3GT", 60, 0.125],
  ])("%s drops %s V at %s A", (type, drop, amps) => {
    const law = catalogue.tube(type)?.rectifier?.law;
    expect(law).toMatchObject({ form: "power", p: 1.5 });
    if (law?.form === "power") expect(law.K * drop ** law.p).toBeCloseTo(amps, 9);
  });

  test("every law says it is derived and from what; only GZ32, whose drop is unknown, has none", () => {
    for (const { type, rectifier } of rectifiers) {
      expect(rectifier.law === undefined, type).toBe(type === "GZ32");
      if (rectifier.law !== undefined) expect(rectifier.lawProvenance).toMatchObject({ status: "derived" });
    }
    expect(catalogue.tube("5Y3GT")?.rectifier?.lawProvenance?.note).toContain("RC30 has 50 V at 125 mA");
  });
});

describe("rectifier limits", () => {
  test("lowest first, of the type's own version only", () => {
    for (const { rectifier } of rectifiers)
      for (const list of Object.values(rectifier.limits)) {
        const values = (list as readonly { readonly value: number }[]).map((one) => one.value);
        expect([...values].sort((one, other) => one - other)).toEqual(values);
      }
    expect(catalogue.tube("5R4GYB")?.rectifier?.limits.peakInverseVolts?.map((one) => one.value)).toEqual([3000, 3000]);
    expect(catalogue.tube("EZ81")?.rectifier?.limits.peakInverseVolts?.[0]).toMatchObject({
      value: 1000,
      system: "unknown",
    });
  });
  test("series resistance rises with the winding; a larger winding never needs less", () => {
    for (const { type, rectifier } of rectifiers)
      for (const [index, row] of rectifier.seriesOhms.entries()) {
        const before = rectifier.seriesOhms[index - 1]?.value;
        if (before === undefined) continue;
        expect(row.value.rmsVoltsPerPlate, type).toBeGreaterThan(before.rmsVoltsPerPlate);
        expect(row.value.ohms, type).toBeGreaterThanOrEqual(before.ohms);
      }
    // Mazda EZ80, 1963; quoted for the 6X4 from a General Electric sheet.
    expect(catalogue.tube("EZ80")?.rectifier?.seriesOhms.map(({ value }) => value)).toEqual([
      { rmsVoltsPerPlate: 250, ohms: 125 },
      { rmsVoltsPerPlate: 275, ohms: 175 },
      { rmsVoltsPerPlate: 300, ohms: 215 },
      { rmsVoltsPerPlate: 350, ohms: 300 },
    ]);
    expect(catalogue.tube("6X4")?.rectifier?.seriesOhms[0]?.value).toEqual({ rmsVoltsPerPlate: 325, ohms: 525 });
  });
  test("the EZ80's rating chart falls as the rectifier works harder", () => {
    const chart = catalogue.tube("EZ80")?.rectifier?.ratingChart.map(({ value }) => value) ?? [];
    expect(chart).toHaveLength(6);
    for (const [index, point] of chart.entries()) {
      const before = chart[index - 1];
      if (before === undefined) continue;
      expect(point.efficiency).toBeGreaterThan(before.efficiency);
      expect(point.amps).toBeLessThan(before.amps);
    }
  });
  test("more load gives fewer volts along one regulation curve, and no row beats the peak of the winding", () => {
    for (const { type, rectifier } of rectifiers) {
      for (const row of rectifier.operation) {
        expect(row.dcVolts, type).toBeLessThan(row.rmsVoltsPerPlate * Math.SQRT2 + 4);
        for (const other of rectifier.operation)
          if (
            other.rmsVoltsPerPlate === row.rmsVoltsPerPlate &&
            other.source === row.source &&
            other.input === row.input &&
            other.supplyOhmsPerPlate === row.supplyOhmsPerPlate &&
            other.dcAmps > row.dcAmps
          )
            expect(other.dcVolts, `${type} ${row.rmsVoltsPerPlate} V`).toBeLessThan(row.dcVolts);
      }
    }
  });
  test("directly heated ones have a filament, and their basing a filament's ends", () => {
    for (const { type, tube, rectifier } of rectifiers) {
      if (rectifier.warmUp === "direct") {
        expect(
          tube.heaters.every((heater) => heater.filament),
          type,
        ).toBe(true);
        expect(
          Object.values(tube.bases[0]?.pins ?? {}).filter((role) => role.kind === "heater-and-cathode"),
        ).toHaveLength(2);
      } else
        expect(
          tube.heaters.some((heater) => heater.filament),
          type,
        ).toBe(false);
    }
  });
});

test("gas regulators: striking above running, currents in order", () => {
  for (const type of ["0A2", "0B2", "0A3", "0C3", "0D3"]) {
    const regulator = catalogue.tube(type)?.regulator;
    expect(regulator?.strikingVolts?.value ?? 0).toBeGreaterThan(regulator?.runningVolts.value ?? Infinity);
    expect(regulator?.maximumAmps.value ?? 0).toBeGreaterThan(regulator?.minimumAmps.value ?? Infinity);
  }
  expect(catalogue.tube("0A2")?.regulator).toMatchObject({
    minimumAmps: { value: 0.005 },
    maximumAmps: { value: 0.03 },
  });
});
