/** A channel's stage laid out: signal from left to right, rails above, ground below. */
import { pitchesFor } from "./element.ts";
import {
  type Builder,
  hang,
  isFree,
  put,
  putGround,
  putSeries,
  putUpright,
  roomRight,
  spanOf,
  stand,
  wordsWidth,
} from "./builder.ts";
import { across, GROUND_NET, type Piece, tiesOf } from "./pieces.ts";
import { layRails } from "./rails.ts";
import { currentChain, pinNet, railsOf, signalPath, type Step } from "./structure.ts";

/** Row of the grid of a gain stage; its plate's net leaves this much higher, a follower's cathode that much lower. */
const GRID_ROW = 0;
const PLATE_RISE = 5;
const CATHODE_FALL = 5;

/** Lays out what is recognised; false when no signal can be followed from an input to an output. */
export function layChannel(b: Builder): boolean {
  const rails = railsOf(b.wiring);
  const path = signalPath(b.wiring, rails);
  if (path === undefined || path.some((step) => !isFree(b, step.piece))) return false;
  const input = jackOf(b, "input");
  const output = jackOf(b, "output");
  if (input === undefined || output === undefined) return false;
  const start = pinNet(input, "tip");
  for (const net of [start, ...path.map((step) => step.net), ...rails, GROUND_NET]) b.anchored.add(net);
  const loads = claimCurrents(b, path, rails);
  for (const step of path) b.carriers.set(`path ${step.piece.id}`, step.piece);
  const highest = Math.max(0, ...[...loads.values()].map((chain) => chain.length));
  const spans = path.map((step) => spanOf(b, step.net));
  const railRow = GRID_ROW - PLATE_RISE - 2 - Math.max(2, ...spans) - 6 * Math.max(1, highest);

  let level = GRID_ROW - 3 * path.slice(0, firstTube(path)).filter((step) => step.from === "top").length;
  putJack(b, input, 4, level, 1);
  b.cursor = 4 + pitchesFor(Math.max(0, wordsWidth(b, input) - 7.5) / 2);
  let net = start;
  let railCursor = 0;
  hang(b, net, level);
  for (const step of path) {
    level = layStep(b, step, net, level, railRow, loads);
    net = step.net;
    if (step.piece.written.kind === "triode") railCursor = Math.max(railCursor, b.cursor);
  }
  putJack(b, output, b.cursor + 2, level, b.cursor + 5);
  b.cursor += 8;
  layRails(b, rails, railRow, Math.max(railCursor, ...standing(b, rails)));
  return true;
}

/** The jack by role, when it may be placed. */
function jackOf(b: Builder, role: "input" | "output"): Piece | undefined {
  return b.wiring.pieces.find(({ written }) => written.kind === "jack" && written.role === role);
}

function putJack(b: Builder, jack: Piece, x: number, y: number, sleeve: number): void {
  if (!isFree(b, jack)) return;
  put(b, jack, { x, y }, "down", ["above", "below"]);
  if (pinNet(jack, "sleeve") === GROUND_NET) putGround(b, sleeve, y + 2, jack);
}

const firstTube = (path: readonly Step[]): number => {
  const at = path.findIndex(({ piece }) => piece.written.kind === "triode" || piece.written.kind === "follower");
  return at < 0 ? path.length : at;
};

/** Columns of what has been drawn on the rails already: the next stands to the right of it. */
function standing(b: Builder, rails: ReadonlySet<string>): readonly number[] {
  return b.elements.flatMap(({ piece, at }) =>
    piece !== undefined && Object.values(piece.pins).some((net) => rails.has(net)) ? [at.x + roomRight(b, piece)] : [],
  );
}

/** Marks who carries each tube's current down from its cathode; returns the loads above the plates, by tube. */
function claimCurrents(
  b: Builder,
  path: readonly Step[],
  rails: ReadonlySet<string>,
): ReadonlyMap<string, readonly Piece[]> {
  const loads = new Map<string, readonly Piece[]>();
  const taken = new Set(path.map((step) => step.piece.id));
  const onPath = new Set(path.map((step) => step.net));
  const grids = new Set(b.wiring.pieces.map((piece) => piece.pins["grid"] ?? piece.pins["gate"] ?? GROUND_NET));
  const closed = (net: string) => onPath.has(net) || grids.has(net) || rails.has(net);
  for (const { piece } of path) {
    const { kind } = piece.written;
    if (kind !== "triode" && kind !== "follower") continue;
    const [low, high] = kind === "triode" ? (["cathode", "plate"] as const) : (["source", "drain"] as const);
    const down = currentChain(b.wiring, pinNet(piece, low), (net) => net === GROUND_NET, closed);
    if (down.every((step) => isFree(b, step.piece) && !taken.has(step.piece.id)))
      for (const step of down) {
        b.carriers.set(pinNet(step.piece, step.from), step.piece);
        b.anchored.add(step.net);
        taken.add(step.piece.id);
      }
    const up = currentChain(
      b.wiring,
      pinNet(piece, high),
      (net) => rails.has(net),
      (net) => closed(net) || net === GROUND_NET,
    );
    if (rails.has(pinNet(piece, high)) || !up.every((step) => isFree(b, step.piece) && !taken.has(step.piece.id)))
      continue;
    loads.set(
      piece.id,
      up.map((step) => step.piece),
    );
    for (const step of up) {
      b.carriers.set(`load ${step.piece.id}`, step.piece);
      taken.add(step.piece.id);
      b.anchored.add(step.net);
    }
  }
  return loads;
}

