import type { Finding } from "@platewright/design";
import { useMemo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useKept } from "../rework/use-kept.ts";
import { type Clearance, clearances, figure } from "./finding-words.ts";
import type { PanelProps } from "./panel.ts";

/** The tightest of each rule that measures something. */
export function Clearances({
  findings,
  fresh,
  names,
  onChoose,
}: {
  findings: readonly Finding[] | undefined;
  fresh: boolean;
  names: ReadonlyMap<string, string>;
} & Pick<PanelProps, "onChoose">) {
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
          {rows.map((row) => {
            const [first] = row.items;
            const live = moved(row);
            return (
              <tr key={row.id} title={row.source}>
                <th scope="row">
                  {first === undefined ? (
                    row.between
                  ) : (
                    <button type="button" className="chassis-say" onClick={() => onChoose({ item: first })}>
                      {row.between}
                    </button>
                  )}
                  <span className="muted">, {row.what}</span>
                </th>
                <td className={`number${live ? " live" : ""}`}>
                  <b>{figure(row.value)}</b>
                </td>
                <td className="number muted">
                  {row.sense === "below" ? "max" : "min"} {figure(row.limit)}
                  {row.unit === "" ? "" : `\u202f${row.unit}`}
                </td>
                <td className="chassis-limit">
                  <LimitBar
                    now={row.value}
                    proven={was.get(row.id) ?? null}
                    {...(row.sense === "below" ? { to: row.limit } : { from: row.limit })}
                    live={live}
                    words={`${figure(row.value)} ${row.unit} against ${figure(row.limit)}`}
                  />
                </td>
                <td>
                  <LevelSign level={row.level} />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
