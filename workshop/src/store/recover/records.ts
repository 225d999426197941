/**
 * Cells of SQLite pages, read from bytes without SQLite.
 *
 * Method  A cell of a table's leaf is: payload length, rowid (both varints), payload. A payload is a record: header length,
 *         one serial type per column, then the values. What does not fit on the page goes on in a chain of overflow pages.
 * Sources SQLite database file format, sections 1.6 and 2.1 (a public document of the SQLite project).
 */

export const PAGE_BYTES = 4096;
/** Nothing that is kept here comes near. */
const MOST_PAYLOAD = 64_000_000;

export type Cell = readonly (string | number | null)[];

/** A page by its number, 1 for the first; undefined when there is none. */
export type PageOf = (number: number) => Uint8Array | undefined;

interface Varint {
  readonly value: number;
  readonly next: number;
}

/** A varint of up to eight bytes; longer ones stand for numbers that are never kept here. */
function varint(bytes: Uint8Array, at: number): Varint | undefined {
  let value = 0;
  for (let i = 0; i < 8; i++) {
    const byte = bytes[at + i];
    if (byte === undefined) return undefined;
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) return { value, next: at + i + 1 };
  }
  return undefined;
}

/** Bytes of a value of a serial type; undefined for types that are never kept here (blobs, floats). */
function sizeOf(type: number): number | undefined {
  if (type === 0 || type === 8 || type === 9) return 0;
  if (type >= 1 && type <= 4) return type;
  if (type === 5) return 6;
  return type >= 13 && type % 2 === 1 ? (type - 13) / 2 : undefined;
}

interface Head {
  readonly types: readonly number[];
  readonly headBytes: number;
}

/** A record's header, when the payload has exactly the length that it calls for. */
function headAt(bytes: Uint8Array, at: number, payload: number): Head | undefined {
  const length = varint(bytes, at);
  if (length === undefined || length.value < 3 || length.value > 60 || at + length.value > bytes.length)
    return undefined;
  const types: number[] = [];
  let next = length.next;
  let total = length.value;
  while (next < at + length.value) {
    const type = varint(bytes, next);
    const size = type === undefined ? undefined : sizeOf(type.value);
    if (type === undefined || size === undefined) return undefined;
    types.push(type.value);
    total += size;
    next = type.next;
  }
  return next === at + length.value && total === payload ? { types, headBytes: length.value } : undefined;
}

export interface Found {
  readonly cell: Cell;
  readonly rowid: number;
}

/** The table cell that begins at a place of a page, when one does; `wanted` looks at the serial types first. */
export function tableCellAt(
  page: Uint8Array,
  at: number,
  pageOf: PageOf,
  wanted: (types: readonly number[]) => boolean,
): Found | undefined {
  const payload = varint(page, at);
  if (payload === undefined || payload.value < 8 || payload.value > MOST_PAYLOAD) return undefined;
  const rowid = varint(page, payload.next);
  if (rowid === undefined || rowid.value < 1) return undefined;
  const head = headAt(page, rowid.next, payload.value);
  if (head === undefined || !wanted(head.types)) return undefined;
  const bytes = payloadAt(page, rowid.next, payload.value, PAGE_BYTES - 35, pageOf);
  return bytes === undefined ? undefined : { cell: valuesOf(bytes, head), rowid: rowid.value };
}

/** The index cell that begins at a place of a page; only such as fit on the page. */
export function indexCellAt(
  page: Uint8Array,
  at: number,
  wanted: (types: readonly number[]) => boolean,
): Cell | undefined {
  const payload = varint(page, at);
  if (payload === undefined || payload.value < 6 || payload.value > 1000) return undefined;
  const head = headAt(page, payload.next, payload.value);
  if (head === undefined || !wanted(head.types) || payload.next + payload.value > page.length) return undefined;
  return valuesOf(page.subarray(payload.next, payload.next + payload.value), head);
}

/** The whole payload, gathered from its overflow pages. */
function payloadAt(page: Uint8Array, at: number, length: number, most: number, pageOf: PageOf): Uint8Array | undefined {
  if (length <= most) return at + length <= page.length ? page.subarray(at, at + length) : undefined;
  const least = Math.floor(((PAGE_BYTES - 12) * 32) / 255) - 23;
  const fit = least + ((length - least) % (PAGE_BYTES - 4));
  const local = fit <= most ? fit : least;
  if (at + local + 4 > page.length) return undefined;
  const bytes = new Uint8Array(length);
  bytes.set(page.subarray(at, at + local));
  let filled = local;
  let number = fourBytes(page, at + local);
  while (filled < length) {
    const overflow = pageOf(number);
    if (overflow === undefined) return undefined;
    const part = Math.min(PAGE_BYTES - 4, length - filled);
    bytes.set(overflow.subarray(4, 4 + part), filled);
    filled += part;
    number = fourBytes(overflow, 0);
  }
  return bytes;
}

export const fourBytes = (bytes: Uint8Array, at: number): number =>
  (bytes[at] ?? 0) * 0x1000000 + (((bytes[at + 1] ?? 0) << 16) | ((bytes[at + 2] ?? 0) << 8) | (bytes[at + 3] ?? 0));

function valuesOf(bytes: Uint8Array, { types, headBytes }: Head): Cell {
  const decoder = new TextDecoder();
  let at = headBytes;
  return types.map((type) => {
    const size = sizeOf(type) ?? 0;
    const value = bytes.subarray(at, at + size);
    at += size;
    if (type === 0) return null;
    if (type >= 13) return decoder.decode(value);
    return type >= 8 ? type - 8 : wholeNumber(value);
  });
}

/** Big-endian, two's complement. */
function wholeNumber(bytes: Uint8Array): number {
  const unsigned = bytes.reduce((value, byte) => value * 256 + byte, 0);
  return (bytes[0] ?? 0) > 127 ? unsigned - 256 ** bytes.length : unsigned;
}
