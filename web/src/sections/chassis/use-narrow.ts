import { useEffect, useState } from "react";

/** As the style sheet of the section has it. */
const NARROW = "(max-width: 1240px)";

/** A window too narrow for the holes to stand beside the plate. A sheet that is printed keeps the order of the screen. */
export function useNarrow(): boolean {
  const [narrow, setNarrow] = useState(() => matchMedia(NARROW).matches);
  useEffect(() => {
    const media = matchMedia(NARROW);
    const look = () => {
      if (!matchMedia("print").matches) setNarrow(media.matches);
    };
    media.addEventListener("change", look);
    return () => media.removeEventListener("change", look);
  }, []);
  return narrow;
}
