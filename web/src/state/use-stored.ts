import { useCallback, useState } from "react";

/** A state that this browser keeps under a name; what cannot be read again begins anew. */
export function useStored<T>(
  name: string,
  initial: T,
  sound: (value: unknown) => value is T,
): readonly [T, (next: T) => void] {
  const key = `platewright.kept.${name}`;
  const [value, setValue] = useState<T>(() => {
    try {
      const kept: unknown = JSON.parse(localStorage.getItem(key) ?? "null");
      return sound(kept) ? kept : initial;
    } catch {
      return initial;
    }
  });
  const set = useCallback(
    (next: T) => {
      setValue(next);
      if (next === undefined) localStorage.removeItem(key);
      else localStorage.setItem(key, JSON.stringify(next));
    },
    [key],
  );
  return [value, set];
}
