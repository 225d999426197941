/** The iron and the rectifiers in front of a supply's first capacitor. */
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { arc, circle, type Lead, lead, outline, stroke, type Symbol } from "./symbol.ts";

/** Bumps of a winding from `top` down, open to the right (1) or to the left (-1). */
const winding = (x: number, top: number, turns: number, toward: 1 | -1): Item =>
  stroke(
    Array.from({ length: turns }, (_, n) => arc(x, top + 2.5 * n + 1.25, 1.25, toward > 0 ? -90 : 270, 90)).flat(),
  );

/**
 * A mains transformer: primary, core, high tension with or without a centre tap, and a short winding per heater. Leads on
 * the right: "top", "tap" (centre tapped only) and "bottom", 15 mm apart in all.
 */
export function transformer(centreTapped: boolean, heaters: number): Symbol {
  const height = 15 + 10 * heaters;
  const core = [6.2, 7.2].map((x) =>
    stroke(
      [
        [x, -0.5],
        [x, height + 0.5],
      ],
      WEIGHTS.body,
    ),
  );
  const low = Array.from({ length: heaters }, (_, n): readonly Item[] => {
    const top = 20 + 10 * n;
    return [
      winding(10, top, 2, -1),
      stroke(
        [
          [10, top],
          [11.6, top],
        ],
        WEIGHTS.wire,
      ),
      stroke(
        [
          [10, top + 5],
          [11.6, top + 5],
        ],
        WEIGHTS.wire,
      ),
    ];
  }).flat();
  return {
    items: [
      winding(3.4, 0, 6, 1),
      stroke(
        [
          [0, 0],
          [3.4, 0],
        ],
        WEIGHTS.wire,
      ),
      stroke(
        [
          [0, 15],
          [3.4, 15],
        ],
        WEIGHTS.wire,
      ),
      ...core,
      winding(10, 0, 6, -1),
      lead(10, 0, 12.5, 0),
      lead(10, 15, 12.5, 15),
      ...(centreTapped ? [lead(10, 7.5, 12.5, 7.5)] : []),
      ...low,
    ],
    leads: [
      { pin: "top", at: [12.5, 0], side: "right" },
      ...(centreTapped ? [{ pin: "tap", at: [12.5, 7.5] as const, side: "right" as const }] : []),
      { pin: "bottom", at: [12.5, 15], side: "right" },
    ],
  };
}

/** A rectifier tube on its side: two plates to the left, or one, the cathode to the right. */
export function rectifierTube(both: boolean): Symbol {
  const rows = both ? [-2.5, 2.5] : [0];
  return {
    items: [
      circle(0, 0, 6),
      ...rows.flatMap((y) => [
        lead(-7.5, y, -2, y),
        stroke(
          [
            [-2, y - 1.7],
            [-2, y + 1.7],
          ],
          WEIGHTS.heavy,
        ),
      ]),
      stroke([[1, -3.6], ...arc(1.4, -2.6, 1, -90, 0), ...arc(1.4, 2.6, 1, 0, 90), [1, 3.6]]),
      lead(2.4, 0, 7.5, 0),
    ],
    leads: [...plateLeads(rows), { pin: "out", at: [7.5, 0], side: "right" }],
  };
}

const plateLeads = (rows: readonly number[]): readonly Lead[] =>
  rows.map((y, n) => ({ pin: n === 0 ? "a" : "b", at: [-7.5, y], side: "left" }));

/** Half the height of a diode: two stand one above the other 5 mm apart. */
const HALF = 1.7;

/** A silicon diode on its side, anode to the left. */
const silicon = (x: number, y: number): readonly Item[] => [
  outline(
    [
      [x - 2, y - HALF],
      [x - 2, y + HALF],
      [x + 2, y],
    ],
    true,
  ),
  stroke(
    [
      [x + 2, y - HALF],
      [x + 2, y + HALF],
    ],
    WEIGHTS.heavy,
  ),
];

/** Silicon from one or two leads ("a", "b") to "out"; two diodes meet at their cathodes. */
export function siliconPair(both: boolean): Symbol {
  const rows = both ? [-2.5, 2.5] : [0];
  const joint: readonly Point[] = both
    ? [
        [3.5, -2.5],
        [3.5, 2.5],
      ]
    : [];
  return {
    items: [
      ...rows.flatMap((y) => [
        lead(-7.5, y, -2, y),
        ...silicon(0, y),
        stroke(
          [
            [2, y],
            [3.5, y],
          ],
          WEIGHTS.wire,
        ),
      ]),
      ...(both ? [stroke(joint, WEIGHTS.wire)] : []),
      lead(3.5, 0, 7.5, 0),
    ],
    leads: [...plateLeads(rows), { pin: "out", at: [7.5, 0], side: "right" }],
  };
}

/** A bridge as a diamond with one diode in it; "a" and "b" alternating on the left, "out" plus, "minus" below. */
export function bridge(): Symbol {
  return {
    items: [
      outline([
        [-6, 0],
        [0, -6],
        [6, 0],
        [0, 6],
      ]),
      ...silicon(0, 0),
      lead(-7.5, -2.5, -3.5, -2.5),
      lead(-7.5, 2.5, -3.5, 2.5),
      lead(6, 0, 7.5, 0),
      lead(0, 6, 0, 7.5),
    ],
    leads: [
      { pin: "a", at: [-7.5, -2.5], side: "left" },
      { pin: "b", at: [-7.5, 2.5], side: "left" },
      { pin: "out", at: [7.5, 0], side: "right" },
      { pin: "minus", at: [0, 7.5], side: "down" },
    ],
  };
}
