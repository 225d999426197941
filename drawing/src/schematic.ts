/**
 * The schematic of one block instance, drawn from its nets: a channel with its signal from left to right, or the supply
 * from its rectifier to the right.
 *
 * Method  docs/schematic.md: structure from nets, columns, words, wires by search on a grid, names where there is room;
 *         what finds no place stands in a table below with its nets named, so that no part is ever missing.
 * Units   millimetres; text keeps its size, the sheet grows.
 */
import { assert, printValue } from "@platewright/engine";
import { type Document, expand, type Expanded, type SolvedDesign } from "@platewright/design";
import type { Scene } from "./scene.ts";
import { layChannel } from "./schematic/channel.ts";
import { frontOf, laySupply } from "./schematic/front.ts";
import { compose, type NetWords } from "./schematic/compose.ts";
import type { Line, Look } from "./schematic/element.ts";
import { GROUND_NET, netName, wiringOf } from "./schematic/pieces.ts";
import { sheetOf } from "./schematic/sheet.ts";
import type { ResistorStyle } from "./schematic/symbols-two.ts";

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

/** Below this a node counts as at no dc volts, and none are printed. */
const NOTHING_VOLTS = 0.05;
/** Nodes above it are marked; common practice for dc that can be touched. */
const DANGEROUS_VOLTS = 60;

/** Throws when the document does not expand or when it has no such instance. */
export function schematicScene(source: Expanded | Document, options: SchematicOptions): Scene {
  const expanded = "parts" in source ? source : expandedOf(source);
  const document = "parts" in source ? options.solved?.document : source;
  const instance = options.channel ?? expanded.channels[0]?.instance ?? expanded.parts[0]?.instance;
  assert(instance !== undefined, "the design has no instance to draw");
  const wiring = wiringOf(expanded, instance);
  assert(wiring.pieces.length > 0, `the design has no instance "${instance}"`);
  const look: Look = { resistors: options.resistors ?? "box", ...currentsOf(options.solved) };
  const say = wordsOf(instance, wiring.outside, options.solved);
  const front = frontOf(document, instance);
  const drawing = compose(
    wiring,
    look,
    (b) => {
      if (front !== undefined || !layChannel(b)) laySupply(b, front);
    },
    say,
  );
  const note = noteOf(options, drawing.table.length > 0);
  const { title, width, height } = options;
  const size = { ...(width === undefined ? {} : { width }), ...(height === undefined ? {} : { height }) };
  return sheetOf(drawing, { title, description: `Schematic of ${instance}. ${note}`, note, ...size });
}

function noteOf({ solved }: SchematicOptions, hasTable: boolean): string {
  const apart = hasTable ? " Parts drawn apart: each lead is named with its net." : "";
  if (solved === undefined) return `Not solved: no volts shown.${apart}`;
  return `Volts to ground and plate currents, ${solved.condition.words}. Bold: above 60 V, dangerous to touch.${apart}`;
}

function expandedOf(document: Document): Expanded {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  return expanded.value;
}

function currentsOf(solved: SolvedDesign | undefined): Pick<Look, "plateAmps"> {
  if (solved === undefined) return {};
  return { plateAmps: new Map([...solved.bias.triodes].map(([id, { plateAmps }]) => [id, plateAmps])) };
}

/** What is said of each net: its name where the drawing needs one, its volts when they are known. */
function wordsOf(instance: string, outside: ReadonlySet<string>, solved: SolvedDesign | undefined): NetWords {
  const volts = (net: string): readonly Line[] => {
    const value = net === GROUND_NET ? undefined : solved?.bias.netVolts.get(net);
    if (value === undefined || Math.abs(value) < NOTHING_VOLTS) return [];
    return [{ text: printValue(value, "V", 3), bold: Math.abs(value) > DANGEROUS_VOLTS }];
  };
  const name = (net: string): readonly Line[] => [
    { text: netName(net, instance), ...(outside.has(net) ? { bold: true } : { role: "quiet" }) },
  ];
  return {
    name: (net) => (outside.has(net) ? [...name(net), ...volts(net)] : name(net)),
    beside: (net, isNamed) => (isNamed ? [...name(net), ...volts(net)] : volts(net)),
    isNamed: (net) => outside.has(net),
  };
}
