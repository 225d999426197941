import { useState } from "react";
import type { Picture } from "./asks.ts";

/** Axes that do not move while something is in hand, and only when the picture does not fit any more. */
export function useStill(picture: Picture, held: boolean): Picture {
  const [still, setStill] = useState(picture);
  const fits =
    picture.upToPlateVolts <= still.upToPlateVolts &&
    picture.upToPlateAmps <= still.upToPlateAmps &&
    picture.upToPlateVolts >= 0.6 * still.upToPlateVolts &&
    picture.upToPlateAmps >= 0.4 * still.upToPlateAmps;
  if (!held && !fits) setStill(picture);
  return still;
}
