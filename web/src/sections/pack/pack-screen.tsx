/** Pack: every paper of the design, one of them large; print, files, which revision, what changed, true size, prices. */
import { CAUTION_SHORT, CAUTION_TITLE } from "@platewright/design";
import { useCallback, useMemo, useState } from "react";
import type { PaperAnswer } from "./asks.ts";
import { ChangedPart } from "./changed-part.tsx";
import { OutputPart } from "./output-part.tsx";
import { PapersList } from "./papers-list.tsx";
import { PrintLayer } from "./print-layer.tsx";
import { RevisionPart } from "./revision-part.tsx";
import { SheetView } from "./sheet-view.tsx";
import { TrueSizePart } from "./true-size-part.tsx";
import { usePack } from "./use-pack.ts";
import { usePageKeys } from "./use-page-keys.ts";
import { usePrint } from "./use-print.ts";
import "./pack.css";

const NONE: readonly PaperAnswer[] = [];

export function PackScreen() {
  const pack = usePack();
  const { told, changes } = pack;
  // Papers of before are none of a design that cannot be made.
  const papers = told.failure === undefined ? (told.value?.papers ?? NONE) : NONE;
  const [at, setAt] = useState<{ readonly kind: string; readonly page: number }>();
  const sheets = useMemo(
    () => papers.flatMap((paper) => paper.pages.map((scene, page) => ({ paper, scene, page }))),
    [papers],
  );
  // A paper may be gone, or have fewer pages than when it was opened.
  const found = sheets.findLastIndex((one) => one.paper.kind === at?.kind && one.page <= at.page);
  const index = Math.max(0, found);
  const shown = sheets[index];
  const go = useCallback(
    (to: number) => {
      const sheet = sheets[to];
      if (sheet !== undefined) setAt({ kind: sheet.paper.kind, page: sheet.page });
    },
    [sheets],
  );
  const open = useCallback((kind: string) => setAt({ kind, page: 0 }), []);
  usePageKeys(index, go);
  const { layer, print } = usePrint(papers, shown?.paper);
  return (
    <>
      <PapersList pack={pack} papers={papers} shown={shown?.paper.kind} onOpen={open} />
      <SheetView
        sheet={shown}
        change={shown === undefined ? undefined : changes?.get(shown.paper.kind)}
        told={told}
        first={index === 0}
        last={index === sheets.length - 1}
        onStep={(by) => go(index + by)}
      />
      <div className="pack-side">
        <OutputPart pack={pack} papers={papers} shown={shown?.paper} onPrint={print} />
        <RevisionPart pack={pack} />
        <TrueSizePart />
        <ChangedPart pack={pack} papers={papers} shown={shown?.paper.kind} onOpen={open} />
        <p className="caution">
          <strong>{CAUTION_TITLE}.</strong> {CAUTION_SHORT.replace(/^Danger, lethal voltage: u/, "U")}
        </p>
      </div>
      {/* Before there are papers, print shows the page, which says so. */}
      {layer.length > 0 && <PrintLayer papers={layer} />}
    </>
  );
}
