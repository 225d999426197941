/** A supply after the switch is opened: the net that holds its charge longest, until it can be touched. */
import { axisOver, printQuantity } from "../plot/axis.ts";
import { plot } from "../plot.ts";
import type { PlotLimit, PlotLine, PlotMark } from "../plot/spec.ts";
import type { Scene } from "../scene.ts";

export interface Course {
  readonly seconds: readonly number[];
  readonly volts: readonly number[];
  /** When it passes the volts that can be touched; null: not within what was solved. */
  readonly reached: number | null;
}

export interface DischargeFigure {
  readonly title: string;
  readonly legend?: string;
  readonly heading?: boolean;
  readonly label: string;
  readonly now: Course;
  readonly proven?: Course;
  /** Safe to touch below this, and asked for within this time. */
  readonly touchVolts: number;
  readonly limitSeconds: number;
  readonly width?: number;
  readonly height?: number;
}

/** 100 by 60 mm unless told. */
export function dischargeFigure(figure: DischargeFigure): Scene {
  const { now, proven, touchVolts, limitSeconds } = figure;
  const ends = [now, proven].flatMap((one) => (one === undefined ? [] : [one.reached ?? one.seconds.at(-1) ?? 0]));
  const to = Math.max(1.2 * limitSeconds, ...ends.map((end) => 1.15 * end));
  const line = (course: Course, label: string, role: "now" | "proven"): PlotLine => {
    const { x, y } = smooth(course, to);
    return { label, named: "none", x, y, role };
  };
  const mark = (course: Course, role: "now" | "proven"): readonly PlotMark[] =>
    course.reached === null
      ? []
      : [
          {
            x: course.reached,
            y: touchVolts,
            text: printQuantity(course.reached, "s", 2),
            role,
            hollow: role === "proven",
          },
        ];
  const limits: readonly PlotLimit[] = [
    { along: "y", value: touchVolts, words: printQuantity(touchVolts, "V"), role: "quiet" },
    { along: "x", value: limitSeconds, words: `${printQuantity(limitSeconds, "s")} asked`, forbidden: "above" },
  ];
  const same = proven !== undefined && proven.reached === now.reached && proven.volts[0] === now.volts[0];
  const was = proven === undefined || same ? undefined : proven;
  return plot({
    title: figure.title,
    ...(figure.legend === undefined ? {} : { legend: figure.legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    description: `${figure.label} after switching off: ${
      now.reached === null
        ? `above ${printQuantity(touchVolts, "V")} to the end`
        : `under ${printQuantity(touchVolts, "V")} after ${printQuantity(now.reached, "s", 2)}`
    }; asked within ${printQuantity(limitSeconds, "s")}`,
    width: figure.width ?? 100,
    height: figure.height ?? 60,
    x: { from: 0, to, unit: "s" },
    y: axisOver([...now.volts, ...(was?.volts ?? [])].map(Math.abs), "V"),
    lines: [
      ...(was === undefined ? [] : [line(was, `${figure.label}, proven`, "proven")]),
      line(now, figure.label, "now"),
    ],
    limits,
    marks: [...(was === undefined ? [] : mark(was, "proven")), ...mark(now, "now")],
  });
}

/** Between two samples a capacitor falls nearly exponentially; so it is drawn, and cut where the axis ends. */
function smooth(
  { seconds, volts }: Course,
  to: number,
): { readonly x: readonly number[]; readonly y: readonly number[] } {
  const x: number[] = [];
  const y: number[] = [];
  for (const [n, second] of seconds.entries()) {
    const here = Math.abs(volts[n] ?? 0);
    const [before, then] = [seconds[n - 1], Math.abs(volts[n - 1] ?? 0)];
    if (before !== undefined && here > 0 && then > 0) {
      const steps = Math.min(12, Math.ceil((12 * (second - before)) / to) * 4);
      for (let k = 1; k < steps; k++) {
        const time = before + ((second - before) * k) / steps;
        if (time > to) break;
        x.push(time);
        y.push(then * (here / then) ** (k / steps));
      }
    }
    if (second > to) break;
    x.push(second);
    y.push(here);
  }
  return { x, y };
}
