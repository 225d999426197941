/** What no schema sees: values that are values, ids that are unique, references that lead somewhere, nets with two pins. */
import { parseValue, type Quantity } from "@platewright/engine";
import { resolveTransformer } from "../supply/transformer.ts";
import { transformerSentence } from "../supply/transformer-failures.ts";
import { chassisMeaning } from "./chassis-meaning.ts";
import { QUANTITY_OF, valueOf } from "./parts.ts";
import type { Block, Document, DocumentPart } from "./schema.ts";
import { duplicate, type Wrong, wrong } from "./wrong.ts";

/** Bounds outside which a value is a slip of the pen: from a wire to an insulator, from a pin to a bank. */
const SANE: { readonly [Q in Quantity]?: readonly [number, number, string] } = {
  resistance: [1e-3, 1e9, "1 mΩ to 1 GΩ"],
  capacitance: [1e-14, 1, "0.01 pF to 1 F"],
  inductance: [1e-9, 1e4, "1 nH to 10 kH"],
  voltage: [-10_000, 10_000, "−10 to 10 kV"],
  current: [-100, 100, "−100 to 100 A"],
};

/** The first thing wrong with a document of the right shape; undefined when all is well. */
export function meaningOf(document: Document): Wrong | undefined {
  for (const [name, block] of Object.entries(document.blocks)) {
    const wrong = blockMeaning(`blocks.${name}`, block);
    if (wrong !== undefined) return wrong;
  }
  return (
    duplicate("instances", document.instances) ??
    duplicate("envelopes", document.envelopes) ??
    instanceMeaning(document) ??
    loneNet(document) ??
    regulatorMeaning(document) ??
    envelopeMeaning(document) ??
    supplyMeaning(document) ??
    transformerMeaning(document) ??
    targetsMeaning(document) ??
    chassisMeaning(document)
  );
}

function value(place: string, quantity: Quantity, written: string, zero = false): Wrong | undefined {
  const parsed = parseValue(quantity, written, { zero });
  if (!parsed.ok) return wrong(place, parsed.failure.sentence);
  const sane = SANE[quantity];
  if (sane === undefined || (zero && parsed.value === 0)) return undefined;
  return parsed.value >= sane[0] && parsed.value <= sane[1]
    ? undefined
    : wrong(place, `'${written.slice(0, 24)}' is outside ${sane[2]}.`);
}

function blockMeaning(place: string, block: Block): Wrong | undefined {
  const twice = duplicate(`${place}.parts`, block.parts);
  if (twice !== undefined) return twice;
  for (const part of block.parts) {
    const bad = partMeaning(`${place}.parts[${part.id}]`, part);
    if (bad !== undefined) return bad;
  }
  return undefined;
}

function partMeaning(place: string, part: DocumentPart): Wrong | undefined {
  const quantity = QUANTITY_OF[part.kind];
  const zero = part.kind === "dc-source" || part.kind === "current-sink";
  if (quantity !== undefined && "value" in part) {
    const bad = value(`${place}.value`, quantity, part.value, zero);
    if (bad !== undefined) return bad;
  }
  if (part.kind === "regulator") return regulatorValues(place, part);
  if (part.kind === "inductor") return value(`${place}.seriesOhms`, "resistance", part.seriesOhms);
  if (part.kind === "dc-source" && part.seriesOhms !== undefined)
    return value(`${place}.seriesOhms`, "resistance", part.seriesOhms, true);
  if (part.kind === "current-sink" && part.parallelOhms !== undefined)
    return value(`${place}.parallelOhms`, "resistance", part.parallelOhms);
  return undefined;
}

type Regulator = Extract<DocumentPart, { kind: "regulator" }>;

function regulatorValues(place: string, part: Regulator): Wrong | undefined {
  const { ampsFrom, ampsTo, strikingVolts } = part;
  return (
    value(`${place}.ohms`, "resistance", part.ohms) ??
    (ampsFrom !== undefined && ampsTo !== undefined && ampsFrom >= ampsTo
      ? wrong(`${place}.ampsFrom`, `${ampsFrom} A is not below ampsTo, ${ampsTo} A; a range runs from less to more.`)
      : undefined) ??
    (strikingVolts !== undefined && strikingVolts < valueOf("voltage", part.value)
      ? wrong(`${place}.strikingVolts`, `${strikingVolts} V is below the running volts; a gas tube strikes above them.`)
      : undefined)
  );
}

