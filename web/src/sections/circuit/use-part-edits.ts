import type { PartEdit } from "@platewright/design";
import { partEdit } from "../../state/edits.ts";
import { useAround } from "../../state/use-session.ts";

export interface PartEdits {
  readonly hold: (edit: PartEdit) => void;
  readonly keep: (edit: PartEdit) => void;
  readonly keepHand: () => void;
  readonly drop: () => void;
}

/** Edits of one part in the instances named, against the document as it is kept. */
export function usePartEdits(part: string, instances: readonly string[]): PartEdits {
  const { session, hands } = useAround();
  const of = (edit: PartEdit) => partEdit(session.getState().book.value, instances, part, edit);
  return {
    hold: (edit) => {
      const { title, changes } = of(edit);
      hands.hold(title, changes);
    },
    keep: (edit) => {
      const { title, changes } = of(edit);
      if (changes.length > 0) hands.keep(title, changes);
    },
    keepHand: hands.keepHand,
    drop: hands.drop,
  };
}
