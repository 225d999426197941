/** Refusals on the wire: `{code, sentence}` as JSON, with the status that fits. */
import type { Context } from "hono";
import type { ContentfulStatusCode } from "hono/utils/http-status";
import type { Refusal } from "../client/contract.ts";
import type { Stored } from "../store/index.ts";

/** Refusals that are not simply "understood, and not accepted" (422). */
const STATUS: Readonly<Record<string, ContentfulStatusCode>> = {
  "bad-request": 400,
  "not-json": 400,
  "not-understood": 400,
  "passphrase-wanted": 401,
  "wrong-host": 403,
  "cross-site": 403,
  "no-page": 404,
  "no-design": 404,
  "no-line": 404,
  "no-revision": 404,
  "no-paper": 404,
  "unknown-method": 405,
  ahead: 409,
  "moved-on": 409,
  "revision-taken": 409,
  "step-differs": 409,
  "too-large": 413,
  "wrong-type": 415,
  internal: 500,
  damaged: 500,
  disk: 500,
  "read-only": 500,
  "backup-not-sound": 500,
  busy: 503,
  "too-many-pages": 503,
  "page-not-built": 503,
  "disk-full": 507,
};

export const refusal = (code: string, sentence: string): Refusal => ({ code, sentence });

export const refused = (c: Context, { code, sentence }: Refusal): Response =>
  json(c, { code, sentence }, STATUS[code] ?? 422);

/** What the store answered, good or refused. */
export const answered = <T>(c: Context, stored: Stored<T>): Response =>
  stored.ok ? json(c, stored.value) : refused(c, stored.failure);

const json = (c: Context, value: unknown, status: ContentfulStatusCode = 200): Response =>
  c.body(JSON.stringify(value), status, { "content-type": "application/json; charset=utf-8" });
