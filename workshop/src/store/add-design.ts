/** A design file becomes a design of the shop: its first revision is the base, and what came after are steps. */
import { applyChanges, type Change, type DesignFile, diffDocuments, type Document, same } from "@platewright/design";
import { assert } from "@platewright/engine";
import { stepSchema } from "../client/contract.ts";
import type { Around } from "./around.ts";
import { appendStep, type Held, rememberHead } from "./lines.ts";
import { insert, type Row } from "./rows.ts";
import { stepIdOf } from "./step-id.ts";

/** One thing done to a design, in the builder's words. */
export interface Move {
  readonly title: string;
  readonly changes: readonly Change[];
}

export interface Addition {
  readonly key: string;
  readonly name: string;
  readonly why: "first" | "imported";
  readonly file: DesignFile;
  /** Done to what the file holds now. */
  readonly moves?: readonly Move[];
}

/** Adds a design whose key is free. Its revisions stand where the line held their documents. */
export function addDesign({ file, heads, now }: Around, { key, name, why, file: design, moves }: Addition): void {
  const at = now();
  const line: Row<"lines"> = {
    design: key,
    key: "now",
    name: "Now",
    why,
    fromLine: null,
    fromRevision: null,
    fromSeq: null,
    base: JSON.stringify(design.revisions[0]?.document ?? design.now),
    at,
  };
  insert(file, "designs", { key, kind: "design", at });
  insert(file, "names", { design: key, name, at });
  insert(file, "lines", line);
  let seq = 0;
  let held = JSON.parse(line.base) as Document;
  const go = (title: string, changes: readonly Change[]) => {
    if (changes.length === 0) return;
    const applied = applyChanges(held, changes);
    assert(applied.ok, "the changes of a design that is added apply");
    held = applied.value;
    seq++;
    const step = { id: stepIdOf(key, seq, title), title, changes: [...changes] };
    appendStep(file, line, seq, step, at, held as unknown as Held);
  };
  for (const { id, note, cutOn, document, frozen } of design.revisions) {
    go(`As in revision ${id}`, changesTo(held, document));
    insert(file, "revisions", {
      design: key,
      id,
      note: note ?? null,
      cutOn: cutOn ?? null,
      line: line.key,
      seq,
      document: JSON.stringify(document),
      frozen: JSON.stringify(frozen),
      at,
    });
  }
  if (design.proven !== undefined) insert(file, "pins", { design: key, revision: design.proven, at });
  go("As in the file", changesTo(held, design.now));
  for (const { title, changes } of moves ?? []) go(title, changes);
  rememberHead(heads, line, seq, held as unknown as Held);
}

/** The changes between two documents as a step may carry them; whole fields of the document when there are too many. */
function changesTo(before: Document, after: Document): readonly Change[] {
  const changes = diffDocuments(before, after);
  if (stepSchema.shape.changes.safeParse(changes).success || changes.length === 0) return changes;
  const [was, is] = [before as unknown as Held, after as unknown as Held];
  return [...new Set([...Object.keys(was), ...Object.keys(is)])]
    .filter((target) => !same(was[target], is[target]))
    .map((target) => ({ target, before: was[target], after: is[target] }));
}
