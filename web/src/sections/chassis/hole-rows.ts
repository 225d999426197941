/** Rows of the table of holes: what is to be done comes first, then from the rear left to the front right. */
import { type ChassisHole, type ChassisJudged, type HoleWork, toolFor } from "@platewright/design";

export interface HoleRow {
  readonly id: string;
  readonly item: string | null;
  readonly name: string;
  readonly label: string;
  readonly x: number;
  readonly y: number;
  readonly shape: ChassisHole["shape"];
  readonly work: HoleWork;
  readonly in: ChassisHole["in"];
  /** What finishes it; "" where nothing is to be done. */
  readonly tool: string;
  readonly traps: readonly string[];
  readonly existing: string | null;
  readonly thread: string | null;
  /** Where the key of a socket points; "" for what has none. */
  readonly key: string;
}

const RANK: { readonly [W in HoleWork]: number } = {
  unresolved: 0,
  "open-up": 1,
  cut: 2,
  close: 3,
  spare: 4,
  done: 5,
};

const isDue = (work: HoleWork): boolean => work === "cut" || work === "open-up";

export function holeRows(judged: ChassisJudged): readonly HoleRow[] {
  const { chassis, holes } = judged;
  const rows = holes.holes.map((hole): HoleRow => {
    const carrier = holes.carriers.find((one) => one.item === hole.item);
    const thickness = hole.in === "plate" ? chassis.plate.thicknessMillimetres : carrier?.thicknessMillimetres;
    const choice = isDue(hole.work) ? toolFor(chassis, hole, thickness) : undefined;
    return {
      id: hole.id,
      item: hole.item ?? null,
      name: hole.existing ?? hole.id,
      label: hole.label,
      x: hole.x,
      y: hole.y,
      shape: hole.shape,
      work: hole.work,
      in: hole.in,
      tool: choice?.words ?? "",
      traps: choice?.traps ?? [],
      existing: hole.existing ?? null,
      thread: hole.thread ?? null,
      key: hole.purpose === "body" ? keyWords(judged, hole.item) : "",
    };
  });
  return rows
    .map((row, n) => ({ row, n }))
    .sort((a, b) => RANK[a.row.work] - RANK[b.row.work] || a.n - b.n)
    .map(({ row }) => row);
}

const SIDES: Readonly<Record<number, string>> = { 0: "front", 90: "right", 180: "rear", 270: "left" };

/** "left" for a socket whose key points there, seen from above; degrees for what lies between. */
function keyWords({ items }: ChassisJudged, id: string | undefined): string {
  const found = items.find(({ item }) => item.id === id);
  if (found === undefined || found.footprint.socket === undefined) return "";
  const degrees = ((found.item.degrees % 360) + 360) % 360;
  return SIDES[degrees] ?? `${degrees}°`;
}