const own = <T>(record: Readonly<Record<string, T>>, key: string): T | undefined =>
  Object.hasOwn(record, key) ? record[key] : undefined;

function instanceMeaning(document: Document): Wrong | undefined {
  const served = new Map<string, string>();
  for (const instance of document.instances) {
    const place = `instances[${instance.id}]`;
    const block = own(document.blocks, instance.block);
    if (block === undefined)
      return wrong(
        `${place}.block`,
        `there is no block ${instance.block}; one of ${Object.keys(document.blocks).join(", ")} is.`,
      );
    for (const port of block.ports)
      if (own(instance.ports, port) === undefined)
        return wrong(`${place}.ports`, `port ${port} is tied to nothing; name an outside net.`);
    for (const port of Object.keys(instance.ports))
      if (!block.ports.includes(port))
        return wrong(`${place}.ports.${port}`, `block ${instance.block} has no such port.`);
    for (const [id, override] of Object.entries(instance.overrides ?? {})) {
      const part = block.parts.find((one) => one.id === id);
      if (part === undefined) return wrong(`${place}.overrides.${id}`, `block ${instance.block} has no such part.`);
      const quantity = QUANTITY_OF[part.kind];
      if (override.value === undefined) continue;
      if (quantity === undefined) return wrong(`${place}.overrides.${id}.value`, `a ${part.kind} has no value.`);
      const bad = value(`${place}.overrides.${id}.value`, quantity, override.value);
      if (bad !== undefined) return bad;
    }
    for (const id of Object.keys(instance.sections ?? {}))
      if (block.parts.find((one) => one.id === id)?.kind !== "triode")
        return wrong(`${place}.sections.${id}`, `block ${instance.block} has no such triode.`);
    for (const part of block.parts) {
      if (part.kind !== "triode") continue;
      const section = own(instance.sections ?? {}, part.id);
      if (section === undefined)
        return wrong(`${place}.sections`, `${part.id} has no tube; name its envelope and section.`);
      if (!document.envelopes.some((one) => one.id === section.envelope))
        return wrong(`${place}.sections.${part.id}`, `there is no envelope ${section.envelope}.`);
      const key = `${section.envelope}/${section.section}`;
      const before = served.get(key);
      if (before !== undefined)
        return wrong(
          `${place}.sections.${part.id}`,
          `section ${section.section} of ${section.envelope} already serves ${before}.`,
        );
      served.set(key, `${instance.id}.${part.id}`);
    }
  }
  return undefined;
}

/** Nets of the whole unit with a single pin; the engine would refuse them later, here the place is known. */
function loneNet(document: Document): Wrong | undefined {
  const uses = new Map<string, { count: number; place: string }>();
  for (const instance of document.instances) {
    const block = own(document.blocks, instance.block);
    for (const part of block?.parts ?? []) {
      for (const [pin, net] of Object.entries(part.pins)) {
        const outside = net === "0" ? "0" : (own(instance.ports, net) ?? `${instance.id}.${net}`);
        const use = uses.get(outside);
        uses.set(outside, {
          count: (use?.count ?? 0) + 1,
          place: use?.place ?? `blocks.${instance.block}.parts[${part.id}].pins.${pin}`,
        });
      }
    }
  }
  if (!uses.has("0")) return wrong("blocks", 'no part is tied to ground; tie a pin to net "0".');
  const jacks = new Set(
    document.instances.flatMap((instance) =>
      (own(document.blocks, instance.block)?.parts ?? []).flatMap((part) =>
        part.kind === "jack" ? [own(instance.ports, part.pins.tip) ?? `${instance.id}.${part.pins.tip}`] : [],
      ),
    ),
  );
  const output = document.supply?.rectifier.output;
  for (const [net, { count, place }] of uses)
    if (count === 1 && net !== "0" && !jacks.has(net) && net !== output)
      return wrong(place, `net ${net} has a single pin; tie it to something or take the part out.`);
  return undefined;
}

