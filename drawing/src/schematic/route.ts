/**
 * Wires on a grid. A wire runs along grid lines, keeps out of what is drawn already, and crosses another net only at a
 * right angle, straight on both sides.
 *
 * Method  Each net grows from one lead as a tree: the cheapest way (length, bends and crossings) to the nearest lead of the
 *         net not yet joined, found by Dijkstra's search over (point, direction) with a bucket queue.
 * Failure leads that could not be reached are listed; the caller names their net there instead.
 */
import type { Box } from "../bounds.ts";
import { PITCH } from "./symbol.ts";

/** A point of the grid, in pitches. */
export interface Knot {
  readonly x: number;
  readonly y: number;
}

export interface Board {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Edge from a point to the right (index 2n) and down (2n + 1): 0 free, -1 blocked, else the net's number. */
  readonly edges: Int32Array;
  /** Net whose lead ends at a point. */
  readonly ends: Int32Array;
  /** Room for a search: the cost of each state and the state before it. */
  readonly cost: Int32Array;
  readonly came: Int32Array;
}

const BLOCKED = -1;
const STEP = 2;
const BEND = 9;
const CROSSING = 5;

/** A board that covers `box` (millimetres) with nothing on it. */
export function boardOver(box: Box): Board {
  const left = Math.floor(box.left / PITCH);
  const top = Math.floor(box.top / PITCH);
  const width = Math.ceil(box.right / PITCH) - left + 1;
  const height = Math.ceil(box.bottom / PITCH) - top + 1;
  const count = width * height;
  const room = (each: number) => new Int32Array(each * count);
  return { left, top, width, height, edges: room(2), ends: room(1), cost: room(4), came: room(4) };
}

const indexOf = (board: Board, { x, y }: Knot): number => (y - board.top) * board.width + x - board.left;

/** Closes every edge that meets the box (millimetres). */
export function block(board: Board, box: Box): void {
  const cell = (value: number, origin: number) => value / PITCH - origin;
  const [l, r] = [cell(box.left, board.left), cell(box.right, board.left)];
  const [t, b] = [cell(box.top, board.top), cell(box.bottom, board.top)];
  const close = (x: number, y: number, side: 0 | 1) => {
    if (x >= 0 && y >= 0 && x < board.width && y < board.height)
      board.edges[2 * (y * board.width + x) + side] = BLOCKED;
  };
  for (let y = Math.ceil(t); y <= b; y++) for (let x = Math.floor(l); x <= r; x++) close(x, y, 0);
  for (let y = Math.floor(t); y <= b; y++) for (let x = Math.ceil(l); x <= r; x++) close(x, y, 1);
}

export function markEnd(board: Board, knot: Knot, net: number): void {
  board.ends[indexOf(board, knot)] = net;
}

/** The edge that leaves a point in a direction, or -1 at the border. */
function edgeAt(board: Board, point: number, direction: number): number {
  const x = point % board.width;
  const y = (point - x) / board.width;
  if (direction === 0) return x + 1 < board.width ? 2 * point : -1;
  if (direction === 1) return y + 1 < board.height ? 2 * point + 1 : -1;
  if (direction === 2) return x > 0 ? 2 * (point - 1) : -1;
  return y > 0 ? 2 * (point - board.width) + 1 : -1;
}

function stepOf(board: Board, direction: number): number {
  const step = direction % 2 === 0 ? 1 : board.width;
  return direction < 2 ? step : -step;
}

/** Who runs through a point: "free", "own", "across" (another net, straight, at a right angle to `direction`) or "shut". */
function through(board: Board, point: number, net: number, direction: number): "free" | "own" | "across" | "shut" {
  const end = board.ends[point] ?? 0;
  if (end !== 0) return end === net ? "own" : "shut";
  const right = userOf(board, point, 0);
  const down = userOf(board, point, 1);
  const left = userOf(board, point, 2);
  const up = userOf(board, point, 3);
  const others = foreign(right, net) + foreign(down, net) + foreign(left, net) + foreign(up, net);
  const isOwn = right === net || down === net || left === net || up === net;
  if (others === 0) return isOwn ? "own" : "free";
  const [side, back] = direction % 2 === 0 ? [down, up] : [right, left];
  return others === 2 && !isOwn && side === back && side !== 0 ? "across" : "shut";
}

