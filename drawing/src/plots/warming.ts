/** Bars below a plot over time: when each cathode begins to emit and when it does so fully. */
import { type Item, type Scene, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, shorten, textWidth } from "../text/index.ts";
import { pointOf } from "../plot/pointing.ts";

export interface Warming {
  /** "V3", "V1, V2". */
  readonly label: string;
  /** Seconds at which emission begins, and is whole. */
  readonly from: number;
  readonly to: number;
  readonly ids?: readonly string[];
}

const PITCH = 5.4;
const TICK = 1.4;

export const warmingHeight = (rows: readonly Warming[]): number => (rows.length === 0 ? 0 : PITCH * rows.length + 1.5);

/** The scene with a bar for each below its numbers; the bars lie over the x axis of its first panel. */
export function withWarming(scene: Scene, rows: readonly Warming[]): Scene {
  const [panel] = scene.panels ?? [];
  if (panel === undefined || rows.length === 0) return scene;
  const at = (seconds: number) => Math.min(panel.right, Math.max(panel.left, pointOf(panel, seconds, panel.y.from)[0]));
  const items = rows.flatMap(({ label, from, to, ids }, n): readonly Item[] => {
    const y = scene.height + PITCH * (n + 0.5) - 0.5;
    const shown = ids === undefined ? {} : { ids };
    const base = y + (CAP_EMS * SIZES.small) / 2;
    const [begins, whole] = [at(from), at(to)];
    const room = scene.width - panel.right - 3;
    const words = [`from ${from} s, whole at ${to} s`, `whole at ${to} s`, `${to} s`].find(
      (text) => textWidth(text, SIZES.small) <= room,
    );
    return [
      {
        kind: "text",
        at: [panel.left - 1.5, base],
        text: shorten(label, panel.left - 2, SIZES.small, true),
        size: SIZES.small,
        anchor: "end",
        bold: true,
        ...shown,
      },
      { kind: "line", from: [panel.left, y], to: [begins, y], weight: WEIGHTS.light, dash: "dot", ...shown },
      { kind: "line", from: [begins, y], to: [whole, y], weight: WEIGHTS.body, role: "quiet", ...shown },
      { kind: "line", from: [whole, y], to: [panel.right, y], weight: 2 * WEIGHTS.heavy, ...shown },
      { kind: "line", from: [begins, y - TICK], to: [begins, y + TICK], weight: WEIGHTS.light, ...shown },
      { kind: "line", from: [whole, y - TICK], to: [whole, y + TICK], weight: WEIGHTS.body, ...shown },
      ...(words === undefined
        ? []
        : [
            {
              kind: "text",
              at: [panel.right + 1.5, base],
              text: words,
              size: SIZES.small,
              role: "faint",
              ...shown,
            } as const,
          ]),
    ];
  });
  const words = rows.map(({ label, from, to }) => `${label} emits from ${from} s, fully at ${to} s`);
  return {
    ...scene,
    height: scene.height + warmingHeight(rows),
    description: `${scene.description}. ${words.join(", ")}`,
    items: [...scene.items, ...items],
  };
}