/** One step of the path and what hangs at the net behind it; returns that net's row. */
function layStep(
  b: Builder,
  step: Step,
  net: string,
  level: number,
  railRow: number,
  loads: ReadonlyMap<string, readonly Piece[]>,
): number {
  const { piece } = step;
  switch (piece.written.kind) {
    case "potentiometer": {
      const bottom = pinNet(piece, "bottom");
      // Behind words of what hangs before it, a pot close to them has its own below.
      const isClose = b.tight && bottom === GROUND_NET && b.low > b.cursor;
      const x = isClose ? b.low + 1 : Math.max(b.cursor, b.low) + pitchesFor(wordsWidth(b, piece) + 4.5);
      put(b, piece, { x, y: level }, "down", isClose ? ["foot", "under", "left"] : ["under", "left", "right"]);
      if (bottom === GROUND_NET) putGround(b, x, level + 6, piece);
      else if (!b.anchored.has(bottom)) {
        b.anchored.add(bottom);
        hang(b, bottom, level + 6, x);
      }
      b.cursor = Math.max(b.cursor, x + 2);
      hangOrStand(b, step.net, level + 3, railRow);
      return level + 3;
    }
    case "triode":
    case "follower":
      return layTube(b, step, level, railRow, loads);
    default:
      putSeries(b, piece, level, net);
      hangOrStand(b, step.net, level, railRow);
      return level;
  }
}

function layTube(
  b: Builder,
  step: Step,
  level: number,
  railRow: number,
  loads: ReadonlyMap<string, readonly Piece[]>,
): number {
  const { piece } = step;
  const gains = step.to === "plate";
  const row = gains ? GRID_ROW : level;
  const x = Math.max(b.cursor + 5, b.low + 4);
  const offset = piece.written.kind === "triode" ? 1 : 0;
  put(b, piece, { x, y: row }, "down", ["right", "left"]);
  const right = x + pitchesFor(6 + 1.2 + wordsWidth(b, piece) + 1);
  const low = pinNet(piece, piece.written.kind === "triode" ? "cathode" : "source");
  const high = pinNet(piece, piece.written.kind === "triode" ? "plate" : "drain");
  const lowRow = row + (gains ? 4 : CATHODE_FALL);
  if (low === GROUND_NET) putGround(b, x - offset, row + 3, piece);
  else if (gains) {
    b.anchored.add(low);
    hang(b, low, lowRow, x - offset);
  }
  const load = loads.get(piece.id) ?? [];
  if (load.length > 0) stand(b, load, high, x, row - PLATE_RISE);
  if (!gains) {
    b.cursor = Math.max(b.cursor, x - offset);
    hang(b, low, lowRow, b.carriers.has(low) ? x - offset : undefined);
    b.cursor = Math.max(b.cursor, b.low, b.tight ? 0 : right);
    return lowRow;
  }
  b.low = right;
  b.cursor = b.tight ? Math.max(x + 1, load.length > 0 ? x + roomRight(b, piece) - 2 : 0) : Math.max(b.cursor, right);
  hangOrStand(b, high, row - PLATE_RISE, railRow);
  return row - PLATE_RISE;
}

/** Pieces from a path net to a rail stand on it; all others hang. */
function hangOrStand(b: Builder, net: string, level: number, railRow: number): void {
  for (const { piece } of tiesOf(b.wiring, net)) {
    const other = across(piece, net);
    if (other === undefined || other === GROUND_NET || !isFree(b, piece) || level - railRow < 8) continue;
    if (!b.anchored.has(other) || !railsOf(b.wiring).has(other) || [...b.carriers.values()].includes(piece)) continue;
    putUpright(b, piece, b.cursor + 2, level - 7, net, "below");
  }
  hang(b, net, level);
}
