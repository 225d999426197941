/** Rails above a stage and the chain of a supply: droppers in a row, what they feed and what holds them hanging below. */
import { type Builder, hang, isFree, put, putPort, putSeries } from "./builder.ts";
import { across, GROUND_NET, type Piece, tiesOf } from "./pieces.ts";
import type { Step } from "./structure.ts";

/** Rails in a row from `from` to the right, the one that comes from outside last, with its port. */
export function layRails(b: Builder, rails: ReadonlySet<string>, row: number, from: number): void {
  for (const net of rails) b.trunks.set(net, row);
  const keep = { cursor: b.cursor, low: b.low };
  b.cursor = from;
  b.low = from;
  const outer = [...rails].find((net) => b.wiring.outside.has(net)) ?? [...rails][0];
  if (outer === undefined) {
    Object.assign(b, keep);
    return;
  }
  const inner = inward(b, outer, rails);
  for (const { dropper } of inner) if (dropper !== undefined) b.carriers.set(`path ${dropper.id}`, dropper);
  for (const { net, dropper } of inner) {
    hang(b, net, row);
    if (dropper !== undefined && isFree(b, dropper)) putSeries(b, dropper, row, net);
  }
  hang(b, outer, row);
  if (b.wiring.outside.has(outer)) endPort(b, outer, row);
  b.cursor = Math.max(keep.cursor, b.cursor);
}

export function endPort(b: Builder, net: string, row: number): void {
  putPort(b, { x: Math.max(b.cursor, b.low) + 2, y: row }, net, "right");
  b.cursor = Math.max(b.cursor, b.low) + 8;
}

/** Rails that hang on `outer` through droppers, farthest first, each with the dropper towards `outer`. */
function inward(b: Builder, outer: string, rails: ReadonlySet<string>): readonly { net: string; dropper?: Piece }[] {
  const found: { net: string; dropper?: Piece }[] = [];
  const seen = new Set([outer]);
  const queue = [outer];
  for (let net = queue.shift(); net !== undefined; net = queue.shift())
    for (const { piece } of tiesOf(b.wiring, net)) {
      const other = across(piece, net);
      if (other === undefined || !rails.has(other) || seen.has(other) || piece.written.kind === "capacitor") continue;
      seen.add(other);
      queue.push(other);
      found.unshift({ net: other, dropper: piece });
    }
  for (const net of rails) if (!seen.has(net)) found.unshift({ net });
  return found;
}

/** The chain of a supply from its first net to the right. */
export function laySupplyChain(b: Builder, start: string, path: readonly Step[], row: number): void {
  for (const net of [start, GROUND_NET, ...path.map((step) => step.net)]) b.anchored.add(net);
  for (const step of path) b.carriers.set(`path ${step.piece.id}`, step.piece);
  for (const at of [start, ...path.map((step) => step.net)]) b.trunks.set(at, row);
  let net = start;
  hang(b, net, row);
  for (const step of path) {
    if (!isFree(b, step.piece)) return;
    if (step.piece.written.kind === "follower") {
      put(b, step.piece, { x: b.cursor + 5, y: row }, "right", ["above"]);
      b.cursor += 8;
      const gate = step.piece.pins["gate"] ?? GROUND_NET;
      if (!b.anchored.has(gate)) {
        b.anchored.add(gate);
        hang(b, gate, row + 4, b.cursor - 3);
      }
    } else putSeries(b, step.piece, row, net);
    net = step.net;
    hang(b, net, row);
  }
  if (b.wiring.outside.has(net)) endPort(b, net, row);
}
