import type { Change } from "@platewright/design";
import { type RefObject, useEffect, useLayoutEffect, useMemo, useRef } from "react";
import { useAround } from "./use-session.ts";

/** A pointer that only passes over shows nothing. */
const REST_MILLISECONDS = 140;

export interface Preview {
  readonly ref: RefObject<HTMLButtonElement | null>;
  readonly onPointerEnter: () => void;
  readonly onPointerLeave: () => void;
  /** Reached with Tab; focus that only comes back to it, from a dialog for one, shows nothing. */
  readonly onKeyUp: (event: { readonly key: string }) => void;
  readonly onBlur: () => void;
  /** Keeps it as one step. */
  readonly onClick: () => void;
}

/**
 * For a button that does something: resting on it shows what it would do, leaving puts it down, pressing keeps it.
 * Lists that say the same are the same: a preview is not begun anew because the screen was drawn again.
 */
export function usePreview(title: string, wanted: readonly Change[]): Preview {
  const { session, hands } = useAround();
  const said = JSON.stringify(wanted);
  const changes = useMemo(() => JSON.parse(said) as readonly Change[], [said]);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const begun = useRef(false);
  const ref = useRef<HTMLButtonElement>(null);
  const preview = useMemo((): Preview => {
    const begin = () => {
      clearTimeout(timer.current);
      timer.current = setTimeout(() => {
        const { hand } = session.getState();
        // What is being changed by hand is never taken out of it.
        if (hand === undefined || hand.preview === true) {
          hands.hold(title, changes, true);
          begun.current = true;
        }
      }, REST_MILLISECONDS);
    };
    const end = () => {
      clearTimeout(timer.current);
      const { hand } = session.getState();
      // Another button of the same words may be the one that is rested on.
      if (begun.current && hand?.preview === true && hand.title === title) hands.drop();
      begun.current = false;
    };
    return {
      ref,
      onPointerEnter: begin,
      onPointerLeave: end,
      onKeyUp: ({ key }) => {
        if (key === "Tab") begin();
      },
      onBlur: end,
      onClick: () => {
        clearTimeout(timer.current);
        hands.keep(title, changes);
      },
    };
  }, [session, hands, title, changes]);
  useEffect(() => preview.onPointerLeave, [preview]);
  useLayoutEffect(() => () => handOverFocus(ref.current), []);
  return preview;
}

/** A button that goes with what it did leaves the focus with what is around it, not nowhere. */
function handOverFocus(button: HTMLButtonElement | null): void {
  if (button === null || button !== document.activeElement) return;
  const around = button.closest<HTMLElement>("[tabindex]");
  queueMicrotask(() => around?.focus({ preventScroll: true }));
}
