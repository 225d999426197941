/** DXF by hand, of several ways of drawing the same; and files that are none. */
import { expect, test } from "vitest";
import { applyChanges } from "../../document/change.ts";
import { plate } from "../test-chassis.ts";
import { dxfChanges, importDxf } from "./import-dxf.ts";
import { MOST_CHARACTERS } from "./tags.ts";

type Tag = readonly [code: number, value: string | number];
const file = (
  entities: readonly (readonly Tag[])[],
  header: readonly Tag[] = [
    [9, "$INSUNITS"],
    [70, 4],
  ],
): string => {
  const section = (name: string, tags: readonly Tag[]): readonly Tag[] => [
    [0, "SECTION"],
    [2, name],
    ...tags,
    [0, "ENDSEC"],
  ];
  const all: readonly Tag[] = [...section("HEADER", header), ...section("ENTITIES", entities.flat()), [0, "EOF"]];
  return all.map(([code, value]) => `  ${code}\n${value}\n`).join("");
};
const line = (x1: number, y1: number, x2: number, y2: number, layer = "0"): readonly Tag[] => [
  [0, "LINE"],
  [8, layer],
  [10, x1],
  [20, y1],
  [11, x2],
  [21, y2],
];
const circle = (x: number, y: number, r: number, more: readonly Tag[] = []): readonly Tag[] => [
  [0, "CIRCLE"],
  [8, "0"],
  [10, x],
  [20, y],
  [40, r],
  ...more,
];
const arc = (x: number, y: number, r: number, from: number, to: number): readonly Tag[] => [
  [0, "ARC"],
  [8, "0"],
  [10, x],
  [20, y],
  [40, r],
  [50, from],
  [51, to],
];
const light = (
  corners: readonly (readonly [x: number, y: number, bulge?: number])[],
  closed = 1,
  layer = "0",
): readonly Tag[] => [
  [0, "LWPOLYLINE"],
  [8, layer],
  [90, corners.length],
  [70, closed],
  ...corners.flatMap(([x, y, bulge]): readonly Tag[] => [
    [10, x],
    [20, y],
    ...(bulge === undefined ? [] : ([[42, bulge]] as const)),
  ]),
];
const box = (x: number, y: number, w: number, h: number) =>
  light([
    [x, y],
    [x + w, y],
    [x + w, y + h],
    [x, y + h],
  ]);
const read = (text: string, units?: "mm" | "cm" | "inch") => {
  const done = importDxf(text, { state: "cut", units });
  if (!done.ok) throw new Error(done.failure.sentence);
  return done.value;
};
const sentence = (text: string): string => {
  const done = importDxf(text, { state: "cut" });
  return done.ok ? "" : `${done.failure.kind}: ${done.failure.sentence}`;
};

test("loose lines and arcs, in any order and direction, somewhere in the plane", () => {
  const plate300 = [
    line(110, 50, 390, 50),
    arc(390, 60, 10, 270, 0),
    line(400, 220, 400, 60),
    arc(390, 220, 10, 0, 90),
    line(390, 230, 110, 230),
    arc(110, 220, 10, 90, 180),
    line(100, 60, 100, 220),
    arc(110, 60, 10, 180, 270),
  ];
  const holes = [circle(160, 150, 11), line(200, 100, 230, 100), line(230, 100, 230, 120)];
  const rest = [line(200, 120, 200, 100), line(230, 120, 200, 120)];
  const got = read(file([...holes, ...plate300, ...rest]));
  expect(got).toMatchObject({ widthMillimetres: 300, depthMillimetres: 180, refused: [] });
  expect(got.cornerRadiusMillimetres).toBeCloseTo(10, 9);
  expect(got.holes).toHaveLength(2);
  expect(got.holes[0]).toMatchObject({ shape: { kind: "rectangle", widthMillimetres: 30, heightMillimetres: 20 } });
  expect(got.holes[1]).toMatchObject({ x: 60, y: 100, shape: { kind: "circle", diameterMillimetres: 22 } });
});

