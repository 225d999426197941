/** The rows that were found become a shop again, in a new file; what could not be placed is kept as it was found. */
import { SHELF } from "../around.ts";
import { appendStep, type Held, linesOf } from "../lines.ts";
import { keyFor, nameFor } from "../names.ts";
import { insert, type Row, type ShopFile, type Table } from "../rows.ts";
import { EMPTY_SHELF } from "../shelf.ts";
import type { Carved } from "./carve.ts";
import { type Known, type Piece, type Pieces, piecesOf } from "./pieces.ts";

export interface Assembled {
  readonly designs: number;
  readonly lines: number;
  readonly steps: number;
  readonly revisions: number;
  /** What is missing, each in one sentence. */
  readonly losses: readonly string[];
}

/** Fills a new file. `at` is the time that is written on what the recovery itself adds. */
export function assemble(file: ShopFile, carved: Carved, at: string): Assembled {
  const losses: string[] = [];
  const count = { lines: 0, steps: 0, revisions: 0 };
  const remain = (table: Table, row: unknown) => insert(file, "remains", { name: table, row: JSON.stringify(row), at });
  const { rows } = carved;
  const keys = new Set([
    ...rows.designs.map((one) => one.key),
    ...[...rows.lines, ...rows.steps, ...rows.revisions, ...rows.snapshots].map((one) => one.design),
  ]);
  if (!keys.has(SHELF)) losses.push("The shelf could not be read; an empty one stands in its place.");
  keys.add(SHELF);
  let designs = 0;
  for (const key of keys) {
    const one = gather(carved, key);
    const made = key === SHELF ? shelfLines(one, losses, at) : designLines(one, losses, at);
    if (made.length === 0) {
      losses.push(`${one.name}: none of its lines could be read.`);
      for (const row of one.steps) remain("steps", row);
      for (const row of one.pins) remain("pins", row);
      continue;
    }
    if (key !== SHELF) designs++;
    insert(file, "designs", one.row ?? { key, kind: key === SHELF ? "shelf" : "design", at });
    const names = one.names.length > 0 || key === SHELF ? one.names : [{ design: key, name: one.name, at }];
    for (const row of names) insert(file, "names", row);
    for (const { row, piece } of made) {
      insert(file, "lines", row);
      count.lines++;
      for (const [i, { row: step, after }] of piece.steps.entries()) {
        const { title, id, undoes, redoes } = step;
        const changes = JSON.parse(step.changes) as { target: string }[];
        const refs = { ...(undoes === null ? {} : { undoes }), ...(redoes === null ? {} : { redoes }) };
        appendStep(file, row, i + 1, { id, title, changes, ...refs }, step.at, after);
        count.steps++;
      }
    }
    const placed = new Set(made.flatMap(({ piece }) => piece.steps.map((step) => step.row.id)));
    for (const row of one.steps) if (!placed.has(row.id)) remain("steps", row);
    for (const row of one.revisions) {
      insert(file, "revisions", { ...row, ...(placeOf(made, row) ?? lineForRevision(file, row, at)) });
      count.revisions++;
    }
    for (const row of one.pins)
      if (one.revisions.some((revision) => revision.id === row.revision)) insert(file, "pins", row);
      else {
        losses.push(`${one.name}: revision ${row.revision}, which was pinned as proven, could not be read.`);
        remain("pins", row);
      }
  }
  for (const row of rows.troubles) insert(file, "troubles", row);
  for (const row of rows.remains) insert(file, "remains", row);
  if (carved.altered > 0)
    losses.push(
      `${carved.altered} row${carved.altered === 1 ? " was" : "s were"} altered on the disk and could not be used.`,
    );
  return { designs, ...count, losses };
}

/** What was found of one design, each row once; of two that claim one place the later counts. */
interface Gathered {
  readonly key: string;
  readonly name: string;
  readonly row: Row<"designs"> | undefined;
  readonly names: readonly Row<"names">[];
  readonly lines: readonly Row<"lines">[];
  readonly steps: readonly Row<"steps">[];
  readonly revisions: readonly Row<"revisions">[];
  readonly pins: readonly Row<"pins">[];
  readonly pieces: ReadonlyMap<string, Pieces>;
}

function gather({ rows, lastSteps }: Carved, key: string): Gathered {
  const mine = <T extends { readonly design: string }>(all: readonly T[]) => all.filter((one) => one.design === key);
  const once = <T>(all: readonly T[], id: (one: T) => string) => [
    ...new Map(all.map((one) => [id(one), one])).values(),
  ];
  const lines = once(mine(rows.lines), (one) => one.key);
  const revisions = once(mine(rows.revisions), (one) => one.id);
  const steps = once(
    once(mine(rows.steps), (one) => one.id),
    (one) => `${one.line} ${one.seq}`,
  );
  const snapshots = mine(rows.snapshots);
  const names = mine(rows.names);
  const lineKeys = new Set([
    ...lines.map((one) => one.key),
    ...[...steps, ...snapshots, ...revisions].map((one) => one.line),
  ]);
  const pieces = new Map<string, Pieces>();
  for (const line of lineKeys) {
    const known: Known[] = [
      ...lines.filter((one) => one.key === line).map((one) => ({ seq: 0, value: held(one.base) })),
      ...[...snapshots, ...revisions]
        .filter((one) => one.line === line)
        .map((one) => ({ seq: one.seq, value: held(one.document) })),
      ...lines
        .filter((one) => one.fromLine === line && one.fromSeq !== null)
        .map((one) => ({ seq: one.fromSeq ?? 0, value: held(one.base) })),
    ];
    const own = steps.filter((one) => one.line === line);
    const last = Math.max(
      0,
      lastSteps.get(`${key} ${line}`) ?? 0,
      ...own.map((one) => one.seq),
      ...known.map((one) => one.seq),
    );
    pieces.set(line, piecesOf(own, known, last));
  }
  const first = [...pieces.values()].flatMap((one) => one.pieces)[0]?.base.name;
  return {
    key,
    name: names.at(-1)?.name ?? (typeof first === "string" ? first : key),
    row: rows.designs.find((one) => one.key === key),
    names,
    lines,
    steps,
    revisions,
    pins: mine(rows.pins),
    pieces,
  };
}

