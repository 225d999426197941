/** Undo and redo over steps that are never altered: an undo is a step of its own that says which one it takes back. */
import { applyChanges, type Change, inverseOf } from "@platewright/design";
import type { Result } from "@platewright/engine";
import { fail, ok } from "@platewright/engine";
import type { Step } from "@platewright/workshop/client";

export interface History {
  /** Steps that stand, the last one on top. */
  readonly done: readonly Step[];
  /** Steps taken back, the next one to bring again on top. */
  readonly undone: readonly Step[];
}

export const NO_HISTORY: History = { done: [], undone: [] };

/** What stands and what was taken back, after one more step. */
export function withStep({ done, undone }: History, step: Step): History {
  if (step.undoes !== undefined) {
    const last = done.at(-1);
    return last?.id === step.undoes
      ? { done: done.slice(0, -1), undone: [...undone, last] }
      : { done: done.filter((one) => one.id !== step.undoes), undone };
  }
  if (step.redoes !== undefined) {
    const last = undone.at(-1);
    return last?.id === step.redoes
      ? { done: [...done, last], undone: undone.slice(0, -1) }
      : { done: [...done, step], undone };
  }
  return { done: [...done, step], undone: [] };
}

export const historyOf = (steps: readonly Step[]): History => steps.reduce(withStep, NO_HISTORY);

/** The step that takes the last one back; undefined when nothing is left to undo. */
export function undoStep({ done }: History, id: string): Step | undefined {
  const last = done.at(-1);
  return last === undefined
    ? undefined
    : { id, title: `Undo: ${last.title}`, changes: last.changes.map(inverseOf).reverse(), undoes: last.id };
}

export function redoStep({ undone }: History, id: string): Step | undefined {
  const last = undone.at(-1);
  return last === undefined ? undefined : { id, title: `Again: ${last.title}`, changes: last.changes, redoes: last.id };
}

/** A thing with its steps: a line of a design, or the shelf. */
export interface Book<T extends object> {
  readonly value: T;
  readonly history: History;
  /** The number of the last step that the workshop has. */
  readonly seq: number;
  /** Steps that the workshop has not answered for yet, oldest first. */
  readonly unsent: readonly Step[];
}

export function takeStep<T extends object>(book: Book<T>, step: Step): Result<Book<T>, string> {
  const value = applyChanges(book.value, step.changes as readonly Change[]);
  return value.ok
    ? ok({ ...book, value: value.value, history: withStep(book.history, step), unsent: [...book.unsent, step] })
    : fail(value.failure.sentence);
}

/** An id for a step: a random UUID, made without `randomUUID`, which a page shared over plain HTTP does not have. */
export function stepId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x40;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
