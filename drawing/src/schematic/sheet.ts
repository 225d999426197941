/** The composed drawing on its sheet: title above, what the figures mean below. */
import { type Scene, SIZES } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import type { SchematicFacts } from "./facts.ts";
import type { SchematicLayout } from "./layout.ts";
import { slotItems } from "./slots.ts";

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

/** A sheet as large as what it holds or as asked for, whichever is more; the drawing stands in the middle. */
export function sheetOf(layout: SchematicLayout, facts: SchematicFacts, sheet: Sheet): Scene {
  const { title, description, note } = sheet;
  const widest = Math.max(layout.width, textWidth(title, SIZES.title, true), textWidth(note, SIZES.small));
  const width = Math.max(sheet.width ?? 0, widest + 2 * MARGIN);
  const height = Math.max(sheet.height ?? 0, HEAD + layout.height + FOOT);
  const at = [(width - layout.width) / 2, HEAD + (height - HEAD - FOOT - layout.height) / 2] as const;
  const words = layout.slots.flatMap((slot) => slotItems(slot, facts, SIZES.small));
  return {
    units: "mm",
    width,
    height,
    title,
    description,
    items: [
      { kind: "text", at: [MARGIN, MARGIN + CAP_EMS * SIZES.title], text: title, size: SIZES.title, bold: true },
      { kind: "group", at, items: [...layout.items, ...words] },
      { kind: "text", at: [MARGIN, height - MARGIN], text: note, size: SIZES.small, role: "quiet" },
    ],
  };
}
