/** Places for words: found once for a structure, filled anew with every value. */
import type { Item, Point, TextItem } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import { block, type Seat } from "./boxes.ts";
import type { Line, Look, NetLines } from "./element.ts";
import type { SchematicFacts } from "./facts.ts";
import { BOLT, type PartName, partLines, voltsLines, VOLTS_ROOM, VOLTS_WAS_ROOM } from "./words.ts";

/** What a place is for. */
export interface SlotOf {
  /** Of a part. */
  readonly part?: PartName;
  /** Of a net, and its name where that must stand. */
  readonly net?: string;
  readonly before?: readonly Line[];
  /** Its volts are said here. */
  readonly volts?: boolean;
}

/** A place for what is said of a part or of a net. Plain data: it is copied with the drawing. */
export interface Slot extends Seat, SlotOf {
  /** Lines that have room. */
  readonly rows: number;
}

/** What must be known of nets before anything is placed. */
export interface NetSay {
  readonly name: (net: string) => Line;
  /** It stands at dc volts: room is kept for them. */
  readonly hasVolts: (net: string) => boolean;
  /** Its name must stand even when the net is whole. */
  readonly isNamed: (net: string) => boolean;
}

/** Room for a net's name and volts. */
export function netRoom(say: NetSay, look: Look, net: string, named: boolean, volts: boolean): NetLines {
  const shown = volts && say.hasVolts(net);
  return {
    before: named ? [say.name(net)] : [],
    lines: [...(named ? [say.name(net)] : []), ...(shown ? [VOLTS_ROOM] : [])],
    more: shown && look.was ? [VOLTS_WAS_ROOM] : [],
    volts: shown,
  };
}

export const partSlot = (part: PartName): SlotOf => ({ part });

export const netSlot = (net: string, { before, volts }: NetLines): SlotOf => ({ net, before, volts });

/** The words of a slot, at `size` millimetres. */
export function slotItems(slot: Slot, facts: SchematicFacts, size: number): readonly Item[] {
  const { part, net, before = [], volts, rows } = slot;
  if (part !== undefined) return block(partLines(part, facts).slice(0, rows), slot, [part.id], size);
  if (net === undefined) return [];
  const lines = [...before, ...(volts === true ? voltsLines(facts.volts[net]) : [])].slice(0, rows);
  return block(lines, slot, [net], size).flatMap((item) => (item.text.startsWith(BOLT) ? bolted(item) : [item]));
}

const BOLT_SHAPE: readonly (readonly [number, number])[] = [
  [0.34, -0.76],
  [0.02, -0.3],
  [0.24, -0.3],
  [0.12, 0.06],
  [0.5, -0.44],
  [0.27, -0.44],
];

/** A bolt before volts that are dangerous to touch, drawn: no font is asked for it. */
function bolted(item: TextItem): readonly Item[] {
  const { size, at, anchor = "start", role = "ink", ids } = item;
  const text = item.text.slice(BOLT.length);
  const room = 0.62 * size;
  const whole = room + textWidth(text, size, item.bold);
  const left = anchor === "end" ? at[0] - whole : anchor === "middle" ? at[0] - whole / 2 : at[0];
  const bolt: Item = {
    kind: "path",
    points: BOLT_SHAPE.map(([x, y]) => [left + x * size, at[1] + (y + (0.76 - CAP_EMS) / 2) * size]),
    weight: 0,
    fill: role,
    ...(ids === undefined ? {} : { ids }),
  };
  return [bolt, { ...item, text, at: [left + room, at[1]], anchor: "start" }];
}

/** From the grid to the sheet: the origin moved, distances made smaller. */
export const placing =
  ([x0, y0]: Point, scale: number) =>
  ([x, y]: Point): Point => [(x - x0) * scale, (y - y0) * scale];

/** Items where they stand on the sheet: shapes and text shrink with the distances, strokes keep their weight. */
export function placedItems(items: readonly Item[], onSheet: (point: Point) => Point, scale: number): readonly Item[] {
  return items.map((item): Item => {
    switch (item.kind) {
      case "group":
        return { ...item, at: onSheet(item.at), items: placedItems(item.items, placing([0, 0], scale), scale) };
      case "line":
        return { ...item, from: onSheet(item.from), to: onSheet(item.to) };
      case "polyline":
      case "path":
        return { ...item, points: item.points.map(onSheet) };
      case "rect":
        return { ...item, at: onSheet(item.at), width: item.width * scale, height: item.height * scale };
      case "circle":
        return { ...item, at: onSheet(item.at), radius: item.radius * scale };
      case "text":
        return { ...item, at: onSheet(item.at), size: item.size * scale };
    }
  });
}
