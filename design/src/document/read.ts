/**
 * Reads a design or shelf file: size, JSON, format, migrations, shape, meaning, in that order. The first thing wrong is
 * one sentence: what, where, what would be accepted. Nothing is half read.
 */
import { fail, ok, parseValue, type Quantity, type Result } from "@platewright/engine";
import type { z } from "zod";
import { expand } from "./expand.ts";
import { meaningOf } from "./meaning.ts";
import { migrate } from "./migrations.ts";
import {
  type DesignFile,
  designFileSchema,
  type Document,
  documentSchema,
  type ShelfFile,
  shelfFileSchema,
} from "./schema.ts";

export interface DocumentComplaint {
  readonly place: string;
  readonly sentence: string;
}

export const DESIGN_FORMAT = "platewright/design@1";
export const SHELF_FORMAT = "platewright/shelf@1";
/** A design with a hundred revisions is far below a megabyte. */
export const LARGEST_FILE = 10_000_000;
const DEEPEST = 40;

type Plain = Record<string, unknown>;
const isPlain = (value: unknown): value is Plain =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const complain = (place: string, sentence: string) => fail<DocumentComplaint>({ place, sentence });

export function readDesign(text: string): Result<DesignFile, DocumentComplaint> {
  const parsed = parseFile(text, DESIGN_FORMAT);
  if (!parsed.ok) return parsed;
  const shaped = shape(designFileSchema, migrate(parsed.value));
  if (!shaped.ok) return shaped;
  const file = shaped.value;
  const ids = new Set<string>();
  for (const revision of file.revisions) {
    if (ids.has(revision.id))
      return complain(
        `revisions[${revision.id}]`,
        `revisions[${revision.id}]: two revisions have this id; each needs its own.`,
      );
    ids.add(revision.id);
  }
  if (file.proven !== undefined && !ids.has(file.proven))
    return complain(
      "proven",
      `proven: there is no revision ${file.proven}; name one of ${[...ids].join(", ") || "the revisions (there are none yet)"}.`,
    );
  for (const [prefix, document] of [
    ["now", file.now] as const,
    ...file.revisions.map((r) => [`revisions[${r.id}].document`, r.document] as const),
  ]) {
    const wrong = meaningOf(document);
    if (wrong !== undefined)
      return complain(`${prefix}.${wrong.place}`, prefix === "now" ? wrong.sentence : `${prefix}: ${wrong.sentence}`);
    const expanded = expand(document);
    if (!expanded.ok) return fail(expanded.failure);
  }
  return ok(file);
}

/** Judges one document as `readDesign` judges those of a file: its shape, its meaning, and that it expands. */
export function checkDocument(given: unknown): Result<Document, DocumentComplaint> {
  const shaped = shape(documentSchema, given);
  if (!shaped.ok) return shaped;
  const wrong = meaningOf(shaped.value);
  if (wrong !== undefined) return fail(wrong);
  const expanded = expand(shaped.value);
  return expanded.ok ? shaped : expanded;
}

export function readShelf(text: string): Result<ShelfFile, DocumentComplaint> {
  const parsed = parseFile(text, SHELF_FORMAT);
  if (!parsed.ok) return parsed;
  return checkShelf(parsed.value);
}

/** Judges a shelf as `readShelf` judges one from a file. */
export function checkShelf(given: unknown): Result<ShelfFile, DocumentComplaint> {
  const shaped = shape(shelfFileSchema, given);
  if (!shaped.ok) return shaped;
  const shelf = shaped.value;
  const check = (place: string, quantity: Quantity, written: string) => {
    const value = parseValue(quantity, written);
    return value.ok ? undefined : complain(place, `${place}: ${value.failure.sentence}`);
  };
  for (const [i, entry] of shelf.resistors.entries()) {
    const wrong =
      "series" in entry
        ? (check(`resistors[${i}].from`, "resistance", entry.from) ??
          check(`resistors[${i}].to`, "resistance", entry.to))
        : check(`resistors[${i}].value`, "resistance", entry.value);
    if (wrong !== undefined) return wrong;
  }
  for (const [i, entry] of shelf.capacitors.entries()) {
    const wrong = check(`capacitors[${i}].value`, "capacitance", entry.value);
    if (wrong !== undefined) return wrong;
  }
  return ok(shelf);
}

function parseFile(text: string, format: string): Result<Plain, DocumentComplaint> {
  if (text.length > LARGEST_FILE)
    return complain(
      "",
      `The file has ${Math.round(text.length / 1e6)} MB; ${LARGEST_FILE / 1e6} MB is the most that is read, and a design needs far less.`,
    );
  let parsed: unknown;
  try {
    parsed = JSON.parse(text);
  } catch (error) {
    return complain("", jsonSentence(text, error));
  }
  if (!isPlain(parsed))
    return complain("", `The file holds no design: it must be an object with "format": "${format}".`);
  if (depthOf(parsed) > DEEPEST)
    return complain("", `The file is nested more than ${DEEPEST} deep; no Platewright file is.`);
  const given = parsed.format;
  if (given === format) return ok(parsed);
  const [kind, version] = typeof given === "string" ? given.split("@") : [];
  const [wanted, known] = format.split("@");
  if (kind === wanted && Number(version) > Number(known))
    return complain(
      "format",
      `format: the file was written by a newer version (${String(given)}); this one reads ${format}. Update Platewright.`,
    );
  return complain(
    "format",
    `format: ${given === undefined ? "is missing" : `${(JSON.stringify(given) ?? "").slice(0, 40)} is not known`}; it must be "${format}".`,
  );
}

