/** The workshop over HTTP, typed: every answer is checked against its schema, every refusal is one sentence. */
import type { Result } from "@platewright/engine";
import { fail, ok } from "@platewright/engine";
import { z } from "zod";
import {
  type Branch,
  type Cut,
  type DesignCard,
  designCardSchema,
  type Imported,
  importedSchema,
  type KeepSteps,
  type Kept,
  keptSchema,
  type KeptShelf,
  keptShelfSchema,
  lineSchema,
  type Line,
  type OpenDesign,
  openDesignSchema,
  type Refusal,
  refusalSchema,
  type ShelfState,
  shelfStateSchema,
  type Shop,
  shopSchema,
} from "./contract.ts";

export type Answered<T> = Promise<Result<T, Refusal>>;

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
  readonly eventsAddress: () => string;
}

const UNREACHABLE: Refusal = {
  code: "unreachable",
  sentence: "The workshop does not answer. Is `platewright serve` still running? What you do is kept here until it is.",
};

export function workshopAt(base = "", fetcher: typeof fetch = (...args) => fetch(...args)): Workshop {
  const ask = async <T>(schema: z.ZodType<T>, path: string, init?: RequestInit): Answered<T> => {
    let response: Response;
    let body: unknown;
    try {
      response = await fetcher(`${base}${path}`, init);
      body = await response.json();
    } catch {
      return fail(UNREACHABLE);
    }
    if (!response.ok) {
      const refusal = refusalSchema.safeParse(body);
      return fail(refusal.success ? refusal.data : { code: `http-${response.status}`, sentence: UNREACHABLE.sentence });
    }
    const answer = schema.safeParse(body);
    return answer.success
      ? ok(answer.data)
      : fail({ code: "not-understood", sentence: "The workshop's answer was not understood; load the page again." });
  };
  const post = <T>(schema: z.ZodType<T>, path: string, body: unknown) =>
    ask(schema, path, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
  const at = (design: string) => `/api/designs/${encodeURIComponent(design)}`;
  return {
    shop: () => ask(shopSchema, "/api/shop"),
    open: (design, line) =>
      ask(openDesignSchema, line === undefined ? at(design) : `${at(design)}?line=${encodeURIComponent(line)}`),
    keep: (design, line, steps) => post(keptSchema, `${at(design)}/lines/${encodeURIComponent(line)}/steps`, steps),
    cut: (design, cut) => post(designCardSchema, `${at(design)}/revisions`, cut),
    pin: (design, revision) => post(designCardSchema, `${at(design)}/proven`, { revision }),
    branch: (design, branch) => post(lineSchema, `${at(design)}/lines`, branch),
    shelf: () => ask(shelfStateSchema, "/api/shelf"),
    keepShelf: (steps) => post(keptShelfSchema, "/api/shelf/steps", steps),
    bringIn: (bytes) =>
      ask(z.array(importedSchema), "/api/import", {
        method: "POST",
        headers: { "content-type": "application/octet-stream" },
        body: bytes,
      }),
    exportAddress: (design) => `${base}${at(design)}/export`,
    archiveAddress: () => `${base}/api/shop/archive`,
    backUp: () => post(z.strictObject({ file: z.string() }), "/api/backup", {}),
    eventsAddress: () => `${base}/api/events`,
  };
}
