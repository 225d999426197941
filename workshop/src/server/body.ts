/** Reads what was sent: size while it streams, UTF-8, JSON that stays what it is when it is kept, then its schema. */
import { fail, ok, type Result } from "@platewright/engine";
import type { Context, MiddlewareHandler } from "hono";
import { bodyLimit } from "hono/body-limit";
import type { z } from "zod";
import type { Refusal } from "../client/contract.ts";
import { refusal, refused } from "./refusals.ts";

const MEGABYTE = 1_000_000;
export const LARGEST_STEPS = MEGABYTE;
export const LARGEST_IMPORT = 64 * MEGABYTE;
/** A document nests twelve deep at most; a change can carry a piece of one. */
const DEEPEST = 40;

export const atMost = (bytes: number): MiddlewareHandler =>
  bodyLimit({
    maxSize: bytes,
    onError: (c) =>
      refused(
        c,
        refusal("too-large", `What was sent is larger than ${sizeWords(bytes)}, which is the most accepted here.`),
      ),
  });

const sizeWords = (bytes: number): string =>
  bytes >= MEGABYTE ? `${Math.round(bytes / MEGABYTE)} MB` : `${Math.round(bytes / 1000)} kB`;

export async function readJson<T>(c: Context, schema: z.ZodType<T>): Promise<Result<T, Refusal>> {
  const text = textOf(await c.req.arrayBuffer());
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

function textOf(bytes: ArrayBuffer): string | undefined {
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
