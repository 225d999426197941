/** Files as one zip. The same files in the same order give the same bytes. */
import { strToU8, zipSync } from "fflate";

/** Zip keeps local time without a zone; noon of its first day is written the same everywhere. */
const FIXED_TIME = new Date(1980, 0, 1, 12);

export const toZip = (files: Iterable<readonly [name: string, content: string | Uint8Array]>): Uint8Array =>
  zipSync(
    Object.fromEntries(
      [...files].map(([name, content]) => [name, typeof content === "string" ? strToU8(content) : content]),
    ),
    { level: 6, mtime: FIXED_TIME },
  );
