import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import type { Box } from "../bounds.ts";
import { flatten, outside } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { hatchOutline } from "../plot/geometry.ts";
import type { Point, Scene } from "../scene.ts";
import {
  type PlateCurvesFigure,
  plateCurvesFigure,
  slopesFigure,
  transferFigure,
  type VoicingFigure,
  voicingFigure,
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
  dissipation: { watts, plateVolts: limitVolts, plateAmps: limitVolts.map((v) => watts / v) },
  plateVoltsLimit: { volts: 300 },
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

  test("every curve says its grid volts, and what is drawn is said in words below", () => {
    for (const text of [
      "0 V",
      "−2 V",
      "−12 V",
      "dc load 18 kΩ",
      "ac load 15 kΩ",
      "3.5 W limit",
      "300 V limit",
      "2 V in: 97 to 163 V",
      "grid current from −0.7 V",
      "132 V, 6.2 mA",
      "was 108 V, 7.1 mA",
      "published",
      "from memory",
    ])
      expect(words).toContain(said(text));
    expect(words.filter((word) => word === said("−4 V"))).toHaveLength(2);
  });

  test("nothing leaves the sheet, in any size", () => {
    for (const size of [{}, { width: 120, height: 110 }, { width: 240, height: 170 }])
      expect(outside(plateCurvesFigure({ ...plate, ...size }))).toEqual([]);
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

  test("bare curves alone make a picture", () => {
    const bare = plateCurvesFigure({ title: "Bare", upToPlateVolts: 320, upToPlateAmps: 0.02, curves: plate.curves });
    expect(outside(bare)).toEqual([]);
    expect(wordsOf(bare)).not.toContain("proven");
  });
});

const inputs = [0.05, 0.1, 0.2, 0.5, 1, 2];
const unit = (scale: number) => ({
  inputVolts: inputs,
  ratios: [0.01, 5e-4, 3e-5, 2e-7].map((one, i) => inputs.map((v) => scale * one * v ** (i + 1))),
});
const voicing: VoicingFigure = {
  title: "Harmonics against level",
  now: {
    ...unit(1),
    bands: [{ low: inputs.map((v) => 0.007 * v), high: inputs.map((v) => 0.014 * v) }],
  },
  proven: unit(1.3),
  target: { inputVolts: inputs, ratios: inputs.map((v) => 0.012 * v), words: "target" },
  measured: [{ inputVolts: 1, ratio: 0.0145 }],
  sayAt: [0.5, 1],
  gridCurrentFrom: 1.8,
  cursorVolts: 0.2,
};

describe("voicing", () => {
  const scene = voicingFigure(voicing);
  const words = wordsOf(scene);

  test("lines are named where they end with the value there; H5 below the picture is left out", () => {
    for (const text of ["H2 2.0 %, −34 dB", "H3 0.20 %, −54 dB", "H4 0.024 %, −72 dB", "was H2 2.6 %", "target"])
      expect(words).toContain(said(text));
    expect(words.filter((word) => word.startsWith("H5"))).toEqual([]);
  });

  test("H2 is said at the levels asked for, at the cursor and where it was measured", () => {
    for (const text of ["0.50 %", "1.0 %", "H2 0.20 %", "measured 1.5 %", "grid current from 1.8 V"])
      expect(words).toContain(said(text));
  });

  test("the band is one tinted outline between its two lines", () => {
    const tinted = flatten(scene.items).filter((item) => item.kind === "path" && item.fill === "band");
    expect(tinted).toHaveLength(1);
    expect(tinted[0]?.kind === "path" ? tinted[0].points : []).toHaveLength(2 * inputs.length);
  });

  test("nothing leaves the sheet, alone and with all, in any size", () => {
    for (const size of [{}, { width: 130, height: 90 }]) {
      expect(outside(voicingFigure({ ...voicing, ...size }))).toEqual([]);
      expect(outside(voicingFigure({ title: "Alone", now: unit(1), ...size }))).toEqual([]);
    }
  });
});

describe("transfer and slopes", () => {
  const gridVolts = upTo(12).map((v) => v - 12);
  const transfer = (scale: number) => ({
    gridVolts,
    staticAmps: gridVolts.map((vg) => scale * amps(vg, 130)),
    loadedAmps: gridVolts.map((vg) => (scale * amps(vg, 240)) / 4),
    at: { gridVolts: -5, plateAmps: scale * 0.0025 },
  });
  const currents = upTo(0.014).slice(1);
  const slopes = (scale: number) => ({
    plateAmps: currents,
    mu: currents.map(() => 17 * scale),
    siemens: currents.map((a) => 0.035 * scale * Math.sqrt(a)),
    plateOhms: currents.map((a) => 486 / Math.sqrt(a)),
    at: { plateAmps: 0.0062, mu: 17 * scale, siemens: 0.00276 * scale, plateOhms: 6170 },
  });

  test("say the operating point of both units; nothing leaves the sheet", () => {
    const scene = transferFigure({ title: "Transfer", now: transfer(1), proven: transfer(1.2), gridCurrentFrom: -0.7 });
    expect(outside(scene)).toEqual([]);
    for (const text of ["−5 V, 2.5 mA", "was −5 V, 3 mA", "grid current"]) expect(wordsOf(scene)).toContain(said(text));
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
    const three = slopesFigure({ title: "Against current", now: { ...one, bands }, proven: slopes(0.9) });
    expect(outside(three)).toEqual([]);
    expect(flatten(three.items).filter((item) => item.kind === "path" && item.fill === "band")).toHaveLength(3);
    for (const text of ["gm", "mu", "rp", "2.76 mA/V", "was 2.48 mA/V", "6.17 kΩ"])
      expect(wordsOf(three)).toContain(said(text));
  });
});

describe("hatched outlines", () => {
  const inside = ([x, y]: Point, outline: readonly Point[]) => {
    let odd = false;
    outline.forEach(([x1, y1], i) => {
      const [x0, y0] = outline[(i + outline.length - 1) % outline.length] as Point;
      if (y1 > y !== y0 > y && x < ((x0 - x1) * (y - y1)) / (y0 - y1) + x1) odd = !odd;
    });
    return odd;
  };

  test("every stroke lies in the outline and in the box, and what is left out holds none (seed 51)", () => {
    const random = seededRandom(51);
    const box: Box = { left: 10, right: 60, top: 5, bottom: 45 };
    for (let n = 0; n < 100; n++) {
      const outline = Array.from(
        { length: 3 + random.below(5) },
        (): Point => [70 * random.uniform(), 50 * random.uniform()],
      );
      const strokes = hatchOutline(outline, box, 1.6);
      for (const [from, to] of strokes) {
        const middle: Point = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
        expect(Math.abs(from[0] + from[1] - to[0] - to[1])).toBeLessThan(1e-9);
        if (Math.hypot(to[0] - from[0], to[1] - from[1]) > 1e-6) expect(inside(middle, outline)).toBe(true);
        expect(middle[0] >= box.left && middle[0] <= box.right && middle[1] >= box.top && middle[1] <= box.bottom).toBe(
          true,
        );
      }
    }
  });

  test("a box as outline is hatched by as many strokes as cross it", () => {
    const square: readonly Point[] = [
      [0, 0],
      [16, 0],
      [16, 16],
      [0, 16],
    ];
    const strokes = hatchOutline(square, { left: 0, right: 16, top: 0, bottom: 16 }, 1.6);
    expect(strokes).toHaveLength(19);
  });
});
