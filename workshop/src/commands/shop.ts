/** Designs of the shop, where commands take files: `shop:NAME` is a design by its key or its name. */
import {
  type DesignFile,
  diffDocuments,
  type Document,
  provenRevision,
  type ReworkAnswer,
  same,
  type ShelfFile,
} from "@platewright/design";
import type { Step } from "../client/contract.ts";
import type { Io } from "../io.ts";
import { badInput } from "../outcome.ts";
import { reworkMoves } from "../store/rework-steps.ts";
import { stepIdOf } from "../store/step-id.ts";
import type { Store, Stored } from "../store/store.ts";

const PREFIX = "shop:";
/** The shelf of the shop, where a command takes a shelf file. */
const SHELF = `${PREFIX}shelf`;

export const isInShop = (path: string): boolean => path.startsWith(PREFIX);

/** The working line's document, the revisions and what is proven, as a design file. */
export const shopDesign = (io: Io, path: string): DesignFile =>
  withStore(io, path, (store) => taken(path, store.exportDesign(keyOf(store, path))).design);

export const shopShelf = (io: Io, path: string): ShelfFile =>
  path === SHELF
    ? withStore(io, path, (store) => taken(path, store.shelf()).shelf)
    : badInput(`${path}: the shop has one shelf, ${SHELF}.`);

/** Keeps a rework as a new line of a design, which begins at its proven revision; answers in words what was kept. */
export function keepRework(io: Io, path: string, reworked: Document, done: ReworkAnswer): string {
  return withStore(io, path, (store) => {
    const key = keyOf(store, path);
    const { design } = taken(path, store.exportDesign(key));
    const open = taken(path, store.open(key));
    const proven = provenRevision(design);
    const base = proven?.document ?? open.document;
    const moves = same(base, reworked)
      ? reworkMoves(base, done)
      : [{ title: `Rework of ${reworked.name}`, changes: diffDocuments(base, done.document) }];
    if (moves.every((move) => move.changes.length === 0))
      return badInput(`${path}: the rework changes nothing there, so that there is nothing to keep.`);
    const fitted = done.fitted.map((one) => `${one.type} in ${one.envelopes.join(" and ")}`).join(", ");
    const name = `Rework: ${fitted === "" ? "values" : fitted}`.slice(0, 120);
    const from = proven === undefined ? { line: open.line.key, seq: open.line.seq } : { revision: proven.id };
    const line = taken(path, store.branch(key, { name, from, why: "branch" }));
    const steps = moves.map(
      ({ title, changes }, i): Step => ({ id: stepIdOf(key, line.key, i, title), title, changes: [...changes] }),
    );
    taken(path, store.keep(key, line.key, { after: 0, steps }));
    const many = `${steps.length} step${steps.length === 1 ? "" : "s"}`;
    return `the rework is kept in the shop: ${many} on a new line “${line.name}” of ${open.design.name}; nothing that was there is changed`;
  });
}

function withStore<T>(io: Io, path: string, work: (store: Store) => T): T {
  if (io.shop === undefined) return badInput(`${path}: there is no shop at hand here; name a file.`);
  const store = io.shop();
  try {
    const shop = store.shop();
    if (shop.ok) for (const trouble of shop.value.troubles) io.error(`${trouble}\n`);
    return work(store);
  } finally {
    store.close();
  }
}

function keyOf(store: Store, path: string): string {
  const said = path.slice(PREFIX.length);
  const { designs } = taken(path, store.shop());
  const plain = said.trim().toLowerCase();
  const found = designs.find((one) => one.key === plain) ?? designs.find((one) => one.name.toLowerCase() === plain);
  if (found !== undefined) return found.key;
  const names = designs.map((one) => `${PREFIX}${one.key}`).join(", ");
  return badInput(`${path}: the shop has no such design; it has ${names === "" ? "none yet" : names}.`);
}

const taken = <T>(path: string, stored: Stored<T>): T =>
  stored.ok ? stored.value : badInput(`${path}: ${stored.failure.sentence}`);
