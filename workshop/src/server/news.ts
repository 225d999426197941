/**
 * Tells open pages what was kept, whoever kept it: this server for a page, or another process with the same file open.
 * One way for all: what the shop holds is compared with what it held when it was last looked at.
 */
import type { DesignCard, ShopEvent } from "../client/contract.ts";
import type { Store } from "../store/index.ts";

export interface News {
  /** Calls `told` with each event from now on, `over` when the server stops; answers how to stop hearing. */
  readonly hear: (told: (event: ShopEvent | "still-here") => void, over: () => void) => () => void;
  readonly listeners: () => number;
  readonly tell: (event: ShopEvent | "still-here") => void;
  /** Something was kept here: look in a moment, once for many. */
  readonly soon: () => void;
  readonly close: () => void;
}

/** What is compared: small enough to keep, whole enough that any change shows. */
export interface Holding {
  readonly designs: ReadonlyMap<string, { readonly card: string; readonly lines: ReadonlyMap<string, number> }>;
  readonly shelfSeq: number;
}

export function holdingOf(designs: readonly DesignCard[], shelfSeq: number): Holding {
  return {
    shelfSeq,
    designs: new Map(
      designs.map((design) => [
        design.key,
        {
          card: JSON.stringify([
            design.name,
            design.proven,
            design.revisions,
            design.lines.map((one) => [one.key, one.name]),
          ]),
          lines: new Map(design.lines.map((line) => [line.key, line.seq])),
        },
      ]),
    ),
  };
}

export function eventsBetween(before: Holding, now: Holding): readonly ShopEvent[] {
  const events: ShopEvent[] = [];
  for (const [design, { card, lines }] of now.designs) {
    const was = before.designs.get(design);
    if (was?.card !== card) events.push({ kind: "design", design });
    for (const [line, seq] of lines) if (was?.lines.get(line) !== seq) events.push({ kind: "line", design, line, seq });
  }
  if (now.shelfSeq !== before.shelfSeq) events.push({ kind: "shelf", seq: now.shelfSeq });
  return events;
}

export interface NewsHow {
  /** Where an error goes that nobody expected while looking; pages then hear with the next look. */
  readonly complain: (error: unknown) => void;
  /** How often other processes are looked for. */
  readonly everyMilliseconds?: number;
  /** How long a look waits for more of the same. */
  readonly soonMilliseconds?: number;
}

/** A network that went away is noticed when something is sent into it. */
const STILL_HERE_MILLISECONDS = 30_000;

export function openNews(store: Store, { complain, everyMilliseconds = 1000, soonMilliseconds = 30 }: NewsHow): News {
  const hearers = new Map<
    symbol,
    { readonly told: (event: ShopEvent | "still-here") => void; readonly over: () => void }
  >();
  let held: Holding | undefined;
  let others: number | undefined;
  let waiting: NodeJS.Timeout | undefined;

  const tell = (event: ShopEvent | "still-here") => {
    for (const { told } of hearers.values()) told(event);
  };
  const version = (): number | undefined => {
    const seen = store.changesOfOthers();
    return seen.ok ? seen.value : undefined;
  };
  /** False when the file did not let itself be read; the next look will. */
  const look = (): boolean => {
    try {
      return looked();
    } catch (error) {
      complain(error);
      return false;
    }
  };
  const looked = (): boolean => {
    const shop = store.shop();
    const shelf = store.shelf();
    if (!shop.ok || !shelf.ok) return false;
    const now = holdingOf(shop.value.designs, shelf.value.seq);
    const events = held === undefined ? [] : eventsBetween(held, now);
    held = now;
    for (const event of events) tell(event);
    return true;
  };
  const soon = () => {
    if (hearers.size === 0) return;
    waiting ??= setTimeout(() => {
      waiting = undefined;
      look();
    }, soonMilliseconds);
  };
  const polling = setInterval(() => {
    if (hearers.size === 0) return;
    const seen = version();
    if (seen !== undefined && seen !== others && look()) others = seen;
  }, everyMilliseconds);
  const living = setInterval(() => tell("still-here"), STILL_HERE_MILLISECONDS);
  polling.unref();
  living.unref();

  return {
    hear: (told, over) => {
      // What was kept while nobody listened is no news: whoever comes has just read the shop.
      if (hearers.size === 0) {
        held = undefined;
        others = version();
        look();
      }
      const key = Symbol("hearer");
      hearers.set(key, { told, over });
      return () => void hearers.delete(key);
    },
    listeners: () => hearers.size,
    tell,
    soon,
    close: () => {
      clearInterval(polling);
      clearInterval(living);
      clearTimeout(waiting);
      for (const { over } of hearers.values()) over();
      hearers.clear();
    },
  };
}
