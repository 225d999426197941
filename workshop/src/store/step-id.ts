/** Ids of steps that the workshop itself makes. */
import { createHash } from "node:crypto";

/** An id that follows from what the step is, in the form of a UUID (version 8: made by a rule of one's own). */
export function stepIdOf(...what: readonly (string | number)[]): string {
  const hex = createHash("sha256").update(JSON.stringify(what)).digest("hex");
  const variant = ((Number.parseInt(hex.charAt(16), 16) & 3) | 8).toString(16);
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
}
