import { useState } from "react";

/** A choice of this page alone, kept while its tab is open. */
export function useRemembered<T>(name: string, initial: T): readonly [T, (value: T) => void] {
  const key = `platewright.tab.${name}`;
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
