/** Bars at the edge of a page, beside every line on which something is not as it was; as drawings have them by custom. */
import { flatten, type Scene } from "@platewright/drawing";
import { figureOfItem, type PaperChange } from "./marks.ts";

/** Of a line of text, in ems over and under its baseline. */
const ABOVE = 0.85;
const BELOW = 0.3;
/** Bars nearer than this are one, millimetres. */
const NEAR = 1.2;

export function changeBars(scene: Scene, change: PaperChange): readonly (readonly [top: number, bottom: number])[] {
  const figures = new Set(change.figures.map((one) => one.of));
  const words = new Set(change.wordsNew);
  const lines = flatten(scene.items)
    .flatMap((item): readonly (readonly [number, number])[] => {
      if (item.kind !== "text") return [];
      const of = figureOfItem(item.ids);
      const moved = of === undefined ? item.text.split(/\s+/).some((word) => words.has(word)) : figures.has(of);
      return moved ? [[item.at[1] - ABOVE * item.size, item.at[1] + BELOW * item.size]] : [];
    })
    .sort((a, b) => a[0] - b[0]);
  const bars: [number, number][] = [];
  for (const [top, bottom] of lines) {
    const last = bars[bars.length - 1];
    if (last !== undefined && top <= last[1] + NEAR) last[1] = Math.max(last[1], bottom);
    else bars.push([top, bottom]);
  }
  return bars;
}