test("turned, rounded, round at both ends, two arcs for a circle", () => {
  const slot = light([
    [40, 40],
    [60, 40, 1],
    [60, 46],
    [40, 46, 1],
  ]);
  const round = light([
    [95, 50, 1],
    [105, 50, 1],
  ]);
  const [c, s] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
  const turned = light(
    (
      [
        [-10, -5],
        [10, -5],
        [10, 5],
        [-10, 5],
      ] as const
    ).map(([x, y]) => [150 + x * c - y * s, 60 + x * s + y * c]),
  );
  const got = read(file([box(0, 0, 200, 100), slot, round, turned]));
  expect(got.refused).toEqual([]);
  const [first, second, third] = got.holes;
  expect(first).toMatchObject({ x: 50, y: 43 });
  expect(first?.shape).toMatchObject({ kind: "rectangle", widthMillimetres: 26, heightMillimetres: 6 });
  expect(first?.shape.kind === "rectangle" && first.shape.cornerMillimetres).toBeCloseTo(3, 9);
  expect(second?.shape).toMatchObject({ kind: "circle" });
  expect(second?.shape.kind === "circle" && second.shape.diameterMillimetres).toBeCloseTo(10, 9);
  expect(third?.shape.kind === "rectangle" && third.shape.degrees).toBeCloseTo(30, 9);
  expect(third?.shape.kind === "rectangle" && third.shape.widthMillimetres).toBeCloseTo(20, 9);
});

test("seen from below: an extrusion downwards mirrors circles and polylines", () => {
  const down: readonly Tag[] = [[230, -1]];
  const got = read(file([box(0, 0, 200, 100), circle(-50, 30, 4, down)]));
  expect(got.holes[0]).toMatchObject({ x: 50, y: 30 });
});

test("units are stated, asked for, or overruled", () => {
  const inches: readonly Tag[] = [
    [9, "$INSUNITS"],
    [70, 1],
  ];
  expect(read(file([box(0, 0, 8, 4), circle(1, 1, 0.25)], inches))).toMatchObject({
    widthMillimetres: 203.2,
    units: "inch",
  });
  const none = file([box(0, 0, 30, 18), circle(1, 1, 0.25)], []);
  expect(sentence(none)).toMatch(/^units: states no unit.*measures 30 × 18.*mm, cm, inch or m/);
  expect(read(none, "cm")).toMatchObject({ widthMillimetres: 300, depthMillimetres: 180 });
  expect(read(file([box(0, 0, 200, 100)], inches), "mm").notes.join(" ")).toMatch(/Read as mm.*states inch/);
});

test("only CUT is read where there is one; what has no metal is passed over and counted", () => {
  const text: readonly Tag[] = [
    [0, "TEXT"],
    [8, "0"],
    [10, 1],
    [20, 1],
    [40, 3],
    [1, "words"],
  ];
  const onCut = light(
    [
      [0, 0],
      [200, 0],
      [200, 100],
      [0, 100],
    ],
    1,
    "Cut",
  );
  const got = read(file([onCut, line(-10, 0, 10, 0, "NOTES"), circle(5, 5, 1)]));
  expect(got.holes).toEqual([]);
  expect(got.notes.join(" ")).toMatch(/Only the layer CUT.*2 × other layers/);
  expect(read(file([box(0, 0, 200, 100), text])).notes.join(" ")).toMatch(/1 × TEXT/);
});

