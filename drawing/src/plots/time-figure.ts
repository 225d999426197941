import type { Dash, Role } from "../scene.ts";

/** One quantity against time: volts or amperes, one value for each of the times. */
export interface Trace {
  readonly label: string;
  readonly volts?: readonly number[];
  readonly amps?: readonly number[];
  readonly role?: Role;
  readonly dash?: Dash;
  readonly ids?: readonly string[];
}

/** Said as "400 V limit" unless it has words of its own. */
export interface TraceLimit {
  readonly volts?: number;
  readonly amps?: number;
  readonly words?: string;
  readonly forbidden?: "above" | "below";
  readonly role?: Role;
}

/** A value picked out of a trace: its largest, or the one at a time. */
export interface TraceMark {
  readonly trace: string;
  readonly at: "peak" | number;
  readonly role?: Role;
}

/** A stretch of time that has a name ("heaters warming"). */
export interface TimeBand {
  readonly from: number;
  readonly to: number;
  readonly label?: string;
}

export interface TimeFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  /** The condition, and what is heavy and what is light. */
  readonly legend?: string;
  /** Seconds, rising. */
  readonly times: readonly number[];
  readonly series: readonly Trace[];
  readonly limits?: readonly TraceLimit[];
  readonly marks?: readonly TraceMark[];
  readonly bands?: readonly TimeBand[];
  readonly width?: number;
  readonly height?: number;
}
