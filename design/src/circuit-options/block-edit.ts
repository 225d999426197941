/** Parts put into a block, taken out of it, and tied elsewhere; sockets and overrides follow. */
import type { Catalogue } from "@platewright/engine";
import type { Block, Document, DocumentPart, Instance } from "../document/schema.ts";
import { baseFor } from "../limits/pins.ts";

export const usersOf = (document: Document, block: string): readonly Instance[] =>
  document.instances.filter((one) => one.block === block);

export const partsOfBlock = (document: Document, block: string): readonly DocumentPart[] =>
  document.blocks[block]?.parts ?? [];

const own = <T>(record: Readonly<Record<string, T>>, key: string): T | undefined =>
  Object.hasOwn(record, key) ? record[key] : undefined;

/** A block's net as it is called outside in one of its instances. */
export function outsideNet(document: Document, instance: Instance, net: string): string {
  if (net === "0") return net;
  const ports = document.blocks[instance.block]?.ports ?? [];
  return ports.includes(net) ? (own(instance.ports, net) ?? `${instance.id}.${net}`) : `${instance.id}.${net}`;
}

function withBlock(document: Document, block: string, change: (parts: readonly DocumentPart[]) => DocumentPart[]) {
  const before = document.blocks[block];
  if (before === undefined) return document;
  const after: Block = { ...before, parts: change(before.parts) };
  return { ...document, blocks: { ...document.blocks, [block]: after } };
}

/** Pins of a part on one net tied to another. */
const retied = (part: DocumentPart, from: string, to: string): DocumentPart =>
  ({
    ...part,
    pins: Object.fromEntries(Object.entries(part.pins).map(([pin, net]) => [pin, net === from ? to : net])),
  }) as DocumentPart;

/** One pin of one part tied to another net. */
export const tiePin = (document: Document, block: string, id: string, pin: string, net: string): Document =>
  withBlock(document, block, (parts) =>
    parts.map((part) => (part.id === id ? ({ ...part, pins: { ...part.pins, [pin]: net } } as DocumentPart) : part)),
  );

/** A net joined to another: everything on it, the wires on sockets too. */
export function joinNets(document: Document, block: string, from: string, to: string): Document {
  const renamed = withBlock(document, block, (parts) => parts.map((part) => retied(part, from, to)));
  const moves = new Map(
    usersOf(document, block).map((one) => [outsideNet(document, one, from), outsideNet(document, one, to)]),
  );
  return rewired(renamed, (_envelope, _pin, net) => moves.get(net));
}

/** Wires on sockets moved to other nets; undefined leaves one where it is. */
function rewired(
  document: Document,
  change: (envelope: string, pin: string, net: string) => string | undefined,
): Document {
  const envelopes = document.envelopes.map((envelope) => {
    const wiring = Object.fromEntries(
      Object.entries(envelope.wiring).map(([pin, wire]) => {
        const net = "net" in wire ? change(envelope.id, pin, wire.net) : undefined;
        return [pin, net === undefined ? wire : { net }];
      }),
    );
    return { ...envelope, wiring };
  });
  return { ...document, envelopes };
}

/**
 * A triode's grid tied to another net of its block, on its socket too; undefined where the pin of a grid is not known.
 */
export function moveGrid(
  document: Document,
  catalogue: Catalogue,
  block: string,
  triode: string,
  net: string,
): Document | undefined {
  const pins = new Map<string, string>();
  for (const instance of usersOf(document, block)) {
    const place = own(instance.sections ?? {}, triode);
    const envelope = document.envelopes.find((one) => one.id === place?.envelope);
    const record = envelope === undefined ? undefined : catalogue.tube(envelope.type);
    if (place === undefined || envelope === undefined || record === undefined) return undefined;
    const base = baseFor(record, envelope.socket);
    const grids = Object.entries(base?.pins ?? {}).filter(
      ([, role]) => role.kind === "grid" && role.section === place.section,
    );
    const [pin] = grids[0] ?? [];
    if (pin === undefined) return undefined;
    // A socket that is not wired there yet stays so.
    if (own(envelope.wiring, pin) !== undefined) pins.set(`${envelope.id} ${pin}`, outsideNet(document, instance, net));
  }
  return rewired(tiePin(document, block, triode, "grid", net), (envelope, pin) => pins.get(`${envelope} ${pin}`));
}

/** Parts taken out, with what instances say of them. */
export function takeOut(document: Document, block: string, ids: readonly string[]): Document {
  const without = withBlock(document, block, (parts) => parts.filter(({ id }) => !ids.includes(id)));
  const instances = without.instances.map((instance) => {
    const { overrides, ...rest } = instance;
    if (instance.block !== block || overrides === undefined) return instance;
    const kept = Object.entries(overrides).filter(([id]) => !ids.includes(id));
    return kept.length === 0 ? rest : { ...rest, overrides: Object.fromEntries(kept) };
  });
  return { ...without, instances };
}

/** A part put in behind another (at the end when that is not there). */
export const putIn = (document: Document, block: string, part: DocumentPart, behind: string): Document =>
  withBlock(document, block, (parts) => {
    const at = parts.findIndex(({ id }) => id === behind);
    return at < 0 ? [...parts, part] : [...parts.slice(0, at + 1), part, ...parts.slice(at + 1)];
  });

/** A part in the place of another; what instances said of the one before goes with it. */
export function exchange(document: Document, block: string, id: string, part: DocumentPart): Document {
  const placed = putIn(document, block, part, id);
  return takeOut(placed, block, [id]);
}

/** The first designator of a letter that the block has not used. */
export function freeId(document: Document, block: string, letter: string): string {
  const used = new Set(partsOfBlock(document, block).map(({ id }) => id));
  for (let n = 1; ; n++) if (!used.has(`${letter}${n}`)) return `${letter}${n}`;
}

/** A net name that the block has not used. */
export function freeNet(document: Document, block: string, wanted: string): string {
  const { ports = [] } = document.blocks[block] ?? {};
  const used = new Set([...ports, ...partsOfBlock(document, block).flatMap(({ pins }) => Object.values<string>(pins))]);
  if (!used.has(wanted)) return wanted;
  for (let n = 2; ; n++) if (!used.has(`${wanted}${n}`)) return `${wanted}${n}`;
}
