import { type Document, type Finding, findingGroups, type Fix } from "@platewright/design";
import { useMemo, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import type { Told } from "../../worker/desk.ts";
import { usePreview } from "../../state/use-preview.ts";
import { findingWords, placesWords, thin } from "../rework/words.ts";
import { SUPPLY_RULE } from "./rules.ts";
import { capital } from "../../parts/capital.ts";

/** So many are shown whatever they are. */
const FEW = 4;

/** Findings of the supply that ask for a decision, with their fixes; what is only unverified is counted. */
export function ToDecide({ told, document }: { told: Told<readonly Finding[]>; document: Document }) {
  const preview = useSession((session) => session.hand?.preview === true);
  const [shown, setShown] = useState(told.value);
  // While a fix is only looked at the list stays: the row under the pointer must not go.
  if (told.fresh && !preview && told.value !== shown) setShown(told.value);
  const list = preview ? shown : (told.value ?? shown);
  const groups = useMemo(
    () =>
      findingGroups(
        (list ?? []).filter((one) => SUPPLY_RULE.test(one.rule)),
        document,
      ),
    [list, document],
  );
  const after = preview && told.fresh ? told.value : undefined;
  const [whole, setWhole] = useState(false);
  // What stops, and what has a fix, is never folded away.
  const urgent = groups.decide.filter(
    ({ finding }, n) => n < FEW || finding.level === "stop" || finding.fixes.length > 0,
  );
  const rows = whole ? groups.decide : urgent;
  const unverified = groups.unverified.reduce((sum, row) => sum + row.where.length, 0);
  return (
    <section aria-labelledby="supply-decide">
      <SectionHead
        id="supply-decide"
        title="To decide"
        end={
          list === undefined ? "solving…" : groups.decide.length === 0 ? "nothing open" : String(groups.decide.length)
        }
      />
      {told.failure !== undefined && (
        <p className="supply-note" role="status">
          <LevelSign level="stop" words="not judged" /> {told.failure}
        </p>
      )}
      <ul className="supply-findings">
        {rows.map(({ finding, where }) => {
          const { head, remark } = findingWords(finding);
          const others = where.length > 1 ? placesWords(where.slice(1), finding.channel) : "";
          return (
            <li key={finding.id}>
              <p>
                <LevelSign level={finding.level} />{" "}
                <b>
                  {head}
                  {others === "" ? "" : ` and ${others}`}
                </b>
              </p>
              <p className="supply-note">
                {remark === "" ? "" : `${capital(remark)}. `}
                {capital(finding.condition)} · {finding.source}
              </p>
              {finding.fixes.length > 0 && (
                <div className="supply-fixes no-print">
                  {finding.fixes.map((fix) => (
                    <FixButton key={fix.title} fix={fix} about={finding} after={after} />
                  ))}
                </div>
              )}
            </li>
          );
        })}
      </ul>
      {groups.decide.length > urgent.length && (
        <button type="button" className="button quiet no-print" aria-expanded={whole} onClick={() => setWhole(!whole)}>
          {whole ? "Fewer" : `${groups.decide.length - urgent.length} more to know of`}
        </button>
      )}
      {unverified > 0 && (
        <p className="supply-note">
          {unverified} more inside limits that are not verified; each is marked watch in its row.
        </p>
      )}
    </section>
  );
}

/** Resting on it shows what it would do everywhere; one press keeps it. */
export function FixButton({
  fix,
  about,
  after,
}: {
  fix: Fix;
  about?: Finding;
  after?: readonly Finding[] | undefined;
}) {
  const preview = usePreview(fix.title, fix.changes);
  const looked = useSession((session) => session.hand?.preview === true && session.hand.title === fix.title);
  const then = about === undefined ? undefined : after?.find((one) => one.id === about.id);
  return (
    <>
      <button type="button" className="button primary supply-fix" {...preview}>
        {thin(capital(fix.title))}
      </button>
      {looked && about !== undefined && (
        <span className="live" role="status">
          {after === undefined ? "solving…" : then === undefined ? "this finding goes" : `would be ${then.level}`}
        </span>
      )}
    </>
  );
}
