/** What a shelf holds, as the searches ask it. */
import { type Catalogue, preferredBetween } from "@platewright/engine";
import type { ShelfFile } from "../document/schema.ts";
import { valueOf } from "../document/parts.ts";

/** Resistances to choose from: the shelf's, or E12 from 10 ohm to 1 megohm when it names none. */
export function resistancesOf(shelf: ShelfFile | undefined): readonly number[] {
  const values = new Set<number>();
  for (const entry of shelf?.resistors ?? []) {
    if ("series" in entry)
      for (const ohms of preferredBetween(
        entry.series,
        valueOf("resistance", entry.from),
        valueOf("resistance", entry.to),
      ))
        values.add(ohms);
    else if (entry.count > 0) values.add(valueOf("resistance", entry.value));
  }
  if (values.size === 0) for (const ohms of preferredBetween("E12", 10, 1e6)) values.add(ohms);
  return [...values].sort((a, b) => a - b);
}

/** Smallest rating on the shelf of at least `watts` for a value; undefined when none reaches it. */
export function wattsOnShelf(shelf: ShelfFile | undefined, ohms: number, watts: number): number | undefined {
  const ratings = (shelf?.resistors ?? []).flatMap((entry) => {
    const covers =
      "series" in entry
        ? ohms >= valueOf("resistance", entry.from) * 0.999 && ohms <= valueOf("resistance", entry.to) * 1.001
        : entry.count > 0 && Math.abs(valueOf("resistance", entry.value) / ohms - 1) < 1e-6;
    return covers && entry.watts >= watts ? [entry.watts] : [];
  });
  return ratings.length === 0 ? undefined : Math.min(...ratings);
}

/** How many of a type the shelf holds; names of one type count together. */
export function onShelf(shelf: ShelfFile | undefined, catalogue: Catalogue, type: string): number {
  const wanted = catalogue.tube(type)?.type ?? type;
  return (shelf?.tubes ?? [])
    .filter((entry) => (catalogue.tube(entry.type)?.type ?? entry.type) === wanted)
    .reduce((sum, entry) => sum + entry.count, 0);
}
