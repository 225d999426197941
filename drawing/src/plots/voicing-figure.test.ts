import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { flatten, outside } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { pointOf } from "../plot/pointing.ts";
import type { Scene } from "../scene.ts";
import {
  barsFigure,
  cycleFigure,
  enlargementOf,
  readingsFigure,
  throughSigns,
  type VoicingFigure,
  voicingFigure,
} from "./index.ts";

const wordsOf = (scene: Scene) => flatten(scene.items).flatMap((item) => (item.kind === "text" ? [item.text] : []));
const said = (text: string) => text.replace(/ (m?V|%|dBc?)/gu, `${THIN}$1`);

const volts = [0.05, 0.1, 0.2, 0.5, 1, 2];
const unit = (scale: number) => ({
  volts,
  ratios: [-0.01, 5e-4, 3e-5, 2e-7].map((one, i) => volts.map((v) => scale * one * v ** (i + 1))),
});
const voicing: VoicingFigure = {
  title: "Harmonics against level",
  along: "V rms at the grid",
  now: { ...unit(1), bands: [{ low: volts.map((v) => 0.007 * v), high: volts.map((v) => 0.014 * v) }] },
  proven: unit(1.3),
  calibrated: {
    ratios: volts.map((v) => 0.012 * v),
    before: { low: volts.map((v) => 0.006 * v), high: volts.map((v) => 0.016 * v) },
  },
  measured: [{ volts: 1, ratio: 0.0145 }],
  levels: [
    { volts: 0.5, words: said("at 0.5 V in") },
    { volts: 0.2, provenVolts: 0.1, words: said("at 0.2 V in") },
  ],
  gridCurrentFrom: 1.8,
};

describe("harmonics against level", () => {
  const scene = voicingFigure(voicing);
  const words = wordsOf(scene);

  test("lines are named once, where they come in; H5 below the picture is left out", () => {
    for (const text of ["H2", "H3", "H4"]) expect(words.filter((word) => word === text)).toHaveLength(1);
    expect(words).not.toContain("H5");
  });

  test("percent left and dBc right say the same: a decade is 20 dB, at the same height", () => {
    const panel = scene.panels?.[0];
    if (panel === undefined) throw new Error("no panel");
    for (const ratio of [1e-4, 1e-3, 1e-2]) {
      const [, left] = pointOf(panel, 1, 100 * ratio);
      const [, right] = pointOf(panel, 1, 20 * Math.log10(ratio), "right");
      expect(left).toBeCloseTo(right, 9);
    }
    expect(words.some((word) => word.endsWith("dBc"))).toBe(true);
  });

  test("H2 is said at the levels asked for and where it was read, as a size", () => {
    for (const text of ["0.50 % at 0.5 V in", "0.20 % at 0.2 V in", "read 1.5 %", "grid current from 1.8 V"])
      expect(words).toContain(said(text));
  });

  test("the band is one tinted outline between its two lines; the one before the readings is dashed", () => {
    const items = flatten(scene.items);
    const tinted = items.filter((item) => item.kind === "path" && item.fill === "band");
    expect(tinted).toHaveLength(1);
    expect(tinted[0]?.kind === "path" ? tinted[0].points : []).toHaveLength(2 * volts.length);
    expect(
      items.filter((item) => item.kind === "polyline" && item.role === "faint" && item.dash === "dash"),
    ).toHaveLength(2);
  });

  test("nothing leaves the sheet, alone and with all, in any size", () => {
    for (const size of [{}, { width: 130, height: 90 }]) {
      expect(outside(voicingFigure({ ...voicing, ...size }))).toEqual([]);
      expect(outside(voicingFigure({ title: "Alone", along: "V", now: unit(1), ...size }))).toEqual([]);
    }
  });

  test("where H2 turns its sign the line falls out of the picture, its band ends and the level is said", () => {
    const ratios = [-0.001, -0.0008, -0.0004, 0.0004, 0.002, 0.004];
    const band = { low: ratios.map((r) => Math.abs(r) / 2), high: ratios.map((r) => Math.abs(r) * 2) };
    const turned = voicingFigure({ title: "Turned", along: "V", now: { volts, ratios: [ratios], bands: [band] } });
    expect(wordsOf(turned)).toContain(said("H2 cancels at 316 mV, then turns its sign"));
    const tint = flatten(turned.items).find((item) => item.kind === "path" && item.fill === "band");
    expect(tint?.kind === "path" ? tint.points.length : 0).toBe(2 * 3);
    // Beyond grid current waves are cut, and a turn is nothing to say.
    const cut = voicingFigure({ title: "Cut", along: "V", now: { volts, ratios: [ratios] }, gridCurrentFrom: 0.25 });
    expect(wordsOf(cut).some((word) => word.includes("cancels"))).toBe(false);
  });
});

