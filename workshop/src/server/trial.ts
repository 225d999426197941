/** A server to try: a real store in a folder of its own, the app without a socket, and a page of three files. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openCatalogue } from "@platewright/library";
import type { Hono } from "hono";
import { type Workshop, workshopAt } from "../client/client.ts";
import { openStore, type Store } from "../store/index.ts";
import { makeApp } from "./app.ts";
import type { Gate } from "./gate.ts";
import { ownHosts } from "./hosts.ts";
import { type News, openNews } from "./news.ts";
import { pageIn } from "./page.ts";

export const PORT = 4780;
export const HOST = `127.0.0.1:${PORT}`;
export const OWN = { host: HOST, origin: `http://${HOST}` } as const;

export interface Trial {
  readonly app: Hono;
  readonly store: Store;
  readonly news: News;
  readonly folder: string;
  /** What went to the server's own error stream. */
  readonly complaints: unknown[];
  /** The page's own client. */
  readonly workshop: Workshop;
  readonly ask: (path: string, init?: RequestInit) => Promise<Response>;
  /** As the page posts. */
  readonly post: (path: string, body: unknown, headers?: Readonly<Record<string, string>>) => Promise<Response>;
  readonly end: () => void;
}

export interface TrialHow {
  readonly gate?: Gate;
  readonly others?: () => readonly string[];
  readonly store?: (store: Store) => Store;
}

export function beginTrial(how: TrialHow = {}): Trial {
  const folder = mkdtempSync(join(tmpdir(), "platewright-server-"));
  let minute = 0;
  const now = () => new Date(Date.UTC(2026, 10, 27, 12, minute++)).toISOString();
  const catalogue = openCatalogue();
  const opened = openStore(join(folder, "shop", "shop.sqlite"), { now, catalogue, demo: false });
  if (!opened.ok) throw new Error(opened.failure.sentence);
  for (const file of ["hearth.design.json", "shelf.json"]) {
    const taken = opened.value.bringIn(readFileSync(join("examples", "hearth", file)));
    if (!taken.ok) throw new Error(taken.failure.sentence);
  }
  const store = how.store?.(opened.value) ?? opened.value;
  const web = join(folder, "web");
  mkdirSync(join(web, "assets"), { recursive: true });
  writeFileSync(join(folder, "secret.txt"), "the builder's own");
  writeFileSync(join(web, "index.html"), "<!doctype html><title>Platewright</title>");
  writeFileSync(join(web, "assets", "page-AbCd1234.js"), "export {};");
  writeFileSync(join(web, "assets", "page-AbCd1234.js.br"), "as brotli");
  writeFileSync(join(web, "assets", "page-AbCd1234.js.gz"), "as gzip");
  const complaints: unknown[] = [];
  const complain = (error: unknown) => void complaints.push(error);
  const news = openNews(store, { complain, everyMilliseconds: 20, soonMilliseconds: 1 });
  const app = makeApp({
    store,
    catalogue,
    news,
    page: pageIn(web),
    isOurs: ownHosts(PORT, how.others),
    now: () => "2026-11-27T18:40:00.000Z",
    complain,
    ...(how.gate === undefined ? {} : { gate: how.gate }),
  });
  const ask: Trial["ask"] = async (path, init = {}) =>
    app.request(`http://${HOST}${path}`, {
      ...init,
      headers: { host: HOST, ...(init.headers as Record<string, string>) },
    });
  return {
    app,
    store,
    news,
    folder,
    complaints,
    workshop: workshopAt("", async (path, init) =>
      ask(path as string, { ...init, headers: { ...OWN, ...(init?.headers as Record<string, string>) } }),
    ),
    ask,
    post: (path, body, headers = {}) =>
      ask(path, {
        method: "POST",
        headers: { ...OWN, "content-type": "application/json", ...headers },
        body: typeof body === "string" ? body : JSON.stringify(body),
      }),
    end: () => {
      news.close();
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The refusal of an answer, and that it is one: one sentence, a code, JSON, and nothing that a page would run. */
export async function refusalOf(
  response: Response,
): Promise<{ readonly status: number; readonly code: string; readonly sentence: string }> {
  const type = response.headers.get("content-type") ?? "";
  if (!type.startsWith("application/json")) throw new Error(`a refusal as ${type}`);
  const body = (await response.json()) as { code: string; sentence: string };
  const fields = Object.keys(body).sort().join();
  if (fields !== "code,sentence") throw new Error(`a refusal with ${fields}`);
  return { status: response.status, code: body.code, sentence: body.sentence };
}

/** What the steps of these tests change. */
export const valueOfR4 = (document: unknown): unknown =>
  (document as { blocks: { channel: { parts: { id: string; value: unknown }[] } } }).blocks.channel.parts.find(
    (one) => one.id === "R4",
  )?.value;
