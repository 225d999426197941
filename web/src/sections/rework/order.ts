/** The order of candidates on the board. */
import { levelRank } from "@platewright/design";
import type { ShownRow } from "./use-board.ts";

export type Order = "distance" | "level" | "onShelf" | "gain" | "current" | "onset" | "type";

export const ORDERS: readonly { readonly value: Order; readonly words: string }[] = [
  { value: "distance", words: "Nearest to the goal" },
  { value: "level", words: "By verdict" },
  { value: "onShelf", words: "Most on the shelf" },
  { value: "gain", words: "Highest gain" },
  { value: "current", words: "Least current" },
  { value: "onset", words: "Latest grid current" },
  { value: "type", words: "By name" },
];

/** Sorted; what may not be built comes after what may, but where the names rule; missing figures come last. */
export function sorted(rows: readonly ShownRow[], order: Order): readonly ShownRow[] {
  const stops = ({ row }: ShownRow) => Number(row.level === "stop");
  return rows.toSorted(
    (a, b) =>
      (order === "type" ? 0 : stops(a) - stops(b)) ||
      compare(a, b, order) ||
      byDistance(a, b) ||
      a.row.type.localeCompare(b.row.type),
  );
}

function compare(a: ShownRow, b: ShownRow, order: Order): number {
  const [x, y] = [a.row, b.row];
  switch (order) {
    case "distance":
      return byDistance(a, b);
    case "level":
      return levelRank(x.level) - levelRank(y.level) || Number(y.held) - Number(x.held);
    case "onShelf":
      return y.onShelf - x.onShelf;
    case "gain":
      return descending(x.gainDecibels, y.gainDecibels);
    case "current":
      return ascending(x.plateAmps, y.plateAmps);
    case "onset":
      // Not found below what was searched is the latest of all.
      return descending(x.onsetVolts ?? onsetOf(x.gainDecibels), y.onsetVolts ?? onsetOf(y.gainDecibels));
    case "type":
      return x.type.localeCompare(y.type, "en", { numeric: true });
  }
}

const onsetOf = (gain: number | null): number | null => (gain === null ? null : Infinity);
const byDistance = (a: ShownRow, b: ShownRow): number => ascending(a.row.distanceDecibels, b.row.distanceDecibels);
const ascending = (a: number | null, b: number | null): number =>
  a === null || b === null ? Number(a === null) - Number(b === null) : a === b ? 0 : a - b;
const descending = (a: number | null, b: number | null): number =>
  a === null || b === null ? Number(a === null) - Number(b === null) : a === b ? 0 : b - a;
