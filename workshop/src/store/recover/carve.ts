/**
 * Rows found in the bytes of a damaged file, whatever the state of its trees: every place of every page is tried as the
 * beginning of a cell, and what has the right checksum is a row.
 */
import { checkedRow, columnsOf, type Row, TABLES, type Table } from "../rows.ts";
import { DamagedRow } from "../refuse.ts";
import { type Cell, indexCellAt, PAGE_BYTES, type PageOf, tableCellAt } from "./records.ts";
import { framesOf } from "./wal.ts";

export type FoundRows = { readonly [T in Table]: readonly Row<T>[] };

export interface Carved {
  readonly rows: FoundRows;
  /** "design line" → the highest number of a step that an index speaks of; without a checksum, so only a hint. */
  readonly lastSteps: ReadonlyMap<string, number>;
  /** Cells that look like rows, are not as they were written, and have no sound copy. */
  readonly altered: number;
}

/** Serial type of the checksum that ends every row: a text of 64 bytes. */
const SUM_TYPE = 13 + 2 * 64;

/** Bytes from the beginning of a cell to the end of its record's header, at most. */
const MOST_HEAD = 80;

/** Where the serial type of a checksum stands next, which every row's header ends with. */
function nextMark(page: Uint8Array, from: number): number {
  let at = page.indexOf((SUM_TYPE >> 7) | 0x80, from);
  while (at >= 0 && page[at + 1] !== (SUM_TYPE & 0x7f)) at = page.indexOf((SUM_TYPE >> 7) | 0x80, at + 1);
  return at < 0 ? Number.POSITIVE_INFINITY : at;
}

const tablesByWidth = new Map<number, readonly Table[]>();
for (const table of TABLES) {
  const width = columnsOf(table).length + 1;
  tablesByWidth.set(width, [...(tablesByWidth.get(width) ?? []), table]);
}

export function carve(main: Uint8Array, log: Uint8Array): Carved {
  const frames = framesOf(log);
  const newest = new Map(frames.map((frame) => [frame.page, frame.data]));
  const inMain: PageOf = (number) => {
    const from = (number - 1) * PAGE_BYTES;
    return number >= 1 && from + PAGE_BYTES <= main.length ? main.subarray(from, from + PAGE_BYTES) : undefined;
  };
  const pages: Uint8Array[] = [];
  for (let from = 0; from < main.length; from += PAGE_BYTES) pages.push(main.subarray(from, from + PAGE_BYTES));
  pages.push(...frames.map((frame) => frame.data));

  const found = new Map<string, { readonly table: Table; readonly row: unknown; readonly rowid: number }>();
  const lastSteps = new Map<string, number>();
  const altered = new Set<string>();
  for (const page of pages) {
    let mark = -1;
    for (let at = 0; at < page.length; at++) {
      if (mark < at) mark = nextMark(page, at);
      if (mark - at > MOST_HEAD) {
        listSteps(page, at, lastSteps);
        continue;
      }
      const inNewest = rowAt(page, at, (number) => newest.get(number) ?? inMain(number));
      const one = inNewest?.sum === undefined ? (rowAt(page, at, inMain) ?? inNewest) : inNewest;
      if (one === undefined) listSteps(page, at, lastSteps);
      else if (one.sum === undefined) altered.add(`${one.width} ${one.rowid}`);
      else found.set(`${one.table} ${one.sum}`, one);
    }
  }
  for (const { table, rowid } of found.values()) altered.delete(`${columnsOf(table).length + 1} ${rowid}`);
  const rowsOf = (table: Table) =>
    [...found.values()]
      .filter((one) => one.table === table)
      .sort((a, b) => a.rowid - b.rowid)
      .map((one) => one.row);
  return {
    rows: Object.fromEntries(TABLES.map((table) => [table, rowsOf(table)])) as unknown as FoundRows,
    lastSteps,
    altered: altered.size,
  };
}

const isRow = (types: readonly number[]): boolean => types.at(-1) === SUM_TYPE && tablesByWidth.has(types.length);

interface CarvedRow {
  readonly table: Table;
  readonly row: unknown;
  readonly rowid: number;
  readonly sum: string;
}

/** What looks like a row and is not as it was written. */
interface AlteredRow {
  readonly width: number;
  readonly rowid: number;
  readonly sum?: undefined;
}

function rowAt(page: Uint8Array, at: number, pageOf: PageOf): CarvedRow | AlteredRow | undefined {
  const found = tableCellAt(page, at, pageOf, isRow);
  if (found === undefined) return undefined;
  const { cell, rowid } = found;
  for (const table of tablesByWidth.get(cell.length) ?? []) {
    const row = rowOf(table, cell);
    if (row !== undefined) return { table, row, rowid, sum: String(cell.at(-1)) };
  }
  return { width: cell.length, rowid };
}

function rowOf(table: Table, cell: Cell): unknown {
  const columns = [...columnsOf(table), "sum"];
  try {
    return checkedRow(table, Object.fromEntries(columns.map((column, i) => [column, cell[i]])));
  } catch (error) {
    if (error instanceof DamagedRow) return undefined;
    throw error;
  }
}

const isText = (type: number | undefined): boolean => type !== undefined && type >= 13;
const isNumber = (type: number | undefined): boolean => type !== undefined && type < 13;

/** An entry of the index of steps: design, line, number, rowid. */
function listSteps(page: Uint8Array, at: number, lastSteps: Map<string, number>): void {
  const cell = indexCellAt(
    page,
    at,
    (types) => types.length === 4 && isText(types[0]) && isText(types[1]) && isNumber(types[2]) && isNumber(types[3]),
  );
  if (cell === undefined) return;
  const [design, line, seq] = cell;
  const name = `${String(design)} ${String(line)}`;
  if (typeof seq === "number" && seq > 0) lastSteps.set(name, Math.max(seq, lastSteps.get(name) ?? 0));
}
