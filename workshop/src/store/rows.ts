/** Rows as they stand in the file: each checked by its schema and its own checksum whenever it is read. */
import type BetterSqlite3 from "better-sqlite3";
import { z } from "zod";
import { keySchema, lineSchema } from "../client/contract.ts";
import { sha256 } from "./canonical.ts";
import { DamagedRow, HalfCharacter } from "./refuse.ts";

const seq = z.number().int().min(0);
const text = z.string();

/** Columns in the order in which they stand in the file and enter the checksum; `sum` follows them. */
export const ROWS = {
  /** A design, or the shelf, which is kept in the same way. */
  designs: z.strictObject({ key: keySchema, kind: z.enum(["design", "shelf"]), at: text }),
  /** What a design is called in the shop; the last one counts. */
  names: z.strictObject({ design: keySchema, name: text, at: text }),
  lines: z.strictObject({
    design: keySchema,
    key: keySchema,
    name: text,
    why: lineSchema.shape.why,
    fromLine: keySchema.nullable(),
    fromRevision: text.nullable(),
    fromSeq: seq.nullable(),
    base: text,
    at: text,
  }),
  steps: z.strictObject({
    design: keySchema,
    line: keySchema,
    seq: seq.min(1),
    id: z.uuid(),
    title: text,
    changes: text,
    undoes: z.uuid().nullable(),
    redoes: z.uuid().nullable(),
    at: text,
  }),
  revisions: z.strictObject({
    design: keySchema,
    id: text,
    note: text.nullable(),
    cutOn: text.nullable(),
    line: keySchema,
    seq,
    document: text,
    frozen: text,
    at: text,
  }),
  /** The revision pinned as proven; the last one counts. */
  pins: z.strictObject({ design: keySchema, revision: text, at: text }),
  /** Documents on the way, so that a long line opens fast. They can be made again from the steps. */
  snapshots: z.strictObject({ design: keySchema, line: keySchema, seq, document: text }),
  /** What a recovery had to say. */
  troubles: z.strictObject({ sentence: text, at: text }),
  /** Rows that a recovery could read and not place: the table's name and the row as JSON. */
  remains: z.strictObject({ name: text, row: text, at: text }),
} as const;

export type Table = keyof typeof ROWS;
export type Row<T extends Table> = z.infer<(typeof ROWS)[T]>;

export const TABLES = Object.keys(ROWS) as readonly Table[];

export const columnsOf = (table: Table): readonly string[] => Object.keys(ROWS[table].shape);

/** SHA-256 over the table's name and the row's columns. */
export const sumOf = (table: Table, row: Readonly<Record<string, unknown>>): string =>
  sha256(JSON.stringify([table, ...columnsOf(table).map((column) => row[column])]));

/** An open file with its statements, each prepared once. */
export interface ShopFile {
  readonly db: BetterSqlite3.Database;
  readonly prepared: (sql: string) => BetterSqlite3.Statement;
}

export function shopFile(db: BetterSqlite3.Database): ShopFile {
  const statements = new Map<string, BetterSqlite3.Statement>();
  return {
    db,
    prepared: (sql) => {
      const made = statements.get(sql) ?? db.prepare(sql);
      statements.set(sql, made);
      return made;
    },
  };
}

/** Half of a pair of code units: SQLite's UTF-8 cannot hold it and would give back another text. */
const HALF_CHARACTER = /\p{Surrogate}/u;

export function insert<T extends Table>(file: ShopFile, table: T, row: Row<T>): void {
  const columns = columnsOf(table);
  const values = columns.map((column) => (row as Readonly<Record<string, unknown>>)[column]);
  if (values.some((value) => typeof value === "string" && HALF_CHARACTER.test(value))) throw new HalfCharacter();
  file
    .prepared(`INSERT INTO ${table} (${columns.join(", ")}, sum) VALUES (${columns.map(() => "?").join(", ")}, ?)`)
    .run(...values, sumOf(table, row));
}

/** Rows of a table; `where` goes behind FROM. Throws DamagedRow when one is not as it was written. */
export function select<T extends Table>(
  file: ShopFile,
  table: T,
  where: string,
  ...values: readonly (string | number)[]
): readonly Row<T>[] {
  const found = file.prepared(`SELECT ${columnsOf(table).join(", ")}, sum FROM ${table} ${where}`).all(...values);
  return found.map((one) => checkedRow(table, one));
}

export function selectOne<T extends Table>(
  file: ShopFile,
  table: T,
  where: string,
  ...values: readonly (string | number)[]
): Row<T> | undefined {
  return select(file, table, where, ...values)[0];
}

/** The row without its sum. */
export function checkedRow<T extends Table>(table: T, given: unknown): Row<T> {
  const { sum, ...row } = given as Readonly<Record<string, unknown>>;
  const checked = ROWS[table].safeParse(row);
  if (!checked.success || sumOf(table, row) !== sum)
    throw new DamagedRow(`A row of the table ${table} is not as it was written.`);
  return checked.data as Row<T>;
}

/** Writes in one transaction that no other hand can come between; a refusal takes everything back. */
export function write<T extends { readonly ok: boolean }>(file: ShopFile, work: () => T): T {
  try {
    return file.db
      .transaction(() => {
        const done = work();
        if (!done.ok) throw new TakeBack(done);
        return done;
      })
      .immediate();
  } catch (thrown) {
    if (thrown instanceof TakeBack) return thrown.done as T;
    throw thrown;
  }
}

/** Reads of one moment, whatever other hands write meanwhile. */
export const read = <T>(file: ShopFile, work: () => T): T => file.db.transaction(work).deferred();

class TakeBack extends Error {
  readonly done: unknown;
  constructor(done: unknown) {
    super("taken back");
    this.done = done;
  }
}
