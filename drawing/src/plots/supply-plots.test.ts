import { describe, expect, test } from "vitest";
import { flatten, outside, overlap, textBox } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { pointOf } from "../plot/pointing.ts";
import type { Scene } from "../scene.ts";
import { type DischargeFigure, dischargeFigure, humFigure, startUpFigure } from "./index.ts";

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
