/** A small picture of how far one unit's H2 and H3 are from another's, over level: for many side by side. */
import { THIN } from "../plot/axis.ts";
import { clipLine } from "../plot/geometry.ts";
import { type Item, type Point, type Scene, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth } from "../text/index.ts";

const MINUS = "−";

export interface VoicingDifferenceFigure {
  readonly title: string;
  readonly inputVolts: readonly number[];
  /** dB above the reference; null where there is no such number. */
  readonly second: readonly (number | null)[];
  readonly third: readonly (number | null)[];
  /** Tinted about 0 dB: what counts as kept. */
  readonly keptDecibels: number;
  /** Inputs that are marked. */
  readonly markVolts?: readonly number[];
  /** Half of the height; 8 dB unless told. */
  readonly upToDecibels?: number;
  /** What may not be built is dashed. */
  readonly forbidden?: boolean;
  /** Millimetres. */
  readonly width: number;
  readonly height: number;
}

/** H2 heavy, H3 light, both in dB from the reference, on the logarithm of the input. What leaves the picture is said. */
export function voicingDifferenceFigure(figure: VoicingDifferenceFigure): Scene {
  const { inputVolts, width, height, keptDecibels, forbidden = false } = figure;
  const upTo = figure.upToDecibels ?? 8;
  const label = (value: number) => `${value > 0 ? "+" : value < 0 ? MINUS : ""}${Math.abs(value)}`;
  const left = Math.max(...[upTo, -upTo].map((value) => textWidth(label(value), SIZES.small))) + 1.2;
  const box = { left, right: width - 0.3, top: 0.5 * SIZES.small, bottom: height - 0.62 * SIZES.small };
  const from = Math.log(inputVolts[0] ?? 1);
  const span = Math.log(inputVolts[inputVolts.length - 1] ?? 2) - from || 1;
  const x = (volts: number) => box.left + ((Math.log(volts) - from) / span) * (box.right - box.left);
  const y = (decibels: number) => box.top + ((upTo - decibels) / (2 * upTo)) * (box.bottom - box.top);
  const points = (values: readonly (number | null)[]): readonly Point[] =>
    values.map((value, n) => [x(inputVolts[n] ?? Number.NaN), y(value ?? Number.NaN)]);
  const [second, third] = [clipLine(points(figure.second), box), clipLine(points(figure.third), box)];
  const dash = forbidden ? "dash" : "solid";
  const items: Item[] = [
    {
      kind: "rect",
      at: [box.left, y(keptDecibels)],
      width: box.right - box.left,
      height: y(-keptDecibels) - y(keptDecibels),
      weight: 0,
      fill: "band",
    },
    ...(figure.markVolts ?? [])
      .filter((volts) => x(volts) > box.left + 1 && x(volts) <= box.right)
      .map(
        (volts): Item => ({
          kind: "line",
          from: [x(volts), box.top],
          to: [x(volts), box.bottom],
          weight: WEIGHTS.hair,
          dash: "dot",
          role: "rule",
        }),
      ),
    { kind: "line", from: [box.left, y(0)], to: [box.right, y(0)], weight: WEIGHTS.light, role: "proven" },
    { kind: "line", from: [box.left, box.top], to: [box.left, box.bottom], weight: WEIGHTS.hair, role: "rule" },
    ...third.map((run): Item => ({ kind: "polyline", points: run, weight: WEIGHTS.light, dash, role: "now" })),
    ...second.map((run): Item => ({ kind: "polyline", points: run, weight: WEIGHTS.body, dash, role: "now" })),
    ...[upTo, 0, -upTo].map(
      (value): Item => ({
        kind: "text",
        at: [box.left - 1.2, y(value) + 0.36 * SIZES.small],
        text: label(value),
        size: SIZES.small,
        anchor: "end",
        role: "faint",
      }),
    ),
  ];
  if (second.length === 0)
    items.push({
      kind: "text",
      at: [(box.left + box.right) / 2, y(0.5 * upTo) + 0.36 * SIZES.small],
      text: rangeWords("H2", figure.second),
      size: SIZES.small,
      anchor: "middle",
      role: "quiet",
    });
  return {
    units: "mm",
    width,
    height,
    title: figure.title,
    description: `${rangeWords("H2", figure.second)}, ${rangeWords("H3", figure.third)} against proven, from ${inputVolts[0] ?? 0} V to ${inputVolts[inputVolts.length - 1] ?? 0} V in`,
    items,
  };
}

/** "H2 −0.9 to +0.4 dB"; a harmonic of the other sign everywhere has no dB. */
function rangeWords(name: string, values: readonly (number | null)[]): string {
  const known = values.filter((value) => value !== null);
  if (known.length === 0) return `${name} of the other sign`;
  const signed = (value: number) =>
    `${value < 0 && value.toFixed(1) !== "-0.0" ? MINUS : "+"}${Math.abs(value).toFixed(1)}`;
  const [low, high] = [signed(Math.min(...known)), signed(Math.max(...known))];
  return low === high ? `${name} ${low}${THIN}dB` : `${name} ${low} to ${high}${THIN}dB`;
}
