/** Tube names as people write them: "12ax7", "6 V 4", "WE 300-B", "E-88-CC". */

/** Upper case without spaces, dashes, dots, slashes. */
export const plainName = (name: string): string => name.toUpperCase().replace(/[\s\-_./]/g, "");

/** Edits (insert, delete, replace, swap of neighbours) that turn one name into the other. */
export function editDistance(from: string, to: string): number {
  let before: number[] = [];
  let above = Array.from({ length: to.length + 1 }, (_, column) => column);
  for (let row = 1; row <= from.length; row++) {
    const here = [row];
    for (let column = 1; column <= to.length; column++) {
      const same = from[row - 1] === to[column - 1];
      let best = Math.min(
        (above[column] ?? 0) + 1,
        (here[column - 1] ?? 0) + 1,
        (above[column - 1] ?? 0) + (same ? 0 : 1),
      );
      if (row > 1 && column > 1 && from[row - 1] === to[column - 2] && from[row - 2] === to[column - 1])
        best = Math.min(best, (before[column - 2] ?? 0) + 1);
      here.push(best);
    }
    before = above;
    above = here;
  }
  return above[to.length] ?? 0;
}

/**
 * Types nearest to a name, best first. `names` maps every known name (types, equivalents, relatives) to its type.
 * A known relative comes first: it is no substitute, but it is what the builder means.
 */
export function nearestTypes(name: string, names: readonly (readonly [string, string])[], most = 5): readonly string[] {
  const wanted = plainName(name);
  const farthest = Math.max(1, Math.floor(wanted.length / 2.5));
  const scored = names
    .map(([known, type]) => {
      const plain = plainName(known);
      // A name that only adds or lacks a suffix ("12BH7" and "12BH7A") is nearer than one with another digit.
      const suffix = plain.startsWith(wanted) || wanted.startsWith(plain);
      return { type, score: editDistance(wanted, plain) - (suffix && wanted.length > 1 ? 0.5 : 0) };
    })
    .filter((one) => one.score <= farthest)
    .sort((one, other) => one.score - other.score || (one.type < other.type ? -1 : one.type > other.type ? 1 : 0));
  return [...new Set(scored.map((one) => one.type))].slice(0, most);
}
