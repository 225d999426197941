/** What the shelf has of a value, in words. */
import { type ShelfFile, valueOf } from "@platewright/design";
import { nearestPreferred } from "@platewright/engine";
import { printed } from "./words.ts";

export interface OnShelf {
  readonly has: boolean;
  /** "14 of 0.5 W", "series of 0.5 W and 3 W", "none". */
  readonly words: string;
}

const same = (a: number, b: number): boolean => Math.abs(a / b - 1) < 1e-6;

const found = (words: readonly string[]): OnShelf =>
  words.length === 0 ? { has: false, words: "none" } : { has: true, words: words.join(", ") };

/** Of a resistance: counted pieces by their watts, and series that are simply at hand. */
export function resistorOnShelf(shelf: ShelfFile, ohms: number): OnShelf {
  const words = shelf.resistors.flatMap((entry) => {
    const watts = printed(entry.watts, "W");
    if ("value" in entry)
      return entry.count > 0 && same(valueOf("resistance", entry.value), ohms) ? [`${entry.count} of ${watts}`] : [];
    const from = valueOf("resistance", entry.from);
    const to = valueOf("resistance", entry.to);
    const inSeries = ohms >= from * 0.999 && ohms <= to * 1.001 && isIn(entry.series, ohms);
    return inSeries ? [`${entry.series} at ${watts}`] : [];
  });
  return found(words);
}

export function capacitorOnShelf(shelf: ShelfFile, farads: number): OnShelf {
  return found(
    shelf.capacitors.flatMap(({ value, volts, count }) =>
      count > 0 && same(valueOf("capacitance", value), farads) ? [`${count} of ${printed(volts, "V")}`] : [],
    ),
  );
}

const isIn = (series: "E12" | "E24", value: number): boolean => same(nearestPreferred(series, value), value);