test("what cannot be a hole is refused by name and place, and the rest is read", () => {
  const triangle = light([
    [20, 20],
    [40, 20],
    [30, 40],
  ]);
  const block: readonly Tag[] = [
    [0, "INSERT"],
    [8, "0"],
    [2, "socket"],
    [10, 60],
    [20, 70],
  ];
  const spline: readonly Tag[] = [
    [0, "SPLINE"],
    [8, "0"],
    [10, 5],
    [20, 6],
  ];
  const entities = [box(0, 0, 200, 100), triangle, block, spline, line(100, 20, 120, 20), circle(198, 50, 4)];
  const got = read(file([...entities, circle(50, 50, 4), circle(50, 50, 4)]));
  expect(got.holes).toHaveLength(1);
  expect(got.refused.join("\n")).toMatch(/INSERT 'socket' at 60, 70: a block; explode it first/);
  expect(got.refused.join("\n")).toMatch(/SPLINE at 5, 6/);
  expect(got.refused.join("\n")).toMatch(/about 30, 30 mm is neither a circle nor a rectangle/);
  expect(got.refused.join("\n")).toMatch(/open at 120, 20/);
  expect(got.refused.join("\n")).toMatch(/circle at 198, 50 mm does not lie inside/);
  expect(got.notes.join(" ")).toMatch(/1 doubled outline was taken once/);
});

test.each([
  ["an empty text", "", /^not-dxf: is not a DXF/],
  ["a letter", "Dear fabricator,\nplease find the plate\n", /^not-dxf: is not a DXF/],
  ["JSON", '{"format": "platewright/design@1"}', /^not-dxf: is not a DXF/],
  ["binary", "Any Binary DXF\r\n\u001a\0", /^not-dxf: is a binary DXF/],
  ["truncated", file([box(0, 0, 200, 100)]).slice(0, -30), /^not-dxf: ends before its end/],
  ["a number that is none", file([line(0, 0, Number.NaN, 5)]), /^not-dxf: has a LINE with a number/],
  ["a number past reach", file([circle(1e308, 0, 5)]), /^not-dxf: has a CIRCLE with a number/],
  ["a radius below nought", file([circle(10, 10, -5)]), /radius -5; it must be above 0/],
  ["nothing drawn", file([]), /^outline: has no closed outline/],
  [
    "a triangle",
    file([
      light([
        [0, 0],
        [100, 0],
        [50, 80],
      ]),
    ]),
    /^outline: .* no rectangle/,
  ],
  ["a round plate", file([circle(0, 0, 100)]), /^outline: has a circle of 200 mm/],
  [
    "a turned plate",
    file([
      light([
        [0, 0],
        [100, 10],
        [90, 110],
        [-10, 100],
      ]),
    ]),
    /^outline: .*turned by/,
  ],
  ["a plate of three metres", file([box(0, 0, 3000, 100)]), /^size: .*3000 × 100 mm; 2000 mm is the most/],
  ["an open plate", file([line(0, 0, 100, 0), line(100, 0, 100, 50), line(100, 50, 0, 50)]), /open at/],
] as const)("%s is a sentence", (_name, text, wanted) => {
  expect(sentence(text)).toMatch(wanted);
});

test("a million corners are refused at once, and so is a huge file", () => {
  const many = light(Array.from({ length: 60_000 }, (_, n) => [Math.cos(n), Math.sin(n)] as const));
  expect(sentence(file([many]))).toMatch(/more than 50000 corners/);
  expect(sentence("0\nSECTION\n".padEnd(MOST_CHARACTERS + 1, "0\nX\n"))).toMatch(/8000000 are read at most/);
});

test("lines that all end in one place are open, and that is soon said", () => {
  const star = Array.from({ length: 20_000 }, (_, n) => line(0, 0, 50 + n * 1e-3, n % 7));
  expect(sentence(file(star))).toMatch(/^outline: has no closed outline.*open at/);
});

test("the changes bring sizes and holes in; thickness, finish and parts stay", () => {
  const got = read(file([box(0, 0, 250, 150), circle(40, 30, 8)]));
  const chassis = plate({ salvage: [] });
  const after = applyChanges({ chassis }, dxfChanges(chassis, got));
  if (!after.ok) throw new Error("applied");
  expect(after.value.chassis).toMatchObject({
    plate: { widthMillimetres: 250, depthMillimetres: 150, thicknessMillimetres: 2, material: "aluminium" },
    holes: [{ id: "H1", x: 40, y: 30, state: "cut" }],
  });
  expect(dxfChanges(undefined, got)[0]).toMatchObject({ target: "chassis", after: { items: [] } });
});
