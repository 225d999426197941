import { type KeyboardEvent, memo, useEffect, useRef } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import type { PaperAnswer } from "./asks.ts";
import type { PaperChange } from "./marks.ts";
import type { Pack } from "./use-pack.ts";
import { changeWords, counted } from "./words.ts";

/** Papers in the order of the job, each with a small true drawing of its first page and whether it changed. */
export function PapersList({
  pack,
  papers,
  shown,
  onOpen,
}: {
  pack: Pack;
  papers: readonly PaperAnswer[];
  shown: string | undefined;
  onOpen: (kind: string) => void;
}) {
  const { told, against, changes, cut } = pack;
  const pages = papers.reduce((sum, one) => sum + one.pages.length, 0);
  const revision = told.failure === undefined ? told.value?.revision : undefined;
  const list = useRef<HTMLOListElement>(null);
  // Pages are also turned elsewhere: the paper shown stays in sight here.
  useEffect(() => {
    if (shown !== undefined) list.current?.querySelector("[aria-current]")?.scrollIntoView({ block: "nearest" });
  }, [shown]);
  return (
    <section className="pack-list" aria-labelledby="pack-papers">
      <SectionHead
        id="pack-papers"
        title={revision === undefined ? "Papers" : `Papers, ${revision === "draft" ? "draft" : `Rev ${revision}`}`}
        end={papers.length === 0 ? "" : counted(pages, "page")}
      />
      {papers.length === 0 && told.failure === undefined && (
        <p className="pack-making">Laying out the papers…{percent(told.progress)}</p>
      )}
      <ol ref={list}>
        {papers.map((paper) => (
          <li key={paper.kind}>
            <button
              type="button"
              className="pack-item"
              aria-current={paper.kind === shown ? "true" : undefined}
              onClick={() => onOpen(paper.kind)}
              onFocus={() => onOpen(paper.kind)}
              onKeyDown={walk}
            >
              <Thumbnail paper={paper} />
              <span className="pack-item-words">
                <b>{paper.title}</b>
                <span className="muted">{counted(paper.pages.length, "page")}</span>
                <Changed change={changes?.get(paper.kind)} against={against} cut={cut?.id} />
              </span>
            </button>
          </li>
        ))}
      </ol>
    </section>
  );
}

const Thumbnail = memo(function Thumbnail({ paper }: { paper: PaperAnswer }) {
  const [first] = paper.pages;
  return (
    <span className="pack-thumb pack-paper" aria-hidden="true">
      {first !== undefined && <SceneView scene={first} />}
    </span>
  );
});

function Changed({
  change,
  against,
  cut,
}: {
  change: PaperChange | undefined;
  against: string | undefined;
  /** The papers are those of this revision. */
  cut: string | undefined;
}) {
  if (against === undefined) return cut === undefined ? null : <LevelSign level="ok" words={`as Rev ${cut}`} />;
  if (change === undefined) return <span className="muted">comparing…</span>;
  if (change.what === "same") return <LevelSign level="ok" words={`as Rev ${against}`} />;
  return (
    <>
      <LevelSign level="watch" words={change.what} />
      {change.what === "changed" && <span className="muted">{changeWords(change)}</span>}
    </>
  );
}

const percent = (progress: { readonly done: number; readonly total: number } | undefined): string =>
  progress === undefined ? "" : ` ${Math.round((100 * progress.done) / progress.total)} %`;

/** Up and down walk the list; the paper that has the focus is the one shown. */
function walk(event: KeyboardEvent<HTMLButtonElement>): void {
  const by = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
  if (by === 0) return;
  event.preventDefault();
  const buttons = [...(event.currentTarget.closest("ol")?.querySelectorAll("button") ?? [])];
  const here = buttons.indexOf(event.currentTarget);
  buttons[here + by]?.focus();
}
