import { useEffect } from "react";

/** → and Page down turn to the next page, ← and Page up back, unless something else has the keys. */
export function usePageKeys(index: number, go: (to: number) => void): void {
  useEffect(() => {
    const heard = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
      const target = event.target instanceof Element ? event.target : undefined;
      // A page at true size is scrolled by the same keys.
      if (target?.closest("input, select, textarea, dialog, .pack-room-true") != null) return;
      const by = BY[event.key];
      if (by === undefined) return;
      event.preventDefault();
      go(index + by);
    };
    addEventListener("keydown", heard);
    return () => removeEventListener("keydown", heard);
  }, [index, go]);
}

const BY: Readonly<Record<string, number>> = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 };