const held = (json: string): Held => JSON.parse(json) as Held;

interface Made {
  readonly row: Row<"lines">;
  readonly piece: Piece;
  /** The line it was part of. */
  readonly of: string;
}

function designLines(one: Gathered, losses: string[], at: string): readonly Made[] {
  const made: Made[] = [];
  const keys = new Set(one.pieces.keys());
  const names = new Set(one.lines.map((line) => line.name));
  for (const [key, { pieces, lost, loose }] of one.pieces) {
    const line = one.lines.find((row) => row.key === key);
    const name = line?.name ?? key;
    for (const [i, piece] of pieces.entries()) {
      if (i === 0 && piece.from === 0) {
        made.push({ row: line ?? newLine(one.key, key, name, piece, at), piece, of: key });
        continue;
      }
      const found = nameFor(`${name}, found again after step ${piece.from}`, names);
      const newKey = keyFor(`${key}-found`, keys);
      names.add(found);
      keys.add(newKey);
      made.push({ row: newLine(one.key, newKey, found, piece, at), piece, of: key });
    }
    losses.push(...lossesOf(`${one.name}, line ${name}`, pieces, lost, loose.length));
  }
  return made.map((each) => ({ ...each, row: { ...each.row, ...beginning(made, each.row) } }));
}

/** The shelf is one line: what it held last is what counts. */
function shelfLines(one: Gathered, losses: string[], at: string): readonly Made[] {
  const { pieces, lost, loose } = one.pieces.get(SHELF) ?? { pieces: [], lost: [], loose: [] };
  const piece = pieces.at(-1) ?? { from: 0, base: EMPTY_SHELF as unknown as Held, steps: [] };
  if (pieces.length === 0 && one.row !== undefined)
    losses.push("The shelf's beginning could not be read; it is empty.");
  losses.push(...lossesOf("The shelf", pieces.slice(-1), lost, loose.length));
  const row = one.lines.find((line) => line.key === SHELF);
  return [
    {
      row: { ...(row ?? newLine(SHELF, SHELF, "Shelf", piece, at)), base: JSON.stringify(piece.base) },
      piece,
      of: SHELF,
    },
  ];
}

const newLine = (design: string, key: string, name: string, piece: Piece, at: string): Row<"lines"> => ({
  design,
  key,
  name,
  why: "restored",
  fromLine: null,
  fromRevision: null,
  fromSeq: null,
  base: JSON.stringify(piece.base),
  at: piece.steps[0]?.row.at ?? at,
});

function lossesOf(where: string, pieces: readonly Piece[], lost: Pieces["lost"], loose: number): readonly string[] {
  const again = pieces.filter((piece) => piece.from > 0);
  return [
    ...lost.map(
      ([from, to]) => `${where}: ${from === to ? `step ${from}` : `steps ${from} to ${to}`} could not be read.`,
    ),
    ...(loose === 0 ? [] : [`${where}: ${loose} step${loose === 1 ? "" : "s"} could be read and not be placed.`]),
    ...again.map(
      (piece) => `${where}: what it held after step ${piece.from} was found, and what followed is kept from there.`,
    ),
  ];
}

/** Where a step of a line that was is now. */
function placeOf(made: readonly Made[], { line, seq }: { readonly line: string; readonly seq: number }) {
  const found = made.find(
    ({ of, piece }) => of === line && piece.from <= seq && seq <= piece.from + piece.steps.length,
  );
  return found === undefined ? undefined : { line: found.row.key, seq: seq - found.piece.from };
}

function beginning(made: readonly Made[], row: Row<"lines">): Partial<Row<"lines">> {
  if (row.fromLine === null || row.fromSeq === null) return {};
  const place = placeOf(made, { line: row.fromLine, seq: row.fromSeq });
  return place === undefined
    ? { fromLine: null, fromRevision: null, fromSeq: null }
    : { fromLine: place.line, fromSeq: place.seq };
}

/** A revision whose line is lost stands at the beginning of a line of its own. */
function lineForRevision(file: ShopFile, { design, id, document }: Row<"revisions">, at: string) {
  const key = keyFor(`revision-${id}-found`, new Set(linesOf(file, design).map((line) => line.key)));
  const piece = { from: 0, base: held(document), steps: [] };
  insert(file, "lines", newLine(design, key, `Revision ${id}, found again`, piece, at));
  return { line: key, seq: 0 };
}
