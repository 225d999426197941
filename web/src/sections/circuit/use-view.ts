import { type RefObject, useCallback, useEffect, useState } from "react";

/** "fit", or how much larger than drawn; text is never smaller than drawn. */
export type Zoom = "fit" | number;

const STEPS = [1, 1.25, 1.5, 2, 3] as const;
const MOST_FIT = 1.35;

export interface View {
  readonly zoom: Zoom;
  /** Pixels of the page per pixel of the drawing. */
  readonly factor: number;
  readonly larger: () => void;
  readonly smaller: () => void;
  readonly fit: () => void;
}

/**
 * How large the drawing is shown in its window. Fit fills the window where there is room to spare; what is larger than the
 * window pans. Ctrl and the wheel zoom about the pointer.
 */
export function useView(
  box: RefObject<HTMLDivElement | null>,
  size: { readonly width: number; readonly height: number },
  drawing: { readonly width: number; readonly height: number } | undefined,
): View {
  const [zoom, setZoom] = useState<Zoom>("fit");
  const room = drawing === undefined ? 1 : Math.min(size.width / drawing.width, size.height / drawing.height);
  const factor = zoom === "fit" ? Math.min(MOST_FIT, Math.max(1, room)) : zoom;
  const step = useCallback(
    (by: 1 | -1) => {
      const next = by > 0 ? STEPS.find((one) => one > factor * 1.001) : STEPS.findLast((one) => one < factor * 0.999);
      if (next !== undefined) setZoom(next);
      else if (by < 0) setZoom("fit");
    },
    [factor],
  );
  useEffect(() => {
    const element = box.current;
    if (element === null) return;
    const wheel = (event: WheelEvent) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const frame = element.getBoundingClientRect();
      const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
      const next = Math.min(3, Math.max(1, factor * Math.exp(-event.deltaY / 400)));
      const [left, top] = [
        ((element.scrollLeft + x) * next) / factor - x,
        ((element.scrollTop + y) * next) / factor - y,
      ];
      setZoom(next);
      requestAnimationFrame(() => element.scrollTo(left, top));
    };
    // The page would zoom instead if this were a passive listener.
    element.addEventListener("wheel", wheel, { passive: false });
    return () => element.removeEventListener("wheel", wheel);
  }, [box, factor]);
  return {
    zoom,
    factor,
    larger: useCallback(() => step(1), [step]),
    smaller: useCallback(() => step(-1), [step]),
    fit: useCallback(() => setZoom("fit"), []),
  };
}
