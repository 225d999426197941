/** Day or night: the builder's choice, else the system's. */
import { useSyncExternalStore } from "react";

export type ThemeChoice = "day" | "night";

const KEY = "platewright.theme";
const CHANGED = "platewright-theme";

export function themeAtStart(): ThemeChoice {
  const chosen = localStorage.getItem(KEY);
  if (chosen === "day" || chosen === "night") return chosen;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "day";
}

export function showTheme(theme: ThemeChoice, remember = true): void {
  document.documentElement.dataset["theme"] = theme;
  if (remember) localStorage.setItem(KEY, theme);
  dispatchEvent(new Event(CHANGED));
}

const listen = (heard: () => void) => {
  addEventListener(CHANGED, heard);
  return () => removeEventListener(CHANGED, heard);
};

export const useTheme = (): ThemeChoice =>
  useSyncExternalStore(listen, () => (document.documentElement.dataset["theme"] === "night" ? "night" : "day"));