function jsonSentence(text: string, error: unknown): string {
  if (text.trim() === "") return "The file is empty; a design or shelf file is JSON.";
  const message = error instanceof Error ? error.message : "";
  const at = /position (\d+)/.exec(message)?.[1];
  const cut =
    /end of JSON|Unterminated|Unexpected end/i.test(message) ||
    (at !== undefined && Number(at) >= text.trimEnd().length - 1);
  if (cut)
    return `The file ends in the middle (line ${text.split("\n").length}); it was cut off when it was written or copied.`;
  const line = at === undefined ? undefined : text.slice(0, Number(at)).split("\n").length;
  return `The file is not JSON${line === undefined ? "" : `: something is wrong at line ${line}`}.`;
}

function depthOf(value: unknown): number {
  let depth = 0;
  let level: unknown[] = [value];
  while (level.length > 0 && depth <= DEEPEST) {
    depth++;
    level = level.flatMap((one) => (typeof one === "object" && one !== null ? Object.values(one) : []));
  }
  return depth;
}

function shape<T>(schema: z.ZodType<T>, given: unknown): Result<T, DocumentComplaint> {
  const checked = schema.safeParse(given);
  if (checked.success) return ok(checked.data);
  const issue = deepest(checked.error.issues);
  const place = placeOf(issue.path, given);
  return complain(place, `${place === "" ? "The file" : place}: ${shapeWords(issue, given)}`);
}

type Issue = z.core.$ZodIssue;

/** Of a union's branches the one that got furthest tells most. */
function deepest(issues: readonly Issue[], path: readonly PropertyKey[] = []): Issue {
  const [first] = issues;
  if (first === undefined) throw new Error("a refusal without an issue");
  const here = { ...first, path: [...path, ...first.path] } as Issue;
  if (first.code !== "invalid_union" || first.errors.length === 0) return here;
  const branches = first.errors
    .filter((branch) => branch.length > 0)
    .map((branch) => deepest(branch as readonly Issue[], here.path))
    .sort((a, b) => b.path.length - a.path.length);
  return branches[0] ?? here;
}

function placeOf(path: readonly PropertyKey[], given: unknown): string {
  let place = "";
  let at: unknown = given;
  for (const key of path) {
    if (typeof key === "number") {
      const one: unknown = Array.isArray(at) ? at[key] : undefined;
      place += `[${isPlain(one) && typeof one.id === "string" && one.id.length < 41 ? one.id : key}]`;
      at = one;
      continue;
    }
    const name = String(key).slice(0, 40);
    place += place === "" ? name : `.${name}`;
    at = isPlain(at) && Object.hasOwn(at, String(key)) ? at[String(key)] : undefined;
  }
  return place;
}

function valueAt(path: readonly PropertyKey[], given: unknown): unknown {
  let at: unknown = given;
  for (const key of path) {
    if (Array.isArray(at) && typeof key === "number") at = at[key];
    else if (isPlain(at) && Object.hasOwn(at, String(key))) at = at[String(key)];
    else return undefined;
  }
  return at;
}

function shapeWords(issue: Issue, given: unknown): string {
  const value = valueAt(issue.path, given);
  const shown = value === undefined ? "nothing" : (JSON.stringify(value) ?? "nothing").slice(0, 40);
  switch (issue.code) {
    case "unrecognized_keys":
      return `'${(issue.keys[0] ?? "").slice(0, 40)}' is not a field that is known here; take it out or check its spelling.`;
    case "invalid_type":
      return value === undefined
        ? `is missing; ${article(issue.expected)} is wanted.`
        : `${shown} is not ${article(issue.expected)}.`;
    case "too_small":
      return `${shown} is too small; ${issue.inclusive === false ? "more than" : "at least"} ${String(issue.minimum)} is wanted.`;
    case "too_big":
      return `${shown} is too large; at most ${String(issue.maximum)} is accepted.`;
    case "invalid_value":
      return `${shown} is not accepted; one of ${issue.values.map(String).join(", ")} is.`;
    case "invalid_union":
      return `${shown} is none of the forms that are accepted here.`;
    case "invalid_format":
      return `${shown} is not accepted; it must be ${issue.message}.`;
    default:
      return `${shown} is not accepted (${issue.message}).`;
  }
}

const article = (kind: string): string =>
  ({
    string: "a text",
    number: "a number",
    array: "a list",
    object: "an object",
    record: "an object",
    boolean: "true or false",
    int: "a whole number",
  })[kind] ?? kind;
