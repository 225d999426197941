/** Which section is open, kept in the address so that back, forward and a reload lead there. */
import { useSyncExternalStore } from "react";
import { HOME, SECTIONS } from "./sections.ts";

const read = (): string => {
  const named = location.hash.replace(/^#\/?/, "").split("/")[0] ?? "";
  return SECTIONS.some((section) => section.id === named) ? named : HOME;
};

const listen = (heard: () => void) => {
  addEventListener("hashchange", heard);
  return () => removeEventListener("hashchange", heard);
};

export const usePlace = (): string => useSyncExternalStore(listen, read);

export function goTo(section: string): void {
  location.hash = section;
}
