/** Our DXF and SVG read back by programs that we did not write: dxf-parser, and ezdxf with its audit. */
import { type Chassis, solidOf } from "@platewright/design";
import { carrierDrawings, type CutDrawing, cutDrawing, type CutLook } from "@platewright/drawing";
import { footprints } from "@platewright/library";
import Reader, { type ICircleEntity, type IPolylineEntity } from "dxf-parser";
import fc from "fast-check";
import { expect, test } from "vitest";
import { dxfText, toDxf } from "./dxf.ts";
import { toCutSvg } from "./svg-cut.ts";
import {
  bentPlate,
  demo,
  HAS_EZDXF,
  judgedOf,
  plates,
  readByPython,
  type ReadByPython,
  withRing,
} from "./test-plates.ts";

const NAMED = { design: "Hearth line box", revision: "A", date: "25 Nov 2026" };
const SEED = 60_601;
const HAIR = 1e-6;

function drawn(chassis: Chassis, look: CutLook): CutDrawing {
  const made = cutDrawing(judgedOf(chassis), { named: NAMED, ...look });
  if (!made.ok) throw new Error(made.failure.sentence);
  return made.value;
}

function dxfOf(drawing: CutDrawing): string {
  const made = toDxf(drawing);
  if (!made.ok) throw new Error(made.failure.sentence);
  return made.value;
}

interface Round {
  readonly x: number;
  readonly y: number;
  readonly diameter: number;
}

/** Round holes as the document and the footprints have them, by a way of their own: turned with sine and cosine. */
function roundHoles(chassis: Chassis): readonly Round[] {
  const rounds: Round[] = chassis.holes.flatMap(({ x, y, shape, state }) =>
    shape.kind === "circle" && state === "planned" ? [{ x, y, diameter: shape.diameterMillimetres }] : [],
  );
  for (const item of chassis.items) {
    const [c, s] = [Math.cos((item.degrees * Math.PI) / 180), Math.sin((item.degrees * Math.PI) / 180)];
    for (const hole of footprints.footprint(item.footprint)?.holes ?? []) {
      if (hole.shape.kind !== "circle") continue;
      const across = item.face === "under" ? -hole.x : hole.x;
      rounds.push({
        x: item.x + across * c - hole.y * s,
        y: item.y + across * s + hole.y * c,
        diameter: hole.shape.diameterMillimetres,
      });
    }
  }
  return rounds;
}

const near = (a: Round, b: Round): boolean =>
  Math.abs(a.x - b.x) <= HAIR && Math.abs(a.y - b.y) <= HAIR && Math.abs(a.diameter - b.diameter) <= HAIR;

function soundFile(read: ReadByPython): void {
  expect([...read.errors, ...read.fixes]).toEqual([]);
  expect(read).toMatchObject({ version: "AC1009", units: 4 });
  expect(read.layers).toEqual(expect.arrayContaining(["CUT", "ENGRAVE", "NOTES"]));
  for (const one of read.lines) expect(one.layer).toBe("NOTES");
  for (const one of read.texts) expect(one.layer).not.toBe("CUT");
  const seen = new Set<string>();
  for (const { at, diameter } of read.circles) {
    const key = [...at, diameter].map((one) => one.toFixed(5)).join(" ");
    expect(seen.has(key), `doubled: ${key}`).toBe(false);
    expect(diameter).toBeGreaterThan(0);
    seen.add(key);
  }
  for (const { closed, corners } of read.polylines) {
    expect(closed).toBe(true);
    expect(corners.length).toBeGreaterThanOrEqual(2);
    for (const [n, [x, y]] of corners.entries()) {
      const [nx, ny] = corners[(n + 1) % corners.length] ?? [0, 0];
      expect(Math.hypot(nx - x, ny - y)).toBeGreaterThan(1e-7);
    }
    const key = corners.map(([x, y]) => `${x.toFixed(5)} ${y.toFixed(5)}`).join(", ");
    expect(seen.has(key), `doubled: ${key}`).toBe(false);
    seen.add(key);
  }
}

