/**
 * Blocks and instances to one flat list of parts with stable ids: "L.R3", nets "L.p1". Ports take the outside net's name,
 * "0" stays "0". Overrides apply here and nowhere else, so solver, chassis, papers and diagnosis see the same parts.
 */
import { fail, ok, type Result } from "@platewright/engine";
import { type Expanded, type ExpandedPart, type ExpandedTriode, isBareTriode } from "./expanded.ts";
import { electricalPart } from "./parts.ts";
import type { Block, Document, DocumentPart, Instance } from "./schema.ts";

export interface ExpandFailure {
  /** "instances[L].sections" and the like. */
  readonly place: string;
  readonly sentence: string;
}

/** Most parts that a design may expand to; a line preamplifier has about a hundred. */
const MOST_PARTS = 5000;

/** Expands a document. A document that `readDesign` accepted expands; what is wrong otherwise is one sentence. */
export function expand(document: Document): Result<Expanded, ExpandFailure> {
  const parts: ExpandedPart[] = [];
  const triodes: ExpandedTriode[] = [];
  const channels: { instance: string; inputNet: string; outputNet: string }[] = [];
  const shapes = new Map<string, string>();
  const equalTo = new Map<string, string>();
  for (const instance of document.instances) {
    const place = `instances[${instance.id}]`;
    const block = own(document.blocks, instance.block);
    if (block === undefined)
      return fail({ place: `${place}.block`, sentence: `${place}.block: there is no block called ${instance.block}.` });
    const net = netNames(block, instance);
    const before = parts.length;
    for (const part of block.parts) {
      const written = withOverride(part, instance);
      const id = `${instance.id}.${part.id}`;
      const electrical = electricalPart(written, id, net);
      if (!electrical.ok)
        return fail({
          place: `blocks.${instance.block}.parts[${part.id}].value`,
          sentence: `${id}: ${electrical.failure}`,
        });
      parts.push({
        id,
        instance: instance.id,
        block: instance.block,
        kind: electrical.value.kind,
        written: withNets(written, net),
        electrical: electrical.value,
      });
      if (parts.length > MOST_PARTS)
        return fail({
          place,
          sentence: `${place}: the design has more than ${MOST_PARTS} parts; that is not one unit.`,
        });
      if (!isBareTriode(electrical.value)) continue;
      const section = own(instance.sections ?? {}, part.id);
      const envelope = document.envelopes.find((e) => e.id === section?.envelope);
      if (section === undefined || envelope === undefined)
        return fail({
          place: `${place}.sections`,
          sentence: `${place}.sections: ${part.id} has no tube; name its envelope and section.`,
        });
      triodes.push({
        id,
        instance: instance.id,
        part: part.id,
        envelope: envelope.id,
        section: section.section,
        type: envelope.type,
        ...(envelope.variant === undefined ? {} : { variant: envelope.variant }),
        plate: electrical.value.plate,
        grid: electrical.value.grid,
        cathode: electrical.value.cathode,
      });
    }
    const mine = parts.slice(before);
    const input = mine.find((p) => p.electrical.kind === "jack" && p.electrical.role === "input");
    const output = mine.find((p) => p.electrical.kind === "jack" && p.electrical.role === "output");
    if (input?.electrical.kind !== "jack" || output?.electrical.kind !== "jack") continue;
    channels.push({ instance: instance.id, inputNet: input.electrical.tip, outputNet: output.electrical.tip });
    const shape = shapeOf(instance, mine, triodes);
    const twin = shapes.get(shape);
    if (twin === undefined) shapes.set(shape, instance.id);
    else equalTo.set(instance.id, twin);
  }
  const nets = new Set<string>();
  for (const part of parts) for (const net of netsOf(part)) nets.add(net);
  return ok({ parts, triodes, nets: [...nets], channels, equalTo });
}

/** Name of a block's net outside: a port's outside net, ground, or "instance.net". */
function netNames(block: Block, instance: Instance): (net: string) => string {
  const ports = new Set(block.ports);
  return (net) => {
    if (net === "0") return net;
    if (ports.has(net)) return own(instance.ports, net) ?? `${instance.id}.${net}`;
    return `${instance.id}.${net}`;
  };
}

function withOverride(part: DocumentPart, instance: Instance): DocumentPart {
  const override = own(instance.overrides ?? {}, part.id);
  return override === undefined ? part : ({ ...part, ...override } as DocumentPart);
}

function withNets(part: DocumentPart, net: (name: string) => string): DocumentPart {
  const pins = Object.fromEntries(Object.entries(part.pins).map(([pin, at]) => [pin, net(at)]));
  return { ...part, pins } as DocumentPart;
}

/** The nets a part's pins are tied to, expanded. */
export function netsOf(part: ExpandedPart): readonly string[] {
  const e = part.electrical;
  switch (e.kind) {
    case "resistor":
    case "capacitor":
    case "inductor":
    case "switch":
      return [e.a, e.b];
    case "potentiometer":
      return [e.top, e.wiper, e.bottom];
    case "triode":
      return [e.plate, e.grid, e.cathode];
    case "diode":
      return [e.anode, e.cathode];
    case "dc-source":
    case "ac-source":
      return [e.plus, e.minus];
    case "current-sink":
      return [e.from, e.to];
    case "jack":
      return [e.tip, e.sleeve];
  }
}

/** Two instances of one shape are electrically equal: same block, values, tubes and outside nets. */
function shapeOf(instance: Instance, parts: readonly ExpandedPart[], triodes: readonly ExpandedTriode[]): string {
  const local = `${instance.id}.`;
  const strip = (text: string) => (text.startsWith(local) ? text.slice(local.length) : `>${text}`);
  const values = parts.map(({ electrical }) =>
    JSON.stringify(electrical, (_, value: unknown) => (typeof value === "string" ? strip(value) : value)),
  );
  const tubes = triodes
    .filter((t) => t.instance === instance.id)
    .map((t) => `${t.part} ${t.type} ${t.variant ?? ""} ${t.section}`);
  return [...values, ...tubes].join("\n");
}

/** Own property only: ids come from a file and may be called "constructor". */
function own<T>(record: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}
