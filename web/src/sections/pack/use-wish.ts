import { useEffect, useSyncExternalStore } from "react";

/** What "Do…" asked of this screen in the address, "#pack/print": done once, when the papers are there. */
export function useWish(ready: boolean, wishes: Readonly<Record<string, () => void>>): void {
  const wish = useSyncExternalStore(listen, read);
  useEffect(() => {
    if (!ready || wish === "") return;
    history.replaceState(null, "", "#pack");
    dispatchEvent(new HashChangeEvent("hashchange"));
    // After this effect: a print lays its pages out at once, which React does not do while it runs effects.
    setTimeout(() => wishes[wish]?.());
  }, [ready, wish, wishes]);
}

const read = (): string => location.hash.split("/")[1] ?? "";

const listen = (heard: () => void) => {
  addEventListener("hashchange", heard);
  return () => removeEventListener("hashchange", heard);
};
