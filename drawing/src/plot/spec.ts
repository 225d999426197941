import type { Dash, Role } from "../scene.ts";
import type { Axis } from "./axis.ts";

/** Which of the y axes a thing is measured on; the left one unless told. */
export type Side = "left" | "right";

export interface PlotLine {
  readonly label: string;
  /** Said after the label: the value at the end of the line ("334 V"). */
  readonly ending?: string;
  /**
   * Where its name stands: where the line leaves the plot (the usual), where it comes in, at its highest point, over the
   * plot where it leaves through the top, or nowhere.
   */
  readonly named?: "end" | "start" | "peak" | "top" | "none";
  readonly x: ArrayLike<number>;
  /** A value that is no number leaves a gap. */
  readonly y: ArrayLike<number>;
  readonly side?: Side;
  /** "now" is drawn heavy and named in bold, all others light. */
  readonly role?: Role;
  readonly dash?: Dash;
  readonly ids?: readonly string[];
}

/** A tinted stretch between two curves over the same x, as a band of trust around a line. */
export interface PlotArea {
  readonly x: ArrayLike<number>;
  readonly low: ArrayLike<number>;
  readonly high: ArrayLike<number>;
  readonly side?: Side;
}

/** A region that is hatched: an outline of any shape, cut at the edges of the plot. */
export interface PlotRegion {
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly side?: Side;
  /** Said in its upper left corner, line by line. */
  readonly words?: readonly string[];
}

/** A tinted stretch of the x axis or of a y axis. */
export interface PlotBand {
  readonly along: "x" | "y";
  readonly side?: Side;
  readonly from: number;
  readonly to: number;
  readonly label?: string;
}

/** A line that must not be passed: heavy, with words, and hatched on the forbidden side. */
export interface PlotLimit {
  readonly along: "x" | "y";
  readonly side?: Side;
  readonly value: number;
  readonly words: string;
  /** Which side is not allowed; a mere reference line has none. */
  readonly forbidden?: "above" | "below";
  readonly role?: Role;
}

/** How a point is drawn: a disc unless told. */
export type MarkShape = "disc" | "diamond" | "half-diamond" | "cross";

/** A point with its value in words; one without words is only drawn. Names keep off both. */
export interface PlotMark {
  readonly x: number;
  readonly y: number;
  readonly side?: Side;
  readonly text: string;
  readonly role?: Role;
  /** Proven is marked hollow, now full. */
  readonly hollow?: boolean;
  readonly shape?: MarkShape;
  readonly ids?: readonly string[];
}

/** What is drawn over one x axis in one rectangle. */
export interface PanelSpec {
  /** One y axis, or one on each side. */
  readonly y: Axis | readonly [Axis, Axis];
  readonly label?: string;
  /** What the rows of names over the plot are of, where there are two: the lower row, and that of the proven lines. */
  readonly rows?: { readonly now: string; readonly proven: string };
  readonly lines: readonly PlotLine[];
  readonly bands?: readonly PlotBand[];
  readonly areas?: readonly PlotArea[];
  readonly regions?: readonly PlotRegion[];
  readonly limits?: readonly PlotLimit[];
  readonly marks?: readonly PlotMark[];
  /** Share of the height, against that of the other panels; 1 unless told. */
  readonly share?: number;
}

export interface FigureSpec {
  readonly title: string;
  /** What the figure shows, for those who cannot see it; the title and the names of the lines unless told. */
  readonly description?: string;
  /** False: what stands around the figure says its title; the description still has it. */
  readonly heading?: boolean;
  /** Said beside the title: the condition, and what is heavy and what is light. */
  readonly legend?: string;
  readonly width: number;
  readonly height: number;
  /** Kept free at each edge of the sheet; 4 mm unless told. */
  readonly margin?: number;
  readonly x: Axis;
  /** Said in the rows below the plot whatever else finds room there: what shapes and dashes mean. */
  readonly key?: readonly LegendEntry[];
}

export interface PlotSpec extends FigureSpec, PanelSpec {
  readonly label?: never;
}

export interface PanelsSpec extends FigureSpec {
  readonly panels: readonly PanelSpec[];
}

/** A name in the rows below the plot: of the key, or one that found no room in the plot. */
export interface LegendEntry {
  readonly text: string;
  readonly sample: "line" | "mark" | "band" | "limit" | "hatch";
  readonly shape?: MarkShape;
  readonly hollow?: boolean;
  readonly role?: Role;
  readonly dash?: Dash;
}
