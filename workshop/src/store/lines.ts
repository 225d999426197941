/** Lines as they stand: what a line holds after any of its steps, and its steps themselves. */
import { applyChanges, type Change } from "@platewright/design";
import { z } from "zod";
import { changeSchema, type KeptStep, type Line, type Step } from "../client/contract.ts";
import { DamagedRow } from "./refuse.ts";
import { insert, type Row, ROWS, select, selectOne, type ShopFile } from "./rows.ts";

/** A document stands ready every so many steps. */
export const SNAPSHOT_EVERY = 50;
/** Steps that an open line brings along for undo. */
const STEPS_BACK = 500;
/** Lines whose last document is held in memory. */
const MOST_HEADS = 64;

const changesSchema = z.array(changeSchema);

/** A document or a shelf. */
export type Held = Readonly<Record<string, unknown>>;

/** The last documents of lines, by "design/line". Steps never change, so that what is held here never grows stale. */
export type Heads = Map<string, { readonly seq: number; readonly value: Held }>;

export const lineOf = (file: ShopFile, design: string, line: string): Row<"lines"> | undefined =>
  selectOne(file, "lines", "WHERE design = ? AND key = ?", design, line);

export const linesOf = (file: ShopFile, design: string): readonly Row<"lines">[] =>
  select(file, "lines", "WHERE design = ? ORDER BY rowid", design);

/** A line without its base, which is many times larger. */
export type LineHead = Omit<Row<"lines">, "base">;

/** Lines as cards need them; checksums were checked when the file was opened. */
export const lineHeadsOf = (file: ShopFile, design: string): readonly LineHead[] =>
  file
    .prepared(
      "SELECT design, key, name, why, fromLine, fromRevision, fromSeq, at FROM lines WHERE design = ? ORDER BY rowid",
    )
    .all(design)
    .map((row) => lineHeadSchema.parse(row));

const lineHeadSchema = ROWS.lines.omit({ base: true });

/** The number of the last step of a line, 0 when it has none, and when it was made. */
export function headOf(file: ShopFile, line: LineHead): { readonly seq: number; readonly at: string } {
  const last = file
    .prepared("SELECT seq, at FROM steps WHERE design = ? AND line = ? ORDER BY seq DESC LIMIT 1")
    .get(line.design, line.key) as { seq: number; at: string } | undefined;
  return last ?? { seq: 0, at: line.at };
}

export function lineCard(file: ShopFile, line: LineHead): Line {
  const { seq, at } = headOf(file, line);
  const { fromLine, fromRevision, fromSeq } = line;
  return {
    key: line.key,
    name: line.name,
    seq,
    ...(fromSeq === null
      ? {}
      : {
          from: {
            ...(fromLine === null ? {} : { line: fromLine }),
            ...(fromRevision === null ? {} : { revision: fromRevision }),
            seq: fromSeq,
          },
        }),
    why: line.why,
    at: line.at,
    lastAt: at,
  };
}

/**
 * What a line holds after a step (0: its base), from the nearest document that stands ready. Throws DamagedRow when a
 * step is missing or does not apply any more.
 */
export function heldAt(file: ShopFile, heads: Heads, line: Row<"lines">, seq: number): Held {
  const name = `${line.design}/${line.key}`;
  const head = heads.get(name);
  if (head?.seq === seq) return head.value;
  const start = head !== undefined && head.seq < seq ? head : readyBefore(file, line, seq);
  let { value } = start;
  let expected = start.seq;
  const steps = select(
    file,
    "steps",
    "WHERE design = ? AND line = ? AND seq > ? AND seq <= ? ORDER BY seq",
    line.design,
    line.key,
    start.seq,
    seq,
  );
  for (const step of steps) {
    const applied = applyChanges(value, changesOf(step));
    if (step.seq !== ++expected || !applied.ok)
      throw new DamagedRow(`Step ${expected} of the line ${line.key} of ${line.design} cannot be read.`);
    value = applied.value;
  }
  if (expected !== seq)
    throw new DamagedRow(`Step ${expected + 1} of the line ${line.key} of ${line.design} cannot be read.`);
  if (head === undefined || head.seq < seq) rememberHead(heads, line, seq, value);
  return value;
}

export function rememberHead(heads: Heads, line: Row<"lines">, seq: number, value: Held): void {
  const name = `${line.design}/${line.key}`;
  heads.delete(name);
  heads.set(name, { seq, value });
  const [oldest] = heads.keys();
  if (heads.size > MOST_HEADS && oldest !== undefined) heads.delete(oldest);
}

function readyBefore(file: ShopFile, line: Row<"lines">, seq: number): { readonly seq: number; readonly value: Held } {
  const ready = selectOne(
    file,
    "snapshots",
    "WHERE design = ? AND line = ? AND seq <= ? ORDER BY seq DESC LIMIT 1",
    line.design,
    line.key,
    seq,
  );
  return { seq: ready?.seq ?? 0, value: JSON.parse(ready?.document ?? line.base) as Held };
}

export const changesOf = (step: Row<"steps">): readonly Change[] =>
  changesSchema.parse(JSON.parse(step.changes)) as readonly Change[];

export function stepOf(row: Row<"steps">): Step {
  return {
    id: row.id,
    title: row.title,
    changes: [...changesOf(row)],
    ...(row.undoes === null ? {} : { undoes: row.undoes }),
    ...(row.redoes === null ? {} : { redoes: row.redoes }),
  };
}

/** Appends a step behind the last one, with a document made ready now and then. */
export function appendStep(file: ShopFile, line: Row<"lines">, seq: number, step: Step, at: string, after: Held): void {
  insert(file, "steps", {
    design: line.design,
    line: line.key,
    seq,
    id: step.id,
    title: step.title,
    changes: JSON.stringify(step.changes),
    undoes: step.undoes ?? null,
    redoes: step.redoes ?? null,
    at,
  });
  if (seq % SNAPSHOT_EVERY === 0)
    insert(file, "snapshots", { design: line.design, line: line.key, seq, document: JSON.stringify(after) });
}

/**
 * The last steps that led to where a line stands, oldest first, so that undo reaches back. Those of a sibling begin on the
 * line it was parted from: they are numbered 0, −1 … towards the past.
 */
export function lastSteps(file: ShopFile, line: Row<"lines">): readonly KeptStep[] {
  const found: KeptStep[] = [];
  let at: Row<"lines"> | undefined = line;
  let until = headOf(file, line).seq;
  let before = 0;
  while (at !== undefined && found.length < STEPS_BACK) {
    const rows = select(
      file,
      "steps",
      "WHERE design = ? AND line = ? AND seq <= ? ORDER BY seq DESC LIMIT ?",
      at.design,
      at.key,
      until,
      STEPS_BACK - found.length,
    );
    const shift = before;
    found.push(...rows.map((row) => ({ ...stepOf(row), seq: row.seq - shift, at: row.at })));
    if (at.why !== "sibling" || at.fromLine === null || at.fromSeq === null) break;
    until = at.fromSeq;
    before += at.fromSeq;
    at = lineOf(file, at.design, at.fromLine);
  }
  return found.reverse();
}
