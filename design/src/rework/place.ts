/** Another type in an envelope: wires moved, or the socket changed, so that every electrode keeps the wire of its name. */
import type { Catalogue } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import { baseFor, checkSocket, type WireMove } from "../limits/pins.ts";
import { expandedWires } from "../limits/wires.ts";

export interface Placed {
  readonly document: Document;
  /** Wires to move on the sockets that stay, by envelope. */
  readonly moves: readonly { readonly envelope: string; readonly moves: readonly WireMove[] }[];
  /** Envelopes whose socket has to be another one. */
  readonly newSockets: readonly { readonly envelope: string; readonly socket: string; readonly before: string }[];
  /** Set when the type cannot be wired there at all; the document then keeps its wiring. */
  readonly obstacle?: string;
}

/** Puts a type into envelopes, moving wires (or changing the socket) so that every electrode keeps the wire of its name. */
export function placeType(
  document: Document,
  expanded: Expanded,
  catalogue: Catalogue,
  envelopes: readonly string[],
  type: string,
): Placed {
  const record = catalogue.tube(type);
  if (record === undefined) return { document, moves: [], newSockets: [], obstacle: `${type} is not in the library` };
  const windings = (document.supply?.transformer.heaters ?? []).map((w) => ({ id: w.id, volts: w.ratedVolts }));
  const moves: { envelope: string; moves: readonly WireMove[] }[] = [];
  const newSockets: { envelope: string; socket: string; before: string }[] = [];
  let obstacle: string | undefined;
  const placed = document.envelopes.map((envelope) => {
    if (!envelopes.includes(envelope.id)) return envelope;
    const { variant: _, ...bare } = envelope;
    if (record.type === catalogue.tube(envelope.type)?.type) return { ...bare, type };
    const answer = checkSocket({
      record,
      socket: envelope.socket,
      wiring: envelope.wiring,
      sections: expandedWires(document, expanded, envelope.id, baseFor(record, envelope.socket)),
      windings,
    });
    if (answer.rewired === undefined) {
      obstacle ??= `${type} cannot be wired to the windings at hand`;
      return { ...bare, type };
    }
    const fits = answer.base !== undefined;
    const socket = fits ? envelope.socket : answer.sockets[0];
    if (fits) moves.push({ envelope: envelope.id, moves: answer.moves });
    else if (socket !== undefined) newSockets.push({ envelope: envelope.id, socket, before: envelope.socket });
    return { ...bare, type, socket: (socket ?? envelope.socket) as typeof envelope.socket, wiring: answer.rewired };
  });
  return {
    document: { ...document, envelopes: placed },
    moves,
    newSockets,
    ...(obstacle === undefined ? {} : { obstacle }),
  };
}
