import type { Goal } from "@platewright/design";
import { useMemo } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useSession } from "../../state/use-session.ts";
import type { Bottles } from "./asks.ts";
import { BoardTable } from "./board-table.tsx";
import { CandidateCard } from "./candidate-card.tsx";
import { type Order, ORDERS, sorted } from "./order.ts";
import { useBoard } from "./use-board.ts";
import { useRemembered } from "./use-kept.ts";
import { goalWords, thin } from "./words.ts";

const SCOPES = [
  { value: "shelf", words: "Shelf" },
  { value: "library", words: "Whole library" },
] as const;
const LOOKS = [
  { value: "pictures", words: "Pictures" },
  { value: "table", words: "Table" },
] as const;

/** Least width of a card, px. */
const CARD = 208;

/** Every tube that could stand there, with its best values; sorted, and tried with one press. */
export function Board({ bottles, goal }: { bottles: readonly Bottles[]; goal: Goal }) {
  const [chosen, setChosen] = useRemembered("bottles", "");
  const [scope, setScope] = useRemembered<"shelf" | "library">("scope", "shelf");
  const [look, setLook] = useRemembered<"pictures" | "table">("look", "pictures");
  const [order, setOrder] = useRemembered<Order>("order", "distance");
  const group = bottles.find((one) => one.where === chosen) ?? bottles[0];
  if (group === undefined) return null;
  return (
    <section className="rework-board" aria-labelledby="rework-board">
      <SectionHead
        id="rework-board"
        title={`Candidates for ${group.where}`}
        note={thin(`best values for the goal: ${goalWords(goal)}; H2 heavy, H3 fine, dB from proven`)}
        end={
          <span className="rework-board-do no-print">
            {bottles.length > 1 && (
              <Choice
                label="Bottles"
                options={bottles.map((one) => ({ value: one.where, words: one.where }))}
                value={group.where}
                onChoose={setChosen}
              />
            )}
            <Choice label="From" options={SCOPES} value={scope} onChoose={setScope} />
            <label>
              <span className="unseen">Sorted by</span>
              <select
                className="field"
                value={order}
                onChange={(event) => setOrder(event.currentTarget.value as Order)}
              >
                {ORDERS.map((one) => (
                  <option key={one.value} value={one.value}>
                    {one.words}
                  </option>
                ))}
              </select>
            </label>
            <Choice label="Shown as" options={LOOKS} value={look} onChoose={setLook} />
          </span>
        }
      />
      <Rows
        key={group.where}
        group={group}
        goal={goal}
        library={scope === "library"}
        order={order}
        onOrder={setOrder}
        onLibrary={() => setScope("library")}
        table={look === "table"}
      />
    </section>
  );
}

function Rows({
  group,
  goal,
  library,
  order,
  onOrder,
  onLibrary,
  table,
}: {
  group: Bottles;
  goal: Goal;
  library: boolean;
  order: Order;
  onOrder: (order: Order) => void;
  onLibrary: () => void;
  table: boolean;
}) {
  const board = useBoard(group.where, goal, library);
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const marks = useSession((session) => session.book.value.targets.voicingVolts);
  const [box, { width }] = useSize<HTMLDivElement>();
  const rows = useMemo(() => sorted(board.rows, order), [board.rows, order]);
  const count = Math.max(2, Math.floor(width / CARD));
  const empty = rows.length === 0 && board.progress === undefined && !library && shelfIsEmpty(group);
  const rank = new Map(rows.filter(({ row }) => row.level !== "stop").map(({ row }, n) => [row.type, n + 1]));
  return (
    <div ref={box} className="rework-board-rows">
      {board.failure !== undefined && <p className="rework-failure">{board.failure}</p>}
      {empty && (
        <p className="rework-none">
          The shelf holds no {group.kind === "rectifier" ? "rectifier" : "double triode"}.{" "}
          <button type="button" className="button rework-small" onClick={onLibrary}>
            Try the whole library
          </button>
        </p>
      )}
      <Under board={board} shown={rows.length} inHand={inHand} />
      {table ? (
        <BoardTable rows={rows} rank={rank} kind={group.kind} order={order} onOrder={onOrder} />
      ) : (
        <ol className="rework-cards" style={{ gridTemplateColumns: `repeat(${count}, minmax(0, 1fr))` }}>
          {rows.map(({ row, current }) => (
            <CandidateCard
              key={row.type}
              row={row}
              current={current}
              rank={rank.get(row.type)}
              marks={marks}
              width={width / count - 24}
            />
          ))}
        </ol>
      )}
    </div>
  );
}

const shelfIsEmpty = (group: Bottles): boolean => !group.choices.some((one) => one.onShelf > 0);

/** How far it is, and the way to stop it. */
function Under({ board, shown, inHand }: { board: ReturnType<typeof useBoard>; shown: number; inHand: boolean }) {
  const { progress, stopped } = board;
  if (stopped)
    return (
      <p className="rework-progress no-print" role="status">
        Stopped with {shown} tried.{" "}
        <button type="button" className="button rework-small" onClick={board.goOn}>
          Try the rest
        </button>
      </p>
    );
  if (progress === undefined) return null;
  return (
    <p className="rework-progress no-print" role="status">
      <progress max={progress.total} value={progress.done} aria-label="Candidates tried" />
      {inHand ? "waits while something is in hand" : `${progress.done} of ${progress.total} tried`}
      <button type="button" className="button rework-small" onClick={board.stop}>
        Stop
      </button>
    </p>
  );
}
