import type { Document } from "@platewright/design";
import type { Edit } from "./edits.ts";
import { useAround, useHands } from "./use-session.ts";

export interface Edits {
  readonly hold: (edit: Edit) => void;
  readonly keep: (edit: Edit) => void;
  readonly keepHand: () => void;
  readonly drop: () => void;
  /** The document as it is kept: what edits are made against. */
  readonly kept: () => Document;
}

/** Edits of the kept document, taken in hand or kept as one step. */
export function useEdits(): Edits {
  const hands = useHands();
  const { session } = useAround();
  return {
    hold: ({ title, changes }) => hands.hold(title, changes),
    keep: ({ title, changes }) => {
      // Nothing changed: no step of it.
      if (changes.length > 0) hands.keep(title, changes);
    },
    keepHand: hands.keepHand,
    drop: hands.drop,
    kept: () => session.getState().book.value,
  };
}
