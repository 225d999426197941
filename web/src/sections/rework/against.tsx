import { type DifferenceRow, type Goal, HELD_DECIBELS, type RowGroup } from "@platewright/design";
import { memo, useMemo, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar, type LimitBarProps } from "../../parts/limit-bar.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { bandWords, changeWords, limitWords, shortCondition, thin, valueWords } from "./words.ts";

/** The difference table: proven, now, change, and where each stands to its limit. */
export function Against({
  groups,
  kept,
  goal,
  pinned,
  failure,
}: {
  groups: readonly RowGroup[];
  /** The same without what is in hand. */
  kept: readonly RowGroup[];
  goal: Goal;
  pinned: boolean;
  failure: string | undefined;
}) {
  const [all, setAll] = useState(false);
  const [open, setOpen] = useState<string>();
  const inHand = useSession((session) => session.hand?.title);
  const preview = useSession((session) => session.hand?.preview === true);
  const keptNow = useMemo(() => new Map(kept.flatMap((group) => group.rows.map((row) => [row.id, row.now]))), [kept]);
  // What is only looked at adds no rows: what lies below must not move from under the pointer.
  const stops = useMemo(() => stoppedRows(preview ? kept : groups), [preview, kept, groups]);
  const count = groups.reduce((sum, group) => sum + group.rows.length, 0);
  const moved = (row: DifferenceRow): boolean => inHand !== undefined && differs(keptNow.get(row.id), row.now);
  return (
    <section className="rework-against" aria-labelledby="rework-against">
      <SectionHead
        id="rework-against"
        title={pinned ? "Against the proven unit" : "The unit as it stands"}
        note={pinned ? channelWords(groups) : "nothing is pinned as proven: pin a revision under Revisions"}
        end={
          <>
            <Legend moved={inHand !== undefined} pinned={pinned} />
            <button
              type="button"
              className="button quiet no-print"
              aria-pressed={all}
              onClick={() => setAll((was) => !was)}
            >
              {all ? "Fewer rows" : `All ${count} rows`}
            </button>
          </>
        }
      />
      {failure !== undefined && (
        <p className="rework-failure">
          <LevelSign level="stop" words="not solved" /> {failure}
        </p>
      )}
      {groups.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">
                <span className="unseen">Part of the unit</span>
              </th>
              <th scope="col">Quantity</th>
              <th scope="col" className="number">
                Proven
              </th>
              <th scope="col" className="number">
                Now
              </th>
              <th scope="col" className="number">
                Change
              </th>
              <th scope="col" className="rework-bar">
                <span className="unseen">Proven and now on the way to the limit</span>
              </th>
              <th scope="col">Limit, or 90&#8239;% band</th>
              <th scope="col" className="rework-verdict">
                <span className="unseen">Verdict</span>
              </th>
            </tr>
          </thead>
          {groups.map((group) => {
            const rows = group.rows.filter((row) => all || row.main || stops.has(row.id));
            return rows.length === 0 ? null : (
              <tbody key={group.id}>
                {rows.map((row, n) => (
                  <Row
                    key={row.id}
                    row={row}
                    head={n === 0 ? { title: group.title, words: group.words } : undefined}
                    span={rows.length + Number(rows.some((one) => one.id === open))}
                    goal={goal}
                    pinned={pinned}
                    moved={moved(row)}
                    open={open === row.id}
                    onOpen={setOpen}
                  />
                ))}
              </tbody>
            );
          })}
        </table>
      )}
    </section>
  );
}

const stoppedRows = (groups: readonly RowGroup[]): ReadonlySet<string> =>
  new Set(groups.flatMap((group) => group.rows.flatMap((row) => (row.limit?.level === "stop" ? [row.id] : []))));

/** Equal channels are shown once, and said to be. */
function channelWords(groups: readonly RowGroup[]): string | undefined {
  const channels = groups.find((group) => group.channel?.includes(",") === true)?.channel;
  return channels === undefined ? undefined : `${channels.replace(/, (?=[^,]*$)/, " and ")} are equal: once for both`;
}

const differs = (was: number | null | undefined, is: number | null): boolean => {
  if (was === undefined) return true;
  if (was === null || is === null) return was !== is;
  return Math.abs(is - was) > 1e-4 * Math.max(Math.abs(was), Math.abs(is));
};

function Legend({ moved, pinned }: { moved: boolean; pinned: boolean }) {
  return (
    <span className="rework-legend" aria-hidden="true">
      {pinned && (
        <span>
          <i className="rework-key proven" /> proven
        </span>
      )}
      <span>
        <i className="rework-key now" /> now
      </span>
      {moved && (
        <span>
          <i className="rework-key live" /> moved by hand
        </span>
      )}
      <span>
        <i className="rework-key worst" /> at its worst
      </span>
    </span>
  );
}

