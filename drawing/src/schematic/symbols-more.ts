import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { arc, circle, lead, mirrored, outline, stroke, type Symbol } from "./symbol.ts";

const RADIUS = 6;

/** The envelope: whole, or one half in full and the other dashed when the bottle holds two sections. */
function envelope(section: 1 | 2 | undefined): readonly Item[] {
  if (section === undefined) return [circle(0, 0, RADIUS)];
  const left = arc(0, 0, RADIUS, 90, 270);
  const right = arc(0, 0, RADIUS, 270, 450);
  return section === 1
    ? [stroke(left), stroke(right, WEIGHTS.light, "dash")]
    : [stroke(left, WEIGHTS.light, "dash"), stroke(right)];
}

/** Plate above, grid to the left, cathode below and a little to the left. */
export function triode(section: 1 | 2 | undefined): Symbol {
  return {
    items: [
      ...envelope(section),
      lead(0, -7.5, 0, -3),
      stroke(
        [
          [-2.6, -3],
          [2.6, -3],
        ],
        WEIGHTS.heavy,
      ),
      lead(-7.5, 0, -3.6, 0),
      ...[-3.4, -1.5, 0.4, 2.3].map((x) =>
        stroke([
          [x, 0],
          [x + 1.1, 0],
        ]),
      ),
      stroke([[-2.5, 4], ...arc(-1.5, 3.4, 1, 180, 270), ...arc(1.5, 3.4, 1, 270, 360), [2.5, 4]]),
      lead(-2.5, 3.6, -2.5, 7.5),
    ],
    leads: [
      { pin: "plate", at: [0, -7.5], side: "up" },
      { pin: "grid", at: [-7.5, 0], side: "left" },
      { pin: "cathode", at: [-2.5, 7.5], side: "down" },
    ],
  };
}

/** A field-effect follower: drain above, gate to the left, source below. */
export function follower(): Symbol {
  const channel: readonly (readonly [number, number])[] = [
    [-3.6, -2],
    [-0.8, 0.8],
    [2, 3.6],
  ];
  return {
    items: [
      circle(0, 0, RADIUS),
      lead(-7.5, 0, -3, 0),
      stroke([
        [-3, -3.2],
        [-3, 3.2],
      ]),
      ...channel.map(([from, to]) =>
        stroke(
          [
            [-1.9, from],
            [-1.9, to],
          ],
          WEIGHTS.heavy,
        ),
      ),
      lead(0, -7.5, 0, -2.8),
      stroke([
        [0, -2.8],
        [-1.9, -2.8],
      ]),
      stroke([
        [-1.9, 2.8],
        [0, 2.8],
        [0, 0],
        [-1.9, 0],
      ]),
      outline(
        [
          [-1.6, 0],
          [-0.4, -0.8],
          [-0.4, 0.8],
        ],
        true,
      ),
      lead(0, 2.8, 0, 7.5),
    ],
    leads: [
      { pin: "drain", at: [0, -7.5], side: "up" },
      { pin: "gate", at: [-7.5, 0], side: "left" },
      { pin: "source", at: [0, 7.5], side: "down" },
    ],
  };
}

/** Upright, the wiper to the right. */
export function potentiometer(): Symbol {
  const box: readonly Point[] = [
    [-1.5, 3.5],
    [1.5, 3.5],
    [1.5, 11.5],
    [-1.5, 11.5],
  ];
  return {
    items: [
      lead(0, 0, 0, 3.5),
      outline(box),
      lead(0, 11.5, 0, 15),
      lead(3.4, 7.5, 5, 7.5),
      outline(
        [
          [1.6, 7.5],
          [3.6, 6.6],
          [3.6, 8.4],
        ],
        true,
      ),
    ],
    leads: [
      { pin: "top", at: [0, 0], side: "up" },
      { pin: "wiper", at: [5, 7.5], side: "right" },
      { pin: "bottom", at: [0, 15], side: "down" },
    ],
  };
}

/** A phono or phone jack seen as contact and sleeve; an input's contact points to the right, an output's to the left. */
export function jack(role: "input" | "output"): Symbol {
  const input: Symbol = {
    items: [
      stroke(
        [
          [-7.5, -3.2],
          [-7.5, 3],
        ],
        WEIGHTS.heavy,
      ),
      stroke([
        [-2.2, 0],
        [-3.8, 0],
        [-5.2, -2],
        [-6.6, 0],
      ]),
      lead(-2.2, 0, 0, 0),
      lead(-7.5, 3, -7.5, 5),
    ],
    leads: [
      { pin: "tip", at: [0, 0], side: "right" },
      { pin: "sleeve", at: [-7.5, 5], side: "down" },
    ],
  };
  return role === "input" ? input : mirrored(input);
}

/** Its lead is at the origin. */
export function ground(): Symbol {
  const bars = [3.2, 2, 0.9].map(
    (half, n): Item =>
      stroke([
        [-half, 2.5 + 1.1 * n],
        [half, 2.5 + 1.1 * n],
      ]),
  );
  return { items: [lead(0, 0, 0, 2.5), ...bars], leads: [{ pin: "0", at: [0, 0], side: "up" }] };
}

/** Where a net leaves the drawing to the right: an open ring. */
export function port(): Symbol {
  return {
    items: [lead(0, 0, 1.9, 0), circle(2.5, 0, 0.6)],
    leads: [{ pin: "net", at: [0, 0], side: "left" }],
  };
}
