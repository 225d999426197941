/** Reads what was sent: size while it streams, UTF-8, JSON that stays what it is when it is kept, then its schema. */
import { fail, ok, type Result } from "@platewright/engine";
import type { Context } from "hono";
import type { z } from "zod";
import type { Refusal } from "../client/contract.ts";
import { refusal } from "./refusals.ts";

const MEGABYTE = 1_000_000;
export const LARGEST_STEPS = MEGABYTE;
export const LARGEST_IMPORT = 64 * MEGABYTE;
/** A document nests twelve deep at most; a change can carry a piece of one. */
const DEEPEST = 40;

/**
 * The bytes of a body, counted while they come: what is too large is given up where it passes the limit, whatever length
 * was declared. (Hono's own limit wraps the request anew, which the light request of Node's server does not bear.)
 */
export async function readBytes(c: Context, most: number): Promise<Result<Uint8Array<ArrayBuffer>, Refusal>> {
  const tooLarge = fail(
    refusal("too-large", `What was sent is larger than ${sizeWords(most)}, which is the most accepted here.`),
  );
  if (Number(c.req.header("content-length") ?? 0) > most) return tooLarge;
  const pieces: Uint8Array[] = [];
  let length = 0;
  const reader = c.req.raw.body?.getReader();
  for (;;) {
    const read = await reader?.read();
    if (read === undefined || read.done) break;
    length += read.value.length;
    if (length > most) return tooLarge;
    pieces.push(read.value);
  }
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    bytes.set(piece, at);
    at += piece.length;
  }
  return ok(bytes);
}

const sizeWords = (bytes: number): string =>
  bytes >= MEGABYTE ? `${Math.round(bytes / MEGABYTE)} MB` : `${Math.round(bytes / 1000)} kB`;

/** A message as its schema has it. */
export async function readJson<T>(c: Context, schema: z.ZodType<T>): Promise<Result<T, Refusal>> {
  const bytes = await readBytes(c, LARGEST_STEPS);
  if (!bytes.ok) return bytes;
  const text = textOf(bytes.value);
  if (text === undefined) return fail(refusal("not-json", "What was sent is not UTF-8 text; JSON is wanted."));
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return fail(refusal("not-json", "What was sent is not JSON."));
  }
  const wrong = wrongIn(value);
  if (wrong !== undefined) return fail(refusal("not-understood", wrong));
  const checked = schema.safeParse(value);
  return checked.success ? ok(checked.data) : fail(refusal("not-understood", issueSentence(checked.error)));
}

function textOf(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

/**
 * What JSON may say and a store may not be given: nesting that overflows a stack, a number that is no number when it is
 * written again, half a character, and the one key that means an object's prototype.
 */
export function wrongIn(value: unknown): string | undefined {
  let level: readonly unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > DEEPEST) return `What was sent is nested more than ${DEEPEST} deep; no step is.`;
    const next: unknown[] = [];
    for (const one of level) {
      if (typeof one === "number" && !Number.isFinite(one))
        return "A number in what was sent is larger than any number.";
      if (typeof one === "string" && HALF_CHARACTER.test(one)) return NO_TEXT;
      if (typeof one !== "object" || one === null) continue;
      for (const [key, inner] of Object.entries(one)) {
        if (key === "__proto__") return "'__proto__' is not a field of anything here.";
        if (HALF_CHARACTER.test(key)) return NO_TEXT;
        next.push(inner);
      }
    }
    level = next;
  }
  return undefined;
}

const HALF_CHARACTER = /\p{Surrogate}/u;
const NO_TEXT = "A text in what was sent holds half a character.";

function issueSentence(error: z.ZodError): string {
  const [issue] = error.issues;
  const place = (issue?.path ?? [])
    .map((key) => (typeof key === "number" ? `[${key}]` : `.${String(key).slice(0, 40)}`))
    .join("")
    .replace(/^\./, "");
  const words = (issue?.message ?? "is not accepted").replace(/^Invalid input: /, "").slice(0, 160);
  return `${place === "" ? "What was sent" : place}: ${words}.`;
}
