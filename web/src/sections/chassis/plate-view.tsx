import type { Item } from "@platewright/drawing";
import { memo, useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneItem } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { ShownFace } from "./chassis-screen.tsx";
import type { PanelProps } from "./panel.ts";
import { PLATE_MARGINS } from "./plate-scale.ts";

/** Widths are asked in steps: a window being dragged wider is not a new drawing at each pixel. */
const STEP_MILLIMETRES = 2;

export function PlateView({ face }: { face: ShownFace } & PanelProps) {
  const [box, size] = useSize<HTMLDivElement>();
  const across = size.width / PIXELS_PER_MILLIMETRE;
  const width = size.width === 0 ? 0 : Math.floor(across / STEP_MILLIMETRES) * STEP_MILLIMETRES;
  const { value, failure } = useAnswer("chassisPlate", { face, width });
  const left = face === "top" ? PLATE_MARGINS.side : PLATE_MARGINS.otherSide;
  return (
    <div ref={box} className="chassis-window">
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && width > 0 && (
        <svg
          className="scene chassis-drawing"
          role="group"
          aria-label={face === "top" ? "The plate from above" : "The plate from below, mirrored"}
          viewBox={`${-left} ${-PLATE_MARGINS.rear} ${value.width} ${value.height}`}
          width={value.width * PIXELS_PER_MILLIMETRE}
          height={value.height * PIXELS_PER_MILLIMETRE}
        >
          {value.groups.map(({ owner, text }, n) => (
            <Group key={n} owner={owner} text={text} />
          ))}
        </svg>
      )}
    </div>
  );
}

/** Read and drawn again only when its text is another. */
const Group = memo(function Group({ owner, text }: { owner: string; text: string }) {
  const items = useMemo(() => JSON.parse(text) as readonly Item[], [text]);
  return (
    <g data-owner={owner}>
      {items.map((item, n) => (
        <SceneItem key={n} item={item} />
      ))}
    </g>
  );
});
