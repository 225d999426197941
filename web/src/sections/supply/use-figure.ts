import type { Scene } from "@platewright/drawing";
import { type RefObject, useMemo } from "react";
import { PIXELS_PER_MILLIMETRE } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";

/** A box narrower than this has no room for a plot, millimetres. */
const LEAST_WIDTH = 80;

/** A figure drawn at the width its box gets. `make` is kept by the caller while its data stays. */
export function useFigure(
  make: ((width: number) => Scene) | undefined,
): readonly [RefObject<HTMLDivElement | null>, Scene | undefined] {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(
    () => (make === undefined || millimetres < LEAST_WIDTH ? undefined : make(millimetres)),
    [millimetres, make],
  );
  return [box, scene];
}
