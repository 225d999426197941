/**
 * A line out of the rows that are left of it: its steps as far as they follow each other from a document that is known,
 * and again from the next document that is known behind a gap.
 */
import { applyChanges } from "@platewright/design";
import { changesOf, type Held } from "../lines.ts";
import type { Row } from "../rows.ts";

/** A document that a line is known to have held after a step. */
export interface Known {
  readonly seq: number;
  readonly value: Held;
}

export interface Piece {
  /** The number of the step, on the line as it was, that its base stands after. */
  readonly from: number;
  readonly base: Held;
  readonly steps: readonly { readonly row: Row<"steps">; readonly after: Held }[];
}

export interface Pieces {
  readonly pieces: readonly Piece[];
  /** Steps that follow nothing that is known. */
  readonly loose: readonly Row<"steps">[];
  /** Ranges of numbers that no row is left of. */
  readonly lost: readonly (readonly [number, number])[];
}

/** `lastSeq` is the highest number that anything speaks of. */
export function piecesOf(steps: readonly Row<"steps">[], known: readonly Known[], lastSeq: number): Pieces {
  const bySeq = new Map(steps.map((row) => [row.seq, row]));
  const starts = [...known].sort((a, b) => a.seq - b.seq);
  const pieces: Piece[] = [];
  const placed = new Set<number>();
  let reached = -1;
  for (const start of starts) {
    if (start.seq <= reached) continue;
    const own: { row: Row<"steps">; after: Held }[] = [];
    let { value } = start;
    for (let seq = start.seq + 1; ; seq++) {
      const row = bySeq.get(seq);
      const next = row === undefined ? undefined : applyChanges(value, changesOf(row));
      if (row === undefined || next?.ok !== true) break;
      value = next.value;
      own.push({ row, after: value });
      placed.add(seq);
    }
    reached = start.seq + own.length;
    pieces.push({ from: start.seq, base: start.value, steps: own });
  }
  // A document on the way that no step follows says less than the one behind it.
  const useful = pieces.filter((piece, i) => piece.from === 0 || piece.steps.length > 0 || i === pieces.length - 1);
  const lost: [number, number][] = [];
  for (let seq = 1; seq <= lastSeq; seq++) {
    if (bySeq.has(seq)) continue;
    const range = lost.at(-1);
    if (range?.[1] === seq - 1) range[1] = seq;
    else lost.push([seq, seq]);
  }
  return { pieces: useful, loose: steps.filter((row) => !placed.has(row.seq)), lost };
}
