/**
 * Symbols, words, wires and names of one drawing. What does not find its place beside the others without touching them is
 * left to the table below, and the rest is laid out again, until all is clear.
 */
import { assert } from "@platewright/engine";
import { type Box, boxAround } from "../bounds.ts";
import type { TextItem } from "../scene.ts";
import {
  AIR,
  around,
  block,
  flagAt,
  isClear,
  leadEnds,
  type LeadEnd,
  obstacleBoxes,
  type Placed,
  placeWords,
  solidBoxes,
  wordsRoom,
} from "./boxes.ts";
import { type Builder, builderOf } from "./builder.ts";
import type { Element, Line, Look } from "./element.ts";
import { nameNet, segmentBox } from "./names.ts";
import { GROUND_NET, type Piece, type Wiring } from "./pieces.ts";
import { netRoom, type NetSay, netSlot, partSlot, type Slot, type SlotOf } from "./slots.ts";
import { PITCH } from "./symbol.ts";
import { type Cell, tableOf } from "./table.ts";
import { wireUp, type Wires } from "./wires.ts";
import { nameOf } from "./words.ts";

export interface Composition {
  readonly elements: readonly Element[];
  /** Words that nothing changes: those of a supply's front. */
  readonly words: readonly TextItem[];
  readonly slots: readonly Slot[];
  readonly wires: Wires;
  readonly table: readonly Cell[];
  readonly box: Box;
}

const NO_WIRES: Wires = { segments: [], dots: [], unreached: [] };
/** Paper around the stage on which wires may run, in pitches. */
const FRINGE = 4;
const LEAST_WIDTH = 200;

export function compose(wiring: Wiring, look: Look, layOut: (builder: Builder) => void, say: NetSay): Composition {
  const tight = composeIn(wiring, look, layOut, say, true);
  if (tight.leftOut === 0) return tight.composition;
  const roomy = composeIn(wiring, look, layOut, say, false);
  return (roomy.leftOut < tight.leftOut ? roomy : tight).composition;
}

function composeIn(
  wiring: Wiring,
  look: Look,
  layOut: (builder: Builder) => void,
  say: NetSay,
  tight: boolean,
): { readonly composition: Composition; readonly leftOut: number } {
  const leave = new Set<string>();
  for (;;) {
    const builder = builderOf(
      wiring,
      look,
      leave,
      { say: flagRoom(wiring, look, say), voltsRows: (net) => (say.hasVolts(net) ? (look.was ? 2 : 1) : 0) },
      tight,
    );
    layOut(builder);
    const tried = attempt(builder, say);
    if (tried.demote.length === 0) return { composition: tried.composition, leftOut: leave.size };
    const before = leave.size;
    for (const piece of tried.demote) leave.add(piece.id);
    assert(leave.size > before, `the schematic does not come to rest at ${tried.demote[0]?.id}`);
  }
}

/** Room for a net's name where its wire ends, with its volts when it comes from outside. */
const flagRoom = (wiring: Wiring, look: Look, say: NetSay) => (net: string) =>
  netRoom(say, look, net, true, wiring.outside.has(net));

interface Attempt {
  readonly composition: Composition;
  /** Pieces that found no place. */
  readonly demote: readonly Piece[];
}

const failed = (pieces: readonly (Piece | undefined)[], composition: Composition): Attempt => ({
  composition,
  demote: pieces.filter((piece) => piece !== undefined),
});

