/**
 * What the page holds: the open line of a design, the shelf, and what is in hand. Every edit goes through here as Changes.
 * A value being dragged is in hand: it is solved and shown at once and becomes one step when it is let go.
 */
import { applyChanges, type Change, type Document, type Revision, type ShelfFile } from "@platewright/design";
import type { DesignCard, Line, OpenDesign, ShelfState, Step } from "@platewright/workshop/client";
import { createStore, type StoreApi } from "zustand/vanilla";
import { type Book, historyOf, redoStep, stepId, takeStep, undoStep } from "./history.ts";

export interface Hand {
  /** "R4 750 Ω → 820 Ω", as the header says it. */
  readonly title: string;
  readonly changes: readonly Change[];
  /** Only looked at (a fix under the cursor), not held. */
  readonly preview?: boolean;
}

export interface Notice {
  readonly sentence: string;
  readonly level: "watch" | "stop" | "said";
  /** One thing to do about it. */
  readonly action?: { readonly words: string; readonly run: () => void };
}

export interface Session {
  readonly design: DesignCard;
  readonly line: Line;
  readonly revisions: OpenDesign["revisions"];
  readonly book: Book<Document>;
  readonly shelf: Book<ShelfFile>;
  readonly hand?: Hand;
  /** Things that a committed step moved, for the values that cool back to ink; its number tells one step from the next. */
  readonly cooling?: { readonly title: string; readonly step: string };
  readonly notice?: Notice;
  /** Undefined: the workshop has everything. Else why it has not. */
  readonly unsaved?: string;
}

export type SessionStore = StoreApi<Session>;

/** Which of the two books an edit is of. */
export type BookName = "book" | "shelf";

export function bookOf<T extends object>(value: T, seq: number, steps: readonly Step[]): Book<T> {
  return { value, seq, history: historyOf(steps), unsent: [] };
}

export function openSession(open: OpenDesign, shelf: ShelfState): SessionStore {
  return createStore<Session>(() => ({ ...lineState(open), shelf: bookOf(shelf.shelf, shelf.seq, shelf.steps) }));
}

export const lineState = (open: OpenDesign): Pick<Session, "design" | "line" | "revisions" | "book"> => ({
  design: open.design,
  line: open.line,
  revisions: open.revisions,
  book: bookOf(open.document, open.line.seq, open.steps),
});

/** The document with what is in hand; what every screen shows. */
export function documentNow({ book, hand }: Pick<Session, "book" | "hand">): Document {
  if (hand === undefined) return book.value;
  const changed = applyChanges(book.value, hand.changes);
  return changed.ok ? changed.value : book.value;
}

export function provenOf({ design, revisions }: Pick<Session, "design" | "revisions">): Revision | undefined {
  const found = revisions.find((one) => one.id === design.proven);
  if (found === undefined) return undefined;
  const { line: _line, seq: _seq, ...revision } = found;
  return revision;
}

export interface Hands {
  /** Takes changes in hand: shown and solved, not kept. Changes are against the document as it is kept. */
  readonly hold: (title: string, changes: readonly Change[], preview?: boolean) => void;
  /** Puts down what is in hand without keeping it. */
  readonly drop: () => void;
  /** Keeps what is in hand as one step. */
  readonly keepHand: () => void;
  /** Keeps changes as one step at once. */
  readonly keep: (title: string, changes: readonly Change[], book?: BookName) => boolean;
  readonly undo: (book?: BookName) => void;
  readonly redo: (book?: BookName) => void;
  readonly say: (notice: Notice | undefined) => void;
}

export function handsOf(store: SessionStore): Hands {
  const put = (name: BookName, step: Step | undefined): boolean => {
    if (step === undefined) return false;
    const state = store.getState();
    const taken = name === "book" ? takeStep(state.book, step) : takeStep(state.shelf, step);
    if (!taken.ok) {
      store.setState({ ...without(state, "hand"), notice: { sentence: taken.failure, level: "watch" } }, true);
      return false;
    }
    store.setState(
      {
        ...without(passing(state.notice) ? without(state, "notice") : state, "hand"),
        [name]: taken.value,
        cooling: { title: step.title, step: step.id },
      },
      true,
    );
    return true;
  };
  const keep: Hands["keep"] = (title, changes, name = "book") =>
    changes.length > 0 && put(name, { id: stepId(), title: title.slice(0, 300), changes: [...changes] });
  return {
    hold: (title, changes, preview) => {
      if (!applyChanges(store.getState().book.value, changes).ok) return;
      store.setState({ hand: { title, changes, ...(preview === true ? { preview } : {}) } });
    },
    drop: () => store.setState(without(store.getState(), "hand"), true),
    keepHand: () => {
      const { hand } = store.getState();
      if (hand === undefined || hand.preview === true) return;
      if (hand.changes.every(({ before, after }) => before === after))
        store.setState(without(store.getState(), "hand"), true);
      else keep(hand.title, hand.changes);
    },
    keep,
    undo: (name = "book") => void put(name, undoStep(store.getState()[name].history, stepId())),
    redo: (name = "book") => void put(name, redoStep(store.getState()[name].history, stepId())),
    say: (notice) =>
      notice === undefined ? store.setState(without(store.getState(), "notice"), true) : store.setState({ notice }),
  };
}

/** A word about one edit goes with the next; what asks for a decision stays until it is closed. */
const passing = (notice: Notice | undefined): boolean =>
  notice !== undefined && notice.action === undefined && notice.level !== "stop";

export function without<T extends object>(state: T, key: keyof T): T {
  if (!(key in state)) return state;
  const { [key]: _gone, ...rest } = state;
  return rest as T;
}

/** Steps that the workshop answered for leave the waiting list. */
export const sent = <T extends object>(book: Book<T>, count: number, seq: number): Book<T> => ({
  ...book,
  seq,
  unsent: book.unsent.slice(count),
});