test("sizes of a signed line: what was given stays; between two signs it is straight in the signed value (seed 61)", () => {
  const random = seededRandom(61);
  for (let n = 0; n < 50; n++) {
    const signed = volts.map(() => random.normal() / 100);
    const line = throughSigns(volts, signed, 1e-9);
    expect(line.turns).toHaveLength(signed.filter((value, k) => k > 0 && value * (signed[k - 1] ?? 0) < 0).length);
    for (const [k, value] of signed.entries())
      expect(line.sizes[line.volts.indexOf(volts[k] ?? 0)]).toBe(Math.abs(value));
    expect(line.volts).toEqual(line.volts.toSorted((a, b) => a - b));
    for (const turn of line.turns) expect(line.sizes[line.volts.indexOf(turn)]).toBeLessThan(1e-9);
  }
});

describe("bars", () => {
  const bars = [
    { name: "1 kHz", now: 0, proven: 0, said: false },
    { name: "H2", now: -39.6, proven: -41 },
    { name: "H3", now: -67.3, proven: -60.2 },
    { name: "H7", now: -140, proven: -133 },
  ];
  const figure = { title: "Harmonics", unit: "dBc", bars, floor: -120, top: 0, step: 40 };

  test("hollow is proven, solid now; what lies below the floor is not drawn, and said in words", () => {
    const scene = barsFigure({ ...figure, width: 100, height: 45 });
    const rects = scene.items.filter((item) => item.kind === "rect");
    expect(rects.filter((item) => item.fill === "paper")).toHaveLength(3);
    expect(rects.filter((item) => item.fill === "now")).toHaveLength(3);
    expect(wordsOf(scene)).toContain("−39.6");
    expect(wordsOf(scene)).not.toContain("−140.0");
    expect(scene.description).toContain("H7 below −120 dBc");
    expect(scene.description).toContain("H2 −39.6 dBc, was −41.0");
  });

  test("heights are as the decibels; nothing leaves the sheet, in any size", () => {
    const scene = barsFigure({ ...figure, width: 100, height: 45 });
    const heights = scene.items.flatMap((item) => (item.kind === "rect" && item.fill === "now" ? [item.height] : []));
    expect((heights[1] ?? 0) / (heights[0] ?? 1)).toBeCloseTo((120 - 39.6) / 120, 9);
    for (const width of [60, 80, 140])
      expect(outside(barsFigure({ ...figure, width, height: 40, along: "over the fundamental" }))).toEqual([]);
  });
});

describe("one cycle", () => {
  const wave = (k: number, size: number) =>
    Array.from({ length: 97 }, (_, n) => size * Math.sin((2 * Math.PI * k * n) / 96));

  test("the residue is enlarged by a round number, now and proven alike, and never beyond the signal", () => {
    const times = enlargementOf({ signal: wave(1, 2.5), residue: wave(2, 0.026), provenResidue: wave(2, 0.04) });
    expect(times).toBe(50);
    const scene = cycleFigure({
      title: "One cycle",
      signal: wave(1, 2.5),
      residue: wave(2, 0.026),
      provenResidue: wave(2, 0.04),
      periodSeconds: 1e-3,
      width: 100,
      height: 52,
    });
    expect(wordsOf(scene)).toEqual(expect.arrayContaining(["signal", "residue × 50"]));
    expect(outside(scene)).toEqual([]);
  });

  test("a clipped cycle is not made smaller; one without harmonics stands as it is", () => {
    expect(enlargementOf({ signal: wave(1, 1), residue: wave(3, 0.9) })).toBe(1);
    expect(enlargementOf({ signal: wave(1, 1), residue: wave(2, 0) })).toBe(1);
  });
});

describe("before and after the readings", () => {
  const rows = [
    { name: "proven, predicted", ratio: 0.01, low: 0.006, high: 0.016, before: true },
    { name: "proven, with readings", ratio: 0.012, low: 0.0113, high: 0.0127 },
    { name: "now, predicted", ratio: 0.008, low: 0.004, high: 0.016, before: true },
    { name: "now, with readings", ratio: 0.0096, low: 0.0076, high: 0.012 },
  ];
  const scene = readingsFigure({ title: "H2 at 1 V", rows, read: [0.0125], width: 100 });

  test("bars are as wide as their bands on a logarithmic axis; what was read passes through all rows", () => {
    const bars = scene.items.flatMap((item) => (item.kind === "rect" ? [item.width] : []));
    expect((bars[0] ?? 0) / (bars[2] ?? 1)).toBeCloseTo(Math.log(0.016 / 0.006) / Math.log(4), 6);
    expect(bars[1]).toBeLessThan(0.2 * (bars[0] ?? 0));
    expect(scene.description).toContain(said("read 1.3 %"));
  });

  test("nothing leaves the sheet, in any width, however far the reading is off", () => {
    for (const width of [80, 100, 150])
      for (const read of [[], [0.0125], [0.3, 0.0002]])
        expect(outside(readingsFigure({ title: "H2", rows, read, width }))).toEqual([]);
  });
});
