/**
 * What a machine cuts, as plain data: closed contours, single lines and words on three layers. Millimetres; x to the right and
 * y up (to the rear); 0, 0 is the datum.
 */
import type { Corner } from "@platewright/design";
import type { HoleShape, Place } from "@platewright/engine";
import type { FlatBend } from "./flat.ts";

export type CutLayer = "CUT" | "ENGRAVE" | "NOTES";
export const CUT_LAYERS: readonly CutLayer[] = ["CUT", "ENGRAVE", "NOTES"];

interface Placed {
  readonly layer: CutLayer;
  /** Ids of the holes that it is; none: an outline. */
  readonly ids: readonly string[];
}

export interface CutCircle extends Placed, Place {
  readonly kind: "circle";
  readonly diameterMillimetres: number;
}

/** Closed: the last corner goes on to the first. */
export interface CutOutline extends Placed {
  readonly kind: "outline";
  readonly corners: readonly Corner[];
}

export type CutContour = CutCircle | CutOutline;

export interface CutLine {
  readonly layer: "NOTES";
  readonly from: Place;
  readonly to: Place;
  readonly what: "datum" | "bend";
}

export interface CutWords extends Place {
  readonly layer: "ENGRAVE" | "NOTES";
  readonly text: string;
  readonly heightMillimetres: number;
  readonly anchor: "start" | "middle";
}

/** A hole as it is to be cut, with how far under and over. */
export interface CutHole extends Place {
  /** More than one where several parts share it. */
  readonly ids: readonly string[];
  readonly label: string;
  readonly shape: HoleShape;
  readonly underMillimetres: number;
  readonly overMillimetres: number;
  readonly thread?: string;
  readonly countersunk?: boolean;
}

export interface CutDrawing {
  readonly title: string;
  readonly material: string;
  readonly thicknessMillimetres: number;
  readonly contours: readonly CutContour[];
  readonly lines: readonly CutLine[];
  readonly words: readonly CutWords[];
  readonly holes: readonly CutHole[];
  readonly bends: readonly FlatBend[];
  /** Corners of the blank, before any bend. */
  readonly left: number;
  readonly right: number;
  readonly front: number;
  readonly rear: number;
  /** What was left out or joined, and why; it stands among the words too. */
  readonly notes: readonly string[];
}

export interface CutFailure {
  readonly kind: "no-footprint" | "outside" | "bend";
  /** What cannot be drawn. */
  readonly id: string;
  readonly sentence: string;
}

/** What names a drawing. */
export interface CutNamed {
  readonly design: string;
  readonly revision: string;
  /** "25 Nov 2026". */
  readonly date: string;
}
