/** The whole shop as one zip. The same shop gives the same bytes: fixed times, fixed order, JSON with one spelling. */
import { ok } from "@platewright/engine";
import { toZip } from "../writers/zip.ts";
import {
  ARCHIVE_FORMAT,
  ARCHIVE_MIGRATIONS,
  type ArchivedDesign,
  type ArchivedShelf,
  MANIFEST,
  memberOf,
  SHELF_MEMBER,
} from "./archive-format.ts";
import { type Around, SHELF } from "./around.ts";
import { canonicalJson, sha256 } from "./canonical.ts";
import { designRows, revisionOf, revisionRows } from "./designs.ts";
import { lineOf, linesOf, stepOf } from "./lines.ts";
import { refuse } from "./refuse.ts";
import { type Row, select, type ShopFile } from "./rows.ts";
import type { Stored } from "./store.ts";

/** `archive` of the store. */
export function archiveOf({ file }: Around): Stored<Uint8Array> {
  const shelf = archivedShelf(file);
  if (shelf === undefined) return refuse("no-shelf", "The shop has no shelf.");
  const encoder = new TextEncoder();
  const members = [
    { path: SHELF_MEMBER, data: encoder.encode(canonicalJson(shelf)) },
    ...designRows(file).map((row) => ({
      path: memberOf(row.key),
      data: encoder.encode(canonicalJson(archivedDesign(file, row))),
    })),
  ];
  const manifest = {
    format: ARCHIVE_FORMAT,
    migrations: ARCHIVE_MIGRATIONS,
    members: members.map(({ path, data }) => ({ path, bytes: data.length, sha256: sha256(data) })),
  };
  const all = [{ path: MANIFEST, data: encoder.encode(canonicalJson(manifest)) }, ...members];
  return ok(toZip(all.map(({ path, data }) => [path, data])));
}

export function archivedDesign(file: ShopFile, design: Row<"designs">): ArchivedDesign {
  const { key, at } = design;
  return {
    format: "platewright/shop-design@1",
    key,
    at,
    names: select(file, "names", "WHERE design = ? ORDER BY rowid", key).map(({ name, at }) => ({ name, at })),
    lines: linesOf(file, key).map((line) => ({
      key: line.key,
      name: line.name,
      why: line.why,
      fromLine: line.fromLine,
      fromRevision: line.fromRevision,
      fromSeq: line.fromSeq,
      at: line.at,
      base: JSON.parse(line.base) as unknown,
      steps: stepsOf(file, line),
    })),
    revisions: revisionRows(file, key).map((row) => ({
      ...revisionOf(row),
      line: row.line,
      seq: row.seq,
      at: row.at,
    })),
    pins: select(file, "pins", "WHERE design = ? ORDER BY rowid", key).map(({ revision, at }) => ({ revision, at })),
  };
}

function archivedShelf(file: ShopFile): ArchivedShelf | undefined {
  const line = lineOf(file, SHELF, SHELF);
  return line === undefined
    ? undefined
    : { format: "platewright/shop-shelf@1", base: JSON.parse(line.base) as unknown, steps: stepsOf(file, line) };
}

const stepsOf = (file: ShopFile, line: Row<"lines">): ArchivedDesign["lines"][number]["steps"] =>
  select(file, "steps", "WHERE design = ? AND line = ? ORDER BY seq", line.design, line.key).map((row) => ({
    ...stepOf(row),
    at: row.at,
  }));
