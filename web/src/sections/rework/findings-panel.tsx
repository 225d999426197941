import {
  CAUTION_SHORT,
  CAUTION_TITLE,
  type Document,
  type Finding,
  findingGroups,
  type FindingRow,
} from "@platewright/design";
import { memo, useMemo, useState } from "react";
import { capital } from "../../parts/capital.ts";
import { FixButton } from "../../parts/fix-button.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useSession } from "../../state/use-session.ts";
import type { Told } from "../../worker/desk.ts";
import { findingWords, placesWords, thin } from "./words.ts";

/** What is judged, worst first; a fix is shown when rested on and applied with one press. */
export function FindingsPanel({ told, document }: { told: Told<readonly Finding[]>; document: Document }) {
  const looked = useSession((session) => (session.hand?.preview === true ? session.hand.title : undefined));
  const [shown, setShown] = useState(told.value);
  // While one of its fixes is only looked at the list stays: the row under the pointer must not go.
  const preview = looked !== undefined && (shown ?? []).some((one) => one.fixes.some((fix) => fix.title === looked));
  const settled = told.fresh && !preview;
  if (settled && told.value !== shown) setShown(told.value);
  const list = preview ? shown : (told.value ?? shown);
  const groups = useMemo(() => findingGroups(list ?? [], document), [list, document]);
  const after = preview && told.fresh ? told.value : undefined;
  const [box, { height }] = useSize<HTMLElement>();
  return (
    <section
      ref={box}
      className="rework-findings"
      aria-labelledby="rework-findings"
      style={looked !== undefined && !preview && height > 0 ? { height, overflow: "hidden" } : {}}
    >
      <SectionHead
        id="rework-findings"
        title="Findings"
        end={told.failure !== undefined ? "" : list === undefined ? "solving…" : needWords(groups.decide)}
      />
      <div className="rework-findings-body">
        <div className="rework-findings-list" tabIndex={0} role="group" aria-label="Findings, worst first">
          {told.failure !== undefined && (
            <p className="rework-failure">
              <LevelSign level="stop" words="not judged" /> {told.failure}
            </p>
          )}
          <ul>
            {groups.decide.map((row) => (
              <Entry key={row.finding.id} row={row} after={after} before={list ?? []} />
            ))}
          </ul>
          {list !== undefined && groups.decide.length === 0 && (
            <p className="rework-none">Nothing asks for a decision.</p>
          )}
          <Fold
            rows={groups.unverified}
            level="watch"
            words={`${placesIn(groups.unverified)} inside unverified limits`}
            about="Each number is well inside its limit; the limit is from memory without high confidence, or its sheet names no rating system. None of them counts as ok."
          />
          <Fold
            rows={groups.faults}
            level="watch"
            words={`${placesIn(groups.faults)} single faults to know of`}
            about="What one part failing would do. The fuse does not save the parts named."
          />
          <Fold rows={groups.ok} level="ok" words={`${placesIn(groups.ok)} ok`} about={fromMemory(groups.ok)} />
        </div>
        <p className="caution rework-caution">
          <strong>{CAUTION_TITLE}.</strong> {CAUTION_SHORT.replace(/^Danger, lethal voltage: u/, "U")}
        </p>
      </div>
    </section>
  );
}

const placesIn = (rows: readonly FindingRow[]): number => rows.reduce((sum, row) => sum + row.where.length, 0);

function needWords(rows: readonly FindingRow[]): string {
  const fixable = rows.filter((row) => row.finding.fixes.length > 0).length;
  if (rows.length === 0) return "";
  return `${rows.length} need${rows.length === 1 ? "s" : ""} a decision${fixable === 0 ? "" : `, ${fixable} with a fix`}`;
}

function fromMemory(rows: readonly FindingRow[]): string {
  const many = rows.filter((row) => row.finding.provenance?.status === "memory").length;
  return many === 0 ? "" : `${many} of them by limits remembered with high confidence.`;
}

function Fold({
  rows,
  level,
  words,
  about,
}: {
  rows: readonly FindingRow[];
  level: Finding["level"];
  words: string;
  about: string;
}) {
  const [open, setOpen] = useState(false);
  if (rows.length === 0) return null;
  return (
    <div className="rework-fold">
      <button type="button" aria-expanded={open} onClick={() => setOpen((was) => !was)}>
        <LevelSign level={level} words={words} />
        <span className="rework-more">{open ? "hide" : "show with sources"}</span>
      </button>
      {open && (
        <>
          {about !== "" && <p className="rework-about">{about}</p>}
          <ul>
            {rows.map((row) => (
              <Entry key={row.finding.id} row={row} after={undefined} before={[]} quiet />
            ))}
          </ul>
        </>
      )}
    </div>
  );
}

const Entry = memo(function Entry({
  row: { finding, where },
  before,
  after,
  quiet = false,
}: {
  row: FindingRow;
  before: readonly Finding[];
  /** All findings with the fix that is looked at. */
  after: readonly Finding[] | undefined;
  quiet?: boolean;
}) {
  const { head, remark } = findingWords(finding);
  const others = where.length > 1 ? placesWords(where.slice(1), finding.channel) : "";
  return (
    <li className={`rework-entry${quiet ? " quiet" : ""}`}>
      <p className="rework-entry-head">
        <LevelSign level={finding.level} />
        <b>
          {head}
          {others !== "" && <span className="rework-also"> and {others}</span>}
        </b>
      </p>
      <p className="rework-entry-words">
        {remark !== "" && `${capital(remark)}. `}
        {capital(finding.condition)} · {finding.source}
        {finding.channel?.includes(",") === true && ` · ${finding.channel.replace(/, (?=[^,]*$)/, "\u00a0and\u00a0")}`}
      </p>
      {finding.fixes.length > 0 && (
        <ul className="rework-fixes no-print">
          {finding.fixes.map((fix) => (
            <FixButton
              key={fix.title}
              fix={fix}
              words={thin(capital(fix.title))}
              primary
              finding={finding}
              before={before}
              after={after}
            />
          ))}
        </ul>
      )}
    </li>
  );
});
