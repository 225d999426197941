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
import { type BoardState, useBoard } from "./use-board.ts";
import { useRemembered } from "../../state/use-remembered.ts";
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
export function Board({
  bottles,
  goal,
  reference,
}: {
  bottles: readonly Bottles[];
  goal: Goal;
  /** What voicings are compared with, in words. */
  reference: string;
}) {
  const [chosen, setChosen] = useRemembered("bottles", "");
  const group = bottles.find((one) => one.where === chosen) ?? bottles[0];
  if (group === undefined) return null;
  return (
    <GroupBoard
      key={group.where}
      group={group}
      bottles={bottles}
      goal={goal}
      reference={reference}
      onGroup={setChosen}
    />
  );
}

function GroupBoard({
  group,
  bottles,
  goal,
  reference,
  onGroup,
}: {
  group: Bottles;
  bottles: readonly Bottles[];
  goal: Goal;
  reference: string;
  onGroup: (where: string) => void;
}) {
  const [scope, setScope] = useRemembered<"shelf" | "library">("scope", "shelf");
  const [look, setLook] = useRemembered<"pictures" | "table">("look", "pictures");
  const [order, setOrder] = useRemembered<Order>("order", "distance");
  const library = scope === "library";
  const board = useBoard(group.where, goal, library);
  const marks = useSession((session) => session.book.value.targets.voicingVolts);
  const [box, { width }] = useSize<HTMLDivElement>();
  const rows = useMemo(() => sorted(board.rows, order), [board.rows, order]);
  const count = Math.max(2, Math.floor(width / CARD));
  const empty = !library && !group.choices.some((one) => one.onShelf > 0);
  const rank = new Map(rows.filter(({ row }) => row.level !== "stop").map(({ row }, n) => [row.type, n + 1]));
  return (
    <section className="rework-board" aria-labelledby="rework-board">
      <SectionHead
        id="rework-board"
        title={`Candidates for ${group.where}`}
        note={<Note board={board} goal={goal} reference={reference} shown={rows.length} />}
        end={
          <span className="rework-board-do no-print">
            {bottles.length > 1 && (
              <Choice
                label="Bottles"
                options={bottles.map((one) => ({ value: one.where, words: one.where }))}
                value={group.where}
                onChoose={onGroup}
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
      <div ref={box} className="rework-board-rows">
        {board.failure !== undefined && <p className="rework-failure">{board.failure}</p>}
        {empty && (
          <p className="rework-none">
            The shelf holds no {group.kind === "rectifier" ? "rectifier" : "double triode"}.{" "}
            <button type="button" className="button rework-small" onClick={() => setScope("library")}>
              Try the whole library
            </button>
          </p>
        )}
        {look === "table" ? (
          <BoardTable rows={rows} rank={rank} kind={group.kind} order={order} onOrder={setOrder} />
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
    </section>
  );
}

/** What the board shows; while it fills, how far it is and the way to stop it. */
function Note({ board, goal, reference, shown }: { board: BoardState; goal: Goal; reference: string; shown: number }) {
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const { progress, stopped } = board;
  if (stopped)
    return (
      <span className="rework-progress" role="status">
        stopped with {shown} tried
        <button type="button" className="button rework-small no-print" onClick={board.goOn}>
          Try the rest
        </button>
      </span>
    );
  if (progress !== undefined)
    return (
      <span className="rework-progress" role="status">
        <progress max={progress.total} value={progress.done} aria-label="Candidates tried" />
        {inHand ? "waits for what is in hand" : `${progress.done} of ${progress.total} tried`}
        <button type="button" className="button rework-small no-print" onClick={board.stop}>
          Stop
        </button>
      </span>
    );
  return <>{thin(`best values for the goal: ${goalWords(goal)}; H2 heavy, H3 fine, dB from ${reference}`)}</>;
}
