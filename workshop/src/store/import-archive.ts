/** A shop archive comes in: designs that are not here yet, beside those that are; all of it or nothing. */
import { applyChanges, type Change, type ShelfFile } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { Imported, Step } from "../client/contract.ts";
import { archivedDesign } from "./archive.ts";
import {
  type ArchivedDesign,
  archivedDesignSchema,
  archivedShelfSchema,
  memberOf,
  SHELF_MEMBER,
} from "./archive-format.ts";
import { type Around, SHELF } from "./around.ts";
import { canonicalJson, deeperThan } from "./canonical.ts";
import { designRows, nameOf } from "./designs.ts";
import { takenKeys, takenNames } from "./import-design.ts";
import { importShelf } from "./import-shelf.ts";
import { judgeHeld } from "./judge.ts";
import { appendStep, type Held } from "./lines.ts";
import { keyFor, nameFor } from "./names.ts";
import { refuse } from "./refuse.ts";
import { insert, type Row } from "./rows.ts";
import type { Stored } from "./store.ts";
import { jsonOf, unpackArchive } from "./unzip.ts";

const DEEPEST = 60;

export function importArchive(around: Around, bytes: Uint8Array): Stored<readonly Imported[]> {
  const members = unpackArchive(bytes);
  if (!members.ok) return members;
  const done: Imported[] = [];
  for (const [path, text] of members.value) {
    const given = jsonOf(text);
    if (given === undefined || deeperThan(given, DEEPEST))
      return refuse("archive-member", `The archive's ${path} is not JSON as it is written here; nothing was taken in.`);
    const imported = path === SHELF_MEMBER ? shelfMember(around, given) : designMember(around, path, given);
    if (!imported.ok) return refuse(imported.failure.code, `${path}: ${imported.failure.sentence}`);
    done.push(imported.value);
  }
  return ok(done);
}

function shelfMember(around: Around, given: unknown): Stored<Imported> {
  const shelf = archivedShelfSchema.safeParse(given);
  if (!shelf.success) return refuse("archive-member", "It is not written as a shelf is; nothing was taken in.");
  const base = judgeHeld("shelf", shelf.data.base);
  if (!base.ok) return base;
  return importShelf(around, base.value as unknown as ShelfFile, shelf.data.steps.map(withoutTime));
}

const withoutTime = ({ at: _at, ...step }: Step & { readonly at: string }): Step => step;

function designMember(around: Around, path: string, given: unknown): Stored<Imported> {
  const read = archivedDesignSchema.safeParse(given);
  if (!read.success || memberOf(read.data.key) !== path || read.data.key === SHELF)
    return refuse("archive-member", "It is not written as a design of an archive is; nothing was taken in.");
  const design = read.data;
  const { file } = around;
  const facts = factsOf(design);
  for (const row of designRows(file)) {
    const here = new Set(factsOf(archivedDesign(file, row)));
    if (facts.every((fact) => here.has(fact)))
      return ok({ outcome: "already-here", design: row.key, name: nameOf(file, row.key) });
  }
  const heads = judgeLines(design);
  if (!heads.ok) return heads;
  const wrong = references(design);
  if (wrong !== undefined) return refuse("archive-member", `${wrong} Nothing was taken in.`);
  const names = takenNames(file);
  const key = keyFor(design.key, takenKeys(file));
  const name = design.names.at(-1)?.name ?? design.key;
  const free = nameFor(name, names);
  keepDesign(
    around,
    key,
    free === name ? design : { ...design, names: [...design.names, { name: free, at: around.now() }] },
    heads.value,
  );
  return ok({ outcome: key === design.key && free === name ? "added" : "added-beside", design: key, name: free });
}

/** Everything that a design says, each as one text: another has it all when it has each of them. */
function factsOf({ lines, revisions, pins }: ArchivedDesign): readonly string[] {
  return [
    ...lines.flatMap(({ steps, name: _name, ...line }) => [
      canonicalJson(["line", line]),
      ...steps.map((step, i) => canonicalJson(["step", line.key, i, step])),
    ]),
    ...revisions.map((revision) => canonicalJson(["revision", revision])),
    ...pins.map((pin) => canonicalJson(["pin", pin])),
  ];
}

/** What each line holds after each of its steps. Bases and last documents are judged; those between when they are used. */
function judgeLines(design: ArchivedDesign): Stored<ReadonlyMap<string, readonly Held[]>> {
  const all = new Map<string, readonly Held[]>();
  const ids = new Set<string>();
  for (const line of design.lines) {
    if (all.has(line.key))
      return refuse("archive-member", `The line ${line.key} is there twice; nothing was taken in.`);
    const base = judgeHeld("design", line.base);
    if (!base.ok) return base;
    const values: Held[] = [];
    for (const step of line.steps) {
      if (ids.has(step.id))
        return refuse("archive-member", `A step of ${line.key} is there twice; nothing was taken in.`);
      ids.add(step.id);
      const next = applyChanges(values.at(-1) ?? base.value, step.changes as readonly Change[]);
      if (!next.ok) return refuse("does-not-apply", `“${step.title}” does not fit: ${next.failure.sentence}`);
      values.push(next.value);
    }
    const last = judgeHeld("design", values.at(-1) ?? base.value);
    if (!last.ok) return last;
    all.set(line.key, values);
  }
  for (const { id, document } of design.revisions) {
    const sound = judgeHeld("design", document);
    if (!sound.ok) return refuse(sound.failure.code, `Revision ${id}: ${sound.failure.sentence}`);
  }
  return ok(all);
}

/** What leads nowhere, in one sentence. */
function references({ lines, revisions, pins }: ArchivedDesign): string | undefined {
  const steps = new Map(lines.map((line) => [line.key, line.steps.length]));
  const ids = new Set(revisions.map((one) => one.id));
  if (ids.size !== revisions.length) return "Two revisions have one name.";
  for (const line of lines) {
    if (line.fromLine !== null && (steps.get(line.fromLine) ?? -1) < (line.fromSeq ?? 0))
      return `The line ${line.key} begins where there is nothing.`;
    if (line.fromLine === line.key) return `The line ${line.key} begins on itself.`;
  }
  for (const { id, line, seq } of revisions)
    if ((steps.get(line) ?? -1) < seq) return `Revision ${id} was cut where there is nothing.`;
  for (const { revision } of pins) if (!ids.has(revision)) return `There is no revision ${revision} to pin.`;
  return undefined;
}

function keepDesign(
  { file }: Around,
  key: string,
  design: ArchivedDesign,
  values: ReadonlyMap<string, readonly Held[]>,
): void {
  insert(file, "designs", { key, kind: "design", at: design.at });
  for (const { name, at } of design.names) insert(file, "names", { design: key, name, at });
  for (const { steps, base, ...line } of design.lines) {
    const row: Row<"lines"> = { design: key, ...line, base: JSON.stringify(base) };
    insert(file, "lines", row);
    for (const [i, { at, ...step }] of steps.entries())
      appendStep(file, row, i + 1, step, at, values.get(line.key)?.[i] as Held);
  }
  for (const { document, frozen, note, cutOn, ...rest } of design.revisions)
    insert(file, "revisions", {
      design: key,
      ...rest,
      note: note ?? null,
      cutOn: cutOn ?? null,
      document: JSON.stringify(document),
      frozen: JSON.stringify(frozen),
    });
  for (const { revision, at } of design.pins) insert(file, "pins", { design: key, revision, at });
}
