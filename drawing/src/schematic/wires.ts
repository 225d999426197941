/** All nets of a drawing wired on one board: segments, dots, and the leads that no wire could reach. */
import type { Box } from "../bounds.ts";
import type { Point } from "../scene.ts";
import type { LeadEnd } from "./boxes.ts";
import { GROUND_NET } from "./pieces.ts";
import { block, type Board, boardOver, joinAll, type Knot, layRow, markEnd } from "./route.ts";
import { PITCH } from "./symbol.ts";

export interface Segment {
  readonly net: string;
  readonly from: Point;
  readonly to: Point;
}

export interface Wires {
  readonly segments: readonly Segment[];
  readonly dots: readonly { readonly net: string; readonly at: Point }[];
  readonly unreached: readonly LeadEnd[];
}

const knotOf = ([x, y]: Point): Knot => ({ x: Math.round(x / PITCH), y: Math.round(y / PITCH) });

const keyOf = (knot: Knot): string => `${knot.x},${knot.y}`;

/**
 * Wires every net that has two leads or more; ground has its own symbol at each lead. `trunks` are nets drawn as one straight row first, at that row (in pitches),
 * as far as their leads reach.
 */
export function wireUp(
  ends: readonly LeadEnd[],
  obstacles: readonly Box[],
  sheet: Box,
  trunks: ReadonlyMap<string, number>,
): Wires {
  const board = boardOver(sheet);
  for (const box of obstacles) block(board, box);
  const nets = new Map<string, LeadEnd[]>();
  for (const end of ends) {
    const list = nets.get(end.net);
    if (list === undefined) nets.set(end.net, [end]);
    else list.push(end);
  }
  const names = [...nets.keys()];
  for (const end of ends) markEnd(board, knotOf(end.at), names.indexOf(end.net) + 1);
  const unreached: LeadEnd[] = [];
  const laid = new Map<string, readonly number[]>();
  for (const [net, row] of trunks) {
    const leads = nets.get(net) ?? [];
    const columns = leads.map(({ at }) => knotOf(at).x);
    if (leads.length > 1)
      laid.set(net, layRow(board, names.indexOf(net) + 1, row, Math.min(...columns), Math.max(...columns)));
  }
  for (const net of names.toSorted((a, b) => spread(nets.get(a)) - spread(nets.get(b)))) {
    const leads = nets.get(net) ?? [];
    if (leads.length < 2 || net === GROUND_NET) continue;
    const knots = leads.map(({ at }) => knotOf(at));
    const missed = new Set(joinAll(board, names.indexOf(net) + 1, knots, laid.get(net) ?? []).map(keyOf));
    unreached.push(...leads.filter(({ at }) => missed.has(keyOf(knotOf(at)))));
  }
  return { ...segmentsOf(board, names, ends), unreached };
}

function spread(leads: readonly LeadEnd[] = []): number {
  const xs = leads.map(({ at }) => at[0]);
  const ys = leads.map(({ at }) => at[1]);
  return Math.max(...xs) - Math.min(...xs) + Math.max(...ys) - Math.min(...ys);
}

/** Runs of edges of one net joined to the longest straight segments, and the points where three or more meet. */
function segmentsOf(board: Board, names: readonly string[], ends: readonly LeadEnd[]): Omit<Wires, "unreached"> {
  const segments: Segment[] = [];
  const degrees = new Map<string, number>();
  const point = (x: number, y: number): Point => [(x + board.left) * PITCH, (y + board.top) * PITCH];
  const count = (net: number, x: number, y: number) => {
    const key = `${net},${x},${y}`;
    degrees.set(key, (degrees.get(key) ?? 0) + 1);
  };
  const edge = (x: number, y: number, side: 0 | 1) => board.edges[2 * (y * board.width + x) + side] ?? 0;
  for (const side of [0, 1] as const) {
    const [rows, columns] = side === 0 ? [board.height, board.width] : [board.width, board.height];
    for (let row = 0; row < rows; row++)
      for (let at = 0; at < columns; at++) {
        const user = (n: number) => (n >= columns ? 0 : Math.max(0, side === 0 ? edge(n, row, 0) : edge(row, n, 1)));
        const net = user(at);
        if (net === 0) continue;
        const start = at;
        while (user(at) === net) {
          for (const n of [at, at + 1]) count(net, ...(side === 0 ? ([n, row] as const) : ([row, n] as const)));
          at++;
        }
        const [from, to] = side === 0 ? [point(start, row), point(at, row)] : [point(row, start), point(row, at)];
        segments.push({ net: names[net - 1] ?? "", from, to });
        at--;
      }
  }
  for (const end of ends) {
    const { x, y } = knotOf(end.at);
    count(names.indexOf(end.net) + 1, x - board.left, y - board.top);
  }
  const dots = [...degrees].flatMap(([key, degree]) => {
    const [net = 0, x = 0, y = 0] = key.split(",").map(Number);
    return degree < 3 || names[net - 1] === GROUND_NET ? [] : [{ net: names[net - 1] ?? "", at: point(x, y) }];
  });
  return { segments, dots };
}
