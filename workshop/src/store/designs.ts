/** Designs as the shop shows them: cards, and one opened on a line. */
import type { Document, Revision } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { DesignCard, OpenDesign } from "../client/contract.ts";
import { type Around, SHELF } from "./around.ts";
import { headOf, heldAt, lastSteps, lineCard, lineOf, linesOf } from "./lines.ts";
import { refuse } from "./refuse.ts";
import { type Row, select, selectOne, type ShopFile } from "./rows.ts";
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
  let found: { readonly line: Row<"lines">; readonly at: string } | undefined;
  for (const line of linesOf(file, design)) {
    if (line.why === "sibling") continue;
    const { at } = headOf(file, line);
    if (found === undefined || at > found.at) found = { line, at };
  }
  return found?.line;
}

export function designCard({ file }: Around, design: string): DesignCard {
  const lines = linesOf(file, design);
  const first = lines[0];
  const invented = first !== undefined && (JSON.parse(first.base) as Document).invented === true;
  const proven = provenId(file, design);
  return {
    key: design,
    name: nameOf(file, design),
    invented,
    lines: lines.map((line) => lineCard(file, line)),
    revisions: revisionRows(file, design).map(({ id, note, cutOn }) => ({
      id,
      ...(note === null ? {} : { note }),
      ...(cutOn === null ? {} : { cutOn }),
    })),
    ...(proven === undefined ? {} : { proven }),
  };
}

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
    `There is no line ${line.slice(0, 60)} in ${design}; it has ${listed(linesOf(file, design).map((one) => one.key))}.`,
  );

const listed = (names: readonly string[]): string => (names.length === 0 ? "none yet" : names.slice(0, 12).join(", "));
