import type { Document, Goal } from "@platewright/design";
import { useState } from "react";
import { useSession } from "../../state/use-session.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";
import type { CandidateRow } from "./candidates.ts";

export interface ShownRow {
  readonly row: CandidateRow;
  /** Tried from the unit as it is kept now; an older one stays on the screen until it is tried again. */
  readonly current: boolean;
}

export interface BoardState {
  readonly rows: readonly ShownRow[];
  readonly progress?: { readonly done: number; readonly total: number };
  readonly stopped: boolean;
  readonly failure?: string;
  readonly stop: () => void;
  readonly goOn: () => void;
}

interface Seen {
  readonly key: string;
  readonly value: unknown;
  readonly rows: ReadonlyMap<string, { readonly row: CandidateRow; readonly document: Document }>;
}

/** The board as it fills: rows come one by one, those of an earlier edit stay until they are tried again. */
export function useBoard(where: string, goal: Goal, library: boolean): BoardState {
  const desk = useDesk();
  const kept = useSession((session) => session.book.value);
  const [again, setAgain] = useState(0);
  const told = useAnswer("candidates", { where, goal, library, again });
  const key = JSON.stringify([where, goal]);
  const [seen, setSeen] = useState<Seen>({ key, value: undefined, rows: new Map() });
  const own = seen.key === key ? seen.rows : new Map<string, never>();
  const news = told.value !== undefined && (told.fresh || (told.progress?.done ?? 0) > 0) && told.value.where === where;
  let { rows } = { rows: own as Seen["rows"] };
  if (seen.key !== key || (news && told.value !== seen.value)) {
    const next = new Map(own as Seen["rows"]);
    for (const row of news ? (told.value?.rows ?? []) : []) next.set(row.type, { row, document: kept });
    rows = next;
    setSeen({ key, value: told.value, rows });
  }
  return {
    rows: [...rows.values()]
      .filter(({ row }) => library || row.onShelf > 0)
      .map(({ row, document }) => ({ row, current: document === kept })),
    ...(told.progress === undefined || told.fresh ? {} : { progress: told.progress }),
    stopped: told.stopped === true,
    ...(told.failure === undefined ? {} : { failure: told.failure }),
    stop: () => desk.stop(told.key),
    goOn: () => setAgain((was) => was + 1),
  };
}