test.skipIf(!HAS_EZDXF)("the demo, a ring, a bent plate: sound for ezdxf, every round hole to a millionth", () => {
  const cases = [
    { chassis: demo().chassis, look: { face: "top" } },
    { chassis: demo().chassis, look: { face: "top", plate: "as-it-is" } },
    { chassis: withRing(), look: { face: "under" } },
    { chassis: bentPlate(), look: { face: "top" } },
    { chassis: bentPlate(), look: { face: "under" } },
  ] as const;
  const rings = carrierDrawings(judgedOf(withRing()), NAMED);
  expect(rings.map((one) => one.name)).toEqual(["ring-v3"]);
  const read = readByPython([
    ...cases.map(({ chassis, look }) => dxfOf(drawn(chassis, look))),
    ...rings.map((one) => dxfOf(one.drawing)),
  ]);
  read.forEach(soundFile);
  const [first, asItIs] = read;
  const wanted = roundHoles({ ...demo().chassis, holes: [] });
  const cut = (first?.circles ?? []).filter((one) => one.layer === "CUT");
  expect(cut).toHaveLength(wanted.length);
  for (const one of wanted)
    expect(
      cut.some(({ at: [x, y], diameter }) => near(one, { x, y, diameter })),
      JSON.stringify(one),
    ).toBe(true);
  // Everything is there already: nothing is cut, and all of it stands among the notes.
  expect(asItIs?.circles.filter((one) => one.layer === "CUT")).toEqual([]);
  expect(asItIs?.circles.length).toBe(cut.length);
  const ring = read.at(-1);
  expect(ring?.circles.map((one) => Math.round(one.diameter * 10) / 10).sort((a, b) => a - b)).toEqual([
    2.5, 2.5, 3.2, 3.2, 16, 38,
  ]);
  for (const file of read) expect(file.texts.some((one) => /all dimensions in millimetres/.test(one.text))).toBe(true);
});

test.skipIf(!HAS_EZDXF)(`random plates: holes, closed, nothing doubled, underside mirrored (seed ${SEED})`, () => {
  const all = fc.sample(plates, { seed: SEED, numRuns: 120 });
  const pairs = all.map((chassis) => [drawn(chassis, { face: "top" }), drawn(chassis, { face: "under" })] as const);
  const read = readByPython(pairs.flatMap(([top, under]) => [dxfOf(top), dxfOf(under)]));
  read.forEach(soundFile);
  for (const [n, chassis] of all.entries()) {
    const [top, under] = [read[2 * n], read[2 * n + 1]];
    if (top === undefined || under === undefined) throw new Error("two files a plate");
    const wide = chassis.plate.widthMillimetres;
    const cut = top.circles.map(({ at: [x, y], diameter }): Round => ({ x, y, diameter }));
    const wanted = roundHoles(chassis);
    // What is cut is wanted; what is wanted is cut, or lies in something that is.
    for (const one of cut) expect(wanted.some((other) => near(one, other))).toBe(true);
    const solids = pairs[n]?.[0].holes.map((hole) => solidOf({ ...hole.shape, x: hole.x, y: hole.y })) ?? [];
    for (const one of wanted)
      if (!cut.some((other) => near(one, other))) {
        const notes = pairs[n]?.[0].notes.join(" ") ?? "";
        expect(notes).toMatch(/lies inside|are one hole/);
        expect(
          solids.some(({ core, radius }) => insideOf(core, radius, one)),
          JSON.stringify([one, pairs[n]?.[0].holes, notes]),
        ).toBe(true);
      }
    expect(under.circles).toHaveLength(top.circles.length);
    for (const [k, one] of top.circles.entries()) {
      const [x, y] = under.circles[k]?.at ?? [Number.NaN, Number.NaN];
      expect(Math.abs(x - (wide - one.at[0]))).toBeLessThanOrEqual(2e-8);
      expect(y).toBe(one.at[1]);
      expect(under.circles[k]?.diameter).toBe(one.diameter);
    }
    for (const [k, one] of top.polylines.entries())
      for (const [c, [x, y, bulge]] of one.corners.entries()) {
        const [mx = 0, my = 0, mb = 0] = under.polylines[k]?.corners[c] ?? [];
        expect(Math.abs(mx - (wide - x))).toBeLessThanOrEqual(2e-8);
        expect([my, mb + 0]).toEqual([y, bulge === 0 ? 0 : -bulge]);
      }
  }
});

/** Is a round hole inside a convex core with a radius, by its distance from each side? */
function insideOf(core: readonly { x: number; y: number }[], radius: number, { x, y, diameter }: Round): boolean {
  const depth = core.length === 1 ? -Math.hypot(x - (core[0]?.x ?? 0), y - (core[0]?.y ?? 0)) : sideDepth(core, x, y);
  return depth + radius >= diameter / 2 - 0.021;
}

function sideDepth(core: readonly { x: number; y: number }[], x: number, y: number): number {
  let inside = Infinity;
  let nearest = Math.hypot(x - (core[0]?.x ?? 0), y - (core[0]?.y ?? 0));
  for (const [n, a] of core.entries()) {
    const b = core[(n + 1) % core.length] ?? a;
    const [dx, dy] = [b.x - a.x, b.y - a.y];
    const length = Math.hypot(dx, dy);
    if (length < 1e-12) continue;
    inside = Math.min(inside, (dx * (y - a.y) - dy * (x - a.x)) / length);
    const t = Math.max(0, Math.min(1, ((x - a.x) * dx + (y - a.y) * dy) / length ** 2));
    nearest = Math.min(nearest, Math.hypot(x - a.x - t * dx, y - a.y - t * dy));
  }
  return inside > 0 && inside < Infinity ? inside : -nearest;
}

