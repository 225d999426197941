import { describe, expect, test } from "vitest";
import { flatten, outside, overlap, textBox } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { pointOf, valueAt } from "../plot/pointing.ts";
import type { Scene } from "../scene.ts";
import { type DischargeFigure, dischargeFigure, elevationFigure, humFigure, startUpFigure } from "./index.ts";

const textsOf = (scene: Scene) => flatten(scene.items).filter((item) => item.kind === "text");
const words = (scene: Scene) => textsOf(scene).map((item) => item.text);
const said = (text: string) => text.replace(/ (m?[VA]|m?s|dBV)\b/g, `${THIN}$1`);
const clean = (scene: Scene) => {
  expect(outside(scene)).toEqual([]);
  const texts = textsOf(scene);
  for (const [n, a] of texts.entries())
    for (const b of texts.slice(n + 1))
      expect(overlap(textBox(a), textBox(b), -0.15), `${a.text} | ${b.text}`).toBe(false);
};

describe("warm-up bars", () => {
  const times = Array.from({ length: 81 }, (_, n) => n / 2);
  const figure = {
    title: "Switch-on",
    heading: false,
    width: 190,
    height: 80,
    times,
    series: [{ label: "B1", volts: times.map((t) => 300 * (1 - Math.exp(-t / 3))), role: "now" as const }],
    limits: [{ volts: 450 }],
  };
  const warming = [
    { label: "V3", from: 5, to: 11, ids: ["V3"] },
    { label: "V1, V2", from: 9, to: 20 },
  ];
  const scene = startUpFigure({ ...figure, warming });
  test("the sheet keeps its height, the bars stand below the plot, their ends over the seconds of the axis", () => {
    expect(scene.height).toBeCloseTo(80, 9);
    clean(scene);
    const [panel] = scene.panels ?? [];
    if (panel === undefined) throw new Error("no panel");
    const bars = flatten(scene.items).filter((item) => item.kind === "line" && item.ids?.includes("V3") === true);
    const ends = bars.flatMap((item) => (item.kind === "line" ? [item.from[0], item.to[0]] : []));
    for (const seconds of [0, 5, 11, 40])
      expect(ends.some((x) => Math.abs(x - pointOf(panel, seconds, 0)[0]) < 1e-9)).toBe(true);
    for (const item of bars) if (item.kind === "line") expect(item.from[1]).toBeGreaterThan(panel.bottom);
  });
  test("each is said, in the drawing and in words", () => {
    expect(words(scene)).toContain("V1, V2");
    expect(scene.description).toContain("V1, V2 emits from 9 s, fully at 20 s");
    expect(words(startUpFigure(figure))).not.toContain("V3");
  });
});

describe("discharge", () => {
  const course = (tau: number) => {
    const seconds = Array.from({ length: 301 }, (_, n) => n * 0.4);
    return {
      seconds,
      volts: seconds.map((t) => 372 * Math.exp(-t / tau)),
      reached: tau * Math.log(372 / 60),
    };
  };
  const figure: DischargeFigure = {
    title: "Switch-off",
    heading: false,
    label: "B1",
    now: course(21.4),
    touchVolts: 60,
    limitSeconds: 60,
  };
  test("the time is marked where the curve passes 60 V; the limit stands at its seconds", () => {
    const scene = dischargeFigure(figure);
    clean(scene);
    expect(words(scene)).toContain(said("39 s"));
    expect(words(scene)).toContain(said("60 s asked"));
    expect(scene.description).toContain(said("under 60 V after 39 s"));
  });
  test("a slower proven one is drawn light, an equal one not at all", () => {
    expect(words(dischargeFigure({ ...figure, proven: course(40) }))).toContain(said("73 s"));
    const roles = (scene: Scene) => flatten(scene.items).map((item) => item.role);
    expect(roles(dischargeFigure({ ...figure, proven: course(40) }))).toContain("proven");
    expect(roles(dischargeFigure({ ...figure, proven: course(21.4) }))).not.toContain("proven");
  });
  test("few samples are joined as a capacitor falls, not by straight lines", () => {
    const few = { seconds: [0, 30, 120], volts: [400, 400 * Math.exp(-1.5), 400 * Math.exp(-6)], reached: 38 };
    const scene = dischargeFigure({ ...figure, now: few });
    const [panel] = scene.panels ?? [];
    const curve = flatten(scene.items).find((item) => item.kind === "polyline" && item.role === "now");
    if (panel === undefined || curve?.kind !== "polyline") throw new Error("no curve");
    for (const point of curve.points) {
      const { x, y } = valueAt(panel, point);
      expect(y).toBeCloseTo(400 * Math.exp(-x / 20), 0);
    }
    expect(valueAt(panel, curve.points.at(-1) ?? [0, 0]).x).toBeGreaterThan(0.8 * panel.x.to);
  });
  test("one that never falls is drawn to the end of what was solved and has no mark", () => {
    const held = { seconds: [0, 300, 600], volts: [300, 299, 298], reached: null };
    const scene = dischargeFigure({ ...figure, now: held });
    clean(scene);
    expect(scene.description).toContain(said("above 60 V to the end"));
    expect(scene.panels?.[0]?.x.to).toBeGreaterThan(600);
  });
});

