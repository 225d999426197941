/** A file of a pack: named first, made when it is asked for. */
import type { Result } from "@platewright/engine";

export interface PlannedFile {
  /** "bench-sheet", "parts-list-csv": stable. */
  readonly kind: string;
  /** "bench-sheet.pdf". */
  readonly file: string;
  /** What it is for a download: "application/pdf". */
  readonly type: string;
  readonly pages?: number;
  /** A failure is one sentence. */
  readonly make: () => Result<string | Uint8Array, string>;
}
