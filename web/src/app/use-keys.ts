/** Keys that work everywhere: undo, redo, put down what is in hand, do by name, and a number for each section. */
import { useEffect } from "react";
import { useHands } from "../state/use-session.ts";
import { goTo, usePlace } from "./place.ts";
import { SECTIONS } from "./sections.ts";

const typing = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.matches("input:not([type=range]):not([type=checkbox]), textarea, select") || target.isContentEditable);

export function useKeys(openDo: () => void, openKeys: () => void): void {
  const hands = useHands();
  const place = usePlace();
  useEffect(() => {
    const heard = (event: KeyboardEvent) => {
      const command = event.ctrlKey || event.metaKey;
      const key = event.key.toLowerCase();
      const book = place === "shelf" ? "shelf" : "book";
      if (command && (key === "z" || key === "y")) {
        // In a field the browser's own undo of typing goes first.
        if (
          typing(event.target) &&
          event.target instanceof HTMLInputElement &&
          event.target.dataset["dirty"] === "true"
        )
          return;
        event.preventDefault();
        if (key === "y" || event.shiftKey) hands.redo(book);
        else hands.undo(book);
        return;
      }
      if (command && key === "k") {
        event.preventDefault();
        openDo();
        return;
      }
      if (event.key === "Escape") hands.drop();
      if (command || event.altKey || typing(event.target)) return;
      if (event.key === "/") {
        event.preventDefault();
        openDo();
        return;
      }
      if (event.key === "?") openKeys();
      const section = SECTIONS[Number(event.key) - 1];
      if (section !== undefined) goTo(section.id);
    };
    addEventListener("keydown", heard);
    return () => removeEventListener("keydown", heard);
  }, [hands, place, openDo, openKeys]);
}
