import { seededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import type { CandidateRow } from "./candidates.ts";
import { type Order, ORDERS, sorted } from "./order.ts";
import type { ShownRow } from "./use-board.ts";

const SEED = 12;
const source = seededRandom(SEED);
const random = () => source.uniform();
const some = (value: number): number | null => (random() < 0.2 ? null : value);
const row = (n: number): ShownRow => ({
  current: true,
  row: {
    type: `T${n}`,
    where: "V1",
    onShelf: Math.floor(3 * random()),
    needed: 1,
    level: (["ok", "watch", "stop"] as const)[Math.floor(3 * random())] ?? "ok",
    reason: "",
    fitted: false,
    held: random() < 0.5,
    distanceDecibels: some(10 * random()),
    title: "",
    changes: [],
    values: [],
    marked: [],
    wires: "",
    gainDecibels: some(20 * random()),
    plateAmps: some(0.01 * random()),
    onsetVolts: some(4 * random()),
    outputOhms: null,
    supplyVolts: null,
  } satisfies CandidateRow,
});
const rows = Array.from({ length: 40 }, (_, n) => row(n));

test.each(ORDERS.map((one) => one.value))(
  `by %s: nothing is lost, the same whatever the order before, missing figures last (seed ${SEED})`,
  (order: Order) => {
    const once = sorted(rows, order);
    expect(new Set(once)).toEqual(new Set(rows));
    expect(sorted(rows.toReversed(), order)).toEqual(once);
    if (order === "type") return;
    const levels = once.map((one) => one.row.level === "stop");
    expect(levels).toEqual(levels.toSorted((a, b) => Number(a) - Number(b)));
  },
);

test(`figures run the way their words say (seed ${SEED})`, () => {
  const builds = (order: Order) => sorted(rows, order).filter((one) => one.row.level !== "stop");
  const runs = (values: readonly (number | null)[], way: 1 | -1) => {
    const known = values.filter((value) => value !== null);
    expect(values.slice(0, known.length)).toEqual(known);
    expect(known).toEqual(known.toSorted((a, b) => way * (a - b)));
  };
  runs(
    builds("distance").map((one) => one.row.distanceDecibels),
    1,
  );
  runs(
    builds("gain").map((one) => one.row.gainDecibels),
    -1,
  );
  runs(
    builds("current").map((one) => one.row.plateAmps),
    1,
  );
  runs(
    builds("onShelf").map((one) => one.row.onShelf),
    -1,
  );
});
