import { memo, useMemo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import { type Clearance, clearances, figure } from "./finding-words.ts";
import type { PanelProps } from "./panel.ts";

const NONE = {};

/** The tightest of each rule that measures something. */
export const Clearances = memo(function Clearances({
  names,
  onChoose,
}: {
  names: ReadonlyMap<string, string>;
} & Pick<PanelProps, "onChoose">) {
  const { value: findings, fresh } = useAnswer("chassisNow", NONE);
  const rows = useMemo(() => clearances(findings ?? [], names), [findings, names]);
  const before = useKept(rows, fresh);
  const inHand = useSession((session) => session.hand !== undefined);
  const was = useMemo(() => new Map(before?.map((row) => [row.id, row.value])), [before]);
  const moved = ({ id, value }: Clearance) => inHand && Math.abs((was.get(id) ?? Infinity) - value) > 0.04;
  return (
    <section aria-labelledby="chassis-clearances">
      <SectionHead id="chassis-clearances" title="Clearances" note="the tightest of each rule" />
      <table className="chassis-clearances">
        <thead className="unseen">
          <tr>
            <th scope="col">Between</th>
            <th scope="col">Measured</th>
            <th scope="col">Limit</th>
            <th scope="col">Against it</th>
            <th scope="col">Level</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <Row
              key={row.id}
              {...row}
              item={row.items[0]}
              was={was.get(row.id) ?? null}
              live={moved(row)}
              onChoose={onChoose}
            />
          ))}
        </tbody>
      </table>
    </section>
  );
});

/** Drawn again when its figure is another. */
const Row = memo(
  function Row({
    between,
    what,
    value,
    limit,
    unit,
    sense,
    level,
    source,
    item,
    was,
    live,
    onChoose,
  }: Omit<Clearance, "items"> & {
    item: string | undefined;
    was: number | null;
    live: boolean;
  } & Pick<PanelProps, "onChoose">) {
    return (
      <tr title={source}>
        <th scope="row">
          {item === undefined ? (
            between
          ) : (
            <button type="button" className="chassis-say" onClick={() => onChoose({ item })}>
              {between}
            </button>
          )}
          <span className="muted">, {what}</span>
        </th>
        <td className={`number${live ? " live" : ""}`}>
          <b>{figure(value)}</b>
        </td>
        <td className="number muted">
          {sense === "below" ? "max" : "min"} {figure(limit)}
          {unit === "" ? "" : `\u202f${unit}`}
        </td>
        <td className="chassis-limit">
          <LimitBar
            now={value}
            proven={was}
            {...(sense === "below" ? { to: limit } : { from: limit })}
            live={live}
            words={`${figure(value)} ${unit} against ${figure(limit)}`}
          />
        </td>
        <td>
          <LevelSign level={level} />
        </td>
      </tr>
    );
  },
  (a, b) =>
    a.value === b.value &&
    a.limit === b.limit &&
    a.level === b.level &&
    a.between === b.between &&
    a.was === b.was &&
    a.live === b.live &&
    a.onChoose === b.onChoose,
);
