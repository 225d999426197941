/** The ladder under a sheet: what the signal is at each station of its way, below the place where it is so. */
import { type Item, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth } from "../text/index.ts";
import type { Said } from "./facts.ts";
import type { Station } from "./layout.ts";

/** Places of the ladder's columns, in the millimetres of the drawing above it, y from the ladder's own top. */
export interface Ladder {
  readonly height: number;
  /** The rule, a tick under each station, and the stations' names. */
  readonly items: readonly Item[];
  readonly columns: readonly { readonly net: string; readonly x: number }[];
}

const SIZE = SIZES.small;
const LEADING = 1.3 * SIZE;
const GAP = 3;
const TICK = 1.6;
const ROOM = `was 8.88\u202fmV`;

/** Columns under their stations, moved aside where two would touch; undefined when the width does not hold them. */
export function schematicLadder(stations: readonly Station[], width: number): Ladder | undefined {
  if (stations.length === 0) return undefined;
  const rooms = stations.map(({ words }) => Math.max(textWidth(words, SIZE), textWidth(ROOM, SIZE)));
  const lefts: number[] = [];
  stations.forEach(({ x }, n) => {
    const after = n === 0 ? 0 : (lefts[n - 1] as number) + (rooms[n - 1] as number) + GAP;
    lefts.push(Math.max(after, Math.max(0, x - 2)));
  });
  let right = width;
  for (let n = stations.length - 1; n >= 0; n--) {
    lefts[n] = Math.min(lefts[n] as number, right - (rooms[n] as number));
    right = (lefts[n] as number) - GAP;
  }
  if ((lefts[0] as number) < -1e-9) return undefined;
  return {
    height: TICK + 3 * LEADING + 1,
    items: [
      { kind: "line", from: [0, 0], to: [width, 0], weight: WEIGHTS.hair, role: "rule" },
      ...stations.flatMap(({ net, words, x }, n): readonly Item[] => [
        { kind: "line", from: [x, 0], to: [x, TICK], weight: WEIGHTS.light, role: "quiet" },
        { kind: "text", at: [lefts[n] as number, TICK + LEADING], text: words, size: SIZE, role: "quiet", ids: [net] },
      ]),
    ],
    columns: stations.map(({ net }, n) => ({ net, x: lefts[n] as number })),
  };
}

/** The levels of the ladder, by net; stations without one stay empty. */
export function ladderWords(ladder: Ladder, levels: Readonly<Record<string, Said>>): readonly Item[] {
  return ladder.columns.flatMap(({ net, x }): readonly Item[] => {
    const said = levels[net];
    if (said === undefined) return [];
    const line = (n: number) => [x, TICK + n * LEADING] as const;
    return [
      {
        kind: "text",
        at: line(2),
        text: said.now,
        size: SIZE,
        bold: true,
        ids: [net],
        ...(said.live === true ? { role: "live" } : {}),
      },
      ...(said.was === undefined
        ? []
        : [
            {
              kind: "text" as const,
              at: line(3),
              text: `was ${said.was}`,
              size: SIZE,
              role: "proven" as const,
              ids: [net],
            },
          ]),
    ];
  });
}
