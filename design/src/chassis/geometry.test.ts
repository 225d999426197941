import type { Outline, Place } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import {
  boundsGap,
  boundsOf,
  depthInside,
  distance,
  gapBetween,
  grown,
  isConvex,
  placedOutline,
  segmentsCross,
  solidOf,
  turned,
} from "./geometry.ts";
import { uniform } from "./test-chassis.ts";
import { isInside, sampled, sampledGap } from "./test-sampled.ts";

type Random = () => number;
const between = (random: Random, low: number, high: number): number => low + (high - low) * random();

/** Convex: corners on an ellipse in order. */
function polygon(random: Random, at: Place): Outline {
  const count = 3 + Math.floor(random() * 5);
  const [a, b, tilt] = [between(random, 5, 30), between(random, 5, 30), between(random, 0, 360)];
  const angles = Array.from({ length: count }, () => random() * 2 * Math.PI).sort((x, y) => x - y);
  const points = angles.map((angle) => {
    const p = turned({ x: a * Math.cos(angle), y: b * Math.sin(angle) }, tilt);
    return { x: p.x + at.x, y: p.y + at.y };
  });
  return { kind: "polygon", points: random() < 0.5 ? points : points.reverse() };
}

function outline(random: Random): Outline {
  const at = { x: between(random, 0, 150), y: between(random, 0, 100) };
  const kind = random();
  if (kind < 0.35) return { kind: "circle", ...at, diameterMillimetres: between(random, 3, 50) };
  if (kind > 0.8) return polygon(random, at);
  const [widthMillimetres, heightMillimetres] = [between(random, 4, 70), between(random, 4, 60)];
  const half = Math.min(widthMillimetres, heightMillimetres) / 2;
  const cornerMillimetres = random() < 0.2 ? 0 : random() < 0.2 ? half : between(random, 0, half);
  const degrees = random() < 0.3 ? 90 * Math.floor(random() * 4) : between(random, -360, 360);
  return { kind: "rectangle", ...at, widthMillimetres, heightMillimetres, cornerMillimetres, degrees };
}

const POINTS = 40;

test.each([1, 2, 3, 4, 5])("1,000 random plates agree with rims taken point by point (seed %d)", (seed) => {
  const random = uniform(seed);
  let [apart, over, inside] = [0, 0, 0];
  for (let n = 0; n < 1000; n++) {
    const [first, second, third] = [outline(random), outline(random), outline(random)];
    for (const [one, other] of [
      [first, second],
      [second, third],
    ] as const) {
      const [a, b] = [sampled(one, POINTS), sampled(other, POINTS)];
      const brute = sampledGap(a, b);
      const gap = gapBetween(solidOf(one), solidOf(other));
      const place = `seed ${seed}, plate ${n}: ${JSON.stringify([one, other])}`;
      if (brute.overlap) {
        expect(gap, place).toBeLessThan(1e-9);
        over++;
      } else {
        expect(gap, place).toBeLessThanOrEqual(brute.distance + 1e-9);
        expect(gap, place).toBeGreaterThanOrEqual(brute.distance - brute.error - 1e-9);
        apart++;
      }
      expect(gapBetween(solidOf(other), solidOf(one)), place).toBeCloseTo(gap, 9);
      expect(boundsGap(boundsOf(solidOf(one)), boundsOf(solidOf(other))), place).toBeLessThanOrEqual(
        Math.max(gap, 0) + 1e-9,
      );
      const depth = depthInside(solidOf(one), solidOf(other));
      const bruteInside = b.rim.every((p) => isInside(one, p));
      if (depth > 1e-9) expect(bruteInside, place).toBe(true);
      if (bruteInside) {
        expect(depth, place).toBeGreaterThan(-b.step - 1);
        inside++;
      }
    }
  }
  expect(Math.min(apart, over)).toBeGreaterThan(250);
  expect(inside).toBeGreaterThan(3);
});

test("an outline inside another lies as deep as its nearest point, to the step of the rims (seed 6)", () => {
  const random = uniform(6);
  let found = 0;
  for (let n = 0; n < 400; n++) {
    const inner = outline(random);
    const outer = grown(
      inner.kind === "polygon" ? { kind: "circle", x: 40, y: 40, diameterMillimetres: 30 } : inner,
      20,
    );
    const within =
      inner.kind === "polygon" ? { kind: "circle" as const, x: 44, y: 38, diameterMillimetres: 12 } : inner;
    const [a, b] = [sampled(outer, 300), sampled(within, 300)];
    const brute = sampledGap(a, b);
    const depth = depthInside(solidOf(outer), solidOf(within));
    expect(Math.abs(depth - brute.distance)).toBeLessThan(brute.error + 1e-9);
    found++;
  }
  expect(found).toBe(400);
});

test("overlapping outlines that are moved apart by their overlap touch (seed 7)", () => {
  const random = uniform(7);
  let tried = 0;
  while (tried < 150) {
    const [one, other] = [outline(random), outline(random)];
    const gap = gapBetween(solidOf(one), solidOf(other));
    if (gap > -0.1) continue;
    tried++;
    // In some direction a shift of the overlap parts them; in none a shorter one does.
    let [best, shorter] = [-Infinity, -Infinity];
    for (let angle = 0; angle < 360; angle += 2) {
      const by = turned({ x: 1, y: 0 }, angle);
      const moved = (length: number) =>
        gapBetween(
          solidOf(one),
          solidOf(placedOutline({ x: by.x * length, y: by.y * length, degrees: 0, mirrored: false }, other)),
        );
      best = Math.max(best, moved(-gap));
      shorter = Math.max(shorter, moved(-gap * 0.97));
    }
    expect(best).toBeGreaterThan(-0.05 * -gap);
    expect(shorter).toBeLessThan(0);
  }
});

