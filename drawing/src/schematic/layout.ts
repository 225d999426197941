/**
 * Where everything stands in a drawing of one block instance. It depends on the structure alone: which parts there are, how
 * they are tied, what is written at them that is no value. The same structure gives the same places; values, volts and
 * currents are filled in afterwards.
 */
import { assert } from "@platewright/engine";
import type { Document, Expanded } from "@platewright/design";
import type { Box } from "../bounds.ts";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { around, block, originOf, solidBoxes, wordsRoom } from "./boxes.ts";
import { layChannel } from "./channel.ts";
import { compose, type Composition } from "./compose.ts";
import type { Element, Look } from "./element.ts";
import { frontOf, frontWords, laySupply } from "./front.ts";
import { netName, type Wiring, wiringOf } from "./pieces.ts";
import { type NetSay, placedItems, placing, type Slot } from "./slots.ts";
import { dividers, isLarge, pinNet, railsOf, signalPath } from "./structure.ts";
import type { ResistorStyle } from "./symbols-two.ts";
import { itemsOf } from "./table.ts";
import { nameOf } from "./words.ts";

export interface LayoutOptions {
  /** The instance drawn; left out: the first with an input and an output. */
  readonly channel?: string;
  /** The document, for a supply's front, when an expanded design is given. */
  readonly document?: Document | undefined;
  readonly resistors?: ResistorStyle;
  /** Nets that stand at dc volts: room is kept for them, and for plate currents. Left out: no volts are said. */
  readonly volts?: readonly string[];
  /** Room for what was. */
  readonly was?: boolean;
  /** Symbols and distances are made smaller by this; text keeps its size. */
  readonly scale?: number;
}

/** A part where it stands: its symbol and its words. */
export interface PartPlace {
  readonly id: string;
  readonly body: Box;
  readonly box: Box;
}

/** A net that the signal passes, as it is spoken of. */
export interface Station {
  readonly net: string;
  readonly words: string;
  readonly x: number;
}

/** A drawing without its figures, in millimetres from the top left corner of what is drawn. Plain data. */
export interface SchematicLayout {
  readonly instance: string;
  readonly width: number;
  readonly height: number;
  /** Wires, dots, symbols, and words that nothing changes. */
  readonly items: readonly Item[];
  readonly slots: readonly Slot[];
  /** In the order of the signal, then of the supply, then of the table. */
  readonly parts: readonly PartPlace[];
  readonly stations: readonly Station[];
  /** Some parts stand apart in a table. */
  readonly apart: boolean;
}

const DOT = 0.75;

/** Throws when there is no such instance. */
export function schematicLayout(expanded: Expanded, options: LayoutOptions): SchematicLayout {
  const { instance, wiring } = wired(expanded, options.channel);
  const scale = options.scale ?? 1;
  const look = lookOf(options);
  const front = frontOf(options.document, instance);
  const drawing = compose(
    wiring,
    look,
    (b) => {
      if (front !== undefined || !layChannel(b)) laySupply(b, front);
    },
    sayOf(instance, wiring, options),
  );
  const { box } = drawing;
  const elements = [...drawing.elements, ...drawing.table.flatMap((cell) => cell.elements)];
  const slots = [...drawing.slots, ...drawing.table.flatMap((cell) => cell.slots)];
  const onSheet = placing([box.left, box.top], scale);
  const seated = slots.map((slot) => ({ ...slot, at: onSheet(slot.at) }));
  return {
    instance,
    width: (box.right - box.left) * scale,
    height: (box.bottom - box.top) * scale,
    items: placedItems(itemsOfAll(drawing), onSheet, scale),
    slots: seated,
    parts: elements.flatMap((element) => partPlace(element, seated, onSheet)),
    stations: stationsOf(wiring, drawing.elements).map(({ x, ...one }) => ({ ...one, x: onSheet([x, 0])[0] })),
    apart: drawing.table.length > 0,
  };
}

/** The same for the same structure: as long as it stands, a layout does. */
export function schematicStructure(expanded: Expanded, options: LayoutOptions): string {
  const { instance, wiring } = wired(expanded, options.channel);
  const front = frontOf(options.document, instance);
  const { resistors, volts, was, scale } = options;
  return JSON.stringify([
    instance,
    wiring.pieces.map((piece) => {
      const { written, shared, triode } = piece;
      const shape = [
        "polarised" in written && written.polarised,
        "technology" in written && written.technology,
        "closed" in written && written.closed,
      ];
      return [nameOf(piece), written.kind, written.pins, shape, shared, triode?.section, isLarge(piece)];
    }),
    // Sizes of resistors decide the chain of a supply, not a signal's path.
    front !== undefined || signalPath(wiring, railsOf(wiring)) === undefined ? dividers(wiring) : [],
    front === undefined ? null : [frontWords(front), front.supply.rectifier],
    [resistors, volts?.filter((net) => wiring.ties.has(net)).toSorted(), was, scale],
  ]);
}

