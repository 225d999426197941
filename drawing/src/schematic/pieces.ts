/** The parts of one instance as pieces of a drawing, and who is tied to which net. */
import type { DocumentPart, Expanded, ExpandedTriode } from "@platewright/design";
import { TWO_PINS } from "./symbols-two.ts";

export const GROUND_NET = "0";

export interface Piece {
  /** "L.R3". */
  readonly id: string;
  readonly written: DocumentPart;
  /** Net of each pin, expanded. */
  readonly pins: Readonly<Record<string, string>>;
  /** Of a triode: the bottle's section. */
  readonly triode?: ExpandedTriode;
  /** The bottle serves another section too. */
  readonly shared: boolean;
  /** Its value in SI, for those of which a size matters: ohms, farads. */
  readonly size: number;
}

export interface Tie {
  readonly piece: Piece;
  readonly pin: string;
}

export interface Wiring {
  readonly pieces: readonly Piece[];
  readonly ties: ReadonlyMap<string, readonly Tie[]>;
  /** Nets that other instances or the supply use too. */
  readonly outside: ReadonlySet<string>;
}

export function wiringOf(expanded: Expanded, instance: string): Wiring {
  const mine = expanded.parts.filter((part) => part.instance === instance);
  const bottles = new Map<string, number>();
  for (const { envelope } of expanded.triodes) bottles.set(envelope, (bottles.get(envelope) ?? 0) + 1);
  const triodes = new Map(expanded.triodes.map((one) => [one.id, one]));
  const pieces = mine.map(({ id, written, electrical }): Piece => {
    const triode = triodes.get(id);
    const size =
      electrical.kind === "resistor" ? electrical.ohms : electrical.kind === "capacitor" ? electrical.farads : 0;
    const shared = triode !== undefined && (bottles.get(triode.envelope) ?? 0) > 1;
    return { id, written, pins: { ...written.pins }, shared, size, ...(triode === undefined ? {} : { triode }) };
  });
  const ties = new Map<string, Tie[]>();
  for (const piece of pieces)
    for (const [pin, net] of Object.entries(piece.pins)) {
      const list = ties.get(net);
      if (list === undefined) ties.set(net, [{ piece, pin }]);
      else list.push({ piece, pin });
    }
  const outside = new Set<string>();
  for (const net of ties.keys()) if (!net.startsWith(`${instance}.`) && net !== GROUND_NET) outside.add(net);
  return { pieces, ties, outside };
}

/** The other end of a piece of two pins; undefined for all others. */
export function across(piece: Piece, net: string): string | undefined {
  const pins = TWO_PINS[piece.written.kind];
  if (pins === undefined) return undefined;
  const [a, b] = [piece.pins[pins[0]] ?? GROUND_NET, piece.pins[pins[1]] ?? GROUND_NET];
  return a === net ? b : b === net ? a : undefined;
}

export const tiesOf = (wiring: Wiring, net: string): readonly Tie[] => wiring.ties.get(net) ?? [];

/** A net's name as the builder knows it: without the instance before it. */
export function netName(net: string, instance: string): string {
  return net === GROUND_NET ? "ground" : net.startsWith(`${instance}.`) ? net.slice(instance.length + 1) : net;
}