describe("worked cases", () => {
  const circle = (x: number, y: number, diameterMillimetres: number): Outline => ({
    kind: "circle",
    x,
    y,
    diameterMillimetres,
  });
  const box = (w: number, h: number, more: object = {}): Outline => ({
    kind: "rectangle",
    x: 0,
    y: 0,
    widthMillimetres: w,
    heightMillimetres: h,
    ...more,
  });

  test("gaps by hand", () => {
    const gap = (a: Outline, b: Outline) => gapBetween(solidOf(a), solidOf(b));
    expect(gap(circle(0, 0, 22), circle(0, 14.3, 3.2))).toBeCloseTo(14.3 - 11 - 1.6, 12);
    expect(gap(circle(0, 0, 22), circle(0, 11.1, 3.2))).toBeCloseTo(-1.5, 12);
    expect(gap(box(40, 20), circle(30, 0, 10))).toBeCloseTo(5, 12);
    expect(gap(box(40, 20), circle(23, 14, 4))).toBeCloseTo(5 - 2, 12);
    // A rounded corner is farther by (√2 − 1) r along the diagonal.
    expect(gap(box(40, 20, { cornerMillimetres: 5 }), circle(30, 20, 0.002))).toBeCloseTo(
      Math.hypot(15, 15) - 5 - 0.001,
      12,
    );
    expect(gap(box(40, 20, { degrees: 90 }), circle(0, 30, 10))).toBeCloseTo(5, 12);
    expect(gap(box(10, 10), box(40, 40))).toBeCloseTo(-25, 12);
  });

  test("stadiums, whose core is a segment: apart in line, crossing, side by side", () => {
    const stadium = (x: number, degrees: number): Outline => box(20, 6, { x, cornerMillimetres: 3, degrees });
    const gap = (a: Outline, b: Outline) => gapBetween(solidOf(a), solidOf(b));
    expect(gap(stadium(0, 0), stadium(25, 0))).toBeCloseTo(5, 12);
    expect(gap(stadium(0, 0), stadium(0, 90))).toBeCloseTo(-7 - 6, 12);
    expect(gap(stadium(0, 90), stadium(10, 90))).toBeCloseTo(4, 12);
    expect(gap(stadium(0, 0), stadium(0, 0))).toBeLessThan(0);
  });

  test("depth inside a plate: from the nearest edge, and from a rounded corner", () => {
    const plate = solidOf(box(300, 180, { x: 150, y: 90, cornerMillimetres: 10 }));
    expect(depthInside(plate, solidOf(circle(30, 90, 10)))).toBeCloseTo(25, 12);
    expect(depthInside(plate, solidOf(circle(3, 90, 10)))).toBeCloseTo(-2, 12);
    expect(depthInside(plate, solidOf(circle(10, 10, 4)))).toBeCloseTo(8, 12);
    expect(depthInside(plate, solidOf(circle(4, 4, 2)))).toBeCloseTo(10 - Math.hypot(6, 6) - 1, 12);
  });

  test("a part on the underside is mirrored, then turned", () => {
    const pose = { x: 100, y: 50, degrees: 90, mirrored: true };
    expect(placedOutline(pose, circle(10, 0, 4))).toEqual(circle(100, 40, 4));
    expect(placedOutline(pose, box(4, 2, { x: 0, y: 5, degrees: 30 }))).toMatchObject({ x: 95, y: 50, degrees: 60 });
  });

  test("quarter turns are exact, whole turns change nothing", () => {
    for (const degrees of [0, 90, 180, 270, -90, 360, 450])
      expect(distance(turned({ x: 3, y: 4 }, degrees), turned(turned({ x: 3, y: 4 }, degrees - 30), 30))).toBeLessThan(
        1e-12,
      );
    expect(turned({ x: 3, y: 4 }, 90)).toEqual({ x: -4, y: 3 });
  });

  test("convex or not; segments that cross", () => {
    const star = [0, 2, 4, 1, 3].map((k) => turned({ x: 10, y: 0 }, 72 * k));
    expect(isConvex([0, 1, 2, 3, 4].map((k) => turned({ x: 10, y: 0 }, 72 * k)))).toBe(true);
    expect(isConvex(star)).toBe(false);
    expect(
      isConvex([
        { x: 0, y: 0 },
        { x: 4, y: 0 },
        { x: 1, y: 1 },
        { x: 0, y: 4 },
      ]),
    ).toBe(false);
    expect(
      isConvex([
        { x: 0, y: 0 },
        { x: 4, y: 0 },
        { x: 8, y: 0 },
      ]),
    ).toBe(false);
    expect(segmentsCross({ x: 0, y: 0 }, { x: 2, y: 2 }, { x: 0, y: 2 }, { x: 2, y: 0 })).toBe(true);
    expect(segmentsCross({ x: 0, y: 0 }, { x: 2, y: 2 }, { x: 3, y: 0 }, { x: 3, y: 5 })).toBe(false);
  });
});
