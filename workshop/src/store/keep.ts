/** Steps are kept: behind the line when it has not moved on, else on a sibling line beside it. */
import { same } from "@platewright/design";
import { ok } from "@platewright/engine";
import { keepStepsSchema, type KeepSteps, type Kept, type KeptShelf, type Step } from "../client/contract.ts";
import { deeperThan, plain } from "./canonical.ts";
import { type Around, SHELF } from "./around.ts";
import { judgeStep } from "./judge.ts";
import { appendStep, changesOf, headOf, type Held, heldAt, lineOf, linesOf, rememberHead } from "./lines.ts";
import { keyFor, nameFor, siblingName } from "./names.ts";
import { refuse } from "./refuse.ts";
import { insert, type Row, selectOne } from "./rows.ts";
import type { Stored } from "./store.ts";

/** Where steps stand: a line and the number of the last one. */
interface Place {
  readonly line: Row<"lines">;
  readonly seq: number;
}

/** `keep` of the store; runs inside a transaction. */
export function keepSteps(around: Around, design: string, lineKey: string, given: KeepSteps): Stored<Kept> {
  const { file, heads } = around;
  const asked = lineOf(file, design, lineKey);
  if (asked === undefined || design === SHELF) return refuse("no-line", `There is no line ${lineKey} in ${design}.`);
  const ask = readSteps(given);
  if (!ask.ok) return ask;
  const { steps, after } = ask.value;
  const known = knownSteps(around, design, steps);
  if (!known.ok) return known;
  const count = known.value.filter((row) => row !== undefined).length;
  if (known.value.slice(0, count).some((row) => row === undefined))
    return refuse(
      "step-order",
      "A step that is kept already stands behind one that is new; send them as they were made.",
    );
  const fresh = steps.slice(count);
  // What was kept before its answer was lost goes on from where it was kept.
  const last = known.value[count - 1];
  const lastLine = last === undefined ? undefined : lineOf(file, design, last.line);
  const from =
    last === undefined || lastLine === undefined ? { line: asked, seq: after } : { line: lastLine, seq: last.seq };
  const head = headOf(file, from.line).seq;
  if (from.seq > head)
    return refuse(
      "ahead",
      `The page knows ${from.seq} steps of ${from.line.name}, the shop's file ${head}; load the page again.`,
    );
  if (fresh.length === 0) return ok(answer(asked, from));
  const start = heldAt(file, heads, from.line, from.seq);
  const values: Held[] = [];
  for (const step of fresh) {
    const next = judgeStep("design", values.at(-1) ?? start, step);
    if (!next.ok) return next;
    values.push(next.value);
  }
  const at = around.now();
  const place = from.seq === head ? from : { line: addSibling(around, from, start, at), seq: 0 };
  for (const [i, step] of fresh.entries()) appendStep(file, place.line, place.seq + i + 1, step, at, values[i] as Held);
  const end = { line: place.line, seq: place.seq + fresh.length };
  rename(around, place.line, start, values.at(-1) as Held, at);
  rememberHead(heads, end.line, end.seq, values.at(-1) as Held);
  return ok(answer(asked, end));
}

const DEEPEST = 40;

/** Steps as they would come back from the file: what JSON does not hold is not judged either. */
function readSteps(given: KeepSteps): Stored<KeepSteps> {
  if (deeperThan(given, DEEPEST)) return refuse("not-understood", "The steps are nested too deep; no design is.");
  const ask = keepStepsSchema.safeParse(plain(given));
  return ask.success ? ok(ask.data) : refuse("not-understood", "The steps are not written as steps are.");
}

/** The steps that are kept already, each at its place in the message; one sent again must be the same step. */
function knownSteps(
  { file }: Around,
  design: string,
  steps: readonly Step[],
): Stored<readonly (Row<"steps"> | undefined)[]> {
  if (new Set(steps.map((step) => step.id)).size !== steps.length)
    return refuse("step-twice", "Two steps of one message have the same id; each needs its own.");
  const rows = steps.map((step) => selectOne(file, "steps", "WHERE design = ? AND id = ?", design, step.id));
  for (const [i, row] of rows.entries()) {
    const step = steps[i] as Step;
    if (row !== undefined && (row.title !== step.title || !same(changesOf(row), step.changes)))
      return refuse("step-differs", `“${step.title}” has the id of another step; each step needs its own.`);
  }
  return ok(rows);
}

const answer = (asked: Row<"lines">, { line, seq }: Place): Kept =>
  line.key === asked.key
    ? { outcome: "kept", line: line.key, seq }
    : { outcome: "kept-beside", line: line.key, seq, name: line.name, besides: asked.key };

/** A line for the hand that came late, beginning where it parted. */
function addSibling({ file }: Around, from: Place, base: Held, at: string): Row<"lines"> {
  const others = linesOf(file, from.line.design);
  const root = rootOf(others, from.line);
  const line: Row<"lines"> = {
    design: from.line.design,
    key: keyFor(`${root.key}-beside`, new Set(others.map((one) => one.key))),
    name: nameFor(siblingName(root.name, at), new Set(others.map((one) => one.name))),
    why: "sibling",
    fromLine: from.line.key,
    fromRevision: null,
    fromSeq: from.seq,
    base: JSON.stringify(base),
    at,
  };
  insert(file, "lines", line);
  return line;
}

function rootOf(lines: readonly Row<"lines">[], line: Row<"lines">): Row<"lines"> {
  const parent = line.why === "sibling" ? lines.find((one) => one.key === line.fromLine) : undefined;
  return parent === undefined ? line : rootOf(lines, parent);
}

/** A design goes by the name that its own line gives it; what happens on a sibling does not rename it. */
function rename({ file }: Around, line: Row<"lines">, before: Held, after: Held, at: string): void {
  if (line.why === "sibling" || before.name === after.name || typeof after.name !== "string") return;
  insert(file, "names", { design: line.design, name: after.name, at });
}

/** `keepShelf` of the store: each step that still fits is appended, whatever another hand did meanwhile. */
export function keepShelfSteps(around: Around, given: KeepSteps): Stored<KeptShelf> {
  const { file, heads } = around;
  const line = lineOf(file, SHELF, SHELF);
  if (line === undefined) return refuse("no-shelf", "The shop has no shelf.");
  const ask = readSteps(given);
  if (!ask.ok) return ask;
  const before = headOf(file, line).seq;
  if (ask.value.after > before)
    return refuse(
      "ahead",
      `The page knows ${ask.value.after} steps of the shelf, the shop's file ${before}; load the page again.`,
    );
  const known = knownSteps(around, SHELF, ask.value.steps);
  if (!known.ok) return known;
  let seq = before;
  let value = heldAt(file, heads, line, seq);
  let conflict: string | undefined;
  const at = around.now();
  for (const step of ask.value.steps.filter((_, i) => known.value[i] === undefined)) {
    const next = judgeStep("shelf", value, step);
    if (!next.ok && next.failure.code !== "does-not-apply") return next;
    if (!next.ok) {
      conflict ??= next.failure.sentence;
      continue;
    }
    value = next.value;
    appendStep(file, line, ++seq, step, at, value);
  }
  rememberHead(heads, line, seq, value);
  return ok(conflict === undefined ? { outcome: "kept", seq } : { outcome: "conflict", sentence: conflict, seq });
}
