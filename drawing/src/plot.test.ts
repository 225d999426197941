import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { flatten, outside, overlap, textBox } from "./bounds.ts";
import type { PlotSpec } from "./plot/index.ts";
import { plot, plotPanels } from "./plot.ts";
import type { Scene, TextItem } from "./scene.ts";
import { toSvg } from "./svg.ts";

const textsOf = (scene: Scene): readonly TextItem[] =>
  flatten(scene.items).flatMap((item) => (item.kind === "text" ? [item] : []));
const wordsOf = (scene: Scene) => textsOf(scene).map((item) => item.text);

/** Pairs of texts that cover each other. */
function covering(scene: Scene): readonly string[] {
  const texts = textsOf(scene);
  return texts.flatMap((a, n) =>
    texts.slice(n + 1).flatMap((b) => (overlap(textBox(a), textBox(b), -1e-6) ? [`${a.text} | ${b.text}`] : [])),
  );
}

const ROLES = ["now", "proven", "ink", "live", "stop"] as const;
const NAMES = [
  "C1",
  "B+",
  "winding half a",
  "H2",
  "L.p1 plate",
  "a name that goes on for quite a while",
  "µ",
  "−8 V grid",
  "日本",
];

/** A plot that someone could ask for, and some that nobody should. */
function randomSpec(seed: number): PlotSpec {
  const random = seededRandom(seed);
  const pick = <T>(list: readonly T[]): T => list[random.below(list.length)] as T;
  const log = random.uniform() < 0.3;
  const size = 10 ** (random.uniform() * 8 - 4);
  const x = log
    ? { from: 10, to: 10 ** (2 + random.below(4)), unit: "Hz", scale: "log" as const }
    : { from: 0, to: size, unit: pick(["s", "V"]) };
  const y = { from: random.uniform() < 0.5 ? 0 : -size, to: size, unit: pick(["V", "A", "%", "dB"]) };
  const at = (t: number) => (log ? x.from * (x.to / x.from) ** t : x.to * t);
  const lines = Array.from({ length: random.below(7) }, (_, n) => {
    const [level, swing, turns, phase] = [
      random.normal() * size * 0.5,
      random.normal() * size * 0.3,
      random.uniform() * 9,
      random.uniform() * 6,
    ];
    const points = Array.from({ length: 60 }, (_, k) => k / 59);
    return {
      label: `${pick(NAMES)} ${n}`,
      ...(random.uniform() < 0.5 ? { ending: "330 V" } : {}),
      ...(random.uniform() < 0.3 ? { named: "peak" as const } : {}),
      x: points.map(at),
      y: points.map((t) => level + swing * Math.sin(turns * t + phase)),
      role: pick(ROLES),
      side: pick(["left", "right"] as const),
    };
  });
  return {
    title: pick([
      "Switch-on",
      "A title that has to be told in two lines because it names every tube of the unit, one by one",
    ]),
    ...(random.uniform() < 0.6
      ? {
          legend: pick([
            "now heavy, proven light",
            "mains +10 %, cold tubes; now heavy, proven light; the band holds nine tubes of ten, hatched is not allowed",
          ]),
        }
      : {}),
    width: 110 + 90 * random.uniform(),
    height: 100 + 60 * random.uniform(),
    x: random.uniform() < 0.3 ? { ...x, label: "at the grid" } : x,
    y: random.uniform() < 0.3 ? [y, { from: -1, to: 1, unit: "A" }] : y,
    lines,
    bands:
      random.uniform() < 0.5
        ? [
            {
              along: pick(["x", "y"] as const),
              from: at(0.2),
              to: at(0.2 + random.uniform()),
              label: "heaters warming",
            },
          ]
        : [],
    limits: Array.from({ length: random.below(3) }, (_, n) => ({
      along: pick(["x", "y"] as const),
      value: at(random.uniform()),
      words: `${n} limit of the tube`,
      forbidden: pick(["above", "below"] as const),
    })),
    marks: Array.from({ length: random.below(4) }, (_, n) => ({
      x: at(random.uniform()),
      y: random.uniform() * size,
      text: `${n} 381 V at 13 s`,
      hollow: random.uniform() < 0.3,
    })),
  };
}

