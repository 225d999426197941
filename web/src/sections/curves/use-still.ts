import { useState } from "react";
import { stillFits } from "./picture.ts";

/**
 * Ends of axes that do not move while something is in hand, and afterwards only when what is drawn does not fit any more
 * or has become small. `ends` names the numbers that must fit.
 */
export function useStill<T>(next: T, ends: (picture: T) => readonly number[], held: boolean): T {
  const [still, setStill] = useState(next);
  if (!held && next !== still && !stillFits(ends(still), ends(next))) {
    setStill(next);
    return next;
  }
  return still;
}

/** An answer as it was before something came in hand: what differs from it now is what the edit moves. */
export function useRest<T>(answer: T, held: boolean): T {
  const [rest, setRest] = useState(answer);
  if (held || rest === answer) return rest;
  setRest(answer);
  return answer;
}
