/**
 * Changes of a document: applied, inverted, found between two documents.
 *
 * A target is a path: keys joined by dots, members of a list named by their id in brackets, as is a key that itself holds a
 * dot ("blocks.channel.parts[R3].value", "instances[L].overrides.R3.value", "envelopes[V1].wiring"). `before` is what must
 * stand there; when it does not, nothing is changed and the conflict says what was found. Lists whose members have no id,
 * or whose members come and go, change as a whole.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { Change } from "../findings.ts";
import type { Document } from "./schema.ts";

export interface ChangeConflict {
  readonly target: string;
  readonly sentence: string;
  readonly expected: unknown;
  readonly found: unknown;
}

type Plain = Readonly<Record<string, unknown>>;

const isPlain = (value: unknown): value is Plain =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** Keys of a target; undefined when it is not one. */
export function pathOf(target: string): readonly string[] | undefined {
  const keys: string[] = [];
  const pattern = /(?:^|\.)([^.[\]]+)|\[([^[\]]+)\]/gy;
  while (pattern.lastIndex < target.length) {
    const match = pattern.exec(target);
    if (match === null) return undefined;
    keys.push((match[1] ?? match[2]) as string);
  }
  return keys.length === 0 ? undefined : keys;
}

/** Lists whose members are named by themselves. */
const UNSAID: ReadonlySet<string> = new Set([
  "blocks",
  "parts",
  "instances",
  "overrides",
  "envelopes",
  "items",
  "holes",
]);

/** "chassis.items[V3].degrees" → "chassis V3 degrees", "supply.rectifier.seriesOhms" → "supply rectifier series ohms". */
const spokenTarget = (keys: readonly string[]): string =>
  keys
    .filter((key, i) => i === keys.length - 1 || !UNSAID.has(key))
    .map((key) => (/^[a-z]+([A-Z][a-z]+)+$/.test(key) ? key.replace(/[A-Z]/g, (one) => ` ${one.toLowerCase()}`) : key))
    .join(" ");

/** Applies one change to a document (or to a shelf: any plain data whose members have ids); it is never touched itself. */
export function applyChange<T extends object = Document>(document: T, change: Change): Result<T, ChangeConflict> {
  const keys = pathOf(change.target);
  const refuse = (sentence: string, found: unknown) =>
    fail({ target: change.target, sentence, expected: change.before, found });
  if (keys === undefined) return refuse(`'${change.target}' names no place in the document.`, undefined);
  const missing: string[] = [];
  const put = (node: unknown, depth: number): unknown => {
    const key = keys[depth] as string;
    const here = member(node, key);
    if (depth === keys.length - 1) {
      if (!same(here, change.before)) throw new Conflict(here);
      return withMember(node, key, change.after);
    }
    if (here === undefined) {
      missing.push(key);
      throw new Conflict(undefined);
    }
    return withMember(node, key, put(here, depth + 1));
  };
  try {
    return ok(put(document, 0) as T);
  } catch (thrown) {
    if (!(thrown instanceof Conflict)) throw thrown;
    return missing.length > 0
      ? refuse(`${spokenTarget(keys)}: there is no ${missing[0] ?? ""} any more.`, undefined)
      : refuse(
          `${spokenTarget(keys)} is ${shown(thrown.found)} and not ${shown(change.before)} any more; it was changed meanwhile.`,
          thrown.found,
        );
  }
}

/** Applies changes in order; the first conflict ends it and nothing is changed. */
export function applyChanges<T extends object = Document>(
  document: T,
  changes: readonly Change[],
): Result<T, ChangeConflict> {
  let now = document;
  for (const change of changes) {
    const next = applyChange(now, change);
    if (!next.ok) return next;
    now = next.value;
  }
  return ok(now);
}

/** The change that undoes this one. */
export function inverseOf(change: Change): Change {
  return {
    target: change.target,
    ...(change.after === undefined ? {} : { before: change.after }),
    ...(change.before === undefined ? {} : { after: change.before }),
  };
}