function wired(
  expanded: Expanded,
  channel: string | undefined,
): { readonly instance: string; readonly wiring: Wiring } {
  const instance = channel ?? expanded.channels[0]?.instance ?? expanded.parts[0]?.instance;
  assert(instance !== undefined, "the design has no instance to draw");
  const wiring = wiringOf(expanded, instance);
  assert(wiring.pieces.length > 0, `the design has no instance "${instance}"`);
  return { instance, wiring };
}

const lookOf = ({ resistors, volts, was, scale }: LayoutOptions): Look => ({
  resistors: resistors ?? "box",
  textSize: SIZES.small / (scale ?? 1),
  currents: volts !== undefined,
  was: was ?? false,
});

function sayOf(instance: string, { outside }: Wiring, { volts = [] }: LayoutOptions): NetSay {
  const standing = new Set(volts);
  return {
    name: (net) => ({
      text: netName(net, instance),
      ...(outside.has(net) ? { bold: true } : { role: "quiet" as const }),
    }),
    hasVolts: (net) => standing.has(net),
    isNamed: (net) => outside.has(net),
  };
}

function itemsOfAll({ elements, table, wires, words }: Composition): readonly Item[] {
  return [
    ...wires.segments.map(({ net, from, to }): Item => ({ kind: "line", from, to, weight: WEIGHTS.wire, ids: [net] })),
    ...wires.dots.map(({ net, at }): Item => ({ kind: "circle", at, radius: DOT, weight: 0, fill: "ink", ids: [net] })),
    ...elements.map(itemsOf),
    ...words,
    ...table.flatMap((cell) => cell.elements.map(itemsOf)),
  ];
}

/** A part with its leads and its words, for those who point at it. */
function partPlace(element: Element, slots: readonly Slot[], onSheet: (point: Point) => Point): readonly PartPlace[] {
  const { piece, room, ids, lines, more } = element;
  const id = piece?.id ?? (room === undefined ? ids[0] : undefined);
  if (id === undefined) return [];
  const body = moved(around(solidBoxes(element)), onSheet);
  const slot = slots.find((one) => one.part?.id === id);
  const words = slot === undefined ? [] : block([...lines, ...more].slice(0, slot.rows), slot, ids, SIZES.small);
  return [{ id, body, box: around([body, ...wordsRoom(words, 0)]) }];
}

function moved({ left, top, right, bottom }: Box, onSheet: (point: Point) => Point): Box {
  const [from, to] = [onSheet([left, top]), onSheet([right, bottom])];
  return { left: from[0], top: from[1], right: to[0], bottom: to[1] };
}

/** What the signal passes on its way, where it leaves each: the jack, grids of gain stages, plates, cathodes, the output. */
function stationsOf(wiring: Wiring, elements: readonly Element[]): readonly Station[] {
  const path = signalPath(wiring, railsOf(wiring)) ?? [];
  const at = (id: string, pin: string): number | undefined => {
    const element = elements.find((one) => one.piece?.id === id);
    const lead = element?.symbol.leads.find((one) => one.pin === pin);
    return element === undefined || lead === undefined ? undefined : originOf(element)[0] + lead.at[0];
  };
  const found: { net: string; words: string; x: number | undefined }[] = [];
  const jack = (role: "input" | "output", words: string) => {
    const piece = wiring.pieces.find(({ written }) => written.kind === "jack" && written.role === role);
    if (piece !== undefined) found.push({ net: pinNet(piece, "tip"), words, x: at(piece.id, "tip") });
  };
  jack("input", "at jack");
  for (const { piece, from, to, net } of path) {
    if (piece.written.kind !== "triode" && piece.written.kind !== "follower") continue;
    const { id } = piece.written;
    if (to === "plate") found.push({ net: pinNet(piece, from), words: `${id} ${from}`, x: at(piece.id, from) });
    found.push({ net, words: `${id} ${to}`, x: at(piece.id, to) });
  }
  if (path.length > 0) jack("output", "out");
  return found.flatMap(({ x, ...one }) => (x === undefined ? [] : [{ ...one, x }]));
}
