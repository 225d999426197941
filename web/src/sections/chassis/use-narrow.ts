import { useSyncExternalStore } from "react";

/** As the style sheet of the section has it. */
const NARROW = "(max-width: 1240px)";

const listen = (heard: () => void) => {
  const media = matchMedia(NARROW);
  media.addEventListener("change", heard);
  return () => media.removeEventListener("change", heard);
};

/** A window too narrow for the holes to stand beside the plate. */
export const useNarrow = (): boolean => useSyncExternalStore(listen, () => matchMedia(NARROW).matches);
