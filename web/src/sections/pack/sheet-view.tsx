import type { Scene } from "@platewright/drawing";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import type { Told } from "../../worker/desk.ts";
import type { PackAnswer, PaperAnswer } from "./asks.ts";
import { changeBars } from "./change-bars.ts";
import type { PaperChange } from "./marks.ts";

/** One page large: as it fits, or as large as it is printed. */
export function SheetView({
  sheet,
  change,
  told,
  first,
  last,
  onStep,
}: {
  sheet: { readonly paper: PaperAnswer; readonly scene: Scene; readonly page: number } | undefined;
  change: PaperChange | undefined;
  told: Told<PackAnswer>;
  first: boolean;
  last: boolean;
  onStep: (by: number) => void;
}) {
  const [zoom, setZoom] = useState<"fit" | "true">("fit");
  const [room, size] = useSize<HTMLDivElement>();
  const scene = sheet?.scene;
  const scale =
    scene === undefined || zoom === "true"
      ? 1
      : Math.min(
          size.width / (scene.width * PIXELS_PER_MILLIMETRE),
          size.height / (scene.height * PIXELS_PER_MILLIMETRE),
        );
  const bars = scene === undefined || change?.what !== "changed" ? [] : changeBars(scene, change);
  return (
    <section className="pack-middle" aria-labelledby="pack-sheet">
      <SectionHead
        id="pack-sheet"
        title={sheet?.paper.title ?? "The page"}
        note={
          scene === undefined || sheet === undefined
            ? ""
            : `page ${sheet.page + 1} of ${sheet.paper.pages.length}, ${sizeWords(scene)}`
        }
        end={
          <span className="pack-turn">
            <Making told={told} />
            <button
              type="button"
              className="button"
              aria-label="Previous page"
              disabled={first}
              onClick={() => onStep(-1)}
            >
              ←
            </button>
            <button type="button" className="button" aria-label="Next page" disabled={last} onClick={() => onStep(1)}>
              →
            </button>
            <Choice
              label="Size on the screen"
              options={[
                { value: "fit", words: "Fit" },
                { value: "true", words: "100 %" },
              ]}
              value={zoom}
              onChoose={setZoom}
            />
          </span>
        }
      />
      {/* A box that scrolls is reached by the keyboard. */}
      <div className={`pack-room pack-room-${zoom}`} ref={room} tabIndex={zoom === "true" ? 0 : -1}>
        {told.failure !== undefined && (
          <p className="pack-failed" role="alert">
            No paper can be made: {told.failure}
          </p>
        )}
        {scene !== undefined && size.width > 0 && (
          <div
            className="pack-sheet pack-paper"
            style={{
              width: scene.width * PIXELS_PER_MILLIMETRE * scale,
              height: scene.height * PIXELS_PER_MILLIMETRE * scale,
            }}
          >
            <SceneView scene={scene}>
              {bars.map(([top, bottom]) => (
                <rect key={top} className="pack-edge" x={9.6} width={1} y={top} height={bottom - top} />
              ))}
            </SceneView>
          </div>
        )}
      </div>
    </section>
  );
}

function Making({ told }: { told: Told<PackAnswer> }) {
  if (told.fresh || told.failure !== undefined || told.value === undefined) return null;
  return (
    <span className="muted" role="status">
      making them anew…
    </span>
  );
}

const sizeWords = ({ width, height }: Scene): string => {
  const long = Math.max(width, height);
  return `${long > 400 ? "A3" : long < 290 ? "Letter" : "A4"}${width > height ? " across" : ""}`;
};
