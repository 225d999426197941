import type { Document } from "@platewright/design";
import { useMemo } from "react";

interface Drawn {
  readonly id: string;
  readonly x: number;
  readonly y: number;
}

/** How far each item stands from where it is drawn. */
export function useShifts(
  document: Document,
  places: readonly Drawn[] | undefined,
  over: readonly Drawn[] | undefined,
): ReadonlyMap<string, { readonly x: number; readonly y: number }> {
  return useMemo(() => {
    const drawn = new Map([...(places ?? []), ...(over ?? [])].map((one) => [one.id, one]));
    return new Map(
      (document.chassis?.items ?? []).flatMap(({ id, x, y }) => {
        const was = drawn.get(id);
        return was === undefined || (was.x === x && was.y === y) ? [] : [[id, { x: x - was.x, y: y - was.y }] as const];
      }),
    );
  }, [document, places, over]);
}
