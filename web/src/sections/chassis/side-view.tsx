import type { SideFrom } from "@platewright/drawing";
import { useCallback, useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { PanelProps } from "./panel.ts";

const STEP_MILLIMETRES = 2;

/** The chassis from the front or from the left: heights under and over the plate, the line of the cover. */
export function SideView({ from, chosen, onChoose }: { from: SideFrom } & PanelProps) {
  const [box, size] = useSize<HTMLDivElement>();
  const width = Math.floor(size.width / PIXELS_PER_MILLIMETRE / STEP_MILLIMETRES) * STEP_MILLIMETRES;
  const { value, failure } = useAnswer("chassisSide", { from, width });
  const marked = useMemo(() => new Set(chosen?.item === undefined ? [] : [chosen.item]), [chosen]);
  const pick = useCallback(
    (ids: readonly string[]) => onChoose(ids[0] === undefined ? undefined : { item: ids[0] }),
    [onChoose],
  );
  return (
    <div ref={box} className="chassis-window">
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && width > 0 && <SceneView scene={value} onPick={pick} chosen={marked} />}
    </div>
  );
}