/** The changes that lead from one document to the other, in document order. Applied to `before` they give `after`. */
export function diffDocuments<T extends object = Document>(before: T, after: T): readonly Change[] {
  const changes: Change[] = [];
  compare("", before, after, changes);
  return changes;
}

function compare(target: string, before: unknown, after: unknown, changes: Change[]): void {
  if (same(before, after)) return;
  const leaf = () =>
    changes.push({
      target,
      ...(before === undefined ? {} : { before }),
      ...(after === undefined ? {} : { after }),
    });
  if (isPlain(before) && isPlain(after) && (target === "" || sharesKeys(before, after))) {
    for (const key of new Set([...Object.keys(before), ...Object.keys(after)]))
      compare(join(target, key), own(before, key), own(after, key), changes);
    return;
  }
  const [were, are] = [idsOf(before), idsOf(after)];
  if (were === undefined || are === undefined || were.join("\n") !== are.join("\n")) {
    leaf();
    return;
  }
  for (const [i, id] of were.entries())
    compare(`${target}[${id}]`, (before as readonly unknown[])[i], (after as readonly unknown[])[i], changes);
}

/** Records with no key in common (a wire that goes elsewhere) are replaced, not edited. */
const sharesKeys = (before: Plain, after: Plain): boolean =>
  Object.keys(before).some((key) => Object.hasOwn(after, key));

const join = (target: string, key: string): string =>
  /[.[\]]/.test(key) ? `${target}[${key}]` : target === "" ? key : `${target}.${key}`;

/** Ids of a list whose members all have one, each once. */
function idsOf(value: unknown): readonly string[] | undefined {
  if (!Array.isArray(value)) return undefined;
  const ids = value.map((one: unknown) => (isPlain(one) && typeof one.id === "string" ? one.id : undefined));
  if (ids.some((id) => id === undefined) || new Set(ids).size !== ids.length) return undefined;
  return ids as readonly string[];
}

const own = (record: Plain, key: string): unknown => (Object.hasOwn(record, key) ? record[key] : undefined);

function member(node: unknown, key: string): unknown {
  if (Array.isArray(node)) return node.find((one: unknown) => isPlain(one) && one.id === key);
  return isPlain(node) ? own(node, key) : undefined;
}

function withMember(node: unknown, key: string, value: unknown): unknown {
  if (Array.isArray(node)) {
    const at = node.findIndex((one: unknown) => isPlain(one) && one.id === key);
    if (value === undefined) return node.filter((_, i) => i !== at);
    return at < 0 ? [...(node as unknown[]), value] : node.map((one: unknown, i) => (i === at ? value : one));
  }
  const record = isPlain(node) ? node : {};
  if (value === undefined) return Object.fromEntries(Object.entries(record).filter(([name]) => name !== key));
  // Keys are defined, not assigned: one called "__proto__" is a key like any other.
  return Object.fromEntries(
    [...Object.entries(record).filter(([name]) => name !== key), [key, value]].sort(byOrder(record)),
  );
}

/** Keeps the order of keys that were there; new ones come last. */
const byOrder = (record: Plain) => {
  const order = Object.keys(record);
  const rank = (key: string) => (order.includes(key) ? order.indexOf(key) : order.length);
  return (a: readonly unknown[], b: readonly unknown[]) => rank(a[0] as string) - rank(b[0] as string);
};

class Conflict extends Error {
  readonly found: unknown;
  constructor(found: unknown) {
    super("conflict");
    this.found = found;
  }
}

/** Deep equality of plain data, whatever the order of keys. */
export function same(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((one: unknown, i) => same(one, b[i] as unknown));
  if (!isPlain(a) || !isPlain(b)) return false;
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every((key) => Object.hasOwn(b, key) && same(a[key], b[key]));
}

function shown(value: unknown): string {
  if (value === undefined) return "not there";
  const text = JSON.stringify(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}
