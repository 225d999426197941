/** What a builder brings from his disk: told apart by what it says it is. */
import { ok } from "@platewright/engine";
import type { Imported } from "../client/contract.ts";
import type { Around } from "./around.ts";
import { deeperThan } from "./canonical.ts";
import { importArchive } from "./import-archive.ts";
import { importDesignText, importExport } from "./import-design.ts";
import { importShelfText } from "./import-shelf.ts";
import { refuse } from "./refuse.ts";
import type { Stored } from "./store.ts";
import { jsonOf } from "./unzip.ts";

const MOST_BYTES = 64_000_000;
/** A file of text that is no archive; a design is read to 10 MB. */
const MOST_TEXT_BYTES = 11_000_000;

const DEEPEST = 60;

/** `bringIn` of the store; runs inside a transaction, so that a refusal takes everything back. */
export function bringIn(around: Around, bytes: Uint8Array): Stored<readonly Imported[]> {
  const zip = bytes[0] === 0x50 && bytes[1] === 0x4b;
  const most = zip ? MOST_BYTES : MOST_TEXT_BYTES;
  if (bytes.length > most)
    return refuse(
      "too-large",
      `The file has ${Math.ceil(bytes.length / 1e6)} MB; ${most / 1e6} MB is the most that is read.`,
    );
  if (zip) return importArchive(around, bytes);
  const imported = textImport(around, bytes);
  return imported.ok ? ok([imported.value]) : imported;
}

function textImport(around: Around, bytes: Uint8Array): Stored<Imported> {
  let text: string;
  try {
    text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return refuse(
      "not-text",
      "The file is neither a design, an export or a shelf (which are JSON) nor a shop archive (a zip); nothing was taken in.",
    );
  }
  const given = jsonOf(text);
  if (deeperThan(given, DEEPEST))
    return refuse("not-understood", "The file is nested too deep; no Platewright file is.");
  const format = typeof given === "object" && given !== null && "format" in given ? given.format : undefined;
  if (format === "platewright/export@1") return importExport(around, given);
  if (typeof format === "string" && format.startsWith("platewright/shelf@")) return importShelfText(around, text);
  return importDesignText(around, text);
}
