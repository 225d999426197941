import fc from "fast-check";
import { expect, test } from "vitest";
import type { PanelPlace } from "../scene.ts";
import { plot } from "../plot.ts";
import { pointOf, valueAt } from "./pointing.ts";

const place = fc.record({
  left: fc.double({ min: 0, max: 40, noNaN: true }),
  right: fc.double({ min: 60, max: 200, noNaN: true }),
  top: fc.double({ min: 0, max: 40, noNaN: true }),
  bottom: fc.double({ min: 60, max: 200, noNaN: true }),
  x: fc.constantFrom({ from: 0.05, to: 8, scale: "log" as const }, { from: -3, to: 12 }),
  y: fc.constantFrom({ from: 1e-5, to: 0.1, scale: "log" as const }, { from: 0, to: 0.02 }),
}) satisfies fc.Arbitrary<PanelPlace>;

test("a place on the sheet and its values lead back to each other (seed 5)", () => {
  fc.assert(
    fc.property(
      place,
      fc.double({ min: 0, max: 1, noNaN: true }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (panel, u, v) => {
        const point = [
          panel.left + u * (panel.right - panel.left),
          panel.top + v * (panel.bottom - panel.top),
        ] as const;
        const value = valueAt(panel, point);
        const [x, y] = pointOf(panel, value.x, value.y);
        expect(x).toBeCloseTo(point[0], 9);
        expect(y).toBeCloseTo(point[1], 9);
      },
    ),
    { seed: 5 },
  );
});

test("a plot says where its panel stands: a mark is drawn at the place its value has", () => {
  const scene = plot({
    title: "one mark",
    width: 120,
    height: 80,
    x: { from: 0, to: 10, unit: "V" },
    y: { from: 0, to: 5, unit: "A" },
    lines: [],
    marks: [{ x: 4, y: 3, text: "" }],
  });
  const panel = scene.panels?.[0];
  const group = scene.items[0];
  const disc = group?.kind === "group" ? group.items.find((item) => item.kind === "circle") : undefined;
  expect(panel).toBeDefined();
  expect(disc).toBeDefined();
  if (panel === undefined || disc?.kind !== "circle" || group?.kind !== "group") return;
  const [x, y] = pointOf(panel, 4, 3);
  expect(disc.at[0] + group.at[0]).toBeCloseTo(x, 6);
  expect(disc.at[1] + group.at[1]).toBeCloseTo(y, 6);
});
