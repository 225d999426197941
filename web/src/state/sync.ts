/**
 * Sends steps to the workshop as they are made, in order, one message at a time. What could not be sent waits, also in the
 * browser's own storage, so that neither a stopped server nor a closed tab loses it.
 */
import { isPassing, type KeepSteps, type Step, type Workshop } from "@platewright/workshop/client";
import { bookOf, lineState, sent, type Session, type SessionStore, without } from "./session.ts";

/** Most steps in one message; the workshop takes 200. */
const MOST_STEPS = 100;
const RETRY_MILLISECONDS = [500, 1000, 2000, 4000, 8000] as const;

/** Where steps wait over a reload: the browser's storage, a place for each tab; or a map in a test. */
export interface Waiting {
  readonly save: (key: string, ask: KeepSteps) => void;
  /** What this tab and tabs that are gone left for a line. */
  readonly load: (key: string) => readonly KeepSteps[];
  readonly clear: (key: string) => void;
}

export interface Sync {
  /** Sends what waits; resolves when nothing does or the workshop does not answer. */
  readonly flush: () => Promise<void>;
  readonly close: () => void;
}

export function openSync(
  store: SessionStore,
  workshop: Workshop,
  waiting: Waiting,
  later: (run: () => void, milliseconds: number) => () => void,
): Sync {
  let busy: Promise<void> | undefined;
  let cancel: (() => void) | undefined;
  let failures = 0;
  let closed = false;

  const trouble = (sentence: string) => {
    store.setState({ unsaved: sentence });
    const wait = RETRY_MILLISECONDS[Math.min(failures++, RETRY_MILLISECONDS.length - 1)] as number;
    cancel?.();
    cancel = later(() => void flush(), wait);
  };
  const calm = () => {
    failures = 0;
    if (store.getState().unsaved !== undefined) store.setState(without(store.getState(), "unsaved"), true);
  };

  /** Sends the design's waiting steps; false when the workshop did not take them. */
  const sendDesign = async (): Promise<boolean> => {
    const { book, design, line } = store.getState();
    if (book.unsent.length === 0) return true;
    const steps = book.unsent.slice(0, MOST_STEPS) as Step[];
    const ask = { after: book.seq, steps };
    const kept = await workshop.keep(design.key, line.key, ask);
    const state = store.getState();
    if (!kept.ok) {
      if (isPassing(kept.failure)) trouble(kept.failure.sentence);
      else await refused(kept.failure.sentence);
      return false;
    }
    const book2 = sent(state.book, steps.length, kept.value.seq);
    if (kept.value.outcome === "kept") {
      if (book2.unsent.length === 0) waiting.clear(waitingKey(state));
      store.setState({ book: book2, line: { ...state.line, seq: kept.value.seq } });
    } else {
      const { besides, name, line: key, seq } = kept.value;
      const reopened = await workshop.open(design.key, key);
      waiting.clear(waitingKey(state));
      store.setState({
        book: book2,
        ...(reopened.ok
          ? { design: reopened.value.design, line: reopened.value.line }
          : { line: { ...state.line, key, seq, name } }),
        notice: {
          level: "watch",
          sentence: `Someone else changed this design first, so your work is kept beside it as “${name}”. Nothing is lost; compare the two under Revisions.`,
          action: { words: "Open the other one", run: () => void openLine(store, workshop, design.key, besides) },
        },
      });
    }
    return true;
  };

  const sendShelf = async (): Promise<boolean> => {
    const { shelf } = store.getState();
    if (shelf.unsent.length === 0) return true;
    const steps = shelf.unsent.slice(0, MOST_STEPS) as Step[];
    const kept = await workshop.keepShelf({ after: shelf.seq, steps });
    if (!kept.ok) {
      if (isPassing(kept.failure)) trouble(kept.failure.sentence);
      else await refused(kept.failure.sentence);
      return false;
    }
    if (kept.value.outcome === "conflict") {
      await refused(kept.value.sentence);
      return false;
    }
    const now = store.getState().shelf;
    // Another hand's steps came between: read the shelf again once ours are in.
    const overtaken = kept.value.seq !== shelf.seq + steps.length;
    store.setState({ shelf: sent(now, steps.length, kept.value.seq) });
    if (overtaken && store.getState().shelf.unsent.length === 0) await readShelf(store, workshop);
    return true;
  };

  /** The workshop would not take a step: the page shows what is kept and says why. */
  const refused = async (sentence: string) => {
    const { design, line } = store.getState();
    const [open, shelf] = [await workshop.open(design.key, line.key), await workshop.shelf()];
    waiting.clear(waitingKey(store.getState()));
    if (open.ok) store.setState({ ...without(store.getState(), "hand"), ...lineState(open.value) }, true);
    if (shelf.ok) store.setState({ shelf: bookOf(shelf.value.shelf, shelf.value.seq, shelf.value.steps) });
    store.setState({ notice: { level: "stop", sentence: `Not kept: ${sentence}` } });
  };

  const work = async () => {
    for (;;) {
      const { book, shelf } = store.getState();
      if (book.unsent.length === 0 && shelf.unsent.length === 0) return calm();
      if (closed || !((await sendDesign()) && (await sendShelf()))) return;
    }
  };
  const flush = () => {
    cancel?.();
    busy ??= work().finally(() => {
      busy = undefined;
    });
    return busy;
  };
  const remember = (state: Session) => {
    if (state.book.unsent.length > 0)
      waiting.save(waitingKey(state), { after: state.book.seq, steps: [...state.book.unsent] });
  };
  remember(store.getState());
  const leave = store.subscribe((state, before) => {
    if (state.book.unsent !== before.book.unsent) remember(state);
    if (state.book.unsent !== before.book.unsent || state.shelf.unsent !== before.shelf.unsent)
      if (state.book.unsent.length + state.shelf.unsent.length > 0 && state.unsaved === undefined) void flush();
  });
  return {
    flush,
    close: () => {
      closed = true;
      leave();
      cancel?.();
    },
  };
}

export const waitingKey = ({ design, line }: Pick<Session, "design" | "line">): string =>
  `platewright.unsent.${design.key}.${line.key}`;

/** Opens another line of a design in this page. */
export async function openLine(
  store: SessionStore,
  workshop: Workshop,
  design: string,
  line?: string,
): Promise<boolean> {
  const open = await workshop.open(design, line);
  if (!open.ok) {
    store.setState({ notice: { level: "stop", sentence: open.failure.sentence } });
    return false;
  }
  store.setState({ ...without(without(store.getState(), "hand"), "notice"), ...lineState(open.value) }, true);
  return true;
}

export async function readShelf(store: SessionStore, workshop: Workshop): Promise<void> {
  const shelf = await workshop.shelf();
  if (shelf.ok) store.setState({ shelf: bookOf(shelf.value.shelf, shelf.value.seq, shelf.value.steps) });
}

/** Reads the design's card and revisions again, when another hand changed them. */
export async function readDesign(store: SessionStore, workshop: Workshop): Promise<void> {
  const { design, line } = store.getState();
  const open = await workshop.open(design.key, line.key);
  if (!open.ok) return;
  const { book } = store.getState();
  const same = open.value.line.seq === book.seq || book.unsent.length > 0;
  store.setState(same ? { design: open.value.design, revisions: open.value.revisions } : lineState(open.value));
}
