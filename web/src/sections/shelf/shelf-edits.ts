/** Edits of the shelf as Changes, each with the words that undo shows. */
import { diffDocuments, type ShelfFile, valueOf } from "@platewright/design";
import { type E12, partCode } from "@platewright/engine";
import type { Edit } from "../../state/edits.ts";

type ResistorEntry = ShelfFile["resistors"][number];
type CountedResistor = Extract<ResistorEntry, { readonly value: string }>;
export type Capacitor = ShelfFile["capacitors"][number];

const edit = (shelf: ShelfFile, next: ShelfFile, title: string): Edit => ({
  title,
  changes: diffDocuments(shelf, next),
});

export const isCounted = (entry: ResistorEntry): entry is CountedResistor => "value" in entry;

/** Sets how many of a type there are; a type that is not on the shelf yet is added. */
export function countTubes(shelf: ShelfFile, type: string, count: number): Edit {
  const known = shelf.tubes.some((one) => one.type === type);
  const tubes = known
    ? shelf.tubes.map((one) => (one.type === type ? { ...one, count } : one))
    : [...shelf.tubes, { type, count }];
  return edit(shelf, { ...shelf, tubes }, `${type}: ${count} on the shelf`);
}

export const removeTubes = (shelf: ShelfFile, type: string): Edit =>
  edit(shelf, { ...shelf, tubes: shelf.tubes.filter((one) => one.type !== type) }, `${type} off the shelf`);

/** Ratings of power that the drawer holds, smallest first. */
export const wattages = (shelf: ShelfFile): readonly number[] =>
  [...new Set(shelf.resistors.map((one) => one.watts))].sort((a, b) => a - b);

export type Cell =
  /** Counted pieces; 0: none left. */
  | { readonly kind: "count"; readonly count: number }
  /** Of a series that is simply at hand. */
  | { readonly kind: "series" }
  | { readonly kind: "none" };

/** What the drawer of one wattage holds of a resistance. A count goes before a series. */
export function cellOf(shelf: ShelfFile, watts: number, ohms: number): Cell {
  const same = (written: string) => Math.abs(valueOf("resistance", written) / ohms - 1) < 1e-6;
  const counted = shelf.resistors.filter(isCounted).filter((one) => one.watts === watts && same(one.value));
  if (counted.length > 0) return { kind: "count", count: counted.reduce((sum, one) => sum + one.count, 0) };
  const inSeries = shelf.resistors.some(
    (one) =>
      !isCounted(one) &&
      one.watts === watts &&
      ohms >= valueOf("resistance", one.from) * 0.999 &&
      ohms <= valueOf("resistance", one.to) * 1.001,
  );
  return inSeries ? { kind: "series" } : { kind: "none" };
}

/** Counts a resistance of the drawer; what stood for it before is replaced. */
export function countResistors(shelf: ShelfFile, watts: number, ohms: number, count: number): Edit {
  const value = partCode(ohms, "resistance");
  const others = shelf.resistors.filter(
    (one) => !(isCounted(one) && one.watts === watts && Math.abs(valueOf("resistance", one.value) / ohms - 1) < 1e-6),
  );
  return edit(
    shelf,
    { ...shelf, resistors: [...others, { value, watts, count }] },
    `${value} ${watts} W: ${count} in the drawer`,
  );
}

/** A whole E12 drawer of a wattage that is simply at hand. */
export function addSeries(shelf: ShelfFile, watts: number): Edit {
  const series = { series: "E12" as const, from: "10", to: "1M", watts };
  return edit(shelf, { ...shelf, resistors: [...shelf.resistors, series] }, `E12 of ${watts} W on the shelf`);
}

export function setCapacitor(shelf: ShelfFile, at: number, capacitor: Capacitor): Edit {
  const capacitors =
    at < shelf.capacitors.length
      ? shelf.capacitors.map((one, n) => (n === at ? capacitor : one))
      : [...shelf.capacitors, capacitor];
  return edit(
    shelf,
    { ...shelf, capacitors },
    `${capacitor.value} ${capacitor.volts} V: ${capacitor.count} on the shelf`,
  );
}

export const removeCapacitor = (shelf: ShelfFile, at: number): Edit =>
  edit(shelf, { ...shelf, capacitors: shelf.capacitors.filter((_, n) => n !== at) }, "a capacitor off the shelf");

export function countTransformers(shelf: ShelfFile, at: number, count: number): Edit {
  const transformers = shelf.transformers.map((one, n) => (n === at ? { ...one, count } : one));
  return edit(shelf, { ...shelf, transformers }, `${shelf.transformers[at]?.transformer.label ?? ""}: ${count}`);
}

export function addTransformer(shelf: ShelfFile, transformer: ShelfFile["transformers"][number]["transformer"]): Edit {
  return edit(
    shelf,
    { ...shelf, transformers: [...shelf.transformers, { count: 1, transformer }] },
    `${transformer.label} on the shelf`,
  );
}

export const removeTransformer = (shelf: ShelfFile, at: number): Edit =>
  edit(
    shelf,
    { ...shelf, transformers: shelf.transformers.filter((_, n) => n !== at) },
    `${shelf.transformers[at]?.transformer.label ?? "a transformer"} off the shelf`,
  );

/** The drawer's rows: ten to a megohm in decades of E12. */
export const DECADES = [10, 100, 1e3, 1e4, 1e5, 1e6] as const;
export const resistanceAt = (decade: number, digits: (typeof E12)[number]): number =>
  Number(((digits / 10) * decade).toPrecision(3));
