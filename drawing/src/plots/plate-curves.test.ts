import { describe, expect, test } from "vitest";
import { flatten, outside } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { pointOf } from "../plot/pointing.ts";
import type { Scene } from "../scene.ts";
import {
  type PlateCurvesFigure,
  plateCurvesFigure,
  slopeFigure,
  slopeName,
  slopeReach,
  SLOPES,
  slopeWords,
  transferFigure,
} from "./index.ts";

const wordsOf = (scene: Scene) => flatten(scene.items).flatMap((item) => (item.kind === "text" ? [item.text] : []));
const said = (text: string) => text.replace(/ (m?[VAW]|k?Ω|%|dB|mA\/V)/gu, `${THIN}$1`);
const upTo = (end: number, count = 60) => Array.from({ length: count + 1 }, (_, n) => (end * n) / count);

/** A plain three-halves triode, mu 20 (invented). */
const amps = (vg: number, va: number) => 1.5e-3 * Math.max(0, vg + va / 20) ** 1.5;
const curve = (gridVolts: number, mu = 1) => {
  const to = Math.min(320, 20 * ((0.02 / (1.5e-3 * mu)) ** (2 / 3) - gridVolts));
  const plateVolts = upTo(to);
  return { gridVolts, plateVolts, plateAmps: plateVolts.map((va) => mu * amps(gridVolts, va)) };
};
const line = (open: number, ohms: number) => ({ ohms, plateVolts: [0, open], plateAmps: [open / ohms, 0] });
const watts = 3.5;
const limitVolts = upTo(320 - watts / 0.02).map((v) => v + watts / 0.02);

const plate: PlateCurvesFigure = {
  title: "Plate curves",
  legend: "invented",
  upToPlateVolts: 320,
  upToPlateAmps: 0.02,
  curves: [0, -2, -4, -6, -8, -10, -12].map((vg) => curve(vg)),
  provenCurves: [0, -4, -8].map((vg) => curve(vg, 1.6)),
  types: { now: "12BH7A", proven: "5687" },
  dissipation: { watts, plateVolts: limitVolts, plateAmps: limitVolts.map((v) => watts / v) },
  plateVoltsLimit: { volts: 300 },
  cathodeAmpsLimit: { amps: 0.0185 },
  gridCurrent: curve(-0.7),
  dcLoad: line(250, 18e3),
  acLoad: line(225, 15e3),
  at: { plateVolts: 132, plateAmps: 6.2e-3 },
  provenAt: { plateVolts: 108, plateAmps: 7.1e-3 },
  swing: { inputVolts: 2, plateVolts: [97.1, 132, 163.4], plateAmps: [8.5e-3, 6.2e-3, 4.1e-3] },
  published: [
    { plateVolts: 250, plateAmps: 0.0115, status: "published", ids: ["row 1"] },
    { plateVolts: 200, plateAmps: 0.006, status: "memory", ids: ["row 2"] },
  ],
};

describe("plate curves", () => {
  const scene = plateCurvesFigure(plate);
  const words = wordsOf(scene);

  test("every curve says its grid volts, every limit its number, and the rows of names say their types", () => {
    for (const text of [
      "0 V",
      "−2 V",
      "−12 V",
      "3.5 W limit",
      "300 V limit",
      "18.5 mA limit",
      "grid current",
      "from −0.7 V",
      "12BH7A",
      "5687",
    ])
      expect(words).toContain(said(text));
    expect(words.filter((word) => word === said("−4 V"))).toHaveLength(2);
  });

  test("what the circuit makes of it is said in words, in the sheet and for those who cannot see it", () => {
    for (const text of [
      "dc load 18 kΩ",
      "ac load 15 kΩ",
      "2 V in: 97 to 163 V",
      "132 V, 6.2 mA",
      "was 108 V, 7.1 mA",
    ]) {
      expect(words).toContain(said(text));
      expect(scene.description).toContain(said(text));
    }
    for (const text of ["grid current from −0.7 V", "3.5 W limit", "12BH7A heavy, 5687 light", "1 point from memory"])
      expect(scene.description).toContain(said(text));
    for (const text of ["published", "from memory"]) expect(words).toContain(text);
  });

  test("the name of the dissipation line stands in the plot, not in rows below it", () => {
    const [panel] = scene.panels ?? [];
    const name = flatten(scene.items).find((item) => item.kind === "text" && item.text === said("3.5 W limit"));
    if (panel === undefined || name?.kind !== "text") throw new Error("no name");
    expect(name.at[1]).toBeLessThan(panel.bottom);
    expect(name.at[0]).toBeGreaterThan(panel.left);
  });

  test("nothing leaves the sheet, in any size", () => {
    for (const size of [{}, { width: 120, height: 110 }, { width: 240, height: 170 }])
      expect(outside(plateCurvesFigure({ ...plate, ...size }))).toEqual([]);
  });

  test("limits outside the picture are not drawn", () => {
    const far = wordsOf(
      plateCurvesFigure({ ...plate, plateVoltsLimit: { volts: 400 }, cathodeAmpsLimit: { amps: 0.03 } }),
    );
    expect(far.filter((word) => /^(400|30).*limit$/.test(word))).toEqual([]);
  });

  test("the maker's rows carry their ids, a row from memory is a cross", () => {
    const shown = (id: string) => flatten(scene.items).filter((item) => item.ids?.includes(id));
    expect(shown("row 1").map((item) => item.kind)).toEqual(["path"]);
    expect(shown("row 2").map((item) => item.kind)).toEqual(["line", "line"]);
  });

  test("load lines that are one are named once", () => {
    const { acLoad: _, ...rest } = plate;
    expect(wordsOf(plateCurvesFigure({ ...rest, acLoad: line(249, 17.9e3) }))).toContain(said("dc and ac load 18 kΩ"));
  });

  test("bare curves alone make a picture, with no row named", () => {
    const bare = plateCurvesFigure({
      title: "Bare",
      upToPlateVolts: 320,
      upToPlateAmps: 0.02,
      curves: plate.curves,
      types: { now: "12BH7A", proven: "12BH7A" },
    });
    expect(outside(bare)).toEqual([]);
    expect(wordsOf(bare)).not.toContain("12BH7A");
  });
});