describe("any plot", () => {
  for (const first of [0, 100, 200])
    test(`leaves nothing outside the sheet, covers no text with another, drops no name (seeds ${first} to ${first + 39})`, () => {
      for (let seed = first; seed < first + 40; seed++) {
        const spec = randomSpec(seed);
        const scene = plot(spec);
        expect(outside(scene), `seed ${seed}`).toEqual([]);
        expect(covering(scene), `seed ${seed}`).toEqual([]);
        const words = wordsOf(scene);
        const shown = (text: string) =>
          words.some((word) => word === text || (word.endsWith("…") && text.startsWith(word.slice(0, -1))));
        for (const line of spec.lines) {
          const drawn = Array.from(line.x).some((x, n) => {
            const axis = "unit" in spec.y ? spec.y : spec.y[line.side === "right" ? 1 : 0];
            const y = line.y[n] as number;
            return x >= spec.x.from && x <= spec.x.to && y > axis.from && y < axis.to;
          });
          if (drawn)
            expect(
              shown(line.ending === undefined ? line.label : `${line.label} ${line.ending}`),
              `seed ${seed}: ${line.label}`,
            ).toBe(true);
        }
        for (const mark of spec.marks ?? []) expect(shown(mark.text), `seed ${seed}: ${mark.text}`).toBe(true);
      }
    });

  test("is the same for the same values (seed 11)", () => {
    expect(toSvg(plot(randomSpec(11)))).toBe(toSvg(plot(randomSpec(11))));
  });
});

const base: PlotSpec = {
  title: "Switch-on",
  width: 120,
  height: 80,
  x: { from: 0, to: 10, unit: "s" },
  y: { from: 0, to: 100, unit: "V" },
  lines: [{ label: "C1", ending: "50 V", x: [0, 5, 10], y: [0, 40, 50], role: "now", ids: ["C1"] }],
};

describe("a plot", () => {
  test("draws a line where its values are, and carries its ids", () => {
    const items = flatten(plot(base).items);
    const line = items.find((item) => item.kind === "polyline" && item.ids !== undefined);
    const axes = items.find((item) => item.kind === "polyline" && item.points.length === 3 && item.ids === undefined);
    if (line?.kind !== "polyline" || axes?.kind !== "polyline") throw new Error("no line");
    const [[left, top], [, bottom], [right]] = axes.points as [[number, number], [number, number], [number, number]];
    expect(line.ids).toEqual(["C1"]);
    expect(line.points).toHaveLength(3);
    const expected = [
      [0, 0],
      [0.5, 0.4],
      [1, 0.5],
    ];
    line.points.forEach(([x, y], n) => {
      expect((x - left) / (right - left)).toBeCloseTo(expected[n]?.[0] as number, 9);
      expect((bottom - y) / (bottom - top)).toBeCloseTo(expected[n]?.[1] as number, 9);
    });
  });

  test("hatches what a limit forbids and nothing else", () => {
    const hatched = (forbidden: "above" | "below", value: number) =>
      flatten(plot({ ...base, limits: [{ along: "y", value, words: "limit", forbidden }] }).items).filter(
        (item) => item.role === "hatch",
      ).length;
    expect(hatched("above", 80)).toBeGreaterThan(0);
    expect(hatched("below", 80)).toBeGreaterThan(hatched("above", 80));
    expect(hatched("above", 120)).toBe(0);
    expect(hatched("below", -1)).toBe(0);
  });

  test("names that find no room stand in rows below it, each with a sample of its line", () => {
    const many = Array.from({ length: 30 }, (_, n) => ({
      label: `trace ${n}`,
      x: [0, 10],
      y: [n * 3, n * 3],
      dash: "dash" as const,
    }));
    const scene = plot({ ...base, height: 120, lines: many });
    expect(wordsOf(scene).filter((word) => word.startsWith("trace "))).toHaveLength(30);
    expect(covering(scene)).toEqual([]);
    expect(outside(scene)).toEqual([]);
  });

  test("says in words what it shows", () => {
    expect(plot(base).description).toContain("C1 50 V");
    expect(plot({ ...base, description: "as told" }).description).toBe("as told");
  });

  test("panels share the x axis and the left edge", () => {
    const panels = [base, { ...base, y: { from: 0, to: 1e-6, unit: "A" }, label: "Amperes" }];
    const { title, width, height, x } = base;
    const axes = flatten(plotPanels({ title, width, height, x, panels }).items).flatMap((item) =>
      item.kind === "polyline" && item.points.length === 3 && item.ids === undefined ? [item.points] : [],
    );
    expect(axes).toHaveLength(2);
    expect(axes[0]?.[0]?.[0]).toBe(axes[1]?.[0]?.[0]);
    expect(axes[0]?.[2]?.[0]).toBe(axes[1]?.[2]?.[0]);
  });

  test("an axis without range and a sheet without room are broken promises", () => {
    expect(() => plot({ ...base, x: { from: 3, to: 3, unit: "s" } })).toThrow(/runs from 3 to 3/);
    expect(() => plot({ ...base, height: 20 })).toThrow(/no room for "Switch-on"/);
  });
});