describe("hum", () => {
  const lines = [
    { hertz: 50, dbv: -124, from: "heaters" as const },
    { hertz: 100, dbv: -95, from: "ripple" as const },
    { hertz: 200, dbv: -117, from: "ripple" as const },
    { hertz: 300, dbv: -137, from: "ripple" as const },
    { hertz: 400, dbv: -158, from: "ripple" as const },
  ];
  const figure = {
    title: "Hum",
    heading: false,
    lines,
    limitDbv: -90,
    noise: { flatDbv: -120, weightedDbv: -122 },
  };
  test("each line with its level, but those below the floor; limit and noise said; nothing over anything", () => {
    const scene = humFigure(figure);
    clean(scene);
    for (const text of ["−124", "−95", "−117", "−137", said("−90 dBV asked"), said("noise −120 dBV")])
      expect(words(scene)).toContain(text);
    expect(words(scene)).not.toContain("−158");
  });
  test("the proven unit's lines are hollow where they differ by half a decibel, and absent where they do not", () => {
    const hollow = (scene: Scene) =>
      flatten(scene.items).filter((item) => item.role === "proven" && item.kind === "polyline").length;
    expect(hollow(humFigure({ ...figure, proven: lines }))).toBe(0);
    expect(hollow(humFigure({ ...figure, proven: lines.map((one) => ({ ...one, dbv: one.dbv + 6 })) }))).toBe(4);
  });
  test("the axis holds a line above the limit", () => {
    const loud = humFigure({ ...figure, lines: [{ hertz: 100, dbv: -62, from: "ripple" }] });
    clean(loud);
    expect(loud.panels?.[0]?.y.to).toBeGreaterThan(-62);
  });
});

describe("elevation", () => {
  const figure = { title: "H1", volts: 45.8, low: 35.7, high: 58.6, lowWords: "V1b, running", highWords: "V1a, cold" };
  test("lowest, now and highest are said, none over another, at any width and wherever now stands", () => {
    for (const width of [70, 120, 200])
      for (const volts of [0, 20, 35.7, 45.8, 58.6, 90]) {
        const scene = elevationFigure({ ...figure, width, volts });
        clean(scene);
        expect(words(scene).some((text) => text.startsWith(said(`${volts} V`)))).toBe(true);
      }
    const wide = words(elevationFigure({ ...figure, width: 200 }));
    expect(wide).toContain(said("35.7 V, V1b, running"));
    expect(wide).toContain(said("58.6 V, V1a, cold"));
  });
  test("outside the window it is a stop; in hand it is live", () => {
    const roles = (more: object) =>
      flatten(elevationFigure({ ...figure, ...more }).items).flatMap((item) =>
        item.kind === "rect" ? [item.fill] : [],
      );
    expect(roles({})).toContain("now");
    expect(roles({ volts: 20 })).toContain("stop");
    expect(roles({ live: true })).toContain("live");
  });
  test("without an upper bound nothing above is hatched", () => {
    const { high: _high, ...open } = figure;
    const scene = elevationFigure({ ...open, low: 0 });
    clean(scene);
    expect(flatten(scene.items).filter((item) => item.role === "hatch")).toEqual([]);
    expect(scene.description).toContain("up");
  });
});
