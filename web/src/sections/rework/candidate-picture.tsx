import { HELD_DECIBELS } from "@platewright/design";
import { voicingDifferenceFigure } from "@platewright/drawing";
import { memo, useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import type { CandidateRow } from "./candidates.ts";

/** H2 and H3 of a candidate against proven, over level. */
export const CandidatePicture = memo(function CandidatePicture({
  row,
  marks,
  width,
  height,
}: {
  row: CandidateRow;
  /** Input levels that are marked. */
  marks: readonly number[];
  /** Pixels. */
  width: number;
  height: number;
}) {
  const scene = useMemo(
    () =>
      row.curve === undefined || width <= 0
        ? undefined
        : voicingDifferenceFigure({
            title: `${row.type} against proven`,
            ...row.curve,
            keptDecibels: HELD_DECIBELS,
            markVolts: marks,
            forbidden: row.level === "stop",
            width: width / PIXELS_PER_MILLIMETRE,
            height: height / PIXELS_PER_MILLIMETRE,
          }),
    [row, marks, width, height],
  );
  return scene === undefined ? null : <SceneView scene={scene} />;
});
