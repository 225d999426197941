/** The composed drawing on its sheet: title above, what the figures mean below. */
import type { Item, Scene } from "../scene.ts";
import { SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import type { Composition } from "./compose.ts";
import { itemsOf } from "./table.ts";

export interface Sheet {
  readonly title: string;
  readonly description: string;
  /** Printed at the foot. */
  readonly note: string;
  /** Least size, millimetres. */
  readonly width?: number;
  readonly height?: number;
}

const MARGIN = 10;
const HEAD = MARGIN + CAP_EMS * SIZES.title + 4;
const FOOT = MARGIN + 8;
const DOT = 0.75;

/** A sheet as large as what it holds or as asked for, whichever is more; the drawing stands in the middle. */
export function sheetOf(drawing: Composition, sheet: Sheet): Scene {
  const { box, elements, table, wires, words } = drawing;
  const { title, description, note } = sheet;
  const [across, down] = [box.right - box.left, box.bottom - box.top];
  const widest = Math.max(across, textWidth(title, SIZES.title, true), textWidth(note, SIZES.small));
  const width = Math.max(sheet.width ?? 0, widest + 2 * MARGIN);
  const height = Math.max(sheet.height ?? 0, HEAD + down + FOOT);
  const at = [(width - across) / 2 - box.left, HEAD + (height - HEAD - FOOT - down) / 2 - box.top] as const;
  const items: readonly Item[] = [
    ...wires.segments.map(({ net, from, to }): Item => ({ kind: "line", from, to, weight: WEIGHTS.wire, ids: [net] })),
    ...wires.dots.map(
      (dot): Item => ({ kind: "circle", at: dot.at, radius: DOT, weight: 0, fill: "ink", ids: [dot.net] }),
    ),
    ...elements.map(itemsOf),
    ...words,
    ...table.flatMap((cell): readonly Item[] => [...cell.elements.map(itemsOf), ...cell.words]),
  ];
  const top = MARGIN + CAP_EMS * SIZES.title;
  return {
    units: "mm",
    width,
    height,
    title,
    description,
    items: [
      { kind: "text", at: [MARGIN, top], text: title, size: SIZES.title, bold: true },
      { kind: "group", at, items },
      { kind: "text", at: [MARGIN, height - MARGIN], text: note, size: SIZES.small, role: "quiet" },
    ],
  };
}