function attempt(builder: Builder, say: NetSay): Attempt {
  const { elements, wiring, look } = builder;
  const size = look.textSize;
  const flagged = flagRoom(wiring, look, say);
  const empty: Composition = { elements: [], words: [], slots: [], wires: NO_WIRES, table: [], box: around([]) };
  const crowded = firstCrowded(elements);
  if (crowded !== undefined) return failed([crowded], empty);
  const solids = elements.flatMap(solidBoxes);
  const ends = elements.flatMap(leadEnds);
  const points = ends.map(({ at }) => boxAround([at], 0.3));
  const said: Spoken[] = [];
  for (const element of elements) {
    if (element.lines.length === 0) continue;
    const placed = placeWords(element, [...solids, ...points, ...roomOf(said)], size);
    if (placed === undefined && element.owner !== undefined) return failed([element.owner], empty);
    if (placed !== undefined) said.push({ ...placed, slot: slotOf(element), ids: element.ids, more: element.more });
  }
  const room = roomOf(said, AIR);
  const drawn = around([...solids, ...room]);
  const joined = ends.filter(({ net }) => net !== GROUND_NET);
  const margin = FRINGE * PITCH;
  const sheet = elements.length === 0 ? around([]) : inflate(drawn, margin);
  const wires =
    elements.length === 0
      ? NO_WIRES
      : wireUp(ends, [...elements.flatMap(obstacleBoxes), ...room], sheet, builder.trunks);

  const taken = [...solids, ...wires.segments.map(segmentBox), ...wires.dots.map(({ at }) => boxAround([at], 0.8))];
  const clear = () => [...taken, ...roomOf(said)];
  const grounds = new Set(
    elements
      .filter(({ ids }) => ids.length === 0)
      .flatMap(leadEnds)
      .map(keyOf),
  );
  const bare = ends.filter((end) => end.net === GROUND_NET && !grounds.has(keyOf(end)));
  for (const end of [...wires.unreached, ...bare]) {
    if (end.element.owner === undefined) continue;
    const lines = flagged(end.net);
    const seat = flagAt(end, size);
    const flag = block(lines.lines, seat, [end.net], size);
    if (!isClear(wordsRoom(flag, 0.2), clear())) return failed([end.element.owner], empty);
    said.push({ seat, words: flag, slot: netSlot(end.net, lines), ids: [end.net], more: [] });
  }
  const left = wiring.pieces.filter((piece) => !builder.placed.has(piece.id));
  const broken = new Set([
    ...wires.unreached.map(({ net }) => net),
    ...left.flatMap((piece) => Object.values(piece.pins)),
  ]);
  const ported = new Set(elements.filter(({ nets }) => "net" in nets).flatMap(({ ids }) => ids));
  for (const net of new Set(joined.map((end) => end.net))) {
    if (ported.has(net)) continue;
    const leads = joined.filter((end) => end.net === net);
    const isNamed = say.isNamed(net) || broken.has(net) || leads.length === 1;
    const wanted = netRoom(say, look, net, isNamed, true);
    if (wanted.lines.length === 0) continue;
    const segments = wires.segments.filter((one) => one.net === net);
    const named = nameNet(segments, leads, wanted.lines, clear(), [net], size);
    if (named === undefined && isNamed) {
      const pieces = leads.flatMap(({ element }) => element.owner ?? []);
      // A net that is only the front's or a port's has no part to leave out; its name is at its port.
      if (pieces.length > 0) return failed([pieces.at(-1)], empty);
    }
    if (named === undefined) continue;
    const again = (lines: readonly Line[], others: readonly Box[]) =>
      nameNet(segments, leads, lines, [...taken, ...others], [net], size);
    said.push({ ...named, slot: netSlot(net, wanted), ids: [net], more: wanted.more, again });
  }
  // What must be said has its place, and so have the wires: now what was, where there is room left.
  extend(said, taken, size);
  const whole = around([...clear(), ...wires.segments.map(segmentBox)]);
  const start: readonly [number, number] = elements.length === 0 ? [0, 0] : [whole.left, whole.bottom + 14];
  const width = Math.max(LEAST_WIDTH, elements.length === 0 ? 0 : whole.right - whole.left);
  const table = tableOf(left, look, flagged, start, width);
  const box = around([...(elements.length === 0 ? [] : [whole]), ...table.map((cell) => cell.box)]);
  const words = said.flatMap((one) => (one.slot === undefined ? one.words : []));
  const slots = said.flatMap(({ slot, seat, words: { length } }) =>
    slot === undefined ? [] : [{ ...slot, ...seat, rows: length }],
  );
  return { composition: { elements, words, slots, wires, table, box }, demote: [] };
}

/** Words in their place, what may follow them, and what they are the place for: nothing, if they stand as they are. */
interface Spoken extends Placed {
  readonly slot: SlotOf | undefined;
  readonly ids: readonly string[];
  readonly more: readonly Line[];
  /** Another place for more lines. */
  readonly again?: (lines: readonly Line[], others: readonly Box[]) => Placed | undefined;
}

const roomOf = (said: readonly Spoken[], air = 0): readonly Box[] => said.flatMap(({ words }) => wordsRoom(words, air));

/** Adds the further lines of all words that have room for them, where they stand or in another place. */
function extend(said: Spoken[], taken: readonly Box[], size: number): void {
  for (const [n, one] of said.entries()) {
    if (one.more.length === 0) continue;
    const others = roomOf(said.filter((other) => other !== one));
    const lines = [...one.words.map(lineOf), ...one.more];
    const words = block(lines, one.seat, one.ids, size);
    const longer = isClear(wordsRoom(words), [...taken, ...others])
      ? { seat: one.seat, words }
      : one.again?.(lines, others);
    if (longer !== undefined) said[n] = { ...one, ...longer, more: [] };
  }
}

const lineOf = ({ text, bold, role }: TextItem): Line => ({
  text,
  ...(bold === undefined ? {} : { bold }),
  ...(role === undefined ? {} : { role }),
});

/** Words of a part or a port are filled in later; those of a supply's front stand as they are. */
function slotOf(element: Element): SlotOf | undefined {
  const [net] = element.ids;
  if (element.piece !== undefined) return partSlot(nameOf(element.piece));
  return element.room === undefined || net === undefined ? undefined : netSlot(net, element.room);
}

const keyOf = ({ at }: LeadEnd): string => at.map((v) => v.toFixed(2)).join(",");

const inflate = (box: Box, by: number): Box => ({
  left: box.left - by,
  top: box.top - by,
  right: box.right + by,
  bottom: box.bottom + by,
});

/** The first piece whose symbol touches one before it, or whose lead ends where another net's does. */
function firstCrowded(elements: readonly Element[]): Piece | undefined {
  const taken: { readonly box: Box; readonly element: Element }[] = [];
  const ends = new Map<string, string>();
  for (const element of elements) {
    const boxes = obstacleBoxes(element).map((box) => inflate(box, 0.15));
    const touched = taken.find(({ box }) => boxes.some((one) => !isClear([one], [box])));
    const shorted = leadEnds(element).some((end) => (ends.get(keyOf(end)) ?? end.net) !== end.net);
    const owner = touched === undefined && !shorted ? undefined : (element.owner ?? touched?.element.owner);
    if (owner !== undefined) return owner;
    for (const box of boxes) taken.push({ box, element });
    for (const end of leadEnds(element)) ends.set(keyOf(end), end.net);
  }
  return undefined;
}