interface RowProps {
  readonly row: DifferenceRow;
  readonly head: { readonly title: string; readonly words: string } | undefined;
  /** Rows of its group. */
  readonly span: number;
  readonly goal: Goal;
  readonly pinned: boolean;
  readonly moved: boolean;
  readonly open: boolean;
  readonly onOpen: (id: string | undefined) => void;
}

const Row = memo(function Row({ row, head, span, goal, pinned, moved, open, onOpen }: RowProps) {
  const { limit } = row;
  const harmonic = row.decibels !== undefined;
  const bar = barOf(row, goal, pinned, moved);
  const heavy = limit !== undefined && limit.level !== "ok";
  const asked = goalOf(row, goal);
  return (
    <>
      <tr className={`rework-row${head === undefined ? "" : " rework-first"}`}>
        {head !== undefined && (
          <th scope="rowgroup" rowSpan={span} className="rework-group" title={head.words}>
            {head.title}
            {head.words !== "" && <small>{head.words}</small>}
          </th>
        )}
        <th scope="row" className={heavy ? "heavy" : undefined}>
          {thin(row.label)}
        </th>
        <td className="number rework-was">{pinned ? valueWords(row.proven, row.unit, harmonic) : "–"}</td>
        <td className={`number rework-now cools${moved ? " live" : ""}`}>{valueWords(row.now, row.unit, harmonic)}</td>
        <td className="number rework-change">{pinned ? changeWords(row) : ""}</td>
        <td className="rework-bar">{bar !== undefined && <LimitBar {...bar} />}</td>
        <td className="rework-limit">{limit === undefined ? bandWords(row) : limitWords(row, limit)}</td>
        <td className="rework-verdict">
          {limit !== undefined ? (
            <button
              type="button"
              className="rework-level"
              aria-expanded={open}
              title={`${shortCondition(limit.condition)}. ${limit.source}`}
              onClick={() => onOpen(open ? undefined : row.id)}
            >
              <LevelSign level={limit.level} />
              <span className="unseen">: {row.label}, why</span>
            </button>
          ) : asked !== undefined ? (
            <span className={asked.held ? "muted" : "rework-off"}>{asked.held ? "kept" : "moved"}</span>
          ) : null}
        </td>
      </tr>
      {open && limit !== undefined && (
        <tr className="rework-why">
          <td colSpan={7}>
            {thin(limit.title)}.{" "}
            <span className="muted">
              Judged {limit.condition}; source: {limit.source}.
            </span>
          </td>
        </tr>
      )}
    </>
  );
});

/** Beyond any bar: a harmonic of the other sign is never near. */
const OTHER_SIGN = -40;

/** How a row of H2 lies to the goal, in dB; undefined when the goal asks nothing of it. */
function goalOf(
  { id, decibels, now, proven }: DifferenceRow,
  goal: Goal,
): { readonly now: number; readonly proven: number; readonly held: boolean } | undefined {
  if (decibels?.now == null || !/\.h2\//.test(id) || now === null || proven === null) return undefined;
  const same = Math.sign(now) === Math.sign(proven);
  if (goal.kind === "keep-voicing" && decibels.proven !== null) {
    const by = decibels.now - decibels.proven;
    return { now: same ? by : OTHER_SIGN, proven: 0, held: same && Math.abs(by) <= HELD_DECIBELS };
  }
  if (goal.kind === "move-voicing" && id.endsWith(`/${goal.inputVolts}V`) && decibels.proven !== null) {
    const wanted = 20 * Math.log10(goal.ratio);
    const by = decibels.now - wanted;
    return {
      now: same ? by : OTHER_SIGN,
      proven: decibels.proven - wanted,
      held: same && Math.abs(by) <= HELD_DECIBELS,
    };
  }
  return undefined;
}

function barOf(row: DifferenceRow, goal: Goal, pinned: boolean, live: boolean): LimitBarProps | undefined {
  const { limit, now } = row;
  if (now === null) return undefined;
  const asked = goalOf(row, goal);
  if (asked !== undefined)
    return {
      now: asked.now,
      ...(pinned ? { proven: asked.proven } : {}),
      from: -HELD_DECIBELS,
      to: HELD_DECIBELS,
      mark: true,
      live,
      words: `${asked.now === OTHER_SIGN ? "the other sign" : valueWords(asked.now, "dB")} from the goal, which leaves ${HELD_DECIBELS} dB`,
    };
  if (limit === undefined || limit.value === null || limit.sense === "none") return undefined;
  return {
    now,
    ...(pinned ? { proven: row.proven } : {}),
    ...(limit.sense === "above" ? { from: limit.value } : { to: limit.value }),
    ...(Number.isFinite(limit.judged) ? { worst: limit.judged } : {}),
    live,
    words: `${valueWords(now, row.unit)} of ${limitWords(row, limit)}`,
  };
}
