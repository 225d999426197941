/** Designs as the shop shows them: cards, and one opened on a line. */
import type { Document, Revision } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { DesignCard, OpenDesign } from "../client/contract.ts";
import { type Around, SHELF } from "./around.ts";
import { headOf, heldAt, lastSteps, lineCard, lineHeadsOf, lineOf } from "./lines.ts";
import { refuse } from "./refuse.ts";
import { type Row, ROWS, select, selectOne, type ShopFile } from "./rows.ts";
import type { Stored } from "./store.ts";

export const designRows = (file: ShopFile): readonly Row<"designs">[] =>
  select(file, "designs", "WHERE kind = 'design' ORDER BY rowid");

export const nameOf = (file: ShopFile, design: string): string =>
  selectOne(file, "names", "WHERE design = ? ORDER BY rowid DESC LIMIT 1", design)?.name ?? design;

export const revisionRows = (file: ShopFile, design: string): readonly Row<"revisions">[] =>
  select(file, "revisions", "WHERE design = ? ORDER BY rowid", design);

export const revisionRow = (file: ShopFile, design: string, id: string): Row<"revisions"> | undefined =>
  selectOne(file, "revisions", "WHERE design = ? AND id = ?", design, id);

export const provenId = (file: ShopFile, design: string): string | undefined =>
  selectOne(file, "pins", "WHERE design = ? ORDER BY rowid DESC LIMIT 1", design)?.revision;

export const revisionOf = (row: Row<"revisions">): Revision => ({
  id: row.id,
  ...(row.note === null ? {} : { note: row.note }),
  ...(row.cutOn === null ? {} : { cutOn: row.cutOn }),
  document: JSON.parse(row.document) as Document,
  frozen: JSON.parse(row.frozen) as Revision["frozen"],
});

/** The line last worked on; siblings wait until somebody opens them. */
export function workingLine(file: ShopFile, design: string): Row<"lines"> | undefined {
  let found: { readonly key: string; readonly at: string } | undefined;
  for (const line of lineHeadsOf(file, design)) {
    if (line.why === "sibling") continue;
    const { at } = headOf(file, line);
    if (found === undefined || at > found.at) found = { key: line.key, at };
  }
  return found === undefined ? undefined : lineOf(file, design, found.key);
}

export function designCard({ file }: Around, design: string): DesignCard {
  const proven = provenId(file, design);
  return {
    key: design,
    name: nameOf(file, design),
    invented: isInvented(file, design),
    lines: lineHeadsOf(file, design).map((line) => lineCard(file, line)),
    revisions: revisionHeads(file, design).map(({ id, note, cutOn }) => ({
      id,
      ...(note === null ? {} : { note }),
      ...(cutOn === null ? {} : { cutOn }),
    })),
    ...(proven === undefined ? {} : { proven }),
  };
}

const isInvented = (file: ShopFile, design: string): boolean =>
  file
    .prepared("SELECT json_extract(base, '$.invented') AS invented FROM lines WHERE design = ? ORDER BY rowid LIMIT 1")
    .pluck()
    .get(design) === 1;

const revisionHeadSchema = ROWS.revisions.pick({ id: true, note: true, cutOn: true });

/** Revisions without their documents and what is frozen with them. */
const revisionHeads = (file: ShopFile, design: string): readonly Pick<Row<"revisions">, "id" | "note" | "cutOn">[] =>
  file
    .prepared("SELECT id, note, cutOn FROM revisions WHERE design = ? ORDER BY rowid")
    .all(design)
    .map((row) => revisionHeadSchema.parse(row));

/** Whether there is such a design; the shelf is none. */
export function knownDesign({ file }: Around, design: string): Stored<string> {
  if (design !== SHELF && selectOne(file, "designs", "WHERE key = ?", design) !== undefined) return ok(design);
  const names = designRows(file).map((one) => one.key);
  return refuse("no-design", `There is no design ${design.slice(0, 60)} in this shop; it has ${listed(names)}.`);
}

/** `open` of the store. */
export function openDesignOn(around: Around, design: string, lineKey?: string): Stored<OpenDesign> {
  const { file, heads } = around;
  const known = knownDesign(around, design);
  if (!known.ok) return known;
  const line = lineKey === undefined ? workingLine(file, design) : lineOf(file, design, lineKey);
  if (line === undefined) return noLine(file, design, lineKey ?? "");
  const card = lineCard(file, line);
  return ok({
    design: designCard(around, design),
    line: card,
    document: heldAt(file, heads, line, card.seq) as unknown as Document,
    revisions: revisionRows(file, design).map((row) => ({ ...revisionOf(row), line: row.line, seq: row.seq })),
    steps: [...lastSteps(file, line)],
  });
}

export const noLine = (file: ShopFile, design: string, line: string) =>
  refuse(
    "no-line",
    `There is no line ${line.slice(0, 60)} in ${design}; it has ${listed(lineHeadsOf(file, design).map((one) => one.key))}.`,
  );

const listed = (names: readonly string[]): string => (names.length === 0 ? "none yet" : names.slice(0, 12).join(", "));
