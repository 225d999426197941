import type { DocumentPart } from "@platewright/design";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { arc, circle, lead, outline, SPAN, stroke, type Symbol } from "./symbol.ts";

/** Resistors as boxes or as zigzags. */
export type ResistorStyle = "box" | "zigzag";

const MIDDLE = SPAN / 2;

function two(pins: readonly [string, string], from: number, to: number, items: readonly Item[]): Symbol {
  return {
    items: [lead(0, 0, 0, from), ...items, lead(0, to, 0, SPAN)],
    leads: [
      { pin: pins[0], at: [0, 0], side: "up" },
      { pin: pins[1], at: [0, SPAN], side: "down" },
    ],
  };
}

const plate = (y: number, half = 3): Item =>
  stroke(
    [
      [-half, y],
      [half, y],
    ],
    WEIGHTS.heavy,
  );

export function resistor(style: ResistorStyle): Symbol {
  if (style === "box") {
    const box: readonly Point[] = [
      [-1.5, 2.5],
      [1.5, 2.5],
      [1.5, 10],
      [-1.5, 10],
    ];
    return two(["a", "b"], 2.5, 10, [outline(box)]);
  }
  const teeth = Array.from({ length: 6 }, (_, n): Point => [n % 2 === 0 ? 1.5 : -1.5, 2.5 + (7.5 * (n + 0.5)) / 6]);
  return two(["a", "b"], 2.5, 10, [stroke([[0, 2.5], ...teeth, [0, 10]])]);
}

/** The straight plate of a polarised capacitor, with the plus, is pin a. */
export function capacitor(polarised: boolean): Symbol {
  if (!polarised) return two(["a", "b"], 5.4, 7.1, [plate(5.4), plate(7.1)]);
  const curved = stroke(arc(0, 12.6, 5.6, 237, 303), WEIGHTS.heavy);
  const plus = [
    stroke(
      [
        [1.6, 3.5],
        [3, 3.5],
      ],
      WEIGHTS.light,
    ),
    stroke(
      [
        [2.3, 2.8],
        [2.3, 4.2],
      ],
      WEIGHTS.light,
    ),
  ];
  return two(["a", "b"], 5.2, 7, [plate(5.2), curved, ...plus]);
}

export function inductor(): Symbol {
  const turns = [0, 1, 2, 3].flatMap((n) => arc(0, 2.5 + 1.875 * (n + 0.5), 0.9375, -90, 90).map(bulge));
  const core = [2.1, 2.9].map((x) =>
    stroke(
      [
        [x, 2.5],
        [x, 10],
      ],
      WEIGHTS.light,
    ),
  );
  return two(["a", "b"], 2.5, 10, [stroke(turns), ...core]);
}

const bulge = ([x, y]: Point): Point => [1.5 * x, y];

export function toggle(closed: boolean): Symbol {
  const lever: readonly Point[] = closed
    ? [
        [0, 3.7],
        [0, 8.8],
      ]
    : [
        [0, 3.7],
        [2.6, 8.4],
      ];
  return two(["a", "b"], 2.7, 9.8, [circle(0, 3.2, 0.5), stroke(lever), circle(0, 9.3, 0.5)]);
}

const triangle = outline(
  [
    [-2.2, 4.2],
    [2.2, 4.2],
    [0, 8.2],
  ],
  true,
);

export function diode(): Symbol {
  return two(["anode", "cathode"], 4.2, 8.2, [triangle, plate(8.2, 2.2)]);
}

export function zener(): Symbol {
  const bar = stroke(
    [
      [-3.1, 9.1],
      [-2.2, 8.2],
      [2.2, 8.2],
      [3.1, 7.3],
    ],
    WEIGHTS.heavy,
  );
  return two(["anode", "cathode"], 4.2, 8.2, [triangle, bar]);
}

/** Cold cathode as a ring, the gas as a dot. */
export function gasTube(): Symbol {
  return two(["anode", "cathode"], 3.6, 8.9, [
    circle(0, MIDDLE, 4),
    plate(3.9, 1.9),
    circle(0, 8, 0.8),
    circle(2.2, 6.6, 0.45, 0, true),
  ]);
}

export function directSource(): Symbol {
  const sign = (y: number, upright: boolean): readonly Item[] => [
    stroke(
      [
        [-0.9, y],
        [0.9, y],
      ],
      WEIGHTS.light,
    ),
    ...(upright
      ? [
          stroke(
            [
              [0, y - 0.9],
              [0, y + 0.9],
            ],
            WEIGHTS.light,
          ),
        ]
      : []),
  ];
  return two(["plus", "minus"], MIDDLE - 3.75, MIDDLE + 3.75, [
    circle(0, MIDDLE, 3.75),
    ...sign(4.5, true),
    ...sign(8.2, false),
  ]);
}

export function currentSink(): Symbol {
  return two(["from", "to"], MIDDLE - 3.75, MIDDLE + 3.75, [
    circle(0, MIDDLE, 3.75),
    stroke(
      [
        [0, 3.9],
        [0, 8.4],
      ],
      WEIGHTS.light,
    ),
    outline(
      [
        [-0.9, 7.4],
        [0.9, 7.4],
        [0, 9],
      ],
      true,
    ),
  ]);
}

/** Pins of the kinds that have two leads and may lie anywhere in a stage, first lead first. */
export const TWO_PINS: Readonly<Partial<Record<DocumentPart["kind"], readonly [string, string]>>> = {
  resistor: ["a", "b"],
  capacitor: ["a", "b"],
  inductor: ["a", "b"],
  switch: ["a", "b"],
  diode: ["anode", "cathode"],
  regulator: ["anode", "cathode"],
  "dc-source": ["plus", "minus"],
  "current-sink": ["from", "to"],
};
