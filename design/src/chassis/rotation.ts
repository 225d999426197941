/**
 * How a socket is best turned: so that the grid's wire is short, and the heaters' wires cross no grid's.
 *
 * Method  Every pin's wire runs straight from the pin to the item that its net leads to (trace.ts), or to the transformer for a
 *         winding. The score is the sum of lengths, grids counted three times and heaters twice, plus a fine for each heater
 *         wire that crosses a grid's, and for one that passes a grid's pin closely. Every angle in steps of 15° is scored.
 * Limits  Straight wires tell the better of two angles, not lengths to cut. Weights and fines are common practice.
 */
import type { PinRole, Place } from "@platewright/engine";
import { fitOf, needsOf, existingOutline } from "./match.ts";
import type { ChassisJudged } from "./context.ts";
import { distance, segmentsCross, solidOf, toSegment } from "./geometry.ts";
import { isIron } from "./context.ts";
import { pinPlace, placeItem, type PlacedItem } from "./placed.ts";
import { type Tracer, tracer, wireOf } from "./trace.ts";

export interface SocketWire {
  readonly pin: string;
  readonly role: PinRole["kind"];
  readonly from: Place;
  readonly to: Place;
  readonly target: string;
}

export interface Turn {
  readonly degrees: number;
  readonly score: number;
  /** Heater wires that cross a grid's. */
  readonly crossings: number;
  readonly gridMillimetres: number;
  readonly heaterMillimetres: number;
  /** The holes that are there take the socket as it is turned. */
  readonly asCut: boolean;
  readonly wires: readonly SocketWire[];
}

export interface Rotation {
  readonly item: string;
  readonly now: Turn;
  /** Every angle, best first. */
  readonly turns: readonly Turn[];
  /** The best that the holes that are there allow. */
  readonly bestAsCut: Turn | undefined;
}

const STEP = 15;
const WEIGHTS: { readonly [K in PinRole["kind"]]?: number } = {
  grid: 3,
  heater: 2,
  "heater-and-cathode": 2,
  plate: 1,
  cathode: 0.5,
};
const CROSSING_FINE = 60;
/** A heater's wire nearer to a grid's pin than this costs three times what is missing. */
const HEATER_TO_GRID = 8;

export const isHeater = (role: PinRole["kind"]): boolean => role === "heater" || role === "heater-and-cathode";

/** Angles of a socket with their scores; undefined for what is no wired socket, or when nothing leads to another item. */
export function rotationOf(judged: ChassisJudged, item: PlacedItem): Rotation | undefined {
  const { document, expanded, items, chassis } = judged;
  if (expanded === undefined || item.footprint.pins === undefined) return undefined;
  const targets = targetsOf(judged, item, tracer(document, expanded, items));
  if (targets.length === 0) return undefined;
  const others = new Set(judged.holes.matches.flatMap((m) => (m.need.item === item ? [] : (m.existing?.id ?? []))));
  const free = chassis.holes.filter((hole) => !others.has(hole.id)).map((hole) => solidOf(existingOutline(hole)));
  const turn = (degrees: number): Turn => {
    const placed = placeItem({ ...item.item, degrees }, item.footprint);
    const wires = targets.flatMap(({ pin, role, to, target }): readonly SocketWire[] => {
      const from = pinPlace(placed, Number(pin));
      return from === undefined ? [] : [{ pin, role, from, to, target }];
    });
    const asCut = needsOf(placed).every((need) => free.some((there) => fitOf(need, there) === "serves"));
    return { degrees, asCut, wires, ...scored(wires) };
  };
  const turns = Array.from({ length: 360 / STEP }, (_, i) => turn(i * STEP)).sort(
    (one, other) => one.score - other.score || one.degrees - other.degrees,
  );
  return { item: item.item.id, now: turn(item.item.degrees), turns, bestAsCut: turns.find((one) => one.asCut) };
}

interface Target {
  readonly pin: string;
  readonly role: PinRole["kind"];
  readonly to: Place;
  readonly target: string;
}

function targetsOf(judged: ChassisJudged, item: PlacedItem, trace: Tracer): readonly Target[] {
  const { what } = item.item;
  if (!("envelope" in what)) return [];
  const envelope = judged.document.envelopes.find((one) => one.id === what.envelope);
  const record = envelope === undefined ? undefined : judged.catalogue.tube(envelope.type);
  const base = record?.bases.find((one) => one.socket === envelope?.socket && Object.keys(one.pins).length > 0);
  const iron = judged.items.find((one) => "transformer" in one.item.what) ?? judged.items.find(isIron);
  return Object.entries(base?.pins ?? {}).flatMap(([pin, role]): readonly Target[] => {
    const wire = wireOf(judged.document, item, pin);
    if (wire === undefined) return [];
    if ("winding" in wire)
      return iron === undefined ? [] : [{ pin, role: role.kind, to: iron.item, target: iron.item.id }];
    const reached = trace.reached(wire.net, item).map((one) => one.item);
    const [nearest] = reached.sort((one, other) => distance(one.item, item.item) - distance(other.item, item.item));
    return nearest === undefined ? [] : [{ pin, role: role.kind, to: nearest.item, target: nearest.item.id }];
  });
}

function scored(
  wires: readonly SocketWire[],
): Pick<Turn, "score" | "crossings" | "gridMillimetres" | "heaterMillimetres"> {
  let [score, crossings, gridMillimetres, heaterMillimetres] = [0, 0, 0, 0];
  for (const { role, from, to } of wires) {
    const length = distance(from, to);
    score += (WEIGHTS[role] ?? 0) * length;
    if (role === "grid") gridMillimetres += length;
    if (isHeater(role)) heaterMillimetres += length;
  }
  for (const heater of wires) {
    if (!isHeater(heater.role)) continue;
    for (const grid of wires) {
      if (grid.role !== "grid") continue;
      if (segmentsCross(heater.from, heater.to, grid.from, grid.to)) crossings++;
      const near = toSegment(grid.from, heater.from, heater.to);
      if (near < HEATER_TO_GRID) score += 3 * (HEATER_TO_GRID - near);
    }
  }
  return { score: score + CROSSING_FINE * crossings, crossings, gridMillimetres, heaterMillimetres };
}