/**
 * A regulator holds volts by drawing current through what is above it: at the top of its string something must limit that
 * current, and it may not be a source or the rectifier's own output.
 */
function regulatorMeaning(document: Document): Wrong | undefined {
  const stiff = new Set(["0"]);
  if (document.supply !== undefined) stiff.add(document.supply.rectifier.output);
  const limited = new Set<string>();
  const strings: { readonly place: string; readonly id: string; readonly plus: string; readonly minus: string }[] = [];
  for (const instance of document.instances) {
    const outside = (net: string) => (net === "0" ? "0" : (own(instance.ports, net) ?? `${instance.id}.${net}`));
    for (const part of own(document.blocks, instance.block)?.parts ?? []) {
      const nets = Object.values<string>(part.pins).map(outside);
      if (part.kind === "dc-source") for (const net of nets) stiff.add(net);
      if (LIMITS_CURRENT.has(part.kind)) for (const net of nets) limited.add(net);
      if (part.kind !== "regulator") continue;
      const zener = part.technology === "zener";
      strings.push({
        place: `blocks.${instance.block}.parts[${part.id}].pins.${zener ? "cathode" : "anode"}`,
        id: part.id,
        plus: outside(zener ? part.pins.cathode : part.pins.anode),
        minus: outside(zener ? part.pins.anode : part.pins.cathode),
      });
    }
  }
  for (const one of strings) {
    let top = one.plus;
    for (let n = 0; n < strings.length; n++) {
      const above = strings.find((other) => other.minus === top);
      if (above === undefined) break;
      top = above.plus;
    }
    if (one.plus === one.minus) return wrong(one.place, "both pins of the regulator are on one net.");
    if ((stiff.has(top) && top !== "0") || !limited.has(top))
      return wrong(
        one.place,
        `nothing limits the current of regulator ${one.id} at ${top}; put a resistor between the supply and it.`,
      );
  }
  return undefined;
}

/** Kinds of parts that may feed a regulator; a choke's few ohms are no limit. */
const LIMITS_CURRENT: ReadonlySet<DocumentPart["kind"]> = new Set([
  "resistor",
  "potentiometer",
  "current-sink",
  "triode",
]);

function netsOfDocument(document: Document): ReadonlySet<string> {
  const nets = new Set(["0"]);
  for (const instance of document.instances) {
    const block = own(document.blocks, instance.block);
    for (const part of block?.parts ?? [])
      for (const net of Object.values(part.pins))
        nets.add(net === "0" ? "0" : (own(instance.ports, net) ?? `${instance.id}.${net}`));
  }
  return nets;
}

/** The name of the high-tension winding in a socket's wiring. */
export const HIGH_TENSION = "HT";

function envelopeMeaning(document: Document): Wrong | undefined {
  const nets = netsOfDocument(document);
  const windings = new Set([HIGH_TENSION, ...(document.supply?.transformer.heaters ?? []).map((one) => one.id)]);
  for (const envelope of document.envelopes) {
    for (const [pin, wire] of Object.entries(envelope.wiring)) {
      const place = `envelopes[${envelope.id}].wiring.${pin}`;
      if ("net" in wire) {
        if (!nets.has(wire.net)) return wrong(place, `there is no net ${wire.net} in the unit.`);
      } else if (!windings.has(wire.winding))
        return wrong(place, `there is no winding ${wire.winding}; one of ${[...windings].join(", ")} is.`);
    }
  }
  return undefined;
}

