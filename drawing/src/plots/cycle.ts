/** One cycle at an output, and what is left when the fundamental is taken away, enlarged until it can be seen. */
import type { PlotLine } from "../plot/spec.ts";
import { plot } from "../plot.ts";
import type { Scene } from "../scene.ts";

export interface CycleFigure {
  readonly title: string;
  readonly heading?: boolean;
  /** Evenly spread over one period, the first repeated last; V. */
  readonly signal: readonly number[];
  readonly residue: readonly number[];
  readonly provenResidue?: readonly number[];
  readonly periodSeconds: number;
  readonly width: number;
  readonly height: number;
}

/** The residue is drawn this many times as large, now and proven alike: 1, 2 or 5 times a power of ten. */
export function enlargementOf({
  signal,
  residue,
  provenResidue = [],
}: Pick<CycleFigure, "signal" | "residue" | "provenResidue">): number {
  const peak = (values: readonly number[]) => Math.max(0, ...values.map(Math.abs));
  const most = peak(signal) / Math.max(peak(residue), peak(provenResidue));
  if (!Number.isFinite(most)) return 1;
  const decade = 10 ** Math.floor(Math.log10(most));
  return Math.max(1, ([5, 2, 1].find((step) => step * decade <= most) ?? 1) * decade);
}

export function cycleFigure(figure: CycleFigure): Scene {
  const { signal, residue, provenResidue, periodSeconds, title } = figure;
  const times = enlargementOf(figure);
  const largest = Math.max(1e-9, ...signal.map(Math.abs));
  const x = signal.map((_, n) => (n / (signal.length - 1)) * periodSeconds);
  const scaled = (values: readonly number[]) => values.map((value) => value * times);
  const lines: readonly PlotLine[] = [
    ...(provenResidue === undefined
      ? []
      : [{ label: "was", named: "none" as const, x, y: scaled(provenResidue), role: "proven" as const }]),
    { label: "signal", named: "peak", x, y: signal, role: "ink" },
    { label: `residue × ${times}`, named: "peak", x, y: scaled(residue), role: "now" },
  ];
  return plot({
    title,
    description: `One cycle of ${(1 / periodSeconds / 1000).toFixed(0)} kHz: the signal, and ${times} times what is left without its fundamental`,
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width,
    height: figure.height,
    margin: 0.6,
    x: { from: 0, to: periodSeconds, unit: "s" },
    // The crests need room for the names over them.
    y: { from: -1.12 * largest, to: 1.4 * largest, unit: "V" },
    lines,
  });
}
