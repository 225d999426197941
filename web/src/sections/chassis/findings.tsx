import type { Finding, Fix } from "@platewright/design";
import { memo, useMemo, useState } from "react";
import { capital } from "../../parts/capital.ts";
import { FixButton } from "../../parts/fix-button.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { limitWords, namedIn } from "./finding-words.ts";
import type { Chosen } from "./panel.ts";

const NONE = {};
const FEW_FIXES = 3;
const NOTHING: readonly Finding[] = [];

/** Chooses an item, and others with it. */
type Choose = (chosen: Chosen | undefined, others?: readonly string[]) => void;

/** What the metal is judged to be, worst first, while it is moved too; a fix is shown when rested on, kept when pressed. */
export const Findings = memo(function Findings({
  onChoose,
  ids,
}: {
  onChoose: Choose;
  /** Of everything that can be chosen. */
  ids: ReadonlySet<string>;
}) {
  const told = useAnswer("chassisNow", NONE);
  const looked = useSession((session) => (session.hand?.preview === true ? session.hand.title : undefined));
  const chassis = useSession((session) => session.book.value.chassis);
  const holes = useMemo(() => new Set(chassis?.holes.map(({ id }) => id)), [chassis]);
  const { value: fixes } = useAnswer("chassisFixes", NONE);
  const [shown, setShown] = useState(told.value);
  const byId = useMemo(() => new Map(fixes?.map((one) => [one.id, one.fixes])), [fixes]);
  // While a fix is only looked at the list stays: the row under the pointer must not go.
  const preview =
    looked !== undefined && (shown ?? []).some((one) => byId.get(one.id)?.some((fix) => fix.title === looked));
  if (!preview && told.value !== undefined && told.value !== shown) setShown(told.value);
  const list = (preview ? shown : (told.value ?? shown)) ?? [];
  // Fixes are of the plate as it is kept: none is offered for what a hand is just moving.
  const moving = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const open = list.filter((one) => one.level !== "ok");
  const after = preview && told.fresh ? told.value : undefined;
  const stops = open.filter((one) => one.level === "stop").length;
  return (
    <section aria-labelledby="chassis-findings" className="chassis-findings">
      <SectionHead
        id="chassis-findings"
        title="To decide"
        end={
          told.value === undefined
            ? "judging…"
            : open.length === 0
              ? "nothing open"
              : `${stops === 0 ? "" : `${stops} stop, `}${open.length - stops} watch`
        }
      />
      {told.failure !== undefined && (
        <p className="chassis-note" role="status">
          <LevelSign level="stop" words="not judged" /> {told.failure}
        </p>
      )}
      <ul>
        {open.map((finding) => (
          <Entry
            key={finding.id}
            finding={finding}
            fixes={moving ? undefined : byId.get(finding.id)}
            before={after === undefined ? NOTHING : list}
            after={after}
            items={namedIn(finding, ids).join(" ")}
            hole={namedIn(finding, holes)[0]}
            onChoose={onChoose}
          />
        ))}
      </ul>
      {told.value !== undefined && open.length === 0 && <p className="chassis-note">Nothing asks for a decision.</p>}
    </section>
  );
});

/** The same words of the same things: the worker makes each finding anew. */
const same = (a: EntryProps, b: EntryProps): boolean =>
  a.fixes === b.fixes &&
  a.before === b.before &&
  a.after === b.after &&
  a.items === b.items &&
  a.hole === b.hole &&
  a.onChoose === b.onChoose &&
  a.finding.level === b.finding.level &&
  a.finding.title === b.finding.title &&
  a.finding.value === b.finding.value &&
  a.finding.limit === b.finding.limit &&
  a.finding.source === b.finding.source;

type EntryProps = {
  finding: Finding;
  fixes: readonly Fix[] | undefined;
  before: readonly Finding[];
  after: readonly Finding[] | undefined;
  /** Of the plate, apart by spaces. */
  items: string;
  /** A hole of the document that it is about. */
  hole: string | undefined;
  onChoose: Choose;
};

const Entry = memo(function Entry({ finding, fixes, before, after, items, hole, onChoose }: EntryProps) {
  const [whole, setWhole] = useState(false);
  const [item, ...others] = items.split(" ").filter((id) => id !== "");
  const limit = limitWords(finding);
  const shown = whole ? (fixes ?? []) : (fixes ?? []).slice(0, FEW_FIXES);
  return (
    <li>
      <p className="chassis-finding-head">
        <LevelSign level={finding.level} />
        {item === undefined && hole === undefined ? (
          <span className="chassis-said">{capital(finding.title)}</span>
        ) : (
          <button
            type="button"
            className="chassis-say"
            onClick={() => {
              if (item !== undefined) onChoose({ item }, others);
              else if (hole !== undefined) onChoose({ hole });
            }}
          >
            {capital(finding.title)}
          </button>
        )}
      </p>
      <p className="chassis-source">{[limit, finding.condition, finding.source].filter(Boolean).join(" · ")}</p>
      {shown.length > 0 && (
        <ul className="chassis-fixes no-print">
          {shown.map((fix, n) => (
            <FixButton
              key={fix.title}
              fix={fix}
              words={capital(fix.title)}
              primary={n === 0}
              finding={finding}
              before={before}
              after={after}
            />
          ))}
          {!whole && (fixes?.length ?? 0) > FEW_FIXES && (
            <li>
              <button type="button" className="button quiet" onClick={() => setWhole(true)}>
                {fixes?.length === FEW_FIXES + 1 ? "one more way" : `${(fixes?.length ?? 0) - FEW_FIXES} more ways`}
              </button>
            </li>
          )}
        </ul>
      )}
    </li>
  );
}, same);