/** The net whose wire runs from a point to one side, or 0. */
function userOf(board: Board, point: number, side: number): number {
  const edge = edgeAt(board, point, side);
  return edge < 0 ? 0 : Math.max(0, board.edges[edge] ?? 0);
}

const foreign = (user: number, net: number): number => (user !== 0 && user !== net ? 1 : 0);

/** Joins `from` to the nearest of `goals`, laying the wire; the goal reached, or undefined. */
export function joinNearest(board: Board, net: number, from: ReadonlySet<number>, goals: ReadonlySet<number>) {
  const cost = board.cost.fill(-1);
  const came = board.came.fill(-1);
  const queue: number[][] = [];
  const push = (state: number, total: number, before: number) => {
    if (cost[state] !== -1 && (cost[state] as number) <= total) return;
    cost[state] = total;
    came[state] = before;
    (queue[total] ??= []).push(state);
  };
  const leave = (point: number, direction: number, total: number, before: number) => {
    const edge = edgeAt(board, point, direction);
    if (edge < 0 || board.edges[edge] !== 0) return;
    const next = point + stepOf(board, direction);
    const found = through(board, next, net, direction);
    if (found === "shut" || (found === "own" && !goals.has(next))) return;
    push(4 * next + direction, total + STEP + (found === "across" ? CROSSING : 0), before);
  };
  for (const point of from) for (let d = 0; d < 4; d++) leave(point, d, 0, -1 - point);
  for (let total = 0; total < queue.length; total++)
    for (const state of queue[total] ?? []) {
      if (cost[state] !== total) continue;
      const point = state >> 2;
      const direction = state & 3;
      if (goals.has(point)) return lay(board, net, state, came);
      const crossing = through(board, point, net, direction) === "across";
      for (let d = 0; d < 4; d++) {
        if (d === (direction ^ 2) || (crossing && d !== direction)) continue;
        leave(point, d, total + (d === direction ? 0 : BEND), state);
      }
    }
  return undefined;
}

function lay(board: Board, net: number, goal: number, came: Int32Array): { goal: number; points: readonly number[] } {
  const points: number[] = [];
  for (let state = goal; state >= 0; state = came[state] as number) {
    const point = state >> 2;
    points.push(point);
    const edge = edgeAt(board, point, (state & 3) ^ 2);
    board.edges[edge] = net;
    if ((came[state] as number) < 0) points.push(-1 - (came[state] as number));
  }
  return { goal: goal >> 2, points };
}

/** Lays a straight wire along a row if it is free all the way; the points it covers, or none. */
export function layRow(board: Board, net: number, y: number, from: number, to: number): readonly number[] {
  const points: number[] = [];
  for (let x = from; x <= to; x++) points.push(indexOf(board, { x, y }));
  const free = points.every(
    (point, n) =>
      ["free", "own"].includes(through(board, point, net, 0)) &&
      (n === points.length - 1 || board.edges[2 * point] === 0),
  );
  if (!free) return [];
  for (const point of points.slice(0, -1)) board.edges[2 * point] = net;
  return points;
}

/** Joins all leads of a net, the trunk first; the leads that could not be reached. */
export function joinAll(board: Board, net: number, leads: readonly Knot[], trunk: readonly number[]): readonly Knot[] {
  const left = new Map(leads.map((knot) => [indexOf(board, knot), knot]));
  const tree = new Set<number>(trunk);
  const [first] = left.keys();
  if (tree.size === 0 && first !== undefined) {
    tree.add(first);
    left.delete(first);
  }
  for (const point of tree) left.delete(point);
  while (left.size > 0) {
    const reached = joinNearest(board, net, joinable(board, net, tree), new Set(left.keys()));
    if (reached === undefined) break;
    for (const point of reached.points) {
      tree.add(point);
      left.delete(point);
    }
  }
  return [...left.values()];
}

/** Points of a tree where a branch may leave: not where the tree crosses another net. */
function joinable(board: Board, net: number, tree: ReadonlySet<number>): ReadonlySet<number> {
  const points = [...tree].filter((point) => {
    for (let side = 0; side < 4; side++) if (foreign(userOf(board, point, side), net) === 1) return false;
    return true;
  });
  return new Set(points);
}
