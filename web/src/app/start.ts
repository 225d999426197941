/** What happens once when the page opens: shop, design, shelf, unsent steps of an earlier page, then the wires between. */
import { ok, type Result } from "@platewright/engine";
import type { KeepSteps, Refusal, ShopEvent, Workshop } from "@platewright/workshop/client";
import { handsOf, openSession, provenOf, type SessionStore } from "../state/session.ts";
import { openSync, readDesign, readShelf, type Waiting, waitingKey } from "../state/sync.ts";
import { stepId, takeStep } from "../state/history.ts";
import type { Around } from "../state/use-session.ts";
import { documentNow } from "../state/session.ts";
import type { Desk } from "../worker/desk.ts";

const LAST = "platewright.open";

export async function start(workshop: Workshop, desk: Desk): Promise<Result<Around, Refusal>> {
  const [shop, shelf] = await Promise.all([workshop.shop(), workshop.shelf()]);
  if (!shop.ok) return shop;
  if (!shelf.ok) return shelf;
  const last = lastOpened();
  const card = shop.value.designs.find((one) => one.key === last?.design) ?? shop.value.designs[0];
  if (card === undefined)
    return {
      ok: false,
      failure: {
        code: "empty",
        sentence: "The shop holds no design; bring one in with `platewright serve --data` and a design file.",
      },
    };
  const line = card.lines.find((one) => one.key === last?.line)?.key;
  const open = await workshop.open(card.key, line);
  if (!open.ok) return open;
  const session = openSession(open.value, shelf.value);
  if (shop.value.troubles.length > 0)
    session.setState({ notice: { level: "stop", sentence: shop.value.troubles.join(" ") } });
  const waiting = browserWaiting();
  takeUp(session, waiting);
  const hands = handsOf(session);
  const sync = openSync(session, workshop, waiting, (run, milliseconds) => {
    const timer = setTimeout(run, milliseconds);
    return () => clearTimeout(timer);
  });
  void sync.flush();
  layOnDesk(session, desk);
  hear(session, workshop);
  session.subscribe((state, before) => {
    if (state.line.key !== before.line.key || state.design.key !== before.design.key)
      localStorage.setItem(LAST, JSON.stringify({ design: state.design.key, line: state.line.key }));
  });
  return ok({ session, hands, workshop, flush: sync.flush });
}

function lastOpened(): { readonly design?: string; readonly line?: string } | undefined {
  try {
    return JSON.parse(localStorage.getItem(LAST) ?? "null") ?? undefined;
  } catch {
    return undefined;
  }
}

/**
 * Steps that an earlier page could not send are done again here, then sent. The workshop keeps a step once, so that it does
 * no harm when another tab, still open, sends the same.
 */
function takeUp(session: SessionStore, waiting: Waiting): void {
  const key = waitingKey(session.getState());
  for (const left of waiting.load(key)) {
    const { book } = session.getState();
    const known = new Set([...book.history.done, ...book.history.undone].map((step) => step.id));
    let next = { ...book, seq: book.unsent.length > 0 ? book.seq : Math.min(book.seq, left.after) };
    for (const step of left.steps) {
      if (known.has(step.id)) continue;
      const taken = takeStep(next, step);
      if (!taken.ok) break;
      next = taken.value;
    }
    if (next.unsent.length > book.unsent.length) session.setState({ book: next });
  }
  waiting.clear(key);
}

/** Every change of what is shown goes to the worker; the newest wins there. */
function layOnDesk(session: SessionStore, desk: Desk): void {
  const lay = () => {
    const state = session.getState();
    desk.lay({
      document: documentNow(state),
      kept: state.book.value,
      provenKey: `${state.design.key}/${state.design.proven ?? ""}`,
      proven: provenOf(state),
      shelf: state.shelf.value,
    });
  };
  lay();
  session.subscribe((state, before) => {
    if (
      state.book.value !== before.book.value ||
      state.hand !== before.hand ||
      state.design !== before.design ||
      state.shelf.value !== before.shelf.value
    )
      lay();
  });
}

/** Other pages and the command line keep things too: what is shown follows, unless something of ours waits. */
function hear(session: SessionStore, workshop: Workshop): void {
  const heard = ({ data }: MessageEvent<string>) => {
    const event = safeJson(data) as ShopEvent | undefined;
    if (event === undefined) return;
    const { design, line, book, shelf } = session.getState();
    switch (event.kind) {
      case "line":
        if (event.design !== design.key) return;
        if (event.line !== line.key || (event.seq > book.seq && book.unsent.length === 0))
          void readDesign(session, workshop);
        return;
      case "design":
        if (event.design === design.key) void readDesign(session, workshop);
        return;
      case "shelf":
        if (event.seq > shelf.seq && shelf.unsent.length === 0) void readShelf(session, workshop);
    }
  };
  const readAgain = () => {
    const { book, shelf } = session.getState();
    if (book.unsent.length === 0) void readDesign(session, workshop);
    if (shelf.unsent.length === 0) void readShelf(session, workshop);
  };
  let events: EventSource | undefined;
  const listen = () => {
    // A browser opens six connections to one address; a page that nobody looks at gives its own back.
    if (document.visibilityState === "hidden") {
      events?.close();
      events = undefined;
    } else if (events === undefined) {
      events = new EventSource(workshop.eventsAddress());
      events.addEventListener("message", heard);
      // What was kept before the line stood, or while it was broken, was not heard.
      events.addEventListener("open", readAgain);
    }
  };
  listen();
  document.addEventListener("visibilitychange", listen);
}

const safeJson = (text: string): unknown => {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
};

function browserWaiting(): Waiting {
  const own = (key: string) => `${key}.${tabId()}`;
  return {
    save: (key, ask) => localStorage.setItem(own(key), JSON.stringify(ask)),
    load: (key) =>
      Object.keys(localStorage)
        .filter((name) => name.startsWith(`${key}.`))
        .flatMap((name) => {
          // Written by this page alone; the workshop checks each step again.
          const left = safeJson(localStorage.getItem(name) ?? "") as KeepSteps | undefined;
          localStorage.removeItem(name);
          return left === undefined ? [] : [left];
        }),
    clear: (key) => localStorage.removeItem(own(key)),
  };
}

/** Tells this tab from others; stays over a reload. */
function tabId(): string {
  const known = sessionStorage.getItem("platewright.tab");
  if (known !== null) return known;
  const made = stepId();
  sessionStorage.setItem("platewright.tab", made);
  return made;
}