describe("transfer", () => {
  const gridVolts = upTo(12).map((v) => v - 12);
  const transfer = (scale: number) => ({
    gridVolts,
    staticAmps: gridVolts.map((vg) => scale * amps(vg, 130)),
    loadedAmps: gridVolts.map((vg) => (scale * amps(vg, 240)) / 4),
    at: { gridVolts: -5, plateAmps: scale * 0.0025 },
  });

  test("says the operating point of both units; nothing leaves the sheet", () => {
    const scene = transferFigure({ title: "Transfer", now: transfer(1), proven: transfer(1.2), gridCurrentFrom: -0.7 });
    expect(outside(scene)).toEqual([]);
    for (const text of ["−5 V, 2.5 mA", "was −5 V, 3 mA", "grid current"]) expect(wordsOf(scene)).toContain(said(text));
  });

  test("small, with its ends given, it says the point to those who cannot see it alone", () => {
    const scene = transferFigure({
      title: "Transfer",
      heading: false,
      saysPoint: false,
      width: 50,
      height: 50,
      margin: 1,
      now: transfer(1),
      fromGridVolts: -15,
      upToPlateAmps: 0.01,
    });
    expect(outside(scene)).toEqual([]);
    expect(scene.panels?.[0]?.x).toEqual({ from: -15, to: 0 });
    expect(scene.panels?.[0]?.y).toEqual({ from: 0, to: 0.01 });
    expect(wordsOf(scene)).not.toContain(said("−5 V, 2.5 mA"));
    expect(scene.description).toContain(said("now −5 V, 2.5 mA"));
  });
});

describe("slopes", () => {
  const currents = upTo(0.014).slice(1);
  const slopes = (scale: number) => ({
    plateAmps: currents,
    mu: currents.map(() => 17 * scale),
    siemens: currents.map((a) => 0.035 * scale * Math.sqrt(a)),
    plateOhms: currents.map((a) => 486 / Math.sqrt(a)),
    at: { plateAmps: 0.0062, mu: 17 * scale, siemens: 0.00276 * scale, plateOhms: 6170 },
  });
  const one = slopes(1);
  const around = (values: readonly number[]) => ({
    low: values.map((v) => v / 1.1),
    high: values.map((v) => v * 1.1),
  });
  const bands = {
    plateAmps: one.plateAmps,
    mu: around(one.mu),
    siemens: around(one.siemens),
    plateOhms: around(one.plateOhms),
  };
  const said_ = { siemens: "2.76 mA/V", mu: "17", plateOhms: "6.17 kΩ" };

  test.each(SLOPES)("%s: the band is tinted, both points are said, nothing leaves the sheet", (slope) => {
    const scene = slopeFigure({ slope, now: { ...one, bands }, proven: slopes(0.9) });
    expect(outside(scene)).toEqual([]);
    expect(flatten(scene.items).filter((item) => item.kind === "path" && item.fill === "band")).toHaveLength(1);
    expect(wordsOf(scene)).toContain(said(said_[slope]));
    expect(wordsOf(scene)).toContain(`was ${slopeWords(slope, slopes(0.9).at[slope])}`);
    expect(scene.description).toContain(said(`now ${said_[slope]} at 6.2 mA`));
  });

  test("solid between the first and the last current that was published, dashed beyond, without a gap", () => {
    const rows = { fromAmps: 0.0041, toAmps: 0.00925 };
    const scene = slopeFigure({ slope: "mu", now: one, rows, upToPlateAmps: 0.014, upTo: 20 });
    const heavy = flatten(scene.items).flatMap((item) =>
      item.kind === "polyline" && item.role === "now" ? [item] : [],
    );
    const [panel] = scene.panels ?? [];
    if (panel === undefined) throw new Error("no panel");
    const at = (value: number) => pointOf(panel, value, 0)[0];
    const spans = heavy
      .map(({ points, dash }) => ({ dash, from: points[0]?.[0] ?? 0, to: points.at(-1)?.[0] ?? 0 }))
      .sort((a, b) => a.from - b.from);
    expect(spans.map((span) => span.dash ?? "solid")).toEqual(["dash", "solid", "dash"]);
    expect(spans[0]?.to).toBeCloseTo(at(rows.fromAmps), 6);
    expect(spans[1]?.from).toBeCloseTo(at(rows.fromAmps), 6);
    expect(spans[1]?.to).toBeCloseTo(at(rows.toAmps), 6);
    expect(spans[2]?.from).toBeCloseTo(at(rows.toAmps), 6);
    expect(scene.description).toContain(said("from 4.1 mA to 9.25 mA, dashed beyond"));
  });

  test("a picture is held by its highest value; rp by three times what it is at work", () => {
    expect(slopeReach("mu", [{ ...one, bands }])).toBeCloseTo(17 * 1.1, 9);
    expect(slopeReach("plateOhms", [one])).toBe(3 * 6170);
    expect(slopeName("siemens")).toBe("gm");
  });
});
