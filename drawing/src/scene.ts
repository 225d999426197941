/**
 * A drawing is plain data in millimetres: x to the right, y down, from the top left corner of the sheet. Colours are
 * roles, resolved by the theme of an exporter; exporters are siblings and share nothing but this file.
 */

/** x right and y down, in millimetres from the top left corner of the sheet (or of the enclosing group). */
export type Point = readonly [number, number];

/** What a stroke, a fill or a text is about. The look of each role in each theme is in `theme.ts`. */
export type Role =
  | "ink"
  | "quiet"
  | "faint"
  | "grid"
  | "rule"
  | "hatch"
  | "band"
  | "paper"
  | "proven"
  | "now"
  | "live"
  | "limit"
  | "stop"
  | "watch"
  | "ok";

/** Line weights of every drawing, in millimetres. */
export const WEIGHTS = { hair: 0.18, light: 0.3, wire: 0.4, body: 0.55, heavy: 0.75 } as const;

/** Sizes of text, in millimetres; `small` is the floor, 13 px on screen and 9.75 pt on paper. */
export const SIZES = { small: 3.44, text: 3.7, head: 4.23, title: 5.29 } as const;

export type Dash = "solid" | "dash" | "dot";

interface Shown {
  /** Ids of the document's things that this item shows. */
  readonly ids?: readonly string[];
  /** Of the stroke, and of a text. Ink unless told. */
  readonly role?: Role;
}

interface Stroked extends Shown {
  /** Stroke width in millimetres; 0 draws no stroke. */
  readonly weight: number;
  readonly dash?: Dash;
}

interface Filled extends Stroked {
  readonly fill?: Role;
}

export interface LineItem extends Stroked {
  readonly kind: "line";
  readonly from: Point;
  readonly to: Point;
}

export interface PolylineItem extends Stroked {
  readonly kind: "polyline";
  readonly points: readonly Point[];
}

/** A closed outline of straight pieces, filled or not. */
export interface PathItem extends Filled {
  readonly kind: "path";
  readonly points: readonly Point[];
}

export interface RectItem extends Filled {
  readonly kind: "rect";
  readonly at: Point;
  readonly width: number;
  readonly height: number;
}

export interface CircleItem extends Filled {
  readonly kind: "circle";
  readonly at: Point;
  readonly radius: number;
}

export type Anchor = "start" | "middle" | "end";

/** One line of text; `at` is on the baseline, at the end that `anchor` names. */
export interface TextItem extends Shown {
  readonly kind: "text";
  readonly at: Point;
  readonly text: string;
  /** Height of the em, in millimetres. */
  readonly size: number;
  readonly anchor?: Anchor;
  readonly bold?: boolean;
  /** A rim around the letters, in the colour of the ground they stand on, where text crosses lines. */
  readonly halo?: "paper" | "band";
}

export interface GroupItem {
  readonly kind: "group";
  readonly ids?: readonly string[];
  /** The group's origin on the sheet (or in the group around it). */
  readonly at: Point;
  readonly items: readonly Item[];
}

export type Item = LineItem | PolylineItem | PathItem | RectItem | CircleItem | TextItem | GroupItem;

/** One panel of a plot on its sheet: the rectangle between its axes, in millimetres, and what the axes run over. */
export interface PanelPlace {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly x: AxisRange;
  readonly y: AxisRange;
  readonly yRight?: AxisRange;
}

interface AxisRange {
  readonly from: number;
  readonly to: number;
  readonly scale?: "linear" | "log";
}

export interface Scene {
  readonly units: "mm";
  readonly width: number;
  readonly height: number;
  /** The name of the drawing, and what it shows, for those who cannot see it. */
  readonly title: string;
  readonly description: string;
  readonly items: readonly Item[];
  /** Of a plot: where its panels stand, for those who point into them. */
  readonly panels?: readonly PanelPlace[];
}
