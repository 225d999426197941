import { type Difference, type DifferenceRow, differenceRows, type Document } from "@platewright/design";
import { Fragment } from "react";
import { changeWords, valueWords } from "../rework/words.ts";

/** What a change did, quantity by quantity, as the rework's table has it; what did not move is left out unless asked for. */
export function DifferenceTable({
  differences,
  document,
  first,
  second,
  every,
}: {
  differences: readonly Difference[];
  /** Of the second state. */
  document: Document;
  first: string;
  second: string;
  every: boolean;
}) {
  const groups = differenceRows(differences, [], document)
    .map((group) => ({ ...group, rows: every ? group.rows : group.rows.filter(moved) }))
    .filter((group) => group.rows.length > 0);
  if (groups.length === 0) return <p className="revisions-empty">Nothing that is computed differs.</p>;
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">Quantity</th>
          <th scope="col" className="number">
            {first}
          </th>
          <th scope="col" className="number">
            {second}
          </th>
          <th scope="col" className="number">
            Change
          </th>
        </tr>
      </thead>
      <tbody>
        {groups.map((group) => (
          <Fragment key={group.id}>
            <tr className="revisions-group">
              <th scope="rowgroup" colSpan={4}>
                {group.title} {group.words}
              </th>
            </tr>
            {group.rows.map((row) => (
              <tr key={row.id}>
                <th scope="row">{row.label}</th>
                <td className="number muted">{valueWords(row.proven, row.unit, row.decibels !== undefined)}</td>
                <td className="number">
                  <b>{valueWords(row.now, row.unit, row.decibels !== undefined)}</b>
                  {row.decibels?.band !== undefined && (
                    <span className="muted"> ±{row.decibels.band.toFixed(1)} dB</span>
                  )}
                </td>
                <td className="number">{changeWords(row)}</td>
              </tr>
            ))}
          </Fragment>
        ))}
      </tbody>
    </table>
  );
}

/** Below this share of itself a quantity has not moved: solves agree to far less, a meter to far more. */
const STILL = 1e-5;

const moved = ({ proven, now }: DifferenceRow): boolean =>
  proven === null || now === null ? proven !== now : Math.abs(now - proven) > STILL * Math.max(Math.abs(now), 1e-9);
