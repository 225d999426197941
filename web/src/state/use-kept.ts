import { useState } from "react";
import { useSession } from "./use-session.ts";

/** The newest of an answer while nothing was in hand: what the edit in hand is seen against. */
export function useKept<T>(value: T | undefined, fresh: boolean): T | undefined {
  const inHand = useSession((session) => session.hand !== undefined);
  const [kept, setKept] = useState(value);
  const next = !inHand && fresh ? value : kept;
  if (next !== kept) setKept(next);
  return next;
}
