import { SectionHead } from "../../parts/section-head.tsx";
import type { PaperAnswer } from "./asks.ts";
import type { Pack } from "./use-pack.ts";
import { figureWords, newWords, wasNow } from "./words.ts";

const SHOWN = 5;

/** What the paper shown says differently from the last revision that was cut. */
export function ChangedPart({
  pack: { against, changes, cut },
  papers,
  shown,
  onOpen,
}: {
  pack: Pack;
  papers: readonly PaperAnswer[];
  shown: string | undefined;
  onOpen: (kind: string) => void;
}) {
  const change = shown === undefined ? undefined : changes?.get(shown);
  const come = newWords(change?.wordsNew ?? []);
  const changed = papers.filter((one) => (changes?.get(one.kind)?.what ?? "same") !== "same");
  const next = changed.find((one) => one.kind !== shown);
  return (
    <section aria-labelledby="pack-changed">
      <SectionHead
        id="pack-changed"
        title="What changed"
        note={against === undefined ? "" : `since Rev ${against}`}
        end={changes === undefined ? "" : `${changed.length} of ${papers.length}`}
      />
      {against === undefined ? (
        <p className="pack-note">
          {cut === undefined
            ? "No revision was cut yet; there is nothing to compare with."
            : `These are the papers of Rev ${cut.id}; a copy printed of it says the same.`}
        </p>
      ) : change === undefined ? (
        <p className="pack-note">{changes === undefined ? "Comparing…" : ""}</p>
      ) : change.what === "same" ? (
        <p className="pack-note">
          This paper says what that of Rev {against} says: an old copy still holds.
          {next !== undefined && (
            <>
              {" "}
              <button type="button" className="button quiet no-print" onClick={() => onOpen(next.kind)}>
                {next.title} does not
              </button>
            </>
          )}
        </p>
      ) : change.what === "new" ? (
        <p className="pack-note">Rev {against} has no such paper.</p>
      ) : (
        <ul className="pack-changes">
          {change.figures.slice(0, SHOWN).map((one) => (
            <li key={one.of}>
              <span>{figureWords(one.of)}</span>
              <b>{wasNow(one)}</b>
            </li>
          ))}
          {come.length > 0 && (
            <li>
              <span>New on it</span>
              <b>
                {come.slice(0, SHOWN).join(", ")}
                {come.length > SHOWN ? " …" : ""}
              </b>
            </li>
          )}
          <li className="muted">
            {change.figures.length > SHOWN ? `${change.figures.length - SHOWN} more; ` : ""}a bar at the page’s edge
            marks each line
          </li>
        </ul>
      )}
    </section>
  );
}