function supplyMeaning(document: Document): Wrong | undefined {
  const { supply } = document;
  if (supply === undefined) return undefined;
  const nets = netsOfDocument(document);
  const { highTension, heaters } = supply.transformer;
  const twice = duplicate("supply.transformer.heaters", heaters);
  if (twice !== undefined) return twice;
  if (highTension.unloadedRmsVoltsPerHalf < highTension.ratedRmsVoltsPerHalf)
    return wrong(
      "supply.transformer.highTension.unloadedRmsVoltsPerHalf",
      "a winding gives no less unloaded than loaded.",
    );
  for (const heater of heaters) {
    if (heater.id === HIGH_TENSION)
      return wrong(`supply.transformer.heaters[${heater.id}]`, "this name belongs to the high-tension winding.");
    if (!nets.has(heater.reference))
      return wrong(
        `supply.transformer.heaters[${heater.id}].reference`,
        `there is no net ${heater.reference} in the unit.`,
      );
  }
  const { rectifier } = supply;
  if (rectifier.envelope !== undefined && !document.envelopes.some((one) => one.id === rectifier.envelope))
    return wrong("supply.rectifier.envelope", `there is no envelope ${rectifier.envelope}.`);
  if (rectifier.envelope === undefined && rectifier.silicon === undefined)
    return wrong("supply.rectifier", "name the rectifier tube's envelope, or the silicon diodes, or both.");
  if (rectifier.circuit === "bridge" && (rectifier.envelope !== undefined || rectifier.silicon === undefined))
    return wrong("supply.rectifier.circuit", "a bridge is of silicon; a bridge with a tube in it is a hybrid-bridge.");
  if (rectifier.circuit === "hybrid-bridge" && (rectifier.envelope === undefined || rectifier.silicon === undefined))
    return wrong("supply.rectifier.circuit", "a hybrid-bridge has both a tube's envelope and silicon diodes.");
  if (!nets.has(supply.rectifier.output))
    return wrong("supply.rectifier.output", `there is no net ${supply.rectifier.output} in the unit.`);
  if (supply.rectifier.seriesOhms !== undefined) {
    const bad = value("supply.rectifier.seriesOhms", "resistance", supply.rectifier.seriesOhms, true);
    if (bad !== undefined) return bad;
  }
  if (rectifier.choke !== undefined) {
    const bad =
      value("supply.rectifier.choke.value", "inductance", rectifier.choke.value) ??
      value("supply.rectifier.choke.seriesOhms", "resistance", rectifier.choke.seriesOhms, true);
    if (bad !== undefined) return bad;
  }
  const [instanceId, partId] = supply.rectifier.firstCapacitor.split(".");
  const instance = document.instances.find((one) => one.id === instanceId);
  const part = own(document.blocks, instance?.block ?? "")?.parts.find((one) => one.id === partId);
  if (instance === undefined || part?.kind !== "capacitor")
    return wrong(
      "supply.rectifier.firstCapacitor",
      `${supply.rectifier.firstCapacitor} is no capacitor of the unit; name it as instance.part.`,
    );
  const outside = (net: string) => (net === "0" ? "0" : (own(instance.ports, net) ?? `${instance.id}.${net}`));
  const ends = [outside(part.pins.a), outside(part.pins.b)];
  if (!ends.includes("0") || !ends.includes(supply.rectifier.output))
    return wrong(
      "supply.rectifier.firstCapacitor",
      `${supply.rectifier.firstCapacitor} must stand from ${supply.rectifier.output} to ground.`,
    );
  return undefined;
}

/** What the transformer is known by must say something: a rating of 60 A is asked about, not believed. */
function transformerMeaning({ supply }: Document): Wrong | undefined {
  if (supply === undefined) return undefined;
  const resolved = resolveTransformer(supply);
  return resolved.ok ? undefined : wrong("supply.transformer", transformerSentence(resolved.failure));
}

function targetsMeaning({ targets }: Document): Wrong | undefined {
  return (
    value("targets.loadOhms", "resistance", targets.loadOhms) ??
    value("targets.loadFarads", "capacitance", targets.loadFarads, true) ??
    (targets.sourceOhms === undefined
      ? undefined
      : value("targets.sourceOhms", "resistance", targets.sourceOhms, true)) ??
    (targets.cableFarads === undefined
      ? undefined
      : value("targets.cableFarads", "capacitance", targets.cableFarads, true))
  );
}
