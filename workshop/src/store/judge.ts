/** Whether what a step leads to may be kept. */
import { applyChanges, type Change, checkDocument, checkShelf, same } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { Step } from "../client/contract.ts";
import type { Held } from "./lines.ts";
import { refuse } from "./refuse.ts";
import type { Row } from "./rows.ts";
import type { Stored } from "./store.ts";

export type Kind = Row<"designs">["kind"];

/** Far above any document; what a line would have to carry in memory for ever. */
const MOST_BYTES = 2_000_000;

/** The value after the step, when its changes apply and what they make is sound. */
export function judgeStep(kind: Kind, before: Held, step: Step): Stored<Held> {
  const applied = applyChanges(before, step.changes as readonly Change[]);
  if (!applied.ok) return refuse("does-not-apply", `“${step.title}” was not kept: ${applied.failure.sentence}`);
  const sound = judgeHeld(kind, applied.value);
  return sound.ok ? sound : refuse("not-sound", `“${step.title}” was not kept: ${sound.failure.sentence}`);
}

export function judgeHeld(kind: Kind, value: unknown): Stored<Held> {
  const judged = kind === "design" ? checkDocument(value) : checkShelf(value);
  if (!judged.ok) return refuse("not-sound", judged.failure.sentence);
  // What the schema read past (a key "__proto__") would be kept without having been judged.
  if (!same(judged.value, value)) return refuse("not-sound", "It holds a key that is not known here.");
  if (JSON.stringify(value).length > MOST_BYTES)
    return refuse("too-large", `It would have more than ${MOST_BYTES / 1e6} MB; no design comes near.`);
  return ok(value as Held);
}
