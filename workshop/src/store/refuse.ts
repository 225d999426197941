/** Refusals of the store: a stable code and one sentence that says what, where, and what would be accepted. */
import { fail } from "@platewright/engine";
import type { Refusal } from "../client/contract.ts";

export const refuse = (code: string, sentence: string): { readonly ok: false; readonly failure: Refusal } =>
  fail({ code, sentence });

/** A row that reads otherwise than it was written: the disk lost or altered it. */
export class DamagedRow extends Error {}

/** A text that could be kept only as another text. */
export class HalfCharacter extends Error {}

const BY_CODE: readonly (readonly [RegExp, string, string])[] = [
  [/^SQLITE_(BUSY|LOCKED)/, "busy", "Another program is writing to the shop's file; try again in a moment."],
  [/^(SQLITE_FULL|ENOSPC|EDQUOT)/, "disk-full", "The disk is full: nothing was kept. Free some space and try again."],
  [
    /^(SQLITE_READONLY|EACCES|EPERM|EROFS)/,
    "read-only",
    "The shop's file may only be read; give write permission to it and its folder.",
  ],
  [
    /^SQLITE_(CORRUPT|NOTADB)/,
    "damaged",
    "The shop's file is damaged: nothing was kept. Start Platewright again; it then saves what can be read.",
  ],
  [
    /^(ENOTDIR|EISDIR|EEXIST)/,
    "no-folder",
    "The shop cannot be kept there: a file stands where a folder is wanted, or the other way round; name another folder.",
  ],
  [
    /^(SQLITE_(IOERR|CANTOPEN|PERM|NOLFS|AUTH|PROTOCOL)|EIO|ENOENT)/,
    "disk",
    "The disk does not answer as it should: nothing was kept. Look at the disk, then try again.",
  ],
];

/** What SQLite or the disk could not do, as a refusal; undefined when the error is a broken promise of our own. */
export function refusalOf(error: unknown): Refusal | undefined {
  if (error instanceof HalfCharacter)
    return { code: "half-character", sentence: "A name or a note holds half a character; write it anew." };
  if (error instanceof DamagedRow)
    return {
      code: "damaged",
      sentence: `${error.message} Start Platewright again; it then saves what can be read.`,
    };
  const code = error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : "";
  const found = BY_CODE.find(([pattern]) => pattern.test(code));
  return found === undefined ? undefined : { code: found[1], sentence: found[2] };
}
