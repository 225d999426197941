/**
 * A shelf comes in. There is one shelf, and what comes in never overwrites it: the shelf of the demo gives way, in one
 * step that can be undone; any other stays as it is, and what came in is kept in its history, one redo away.
 */
import { type Change, diffDocuments, inverseOf, readShelf, type ShelfFile } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { Imported, Step } from "../client/contract.ts";
import { stepIdOf } from "./step-id.ts";
import { type Around, SHELF } from "./around.ts";
import { judgeStep } from "./judge.ts";
import { appendStep, headOf, type Held, heldAt, lineOf, rememberHead } from "./lines.ts";
import { refuse } from "./refuse.ts";
import { selectOne } from "./rows.ts";
import type { Stored } from "./store.ts";

export function importShelfText(around: Around, text: string): Stored<Imported> {
  const shelf = readShelf(text);
  return shelf.ok ? importShelf(around, shelf.value, []) : refuse("not-a-shelf", shelf.failure.sentence);
}

/** Takes in a shelf and, where ours gives way, the steps that were made on it. */
export function importShelf(around: Around, base: ShelfFile, later: readonly Step[]): Stored<Imported> {
  const { file, heads } = around;
  const line = lineOf(file, SHELF, SHELF);
  if (line === undefined) return refuse("no-shelf", "The shop has no shelf.");
  let { seq } = headOf(file, line);
  const ours = heldAt(file, heads, line, seq) as unknown as ShelfFile;
  const theirs = lastOf(base, later);
  if (!theirs.ok) return theirs;
  if (diffDocuments(ours, theirs.value).length === 0)
    return ok({ outcome: "already-here", design: SHELF, name: ours.name });
  const givesWay = seq === 0 && (ours.invented === true || isEmpty(ours));
  const at = around.now();
  const known = (id: string) => selectOne(file, "steps", "WHERE design = ? AND id = ?", SHELF, id) !== undefined;
  let value: Held = ours as unknown as Held;
  const append = (step: Step): Stored<Held> => {
    if (known(step.id)) return refuse("step-twice", `“${step.title}” is on the shelf already; nothing was taken in.`);
    const next = judgeStep("shelf", value, step);
    if (!next.ok) return next;
    value = next.value;
    appendStep(file, line, ++seq, step, at, value);
    return next;
  };
  const step = (title: string, changes: readonly Change[]): Step => ({
    id: stepIdOf(SHELF, seq + 1, title, at),
    title,
    changes: [...changes],
  });
  if (givesWay) {
    const changes = diffDocuments(ours, base);
    const steps = [...(changes.length === 0 ? [] : [step(`Shelf taken in: ${base.name}`, changes)]), ...later];
    for (const one of steps) {
      const done = append(one);
      if (!done.ok) return done;
    }
  } else {
    const taken = step(`Shelf taken in beside ours: ${theirs.value.name}`, diffDocuments(ours, theirs.value));
    const done = append(taken);
    if (!done.ok) return done;
    const back = append({
      ...step(`Ours stays: ${ours.name}`, taken.changes.map((one) => inverseOf(one as Change)).reverse()),
      undoes: taken.id,
    });
    if (!back.ok) return back;
  }
  rememberHead(heads, line, seq, value);
  return ok({ outcome: givesWay ? "added" : "added-beside", design: SHELF, name: theirs.value.name });
}

function lastOf(base: ShelfFile, steps: readonly Step[]): Stored<ShelfFile> {
  let value = base as unknown as Held;
  for (const step of steps) {
    const next = judgeStep("shelf", value, step);
    if (!next.ok) return next;
    value = next.value;
  }
  return ok(value as unknown as ShelfFile);
}

const isEmpty = ({ tubes, transformers, resistors, capacitors }: ShelfFile): boolean =>
  tubes.length + transformers.length + resistors.length + capacitors.length === 0;
