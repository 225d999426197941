import type { StepAnswer } from "./asks.ts";
import type { ChannelFigures } from "@platewright/design";
import { type MovedFigure, movedFigures } from "./words.ts";

/** What one step up and one step down would move: both neighbours solved whole, not estimated. */
export function StepTable({ now, steps, level }: { now: ChannelFigures; steps: readonly StepAnswer[]; level: number }) {
  const rows = movedFigures(
    now,
    steps.map(({ figures }) => figures),
    level,
  ).filter(
    (row) =>
      MAIN.has(row.id.split("/")[0] ?? "") && row.changes.some((one) => one !== null && Math.abs(one.size) > SILENT),
  );
  const failed = steps.find(({ failure }) => failure !== null);
  return (
    <table className="circuit-steps">
      <caption>One step would move, each solved whole</caption>
      <thead>
        <tr>
          <th scope="col">
            <span className="unseen">Figure</span>
          </th>
          {steps.map(({ way, words }) => (
            <th key={way} scope="col" className="number">
              <span aria-hidden="true">{way === "up" ? "↑" : "↓"}</span>
              <span className="unseen">{way} to</span> {words}
            </th>
          ))}
          <th>
            <span className="unseen">Against what is noticed</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.length === 0 && (
          <tr>
            <td colSpan={4}>{failed?.failure ?? "nothing that shows"}</td>
          </tr>
        )}
        {rows.map((row) => (
          <tr key={row.id}>
            <th scope="row">{row.label}</th>
            {row.changes.map((change, n) => (
              <td
                key={steps[n]?.way}
                className={change !== null && Math.abs(change.size) >= 1 ? "number circuit-much" : "number"}
              >
                {change?.words ?? "–"}
              </td>
            ))}
            <td className="circuit-bars">
              <Bars changes={row.changes} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Figures of the short view, in this order. */
const MAIN: ReadonlySet<string> = new Set(["h2", "gain", "amps", "volts", "ohms", "supply"]);
/** A fiftieth of what a builder notices is not shown. */
const SILENT = 0.02;

const HALF = 26;
const FULL = 3;

/** Up solid, down hollow, from the middle. */
function Bars({ changes }: { changes: MovedFigure["changes"] }) {
  return (
    <svg viewBox={`0 0 ${2 * HALF} 16`} width={2 * HALF} height={16} aria-hidden="true">
      {changes.map((change, n) => {
        if (change === null) return null;
        const length = Math.min(1, Math.abs(change.size) / FULL) * (HALF - 1);
        const x = change.size < 0 ? HALF - length : HALF;
        return (
          <rect
            key={n}
            className={n === 0 ? "circuit-bar-up" : "circuit-bar-down"}
            x={x}
            y={n === 0 ? 2 : 9}
            width={length}
            height={5}
          />
        );
      })}
      <path className="circuit-bar-middle" d={`M${HALF} 0V16`} />
    </svg>
  );
}
