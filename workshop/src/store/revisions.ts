/** Revisions are cut, pinned and branched from; none ever changes. */
import { cutRevision, type Document } from "@platewright/design";
import { ok } from "@platewright/engine";
import { footprints } from "@platewright/library";
import {
  branchSchema,
  type Branch,
  type Cut,
  cutSchema,
  type DesignCard,
  keySchema,
  type Line,
  openDesignSchema,
} from "../client/contract.ts";
import type { Around } from "./around.ts";
import { designCard, knownDesign, noLine, provenId, revisionRow, revisionRows } from "./designs.ts";
import { judgeHeld } from "./judge.ts";
import { headOf, type Held, heldAt, lineCard, lineOf, linesOf } from "./lines.ts";
import { dayOf, keyFor, nameFor } from "./names.ts";
import { refuse } from "./refuse.ts";
import { insert, type Row } from "./rows.ts";
import type { Stored } from "./store.ts";

const MOST_REVISIONS = 500;
/** An export is a file of at most 10 MB when it is read again. */
const MOST_BYTES = 8_000_000;

const revisionId = openDesignSchema.shape.revisions.element.shape.id;

/** `cut` of the store. The same cut asked for twice is one revision. */
export function cutOn(around: Around, design: string, given: Cut): Stored<DesignCard> {
  const { file, catalogue } = around;
  const known = knownDesign(around, design);
  if (!known.ok) return known;
  const ask = cutSchema.safeParse(given);
  if (!ask.success || !revisionId.safeParse(given.id).success)
    return refuse("revision-name", "A revision has a short name of letters, digits, _ . -, like B or 2.1.");
  const { id, note, seq } = ask.data;
  const before = revisionRow(file, design, id);
  if (before !== undefined)
    return before.line === ask.data.line && before.seq === seq && before.note === (note ?? null)
      ? ok(designCard(around, design))
      : refuse("revision-taken", `Revision ${id} exists already; a revision never changes, take another name.`);
  const held = heldBy(around, design, ask.data.line, seq);
  if (!held.ok) return held;
  const sound = judgeHeld("design", held.value);
  if (!sound.ok) return sound;
  const rows = revisionRows(file, design);
  const at = around.now();
  const now = held.value as unknown as Document;
  const cut = cutRevision(
    { format: "platewright/design@1", migrations: [], now, revisions: [] },
    catalogue,
    { id, ...(note === undefined ? {} : { note }), cutOn: dayOf(at) },
    footprints,
  );
  if (!cut.ok) return refuse("revision-taken", cut.failure);
  const [revision] = cut.value.revisions;
  if (revision === undefined) throw new Error("a cut without a revision");
  const row: Row<"revisions"> = {
    design,
    id,
    note: note ?? null,
    cutOn: dayOf(at),
    line: ask.data.line,
    seq,
    document: JSON.stringify(revision.document),
    frozen: JSON.stringify(revision.frozen),
    at,
  };
  const bytes = [...rows, row].reduce((sum, one) => sum + one.document.length + one.frozen.length, 0);
  if (rows.length >= MOST_REVISIONS || bytes > MOST_BYTES)
    return refuse("revisions-full", `${design} has ${rows.length} revisions and no room for more; begin a new design.`);
  insert(file, "revisions", row);
  return ok(designCard(around, design));
}

/** `pin` of the store. */
export function pinOn(around: Around, design: string, revision: string): Stored<DesignCard> {
  const known = knownDesign(around, design);
  if (!known.ok) return known;
  if (revisionRow(around.file, design, revision) === undefined)
    return refuse("no-revision", `There is no revision ${revision.slice(0, 40)} of ${design} to pin.`);
  if (provenId(around.file, design) !== revision) insert(around.file, "pins", { design, revision, at: around.now() });
  return ok(designCard(around, design));
}

/** `branch` of the store: a new line from a revision, or from a line as it stood after a step. */
export function branchOn(around: Around, design: string, given: Branch): Stored<Line> {
  const { file } = around;
  const known = knownDesign(around, design);
  if (!known.ok) return known;
  const ask = branchSchema.safeParse(given);
  if (!ask.success) return refuse("not-understood", "A branch has a name and a revision, or a line and a step.");
  const { from, name, why } = ask.data;
  const start = "revision" in from ? fromRevision(around, design, from.revision) : fromLine(around, design, from);
  if (!start.ok) return start;
  const lines = linesOf(file, design);
  const line: Row<"lines"> = {
    design,
    key: keyFor(name, new Set(lines.map((one) => one.key))),
    name: nameFor(name, new Set(lines.map((one) => one.name))),
    why,
    ...start.value,
    at: around.now(),
  };
  insert(file, "lines", line);
  return ok(lineCard(file, line));
}

type Start = Pick<Row<"lines">, "fromLine" | "fromRevision" | "fromSeq" | "base">;

function fromRevision({ file }: Around, design: string, id: string): Stored<Start> {
  const row = revisionRow(file, design, id);
  if (row === undefined) return refuse("no-revision", `There is no revision ${id} of ${design}.`);
  return ok({ fromLine: row.line, fromRevision: id, fromSeq: row.seq, base: row.document });
}

function fromLine(
  around: Around,
  design: string,
  from: { readonly line: string; readonly seq: number },
): Stored<Start> {
  const held = heldBy(around, design, from.line, from.seq);
  if (!held.ok) return held;
  const sound = judgeHeld("design", held.value);
  if (!sound.ok) return sound;
  return ok({ fromLine: from.line, fromRevision: null, fromSeq: from.seq, base: JSON.stringify(held.value) });
}

/** What a line of a design held after a step that it has. */
function heldBy({ file, heads }: Around, design: string, key: string, seq: number): Stored<Held> {
  const line = keySchema.safeParse(key).success ? lineOf(file, design, key) : undefined;
  if (line === undefined) return noLine(file, design, key);
  const head = headOf(file, line).seq;
  if (seq > head) return refuse("ahead", `${line.name} has ${head} steps and not ${seq}; load the page again.`);
  return ok(heldAt(file, heads, line, seq));
}
