/** Messages between the page and its worker. The page's latest edit wins: answers carry the version they belong to. */
import type { Revision, ShelfFile, Document } from "@platewright/design";
import type { AskName } from "./asks.ts";

export type ToWorker =
  /**
   * A new state of the bench. What is left out stays as it was; `provenKey` "" takes the proven unit away. `document` is the
   * unit with what is in hand, and left out when nothing is.
   */
  | {
      readonly kind: "bench";
      readonly version: number;
      readonly document?: Document;
      readonly kept?: Document;
      readonly provenKey: string;
      readonly proven?: Revision;
      readonly shelf?: ShelfFile;
    }
  /** A screen begins to ask; it is answered for every version until it ends. */
  | { readonly kind: "ask"; readonly key: string; readonly name: AskName; readonly params: unknown }
  | { readonly kind: "end"; readonly key: string }
  /** Stops a long ask for this version. */
  | { readonly kind: "stop"; readonly key: string };

export type FromWorker =
  | { readonly kind: "ready" }
  | { readonly kind: "answer"; readonly key: string; readonly version: number; readonly value: unknown }
  | { readonly kind: "failed"; readonly key: string; readonly version: number; readonly sentence: string }
  | {
      readonly kind: "progress";
      readonly key: string;
      readonly version: number;
      readonly done: number;
      readonly total: number;
      readonly soFar?: unknown;
    }
  | { readonly kind: "stopped"; readonly key: string; readonly version: number }
  /** What was told last still stands. */
  | { readonly kind: "same"; readonly key: string; readonly version: number };
