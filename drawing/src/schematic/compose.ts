/**
 * Symbols, words, wires and names of one drawing. What does not find its place beside the others without touching them is
 * left to the table below, and the rest is laid out again, until all is clear.
 */
import { assert } from "@platewright/engine";
import { type Box, boxAround } from "../bounds.ts";
import type { TextItem } from "../scene.ts";
import {
  around,
  flagAt,
  isClear,
  leadEnds,
  type LeadEnd,
  obstacleBoxes,
  placeWords,
  solidBoxes,
  wordsRoom,
} from "./boxes.ts";
import { type Builder, builderOf } from "./builder.ts";
import type { Element, Line, Look } from "./element.ts";
import { nameNet, segmentBox } from "./names.ts";
import { GROUND_NET, type Piece, type Wiring } from "./pieces.ts";
import { PITCH } from "./symbol.ts";
import { type Cell, tableOf } from "./table.ts";
import { wireUp, type Wires } from "./wires.ts";

/** What is said of a net: its name where it must stand, its volts where they are known. */
export interface NetWords {
  readonly name: (net: string) => readonly Line[];
  /** Empty: nothing needs saying. */
  readonly beside: (net: string, isNamed: boolean) => readonly Line[];
  /** Must be said even when the net is whole. */
  readonly isNamed: (net: string) => boolean;
}

export interface Composition {
  readonly elements: readonly Element[];
  readonly words: readonly TextItem[];
  readonly wires: Wires;
  readonly table: readonly Cell[];
  readonly box: Box;
}

const NO_WIRES: Wires = { segments: [], dots: [], unreached: [] };
/** Paper around the stage on which wires may run, in pitches. */
const FRINGE = 4;
const LEAST_WIDTH = 200;

export function compose(wiring: Wiring, look: Look, layOut: (builder: Builder) => void, say: NetWords): Composition {
  const tight = composeIn(wiring, look, layOut, say, true);
  if (tight.leftOut === 0) return tight.composition;
  const roomy = composeIn(wiring, look, layOut, say, false);
  return (roomy.leftOut < tight.leftOut ? roomy : tight).composition;
}

function composeIn(
  wiring: Wiring,
  look: Look,
  layOut: (builder: Builder) => void,
  say: NetWords,
  tight: boolean,
): { readonly composition: Composition; readonly leftOut: number } {
  const leave = new Set<string>();
  for (;;) {
    const builder = builderOf(wiring, look, leave, say.name, tight);
    layOut(builder);
    const tried = attempt(builder, say);
    if (tried.demote.length === 0) return { composition: tried.composition, leftOut: leave.size };
    const before = leave.size;
    for (const piece of tried.demote) leave.add(piece.id);
    assert(leave.size > before, `the schematic does not come to rest at ${tried.demote[0]?.id}`);
  }
}

interface Attempt {
  readonly composition: Composition;
  /** Pieces that found no place. */
  readonly demote: readonly Piece[];
}

const failed = (pieces: readonly (Piece | undefined)[], composition: Composition): Attempt => ({
  composition,
  demote: pieces.filter((piece) => piece !== undefined),
});

function attempt(builder: Builder, say: NetWords): Attempt {
  const { elements, wiring } = builder;
  const empty: Composition = { elements: [], words: [], wires: NO_WIRES, table: [], box: around([]) };
  const crowded = firstCrowded(elements);
  if (crowded !== undefined) return failed([crowded], empty);
  const words: TextItem[] = [];
  const solids = elements.flatMap(solidBoxes);
  const ends = elements.flatMap(leadEnds);
  const points = ends.map(({ at }) => boxAround([at], 0.3));
  for (const element of elements) {
    const placed = placeWords(element, [...solids, ...points, ...wordsRoom(words, 0)]);
    if (placed === undefined && element.owner !== undefined) return failed([element.owner], empty);
    words.push(...(placed ?? []));
  }
  const room = wordsRoom(words);
  const drawn = around([...solids, ...room]);
  const joined = ends.filter(({ net }) => net !== GROUND_NET);
  const margin = FRINGE * PITCH;
  const sheet = elements.length === 0 ? around([]) : inflate(drawn, margin);
  const wires =
    elements.length === 0
      ? NO_WIRES
      : wireUp(ends, [...elements.flatMap(obstacleBoxes), ...room], sheet, builder.trunks);

  const taken = [...solids, ...wires.segments.map(segmentBox), ...wires.dots.map(({ at }) => boxAround([at], 0.8))];
  const clear = () => [...taken, ...wordsRoom(words, 0)];
  const grounds = new Set(
    elements
      .filter(({ ids }) => ids.length === 0)
      .flatMap(leadEnds)
      .map(keyOf),
  );
  const bare = ends.filter((end) => end.net === GROUND_NET && !grounds.has(keyOf(end)));
  for (const end of [...wires.unreached, ...bare]) {
    if (end.element.owner === undefined) continue;
    const flag = flagAt(end, say.name(end.net), [end.net]);
    if (!isClear(wordsRoom(flag, 0.2), clear())) return failed([end.element.owner], empty);
    words.push(...flag);
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
    const lines = say.beside(net, isNamed);
    if (lines.length === 0) continue;
    const segments = wires.segments.filter((one) => one.net === net);
    const named = nameNet(segments, leads, lines, clear(), [net]);
    if (named === undefined && isNamed) {
      const pieces = leads.flatMap(({ element }) => element.owner ?? []);
      // A net that is only the front's or a port's has no part to leave out; its name is at its port.
      if (pieces.length > 0) return failed([pieces.at(-1)], empty);
    }
    words.push(...(named ?? []));
  }
  const whole = around([...clear(), ...wires.segments.map(segmentBox)]);
  const start: readonly [number, number] = elements.length === 0 ? [0, 0] : [whole.left, whole.bottom + 14];
  const width = Math.max(LEAST_WIDTH, elements.length === 0 ? 0 : whole.right - whole.left);
  const table = tableOf(left, builder.look, say.name, start, width);
  const box = around([...(elements.length === 0 ? [] : [whole]), ...table.map((cell) => cell.box)]);
  return { composition: { elements, words, wires, table, box }, demote: [] };
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
