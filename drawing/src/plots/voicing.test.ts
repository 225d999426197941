import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import type { Box } from "../bounds.ts";
import { hatchOutline } from "../plot/geometry.ts";
import type { Point } from "../scene.ts";

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
