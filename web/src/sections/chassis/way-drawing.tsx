import { useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Way } from "./metal-asks.ts";

/** Wider says no more. */
const WIDEST = 130;
const WIDEST_PLUG = 80;

/** The way as it is made: cut through, and from above when asked for. */
export function WayDrawing({ way, item }: { way: Way; item: string | null }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  return (
    <div ref={box} className="metal-picture">
      {width > 0 && (
        <Drawn
          way={way}
          item={item}
          width={Math.min(way.by === "blank-plug" ? WIDEST_PLUG : WIDEST, Math.floor(width / PIXELS_PER_MILLIMETRE))}
        />
      )}
    </div>
  );
}

function Drawn({ way, item, width }: { way: Way; item: string | null; width: number }) {
  const { value } = useAnswer("chassisWayDrawn", { hole: way.hole, item, by: way.by, width });
  const [above, setAbove] = useState(false);
  if (value === undefined) return null;
  const shown = above ? (value.above ?? value.cut) : value.cut;
  return (
    <>
      {shown !== null && <SceneView scene={shown} />}
      {value.above !== null && !above && (
        <p className="metal-note">Left a screw that holds it, right a screw of the part, both turned into the cut.</p>
      )}
      {value.above !== null && (
        <button type="button" className="button quiet no-print" aria-pressed={above} onClick={() => setAbove(!above)}>
          {above ? "Show it cut through" : "Show it from above, with its holes"}
        </button>
      )}
    </>
  );
}
