/**
 * The store of a shop: one SQLite file with its designs, their lines of steps, their revisions, and the shelf.
 *
 * Nothing that was kept is ever altered or deleted; what comes later is appended. Every function answers a value or a
 * refusal in one sentence, and a refusal changed nothing. Several processes may have one file open.
 */
import type { Catalogue, Result } from "@platewright/engine";
import type {
  Branch,
  Cut,
  DesignCard,
  Exported,
  Imported,
  KeepSteps,
  Kept,
  KeptShelf,
  Line,
  OpenDesign,
  Refusal,
  ShelfState,
  Shop,
} from "../client/contract.ts";

export interface StoreHow {
  /** The time as ISO 8601 in UTC: "2026-11-27T18:40:00.000Z". */
  readonly now: () => string;
  /** What revisions freeze copies of. */
  readonly catalogue: Catalogue;
  /** A new file begins with the invented demo unless this is false. */
  readonly demo?: boolean;
}

export type Stored<T> = Result<T, Refusal>;

export interface Store {
  readonly file: string;
  /** Every design as a card, and what was found damaged when the file was opened. */
  readonly shop: () => Stored<Shop>;
  /** A design on one of its lines; without a name the working line: the one last worked on that is no sibling. */
  readonly open: (design: string, line?: string) => Stored<OpenDesign>;
  /** Appends steps. The same step twice is kept once; steps that come late are kept on a sibling line. */
  readonly keep: (design: string, line: string, ask: KeepSteps) => Stored<Kept>;
  readonly cut: (design: string, ask: Cut) => Stored<DesignCard>;
  readonly pin: (design: string, revision: string) => Stored<DesignCard>;
  readonly branch: (design: string, ask: Branch) => Stored<Line>;
  readonly shelf: () => Stored<ShelfState>;
  readonly keepShelf: (ask: KeepSteps) => Stored<KeptShelf>;
  readonly exportDesign: (design: string, line?: string) => Stored<Exported>;
  /**
   * Takes in a design file, an export, a shelf file or a shop archive, as bytes; all of it or nothing.
   * A shelf is answered under the key "shelf", which no design has.
   */
  readonly bringIn: (bytes: Uint8Array) => Stored<readonly Imported[]>;
  /** The whole shop as one zip; the same shop gives the same bytes. */
  readonly archive: () => Stored<Uint8Array>;
  /** Writes a dated backup beside the file while it runs, verified before it is answered. */
  readonly backUp: () => Promise<Stored<{ readonly file: string }>>;
  /** A number that changes when another connection (another process) kept something; cheap enough to ask every second. */
  readonly changesOfOthers: () => Stored<number>;
  readonly close: () => void;
}
