import { printDecibels } from "@platewright/engine";
import { memo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { CandidatePicture } from "./candidate-picture.tsx";
import type { CandidateRow } from "./candidates.ts";
import { usePreview } from "../../state/use-preview.ts";
import { thin, valueWords } from "./words.ts";

/** One candidate with its picture: rest on Try to see it in the sheet, press to put it in. */
export const CandidateCard = memo(function CandidateCard({
  row,
  current,
  rank,
  marks,
  width,
}: {
  row: CandidateRow;
  current: boolean;
  rank: number | undefined;
  marks: readonly number[];
  width: number;
}) {
  const forbidden = row.level === "stop";
  return (
    <li className={`rework-card${current ? "" : " stale"}${row.fitted ? " fitted" : ""}`}>
      <div className="rework-card-head">
        <span className="rework-rank" aria-hidden="true">
          {rank ?? "–"}
        </span>
        <h3 className={forbidden ? "forbidden" : undefined}>{row.type}</h3>
        {row.fitted && <span className="muted">fitted</span>}
        <span className="rework-distance">{distanceWords(row)}</span>
      </div>
      {row.curve === undefined ? (
        <div className="rework-no-picture" />
      ) : (
        <CandidatePicture row={row} marks={marks} width={width} height={76} />
      )}
      <p className="rework-card-line" title={thin(row.reason)}>
        {forbidden ? (
          <>
            <LevelSign level="stop" /> {thin(whyWords(row))}
          </>
        ) : (
          thin(figureWords(row))
        )}
      </p>
      <p className="rework-card-line rework-card-foot">
        <span title={[row.wires, ...row.values].filter((word) => word !== "").join("; ")}>{thin(footWords(row))}</span>
        <TryButton row={row} current={current} />
      </p>
    </li>
  );
});

export function TryButton({ row, current }: { row: CandidateRow; current: boolean }) {
  const preview = usePreview(row.title, row.changes);
  const none = row.changes.length === 0;
  const ready = current && !none;
  return (
    <button
      type="button"
      className="button rework-small no-print"
      aria-label={`Try ${row.type} in ${row.where}`}
      aria-disabled={!ready}
      title={none ? "stands there now, or cannot" : current ? row.title : "being tried again after the last edit"}
      {...(ready ? preview : { ref: preview.ref })}
    >
      Try
    </button>
  );
}

export const distanceWords = ({ distanceDecibels }: CandidateRow): string =>
  distanceDecibels === null ? "–" : thin(printDecibels(distanceDecibels));

/** What forbids it: the first of its reasons. */
export const whyWords = ({ reason }: CandidateRow): string => reason.split("; ")[0] ?? reason;

const figureWords = ({ marked, second, gainDecibels, supplyVolts }: CandidateRow): string =>
  [
    marked.length === 0 ? "values stay" : marked.join(", "),
    supplyVolts === null ? "" : `B+ ${valueWords(supplyVolts, "V")}`,
    supplyVolts !== null || second === undefined ? "" : `H2 ${valueWords(second.ratio, "ratio", true)}`,
    supplyVolts !== null || gainDecibels === null ? "" : printDecibels(gainDecibels),
  ]
    .filter((word) => word !== "")
    .join(" · ");

const footWords = ({ onShelf, needed, wires }: CandidateRow): string =>
  [
    onShelf === 0 ? "not on the shelf" : `${onShelf} on shelf${onShelf < needed ? `, ${needed} needed` : ""}`,
    wireWords(wires),
  ]
    .filter((word) => word !== "")
    .join(" · ");

/** "3 wires", "octal socket". */
export function wireWords(wires: string): string {
  const socket = /^(.+ socket) in place/.exec(wires)?.[1];
  if (socket !== undefined) return socket;
  const moves = wires.match(/→|off|new to/g)?.length ?? 0;
  return moves === 0 ? "" : `${moves} wires`;
}
