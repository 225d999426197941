/**
 * The schematic of one block instance, drawn from its nets: a channel with its signal from left to right, or the supply
 * from its rectifier to the right.
 *
 * Method  docs/schematic.md: structure from nets, columns, words, wires by search on a grid, names where there is room;
 *         what finds no place stands in a table below with its nets named, so that no part is ever missing.
 * Units   millimetres; text keeps its size, the sheet grows.
 */
import { type Document, expand, type Expanded, type SolvedDesign } from "@platewright/design";
import { assert } from "@platewright/engine";
import { type Item, type Scene, SIZES } from "./scene.ts";
import { netsWithVolts, schematicFacts, type SchematicFacts } from "./schematic/facts.ts";
import { type LayoutOptions, schematicLayout, type SchematicLayout } from "./schematic/layout.ts";
import { sheetOf } from "./schematic/sheet.ts";
import { slotItems } from "./schematic/slots.ts";
import type { ResistorStyle } from "./schematic/symbols-two.ts";

export {
  netsWithVolts,
  type Said,
  type SaidOfNet,
  schematicFacts,
  type SchematicFacts,
  withMoved,
  withProven,
} from "./schematic/facts.ts";
export {
  type LayoutOptions,
  type PartPlace,
  schematicLayout,
  type SchematicLayout,
  schematicStructure,
  type Station,
} from "./schematic/layout.ts";
export { ladderWords, type Ladder, schematicLadder } from "./schematic/ladder.ts";

export interface SchematicOptions {
  /** Volts at nodes and plate currents are shown when the design was solved. */
  readonly solved?: SolvedDesign;
  /** The instance drawn; left out: the first with an input and an output. */
  readonly channel?: string;
  readonly title: string;
  /** Least width and height of the sheet, millimetres; it grows to what is drawn. */
  readonly width?: number;
  readonly height?: number;
  readonly resistors?: ResistorStyle;
}

/** What is said in a drawing's places, in its own millimetres. */
export const schematicWords = (layout: SchematicLayout, facts: SchematicFacts): readonly Item[] =>
  layout.slots.flatMap((slot) => slotItems(slot, facts, SIZES.small));

/** Scales of `fittedLayout`, largest first: text keeps its size, so the smaller ones are denser. */
const SCALES = [1, 0.92, 0.85, 0.78, 0.71] as const;

/**
 * The largest layout that a width holds, millimetres; where none does, the narrowest that leaves no part out of the stage,
 * and the page pans.
 */
export function fittedLayout(expanded: Expanded, options: LayoutOptions, width: number): SchematicLayout {
  let best: SchematicLayout | undefined;
  for (const scale of SCALES) {
    const layout = schematicLayout(expanded, { ...options, scale });
    if (!layout.apart && layout.width <= width) return layout;
    const better = best === undefined || (best.apart && !layout.apart) || layout.width < best.width;
    if (better && (best === undefined || best.apart || !layout.apart)) best = layout;
  }
  assert(best !== undefined, "there is a scale");
  return best;
}

/** Throws when the document does not expand or when it has no such instance. */
export function schematicScene(source: Expanded | Document, options: SchematicOptions): Scene {
  const { solved, channel, resistors, title, width, height } = options;
  const expanded = "parts" in source ? source : expandedOf(source);
  const facts = schematicFacts(expanded, solved);
  const layout = schematicLayout(expanded, {
    document: "parts" in source ? solved?.document : source,
    ...(channel === undefined ? {} : { channel }),
    ...(resistors === undefined ? {} : { resistors }),
    ...(solved === undefined ? {} : { volts: netsWithVolts(facts) }),
  });
  const note = noteOf(options, layout.apart);
  const size = { ...(width === undefined ? {} : { width }), ...(height === undefined ? {} : { height }) };
  return sheetOf(layout, facts, { title, description: `Schematic of ${layout.instance}. ${note}`, note, ...size });
}

function noteOf({ solved }: SchematicOptions, hasTable: boolean): string {
  const apart = hasTable ? " Parts drawn apart: each lead is named with its net." : "";
  if (solved === undefined) return `Not solved: no volts shown.${apart}`;
  return `Volts to ground and plate currents, ${solved.condition.words}. A bolt: above 60 V, dangerous to touch.${apart}`;
}

function expandedOf(document: Document): Expanded {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  return expanded.value;
}
