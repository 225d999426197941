import { useState } from "react";
import { useSession } from "../../state/use-session.ts";

/** The newest of an answer while nothing was in hand: what the edit in hand is seen against. */
export function useKept<T>(value: T | undefined, fresh: boolean): T | undefined {
  const inHand = useSession((session) => session.hand !== undefined);
  const [kept, setKept] = useState(value);
  const next = !inHand && fresh ? value : kept;
  if (next !== kept) setKept(next);
  return next;
}

/** A choice of this page alone, kept while its tab is open. */
export function useRemembered<T>(name: string, initial: T): readonly [T, (value: T) => void] {
  const key = `platewright.rework.${name}`;
  const [value, setValue] = useState<T>(() => {
    try {
      return (JSON.parse(sessionStorage.getItem(key) ?? "null") as T | null) ?? initial;
    } catch {
      return initial;
    }
  });
  return [
    value,
    (next) => {
      sessionStorage.setItem(key, JSON.stringify(next));
      setValue(next);
    },
  ];
}
