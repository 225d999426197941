import type { Document } from "@platewright/design";
import { useEdits } from "../../state/use-edits.ts";
import type { Checked } from "./metal-edits.ts";

export interface Metal {
  /** Keeps an edit as one step; the sentence says why it was not. */
  readonly keep: (make: (kept: Document) => Checked) => string | undefined;
  readonly kept: () => Document;
}

/** Edits of the metal: made against the document as it is kept, refused in a sentence. */
export function useMetal(): Metal {
  const edits = useEdits();
  return {
    kept: edits.kept,
    keep: (make) => {
      const made = make(edits.kept());
      if (!made.ok) return made.failure;
      edits.keep(made.value);
      return undefined;
    },
  };
}
