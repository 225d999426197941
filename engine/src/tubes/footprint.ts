/**
 * What a library must answer about parts that are mounted on a chassis. Millimetres; x to the right, y to the rear, from the
 * part's own origin, seen from the face that it is mounted on. A socket that is not turned has its key (the gap between the
 * first and the last pin) to the front.
 */
import type { Provenance } from "./catalogue.ts";

export interface Place {
  readonly x: number;
  readonly y: number;
}

export type HoleShape =
  | { readonly kind: "circle"; readonly diameterMillimetres: number }
  | {
      readonly kind: "rectangle";
      readonly widthMillimetres: number;
      readonly heightMillimetres: number;
      readonly cornerMillimetres?: number | undefined;
      /** Counter-clockwise. */
      readonly degrees?: number | undefined;
    };

/** A closed shape. A polygon is convex. */
export type Outline = (HoleShape & Place) | { readonly kind: "polygon"; readonly points: readonly Place[] };

export type HolePurpose = "body" | "bush" | "screw" | "lug" | "wires";

export interface FootprintHole extends Place {
  readonly id: string;
  readonly shape: HoleShape;
  /** How far under the size the part still goes through. */
  readonly underMillimetres: number;
  /** How far over the size its flange, nut or washer still covers the hole. */
  readonly overMillimetres: number;
  /** How far off its place the part still goes on: slotted ears, a lug that is bent. Left out: nothing. */
  readonly slackMillimetres?: number | undefined;
  readonly purpose: HolePurpose;
}

export interface FootprintBody {
  readonly what: string;
  readonly outline: Outline;
  /** Away from the face of the plate. */
  readonly heightMillimetres: number;
}

export type FootprintKind =
  | "socket"
  | "can"
  | "potentiometer"
  | "jack"
  | "inlet"
  | "gland"
  | "switch"
  | "fuse-holder"
  | "lamp"
  | "terminal"
  | "transformer"
  | "toroid"
  | "choke"
  | "stand-off"
  | "tag-strip"
  | "earth-stud";

export interface Footprint {
  readonly id: string;
  readonly label: string;
  readonly kind: FootprintKind;
  /** The tube socket it is, as in a Base. */
  readonly socket?: string | undefined;
  readonly holes: readonly FootprintHole[];
  /** On the face that it is mounted on, and on the other one. */
  readonly above: readonly FootprintBody[];
  readonly below: readonly FootprintBody[];
  /** Room for spanner or nut driver round the origin, on one face. */
  readonly wrench?: { readonly side: "above" | "below"; readonly diameterMillimetres: number } | undefined;
  /** Of a socket: pins stand on a circle at some of its equal places, clockwise from the key seen from below. */
  readonly pins?:
    | {
        readonly circleMillimetres: number;
        readonly count: number;
        readonly places: number;
        /** From the key to the first pin, in places. */
        readonly first: number;
      }
    | undefined;
  /** Thickest plate that its bush or clip takes. */
  readonly thickestMillimetres?: number | undefined;
  /** A gland or clamp that holds a cable against pull and turn. */
  readonly strainRelief?: boolean | undefined;
  /** Bare metal that it stands on, round its origin: an earth point. */
  readonly bareMillimetres?: number | undefined;
  readonly provenance: Provenance;
}

/** Answers for a footprint's id. */
export interface Footprints {
  readonly all: readonly Footprint[];
  footprint(id: string): Footprint | undefined;
}
