import type { Scene } from "@platewright/drawing";
import { memo } from "react";
import { createPortal } from "react-dom";
import { SceneView } from "../../parts/scene-view.tsx";
import type { PaperAnswer } from "./asks.ts";

/** Papers as the printer gets them: beside the page in the document, one scene to the sheet, true size, seen only in print. */
export const PrintLayer = memo(function PrintLayer({ papers }: { papers: readonly PaperAnswer[] }) {
  return createPortal(
    <div className="pack-print">
      {papers.flatMap((paper) =>
        paper.pages.map((page, n) => (
          <div key={`${paper.kind} ${n}`} className={`pack-print-page pack-paper ${sheetClass(page)}`}>
            <SceneView scene={page} />
          </div>
        )),
      )}
    </div>,
    document.body,
  );
});

/** The named page of the style sheet that has the scene's size. */
function sheetClass({ width, height }: Scene): string {
  const [short, long] = [Math.min(width, height), Math.max(width, height)];
  const size = long > 400 ? "a3" : short > 212 ? "letter" : "a4";
  return `pack-${size}-${width > height ? "across" : "upright"}`;
}
