import type { Change } from "@platewright/design";
import { useEffect, useMemo, useRef } from "react";
import { useAround } from "../../state/use-session.ts";

/** A pointer that only passes over shows nothing. */
const REST_MILLISECONDS = 140;

export interface Preview {
  readonly onPointerEnter: () => void;
  readonly onPointerLeave: () => void;
  readonly onFocus: () => void;
  readonly onBlur: () => void;
  /** Keeps it as one step. */
  readonly onClick: () => void;
}

/** For a button that does something: resting on it shows what it would do, leaving puts it down, pressing keeps it. */
export function usePreview(title: string, changes: readonly Change[]): Preview {
  const { session, hands } = useAround();
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const preview = useMemo((): Preview => {
    const mine = () => {
      const { hand } = session.getState();
      return hand?.preview === true && hand.title === title;
    };
    const begin = () => {
      clearTimeout(timer.current);
      timer.current = setTimeout(() => {
        const { hand } = session.getState();
        // What is being changed by hand is never taken out of it.
        if (hand === undefined || hand.preview === true) hands.hold(title, changes, true);
      }, REST_MILLISECONDS);
    };
    const end = () => {
      clearTimeout(timer.current);
      if (mine()) hands.drop();
    };
    return {
      onPointerEnter: begin,
      onPointerLeave: end,
      onFocus: begin,
      onBlur: end,
      onClick: () => {
        clearTimeout(timer.current);
        hands.keep(title, changes);
      },
    };
  }, [session, hands, title, changes]);
  useEffect(() => preview.onPointerLeave, [preview]);
  return preview;
}
