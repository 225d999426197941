/** Screws cut through, upright, by the height over the joint of carrier and plate: heads, nuts, threads. */
import { type Item, type Point, WEIGHTS } from "../scene.ts";

/** Across the section and away from the joint, to the sheet. */
export type ToSection = (across: number, away: number) => Point;

export interface ScrewLook {
  readonly at: number;
  /** Under its head and at its end, away from the joint. */
  readonly head: number;
  readonly end: number;
  readonly countersunk?: boolean;
  /** From where a nut sits outward (toward the end); left out: none. */
  readonly nut?: number;
  /** Where it is held by a thread of the metal. */
  readonly thread?: { readonly from: number; readonly to: number };
}

/** M3: shank, head, nut. */
const SHANK = 1.5;
const HEAD = 2.75;
const HEAD_HIGH = 2;
const SUNK = 3;
const SUNK_DEEP = 1.7;
const NUT = 2.75;
const NUT_HIGH = 2.4;

export function screwItems({ at, head, end, countersunk, nut, thread }: ScrewLook, to: ToSection): readonly Item[] {
  const shape = (points: readonly (readonly [number, number])[], weight: number = WEIGHTS.light): Item => ({
    kind: "path",
    points: points.map(([across, away]) => to(at + across, away)),
    weight,
    fill: "paper",
  });
  const box = (half: number, from: number, until: number) =>
    shape([
      [-half, from],
      [half, from],
      [half, until],
      [-half, until],
    ]);
  return [
    box(SHANK, head, end),
    countersunk === true
      ? shape([
          [-SUNK, head],
          [SUNK, head],
          [SHANK, head - SUNK_DEEP],
          [-SHANK, head - SUNK_DEEP],
        ])
      : box(HEAD, head, head + HEAD_HIGH),
    ...(nut === undefined ? [] : [box(NUT, nut, nut - NUT_HIGH)]),
    ...(thread === undefined
      ? []
      : [-1, 1].map(
          (side): Item => ({
            kind: "line",
            from: to(at + side * 1.2, thread.from),
            to: to(at + side * 1.2, thread.to),
            weight: WEIGHTS.hair,
            dash: "dash",
          }),
        )),
    {
      kind: "line",
      from: to(at, (countersunk === true ? head : head + HEAD_HIGH) + 1),
      to: to(at, Math.min(end, nut === undefined ? end : nut - NUT_HIGH) - 1),
      weight: WEIGHTS.hair,
      dash: "dash",
      role: "quiet",
    },
  ];
}

/** How far a nut and the end of its screw reach past where it sits. */
export const NUT_REACH = NUT_HIGH + 1.2;
export const HEAD_REACH = HEAD_HIGH;
