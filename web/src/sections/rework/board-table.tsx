import { LevelSign } from "../../parts/level.tsx";
import { distanceWords, TryButton, whyWords, wireWords } from "./candidate-card.tsx";
import type { Order } from "./order.ts";
import type { ShownRow } from "./use-board.ts";
import { thin, valueWords } from "./words.ts";

/** All candidates with their figures; a heading sorts by its column. */
export function BoardTable({
  rows,
  rank,
  kind,
  order,
  onOrder,
}: {
  rows: readonly ShownRow[];
  rank: ReadonlyMap<string, number>;
  kind: "signal" | "rectifier";
  order: Order;
  onOrder: (order: Order) => void;
}) {
  const head = (by: Order, words: string, number = true) => (
    <th
      scope="col"
      className={number ? "number" : undefined}
      aria-sort={order === by ? (DESCENDS.includes(by) ? "descending" : "ascending") : "none"}
    >
      <button type="button" className="rework-sort" onClick={() => onOrder(by)}>
        {words}
      </button>
    </th>
  );
  return (
    <table className="rework-board-table">
      <thead>
        <tr>
          <th scope="col">
            <span className="unseen">Place</span>
          </th>
          {head("type", "Type", false)}
          {head("level", "Verdict", false)}
          {head("distance", "From the goal")}
          {head("onShelf", "On shelf")}
          {kind === "signal" ? head("gain", "Gain") : <th className="number">B+</th>}
          {kind === "signal" && head("current", "Current")}
          {kind === "signal" && head("onset", "Grid current from")}
          <th scope="col">Changes</th>
          <th scope="col">Why</th>
          <th scope="col">
            <span className="unseen">Try it</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ row, current }) => (
          <tr key={row.type} className={current ? undefined : "stale"}>
            <td className="muted">{rank.get(row.type) ?? "–"}</td>
            <th scope="row">
              <span className={row.level === "stop" ? "forbidden" : undefined}>{row.type}</span>
              {row.fitted && <span className="muted"> fitted</span>}
            </th>
            <td>
              <LevelSign level={row.level} />
            </td>
            <td className="number">{distanceWords(row)}</td>
            <td className="number">{row.onShelf}</td>
            {kind === "signal" ? (
              <>
                <td className="number">{valueWords(row.gainDecibels, "dB")}</td>
                <td className="number">{valueWords(row.plateAmps, "A")}</td>
                <td className="number">{valueWords(row.onsetVolts, "V")}</td>
              </>
            ) : (
              <td className="number">{valueWords(row.supplyVolts, "V")}</td>
            )}
            <td
              className="rework-wide"
              title={thin([row.wires, ...row.values].filter((word) => word !== "").join("; "))}
            >
              {thin([wireWords(row.wires), ...row.values].filter((word) => word !== "").join("; ")) || "none"}
            </td>
            <td className="rework-wide" title={thin(row.reason)}>
              {thin(whyWords(row))}
            </td>
            <td className="rework-try">
              <TryButton row={row} current={current} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const DESCENDS: readonly Order[] = ["onShelf", "gain", "onset"];
