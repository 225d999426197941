/**
 * The workshop over HTTP, typed. Requests are checked by the server against their schemas; its answers are taken at their
 * word, as page and server are one build (the schemas alone would be a fifth of the page). Every refusal is one sentence.
 */
import type { Result } from "@platewright/engine";
import { fail, ok } from "@platewright/engine";
import type {
  Branch,
  Cut,
  DesignCard,
  Imported,
  KeepSteps,
  Kept,
  KeptShelf,
  Line,
  OpenDesign,
  PackWanted,
  Refusal,
  ShelfState,
  Shop,
} from "./contract.ts";

export type Answered<T> = Promise<Result<T, Refusal>>;

export interface PackedFile {
  /** As a download is called: "hearth-line-box-rev-a.zip". */
  readonly name: string;
  readonly content: Blob;
}

export interface Workshop {
  readonly shop: () => Answered<Shop>;
  readonly open: (design: string, line?: string) => Answered<OpenDesign>;
  readonly keep: (design: string, line: string, ask: KeepSteps) => Answered<Kept>;
  readonly cut: (design: string, ask: Cut) => Answered<DesignCard>;
  readonly pin: (design: string, revision: string) => Answered<DesignCard>;
  readonly branch: (design: string, ask: Branch) => Answered<Line>;
  readonly shelf: () => Answered<ShelfState>;
  readonly keepShelf: (ask: KeepSteps) => Answered<KeptShelf>;
  /** A design file, an export with its checksum, or a shop archive (zip), as it came from the builder's disk. */
  readonly bringIn: (bytes: Uint8Array<ArrayBuffer>) => Answered<readonly Imported[]>;
  /** Addresses for plain links, which the browser saves. */
  readonly exportAddress: (design: string) => string;
  readonly archiveAddress: () => string;
  /** Writes a backup beside the shop's file while it runs; answers where. */
  readonly backUp: () => Answered<{ readonly file: string }>;
  /** A file of the pack, made for this ask. */
  readonly pack: (design: string, ask: PackWanted) => Answered<PackedFile>;
  readonly eventsAddress: () => string;
}

const UNREACHABLE: Refusal = {
  code: "unreachable",
  sentence: "The workshop does not answer. Is `platewright serve` still running? What you do is kept here until it is.",
};

/** Refusals that say nothing of what was sent: the same may be taken a moment later, so it waits and is sent again. */
const PASSING = new Set([UNREACHABLE.code, "busy", "disk", "disk-full", "read-only", "damaged", "passphrase-wanted"]);

export const isPassing = ({ code }: Refusal): boolean => PASSING.has(code) || code.startsWith("http-");

export function workshopAt(base = "", fetcher: typeof fetch = (...args) => fetch(...args)): Workshop {
  const ask = async <T>(path: string, init?: RequestInit): Answered<T> => {
    let response: Response;
    let body: unknown;
    try {
      response = await fetcher(`${base}${path}`, init);
      body = await response.json();
    } catch {
      return fail(UNREACHABLE);
    }
    if (response.ok) return ok(body as T);
    return fail(refusalIn(response, body));
  };
  const post = <T>(path: string, body: unknown) => ask<T>(path, jsonPost(body));
  const at = (design: string) => `/api/designs/${encodeURIComponent(design)}`;
  return {
    shop: () => ask("/api/shop"),
    open: (design, line) => ask(line === undefined ? at(design) : `${at(design)}?line=${encodeURIComponent(line)}`),
    keep: (design, line, steps) => post(`${at(design)}/lines/${encodeURIComponent(line)}/steps`, steps),
    cut: (design, cut) => post(`${at(design)}/revisions`, cut),
    pin: (design, revision) => post(`${at(design)}/proven`, { revision }),
    branch: (design, branch) => post(`${at(design)}/lines`, branch),
    shelf: () => ask("/api/shelf"),
    keepShelf: (steps) => post("/api/shelf/steps", steps),
    bringIn: (bytes) =>
      ask("/api/import", {
        method: "POST",
        headers: { "content-type": "application/octet-stream" },
        body: bytes,
      }),
    exportAddress: (design) => `${base}${at(design)}/export`,
    archiveAddress: () => `${base}/api/shop/archive`,
    pack: async (design, wanted) => {
      let response: Response;
      try {
        response = await fetcher(`${base}${at(design)}/pack`, jsonPost(wanted));
        if (response.ok) return ok({ name: nameIn(response), content: await response.blob() });
      } catch {
        return fail(UNREACHABLE);
      }
      return fail(refusalIn(response, await response.json().catch(() => undefined)));
    },
    backUp: () => post("/api/backup", {}),
    eventsAddress: () => `${base}/api/events`,
  };
}

const jsonPost = (body: unknown): RequestInit => ({
  method: "POST",
  headers: { "content-type": "application/json" },
  body: JSON.stringify(body),
});

const nameIn = (response: Response): string =>
  /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "")?.[1] ?? "pack";

const refusalIn = (response: Response, body: unknown): Refusal =>
  isRefusal(body) ? body : { code: `http-${response.status}`, sentence: UNREACHABLE.sentence };

const isRefusal = (body: unknown): body is Refusal =>
  typeof body === "object" &&
  body !== null &&
  typeof (body as Refusal).code === "string" &&
  typeof (body as Refusal).sentence === "string";
