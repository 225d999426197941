import { type RefObject, useLayoutEffect, useRef, useState } from "react";

/** The size of a box in the page, in whole pixels, so that a drawing is made at the width it gets. */
export function useSize<T extends HTMLElement>(): readonly [
  RefObject<T | null>,
  { readonly width: number; readonly height: number },
] {
  const ref = useRef<T>(null);
  const [size, setSize] = useState({ width: 0, height: 0 });
  useLayoutEffect(() => {
    const box = ref.current;
    if (box === null) return;
    const look = () => {
      const next = { width: Math.floor(box.clientWidth), height: Math.floor(box.clientHeight) };
      setSize((was) => (was.width === next.width && was.height === next.height ? was : next));
    };
    const watch = new ResizeObserver(look);
    watch.observe(box);
    look();
    return () => watch.disconnect();
  }, []);
  return [ref, size];
}
