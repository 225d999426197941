/** The signs of a plate's drawing with their words, as many as occur in it. */
import type { ChassisJudged } from "@platewright/design";
import { hatch } from "../chassis/shapes.ts";
import { type Item, WEIGHTS } from "../scene.ts";
import { PAPER_SIZES, runsOf, wrapRuns } from "./letters.ts";
import { baseline, group, lineHeight, lineOfRuns, type Passage } from "./piece.ts";

interface Sign {
  readonly items: readonly Item[];
  readonly words: string;
}

const [X, Y, R] = [4, 0, 1.9];
const round = (weight: number, more: Partial<Extract<Item, { readonly kind: "circle" }>> = {}): Item => ({
  kind: "circle",
  at: [X, Y],
  radius: R,
  weight,
  ...more,
});
const shape = { kind: "circle", at: [X, Y], radius: R } as const;
const lines = (all: ReturnType<typeof hatch>): readonly Item[] =>
  all.map(([from, to]) => ({ kind: "line", from, to, weight: WEIGHTS.hair }));

/** Those that a drawing has. */
export function plateSigns(
  { holes, chassis }: ChassisJudged,
  shown: { readonly bodies?: boolean; readonly keys?: boolean; readonly bends?: boolean },
): readonly Sign[] {
  const has = (work: string) => holes.holes.some((hole) => hole.work === work);
  const inner = { kind: "circle", at: [X, Y], radius: 1 } as const;
  const slant = R * Math.SQRT1_2;
  return [
    ...(has("done") ? [{ items: [round(WEIGHTS.light)], words: "there and right" }] : []),
    ...(has("cut") ? [{ items: [round(WEIGHTS.heavy)], words: "to be made" }] : []),
    ...(has("open-up")
      ? [
          {
            items: [round(WEIGHTS.heavy), { ...inner, weight: WEIGHTS.light, dash: "dash" } as const],
            words: "to be opened; dashed: as it is",
          },
        ]
      : []),
    ...(has("unresolved")
      ? [
          {
            items: [
              round(WEIGHTS.body),
              ...lines(hatch(shape, [inner], 0.8)),
              { ...inner, weight: WEIGHTS.light, dash: "dash" } as const,
            ],
            words: "wrong, not decided: do not cut; dashed: what is wanted",
          },
        ]
      : []),
    ...(has("spare")
      ? [
          {
            items: [
              round(WEIGHTS.light),
              ...lines([
                [
                  [X - slant, Y - slant],
                  [X + slant, Y + slant],
                ],
                [
                  [X - slant, Y + slant],
                  [X + slant, Y - slant],
                ],
              ]),
            ],
            words: "there, of no use",
          },
        ]
      : []),
    ...(has("close")
      ? [{ items: [round(WEIGHTS.light), ...lines(hatch(shape, [], 0.8))], words: "to be closed" }]
      : []),
    ...(holes.carriers.length > 0
      ? [
          {
            items: [
              { ...round(WEIGHTS.heavy), at: [X, Y], radius: 2.4 } as Item,
              ...lines(hatch({ ...shape, radius: 2.4 }, [inner], 0.8)),
              { ...inner, weight: WEIGHTS.heavy } as const,
            ],
            words: "ring or plate over a hole",
          },
        ]
      : []),
    ...(shown.keys === true
      ? [
          {
            items: [
              {
                kind: "path",
                points: [
                  [X - 1.5, Y - 1.2],
                  [X + 1.5, Y - 1.2],
                  [X, Y + 1.4],
                ],
                weight: 0,
                fill: "ink",
              } as const,
            ],
            words: "key of a socket: the gap between its first and last pin",
          },
        ]
      : []),
    ...(shown.bodies === true
      ? [
          {
            items: [{ kind: "line", from: [X - 3, Y], to: [X + 3, Y], weight: WEIGHTS.hair, dash: "dash" } as const],
            words: "body over this face",
          },
        ]
      : []),
    ...(shown.bends === true && (chassis.plate.bends ?? []).length > 0
      ? [
          {
            items: [
              { kind: "line", from: [X - 3, Y], to: [X + 3, Y], weight: WEIGHTS.light, dash: "dash" } as const,
              ...lines(
                hatch(
                  {
                    kind: "polygon",
                    points: [
                      [X - 3, Y],
                      [X + 3, Y],
                      [X + 3, Y + 1.6],
                      [X - 3, Y + 1.6],
                    ],
                  },
                  [],
                  1.2,
                ),
              ),
            ],
            words: "bent down; the flat ends at the line",
          },
        ]
      : []),
  ];
}

const LEFT = 9.5;

/** One under the other. */
export const signList =
  (signs: readonly Sign[]): Passage =>
  (width) =>
    signs.map(({ items, words }, n) => {
      const text = wrapRuns(runsOf(words), width - LEFT, PAPER_SIZES.text);
      const height = Math.max(5.6, text.length * lineHeight() + 1);
      return {
        height,
        items: [
          group([0, 2.8], items),
          ...text.flatMap((line, k) =>
            lineOfRuns(line, [LEFT, 2.8 - lineHeight() / 2 + baseline() + k * lineHeight() - 0.2], PAPER_SIZES.text),
          ),
        ],
        figures: [],
        ...(n < signs.length - 1 ? { keep: true } : {}),
      };
    });
