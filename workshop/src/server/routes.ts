/** The workshop's messages over HTTP: each is read, judged by its schema, handed to the store, and answered. */
import type { Result } from "@platewright/engine";
import { fail, ok } from "@platewright/engine";
import { type Context, Hono } from "hono";
import { z } from "zod";
import {
  branchSchema,
  cutSchema,
  keepStepsSchema,
  keySchema,
  packAskSchema,
  type Refusal,
} from "../client/contract.ts";
import type { Store, Stored } from "../store/index.ts";
import { LARGEST_IMPORT, readBytes, readJson } from "./body.ts";
import { eventStream, MOST_PAGES } from "./event-stream.ts";
import { typed } from "./guards.ts";
import type { News } from "./news.ts";
import type { PackMaker } from "./pack-maker.ts";
import { answered, refusal, refused } from "./refusals.ts";

export interface ApiHow {
  readonly store: Store;
  readonly news: News;
  readonly pack: PackMaker;
  /** ISO 8601, for the names of downloads. */
  readonly now: () => string;
}

const pinSchema = z.strictObject({ revision: z.string().min(1).max(40) });
const nothingSchema = z.strictObject({});

/** Everything under /api. */
export function apiRoutes({ store, news, pack, now }: ApiHow): Hono {
  const api = new Hono();

  api.use(async (c, next) => {
    await next();
    c.res.headers.set("cache-control", "no-store");
  });

  /** A message that changes something. */
  const changes = <T, A>(
    path: string,
    schema: z.ZodType<T>,
    work: (keys: Keys, ask: T) => Stored<A> | Promise<Stored<A>>,
  ) =>
    api.post(path, typed("application/json"), async (c) => {
      const keys = keysOf(c);
      if (!keys.ok) return refused(c, keys.failure);
      const ask = await readJson(c, schema);
      if (!ask.ok) return refused(c, ask.failure);
      const stored = await work(keys.value, ask.value);
      if (stored.ok) news.soon();
      return answered(c, stored);
    });
  const asks = <A>(path: string, work: (keys: Keys) => Stored<A>) =>
    api.get(path, (c) => {
      const keys = keysOf(c);
      return keys.ok ? answered(c, work(keys.value)) : refused(c, keys.failure);
    });

  asks("/shop", () => store.shop());
  asks("/shelf", () => store.shelf());
  asks("/designs/:design", ({ design, line }) => store.open(design, line));

  changes("/designs/:design/lines/:line/steps", keepStepsSchema, ({ design, line = "" }, ask) =>
    store.keep(design, line, ask),
  );
  changes("/designs/:design/lines", branchSchema, ({ design }, ask) => store.branch(design, ask));
  changes("/designs/:design/revisions", cutSchema, ({ design }, ask) => store.cut(design, ask));
  changes("/designs/:design/proven", pinSchema, ({ design }, { revision }) => store.pin(design, revision));
  changes("/shelf/steps", keepStepsSchema, (_, ask) => store.keepShelf(ask));
  changes("/backup", nothingSchema, () => store.backUp());

  api.post("/import", typed("application/octet-stream"), async (c) => {
    const bytes = await readBytes(c, LARGEST_IMPORT);
    if (!bytes.ok) return refused(c, bytes.failure);
    const stored = store.bringIn(bytes.value);
    if (stored.ok) news.soon();
    return answered(c, stored);
  });

  api.get("/designs/:design/export", (c) => {
    const keys = keysOf(c);
    if (!keys.ok) return refused(c, keys.failure);
    const { design, line } = keys.value;
    const exported = store.exportDesign(design, line);
    if (!exported.ok) return refused(c, exported.failure);
    // The key, not the name: letters and digits only, so that no header and no folder is written by it.
    return download(
      c,
      `${design}.design.json`,
      "application/json",
      `${JSON.stringify(exported.value, undefined, 1)}\n`,
    );
  });
  api.get("/shop/archive", (c) => {
    const archive = store.archive();
    if (!archive.ok) return refused(c, archive.failure);
    return download(c, `platewright-${now().slice(0, 10)}.zip`, "application/zip", new Uint8Array(archive.value));
  });

  api.post("/designs/:design/pack", typed("application/json"), async (c) => {
    const keys = keysOf(c);
    if (!keys.ok) return refused(c, keys.failure);
    const ask = await readJson(c, packAskSchema);
    if (!ask.ok) return refused(c, ask.failure);
    const { design } = keys.value;
    const made = await pack(design, ask.value);
    return made.ok
      ? download(c, `${design}-${made.value.name}`, made.value.type, made.value.bytes)
      : refused(c, made.failure);
  });

  api.get("/events", (c) =>
    news.listeners() < MOST_PAGES
      ? c.body(eventStream(news), 200, { "content-type": "text/event-stream; charset=utf-8" })
      : refused(c, refusal("too-many-pages", `${MOST_PAGES} pages are open on this workshop; close one.`)),
  );
  return api;
}

interface Keys {
  readonly design: string;
  readonly line?: string;
}

/** The keys of an address: design and line of its path, or the line asked for after the question mark. */
function keysOf(c: Context): Result<Keys, Refusal> {
  const design = c.req.param("design") ?? "none";
  const line = c.req.param("line") ?? c.req.query("line");
  for (const [what, key] of Object.entries({ design, line }))
    if (key !== undefined && !keySchema.safeParse(key).success)
      return fail(refusal(`no-${what}`, `The ${what} of the address is no key; small letters, digits and - are.`));
  return ok({ design, ...(line === undefined ? {} : { line }) });
}

const download = (c: Context, name: string, type: string, content: string | Uint8Array<ArrayBuffer>): Response =>
  c.body(content, 200, { "content-type": type, "content-disposition": `attachment; filename="${name}"` });
