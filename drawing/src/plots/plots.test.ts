import { describe, expect, test } from "vitest";
import { flatten, outside } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import type { Scene } from "../scene.ts";
import { mainsCycleFigure, startUpFigure, type TimeFigure } from "./index.ts";

const wordsOf = (scene: Scene) => flatten(scene.items).flatMap((item) => (item.kind === "text" ? [item.text] : []));
const said = (text: string) => text.replace(/ (m?[VA]|m?s)\b/g, `${THIN}$1`);

/** 1 s to rise, 400 V at the top, 300 V at the end (invented). */
const times = Array.from({ length: 401 }, (_, n) => n / 10);
const startUp: TimeFigure = {
  title: "Switch-on",
  legend: "mains +10 %, cold tubes",
  times,
  series: [
    {
      label: "C1",
      volts: times.map((t) => 300 * (1 - Math.exp(-t)) + 272 * t * Math.exp(-t / 1)),
      role: "now",
      ids: ["C1"],
    },
    { label: "B+", volts: times.map((t) => 290 * (1 - Math.exp(-t / 2))), role: "ink", dash: "dash" },
    { label: "winding", amps: times.map((t) => 0.06 + 0.1 * Math.exp(-t)), role: "now" },
  ],
  limits: [{ volts: 450 }, { amps: 0.21, words: "210 mA peak, tube sheet" }],
  marks: [
    { trace: "C1", at: "peak" },
    { trace: "B+", at: "peak" },
    { trace: "winding", at: 0 },
    { trace: "nothing of that name", at: "peak" },
  ],
  bands: [{ from: 0, to: 14, label: "heaters warming" }],
};

describe("start-up", () => {
  const scene = startUpFigure(startUp);
  const words = wordsOf(scene);

  test("says at its end what each trace settles at, and at its peak what it reaches and when", () => {
    for (const text of ["C1 300 V", "B+ 290 V", "winding 60 mA", "160 mA at 0 s"]) expect(words).toContain(said(text));
    const volts = startUp.series[0]?.volts ?? [];
    const peak = Math.max(...volts);
    expect(words).toContain(said(`${peak.toFixed(0)} V at ${times[volts.indexOf(peak)]} s`));
  });

  test("a trace that only rises to its end has no peak to mark", () => {
    expect(words.filter((word) => word.startsWith(said("290 V at")))).toEqual([]);
  });

  test("says the limits and, once, the bands", () => {
    expect(words).toContain(said("450 V limit"));
    expect(words).toContain("210 mA peak, tube sheet");
    expect(words.filter((word) => word === "heaters warming")).toHaveLength(1);
  });

  test("is a sheet of 180 by 120 mm with nothing outside, and says in words what it shows", () => {
    expect([scene.width, scene.height]).toEqual([180, 120]);
    expect(outside(scene)).toEqual([]);
    for (const text of ["mains +10 %", said("C1 300 V"), said("450 V limit")])
      expect(scene.description).toContain(text);
  });

  test("carries the ids of what a trace shows", () => {
    const shown = flatten(scene.items).filter((item) => item.ids?.includes("C1"));
    expect(shown.map((item) => item.kind).sort()).toEqual(["circle", "polyline"]);
  });

  test("a quantity without a trace has no panel", () => {
    const volts = wordsOf(startUpFigure({ ...startUp, series: startUp.series.slice(0, 2) }));
    expect(volts).toContain("Volts");
    expect(volts).not.toContain("Amperes");
  });

  test("a value that is missing leaves a gap, not a zero", () => {
    const broken = startUp.series.map((trace) => ({
      ...trace,
      ...(trace.volts === undefined ? {} : { volts: trace.volts.map((v, n) => (n > 150 && n < 250 ? Number.NaN : v)) }),
    }));
    const parts = flatten(startUpFigure({ ...startUp, series: broken }).items).filter(
      (item) => item.kind === "polyline" && item.ids?.includes("C1"),
    );
    expect(parts).toHaveLength(2);
  });

  test("a trace of another length than the times is a broken promise", () => {
    expect(() => startUpFigure({ ...startUp, times: times.slice(1) })).toThrow('"C1" has 401 values for 400 times');
    expect(() => startUpFigure({ ...startUp, times: [], series: [] })).toThrow(/runs from 0 to 0 s/);
  });
});

describe("one cycle of the mains", () => {
  const cycle = Array.from({ length: 201 }, (_, n) => (0.02 * n) / 200);
  const sine = cycle.map((t) => Math.sin(100 * Math.PI * t));
  const figure: TimeFigure = {
    title: "One mains cycle",
    times: cycle,
    series: [
      { label: "C1", volts: cycle.map((t) => 302 - 5 * Math.cos(200 * Math.PI * t)), role: "now" },
      { label: "half a", volts: sine.map((s) => 325 * s), dash: "dash" },
      { label: "plate a", amps: sine.map((s) => Math.max(0, 1.4 * (s - 0.9))), role: "now" },
    ],
    marks: [{ trace: "plate a", at: "peak" }],
  };

  test("says the range of what ripples, and the peak of the pulse", () => {
    const words = wordsOf(mainsCycleFigure(figure));
    for (const text of ["C1 297 to 307 V", "half a", "plate a", "140 mA at 5 ms"]) expect(words).toContain(said(text));
  });

  test("leaves out the half of the winding that does not conduct, but not where a node is negative", () => {
    const negative = { ...figure, series: [...figure.series, { label: "bias", volts: cycle.map(() => -20) }] };
    expect(wordsOf(mainsCycleFigure(figure)).filter((word) => word.startsWith("−"))).toEqual([]);
    expect(wordsOf(mainsCycleFigure(negative)).filter((word) => word.startsWith("−")).length).toBeGreaterThan(0);
  });

  test("leaves nothing outside the sheet", () => {
    expect(outside(mainsCycleFigure(figure))).toEqual([]);
    expect(outside(mainsCycleFigure({ ...figure, width: 120, height: 90 }))).toEqual([]);
  });
});
