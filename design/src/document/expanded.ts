/** The flat form of a document: one list of parts with stable ids, feeding solver, chassis, papers and diagnosis alike. */
import type { Part, PartKind } from "@platewright/engine";
import type { DocumentPart } from "./schema.ts";

/** An engine part without what only the library knows (a triode's law and capacitances). A follower brings its own. */
export type PartWithoutLaw =
  | Part
  | {
      readonly kind: "triode";
      readonly id: string;
      readonly plate: string;
      readonly grid: string;
      readonly cathode: string;
      readonly law?: undefined;
    };

/** A section of a tube: its law is the library's. */
export type BareTriode = Exclude<PartWithoutLaw, Part>;

export const isBareTriode = (part: PartWithoutLaw): part is BareTriode =>
  part.kind === "triode" && part.law === undefined;

export interface ExpandedPart {
  /** "L.R3". */
  readonly id: string;
  readonly instance: string;
  readonly block: string;
  readonly kind: PartKind;
  /** As written in the document, overrides applied, local nets replaced by expanded ones ("L.p1"). */
  readonly written: DocumentPart;
  readonly electrical: PartWithoutLaw;
}

export interface ExpandedTriode {
  /** "L.V1a". */
  readonly id: string;
  readonly instance: string;
  readonly part: string;
  readonly envelope: string;
  readonly section: 1 | 2;
  readonly type: string;
  readonly variant?: string;
  readonly plate: string;
  readonly grid: string;
  readonly cathode: string;
}

export interface Expanded {
  readonly parts: readonly ExpandedPart[];
  readonly triodes: readonly ExpandedTriode[];
  readonly nets: readonly string[];
  /** Instances that hold an input and an output jack, in document order. */
  readonly channels: readonly { readonly instance: string; readonly inputNet: string; readonly outputNet: string }[];
  /** Instances equal to an earlier one in every value, tube and shape: "R" -> "L". */
  readonly equalTo: ReadonlyMap<string, string>;
}
