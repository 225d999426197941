/**
 * Makes the files of packs for pages: one at a time, and in turns, so that steps are kept and others are answered while a
 * pack is made. What writes them is loaded with the first.
 */
import { setImmediate as nextTurn } from "node:timers/promises";
import { type Catalogue, fail, type Result } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { PackWanted, Refusal } from "../client/contract.ts";
import { type WantedFile, wantedFile } from "../pack/wanted-file.ts";
import type { Store } from "../store/index.ts";
import { refusal } from "./refusals.ts";

export type PackMaker = (design: string, ask: PackWanted) => Promise<Result<WantedFile, Refusal>>;

/** More that wait are refused: a page waits for its file before it asks for the next. */
const MOST_WAITING = 8;

export function openPackMaker(store: Store, catalogue: Catalogue): PackMaker {
  let last: Promise<unknown> = Promise.resolve();
  let waiting = 0;
  return async (design, ask) => {
    if (waiting >= MOST_WAITING)
      return fail(refusal("busy", `${MOST_WAITING} packs are being made already; ask again in a moment.`));
    waiting++;
    const mine = last.then(() => make(store, catalogue, design, ask));
    last = mine.catch(() => undefined).finally(() => waiting--);
    return mine;
  };
}

async function make(
  store: Store,
  catalogue: Catalogue,
  design: string,
  ask: PackWanted,
): Promise<Result<WantedFile, Refusal>> {
  const open = store.open(design, ask.line);
  if (!open.ok) return open;
  const shelf = store.shelf();
  if (!shelf.ok) return shelf;
  const { document, revisions, line } = open.value;
  const { proven } = open.value.design;
  if (line.seq !== ask.seq)
    return fail(
      refusal("moved-on", `${line.name} has ${line.seq} steps and the page knows ${ask.seq}; load the page again.`),
    );
  const { toPdf } = await import("../writers/pdf.ts");
  return inTurns(
    wantedFile({ now: document, revisions, ...(proven === undefined ? {} : { proven }) }, shelf.value.shelf, ask, {
      catalogue,
      footprints,
      toPdf,
    }),
  );
}

async function inTurns<T>(steps: Generator<unknown, T>): Promise<T> {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
    await nextTurn();
  }
}