test("dxf-parser reads the same circles, closed polylines, layers and units", () => {
  for (const chassis of [demo().chassis, bentPlate()]) {
    const drawing = drawn(chassis, { face: "top" });
    const read = new Reader().parseSync(dxfOf(drawing));
    expect(read?.header).toMatchObject({ $ACADVER: "AC1009", $INSUNITS: 4, $MEASUREMENT: 1 });
    expect(Object.keys(read?.tables.layer.layers ?? {})).toEqual(["0", "CUT", "ENGRAVE", "NOTES"]);
    const circles = (read?.entities ?? []).filter((one) => one.type === "CIRCLE") as ICircleEntity[];
    const wanted = roundHoles({ ...chassis, holes: [] });
    expect(circles).toHaveLength(wanted.length);
    for (const one of wanted)
      expect(circles.some(({ center, radius }) => near(one, { x: center.x, y: center.y, diameter: 2 * radius }))).toBe(
        true,
      );
    const polylines = (read?.entities ?? []).filter((one) => one.type === "POLYLINE") as IPolylineEntity[];
    expect(polylines).toHaveLength(drawing.contours.filter((one) => one.kind === "outline").length);
    for (const one of polylines) expect(one.shape).toBe(true);
  }
});

test("SVG: millimetres outside and inside, three layers, the same circles turned over", () => {
  const drawing = drawn(bentPlate(), { face: "top" });
  const svg = toCutSvg(drawing);
  const [, width, height, box] = /<svg [^>]*width="([\d.]+)mm" height="([\d.]+)mm" viewBox="([^"]+)"/.exec(svg) ?? [];
  const [left = 0, top = 0, wide, high] = (box ?? "").split(" ").map(Number);
  expect([wide, high]).toEqual([Number(width), Number(height)]);
  const layers = [...svg.matchAll(/<g id="(\w+)"[^>]*>([\s\S]*?)<\/g>/g)].map(([, id, inside]) => ({ id, inside }));
  expect(layers.map((one) => one.id)).toEqual(["CUT", "ENGRAVE", "NOTES"]);
  const cut = layers[0]?.inside ?? "";
  const circles = [...cut.matchAll(/<circle cx="([-\d.]+)" cy="([-\d.]+)" r="([-\d.]+)"\/>/g)].map(
    ([, x, y, r]): Round => ({ x: Number(x), y: -Number(y), diameter: 2 * Number(r) }),
  );
  const wanted = roundHoles({ ...bentPlate(), holes: [] });
  expect(circles).toHaveLength(wanted.length);
  for (const one of wanted) expect(circles.some((other) => near(one, other))).toBe(true);
  for (const { x, y, diameter } of circles) {
    expect(x - diameter / 2).toBeGreaterThan(left);
    expect(-y - diameter / 2).toBeGreaterThan(top);
  }
  const paths = [...cut.matchAll(/<path d="([^"]+)"/g)].map(([, d]) => d ?? "");
  expect(paths).toHaveLength(drawing.contours.filter((one) => one.layer === "CUT" && one.kind === "outline").length);
  for (const path of paths) expect(path).toMatch(/^M .* Z$/);
  expect(cut).not.toContain("<text");
});

test("the same drawing has the same bytes", () => {
  const [one, other] = [drawn(demo().chassis, { face: "under" }), drawn(demo().chassis, { face: "under" })];
  expect(dxfOf(one)).toBe(dxfOf(other));
  expect(toCutSvg(one)).toBe(toCutSvg(other));
  expect(dxfOf(one)).not.toMatch(/[^\r]\n/);
});

test("text is ASCII on purpose, or refused by its code", () => {
  expect(dxfText("Ø 22 ±0.2 at 90°, ≤ 5 %, 4.7 kΩ → Übergabe")).toEqual({
    ok: true,
    value: "%%c 22 %%p0.2 at 90%%d, <= 5 %%%, 4.7 kohm -> Ubergabe",
  });
  const refused = dxfText("炉 box");
  expect(refused.ok ? "" : refused.failure.sentence).toMatch(/U\+7089/);
  fc.assert(
    fc.property(fc.string({ unit: "grapheme", maxLength: 30 }), (text) => {
      const done = dxfText(text);
      if (done.ok) expect(done.value).toMatch(/^[ -~]*$/);
      else expect(done.failure.sentence).toMatch(/U\+[0-9A-F]{4,6}/);
    }),
    { seed: SEED, numRuns: 300 },
  );
});
