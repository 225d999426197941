import { useCallback, useEffect, useState } from "react";
import { flushSync } from "react-dom";
import type { PaperAnswer } from "./asks.ts";

/** What the browser prints: the paper shown, or the papers that a button asked for until its print is over. */
export function usePrint(
  papers: readonly PaperAnswer[],
  shown: PaperAnswer | undefined,
): { readonly layer: readonly PaperAnswer[]; readonly print: (kinds: ReadonlySet<string>) => void } {
  const [kinds, setKinds] = useState<ReadonlySet<string>>();
  useEffect(() => {
    const over = () => setKinds(undefined);
    addEventListener("afterprint", over);
    return () => removeEventListener("afterprint", over);
  }, []);
  const print = useCallback((wanted: ReadonlySet<string>) => {
    // The pages must stand in the page before the browser takes its picture of it.
    flushSync(() => setKinds(wanted));
    window.print();
  }, []);
  const layer =
    kinds === undefined ? (shown === undefined ? [] : [shown]) : papers.filter((one) => kinds.has(one.kind));
  return { layer, print };
}
