import type { Document } from "@platewright/design";
import type { Workshop } from "@platewright/workshop/client";
import { createContext, useContext, useMemo } from "react";
import { useStore } from "zustand";
import { applyChanges } from "@platewright/design";
import type { Hands, Session, SessionStore } from "./session.ts";

export interface Around {
  readonly session: SessionStore;
  readonly hands: Hands;
  readonly workshop: Workshop;
  /** Sends what waits; done when the workshop has it or does not answer. */
  readonly flush: () => Promise<void>;
}

export const AroundContext = createContext<Around | undefined>(undefined);

export function useAround(): Around {
  const around = useContext(AroundContext);
  if (around === undefined) throw new Error("no session around this screen");
  return around;
}

/** A part of the session; the screen is drawn again only when that part changes. */
export const useSession = <T>(select: (session: Session) => T): T => useStore(useAround().session, select);

export const useHands = (): Hands => useAround().hands;

/** The document with what is in hand. */
export function useDocument(): Document {
  const kept = useSession((session) => session.book.value);
  const hand = useSession((session) => session.hand);
  return useMemo(() => {
    if (hand === undefined) return kept;
    const changed = applyChanges(kept, hand.changes);
    return changed.ok ? changed.value : kept;
  }, [kept, hand]);
}
