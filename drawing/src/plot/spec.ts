import type { Dash, Role } from "../scene.ts";
import type { Axis } from "./axis.ts";

/** Which of the y axes a thing is measured on; the left one unless told. */
export type Side = "left" | "right";

export interface PlotLine {
  readonly label: string;
  /** Said after the label: the value at the end of the line ("334 V"). */
  readonly ending?: string;
  /** Where its name stands: where the line leaves the plot (the usual), or at its highest point. */
  readonly named?: "end" | "peak";
  readonly x: ArrayLike<number>;
  /** A value that is no number leaves a gap. */
  readonly y: ArrayLike<number>;
  readonly side?: Side;
  /** "now" is drawn heavy and named in bold, all others light. */
  readonly role?: Role;
  readonly dash?: Dash;
  readonly ids?: readonly string[];
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

/** A point with its value in words. */
export interface PlotMark {
  readonly x: number;
  readonly y: number;
  readonly side?: Side;
  readonly text: string;
  readonly role?: Role;
  /** Proven is marked hollow, now full. */
  readonly hollow?: boolean;
  readonly ids?: readonly string[];
}

/** What is drawn over one x axis in one rectangle. */
export interface PanelSpec {
  /** One y axis, or one on each side. */
  readonly y: Axis | readonly [Axis, Axis];
  readonly label?: string;
  readonly lines: readonly PlotLine[];
  readonly bands?: readonly PlotBand[];
  readonly limits?: readonly PlotLimit[];
  readonly marks?: readonly PlotMark[];
  /** Share of the height, against that of the other panels; 1 unless told. */
  readonly share?: number;
}

export interface FigureSpec {
  readonly title: string;
  /** What the figure shows, for those who cannot see it; the title and the names of the lines unless told. */
  readonly description?: string;
  /** Said beside the title: the condition, and what is heavy and what is light. */
  readonly legend?: string;
  readonly width: number;
  readonly height: number;
  /** Kept free at each edge of the sheet; 4 mm unless told. */
  readonly margin?: number;
  readonly x: Axis;
}

export interface PlotSpec extends FigureSpec, PanelSpec {
  readonly label?: never;
}

export interface PanelsSpec extends FigureSpec {
  readonly panels: readonly PanelSpec[];
}

/** A name that found no room in the plot and goes to the row below it. */
export interface LegendEntry {
  readonly text: string;
  readonly sample: "line" | "mark" | "band" | "limit";
  readonly role?: Role;
  readonly dash?: Dash;
}
