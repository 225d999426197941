/** What is wrong with a list of parts before any equation is written: one named failure with its place. */
import type { CompileFailure } from "../solve/answers.ts";
import { type NetMap, pinsOf } from "./nets.ts";
import { GROUND, type Net, type Part, type PartOf } from "./parts.ts";

type BadValue = Extract<CompileFailure, { kind: "bad-value" }>;

const bad = (part: Part, field: string, given: number, need: string): BadValue => ({
  kind: "bad-value",
  part: part.id,
  field,
  given,
  need,
});

/** A law evaluated with a parameter that is not a number may answer zero amperes, so it is refused here. */
function lawParameter(part: Part, place: string, law: object): BadValue | undefined {
  for (const [name, value] of Object.entries(law))
    if (typeof value === "number" && !Number.isFinite(value)) return bad(part, `${place}.${name}`, value, "finite");
  return undefined;
}

/** The first value of a part that no circuit can have. */
export function badValue(part: Part): BadValue | undefined {
  const positive = (field: string, given: number) =>
    given > 0 && given < Infinity ? undefined : bad(part, field, given, "finite and above 0");
  const notNegative = (field: string, given: number) =>
    given >= 0 && given < Infinity ? undefined : bad(part, field, given, "finite and not negative");
  const finite = (field: string, given: number) =>
    Number.isFinite(given) ? undefined : bad(part, field, given, "finite");
  switch (part.kind) {
    case "resistor":
      return positive("ohms", part.ohms);
    case "capacitor":
      return positive("farads", part.farads);
    case "inductor":
      return positive("henries", part.henries) ?? positive("seriesOhms", part.seriesOhms);
    case "potentiometer":
      return (
        positive("ohms", part.ohms) ??
        (part.fraction >= 0 && part.fraction <= 1 ? undefined : bad(part, "fraction", part.fraction, "0 to 1"))
      );
    case "triode":
      return (
        notNegative("gridPlateFarads", part.gridPlateFarads) ??
        notNegative("gridCathodeFarads", part.gridCathodeFarads) ??
        notNegative("plateCathodeFarads", part.plateCathodeFarads) ??
        lawParameter(part, "law.space", part.law.space) ??
        lawParameter(part, "law.grid", part.law.grid)
      );
    case "dc-source":
      return finite("volts", part.volts) ?? notNegative("seriesOhms", part.seriesOhms);
    case "ac-source":
      return notNegative("seriesOhms", part.seriesOhms);
    case "current-sink":
      return (
        finite("amps", part.amps) ??
        (part.parallelOhms > 0 ? undefined : bad(part, "parallelOhms", part.parallelOhms, "above 0"))
      );
    case "diode":
      return part.law.form === "ideal"
        ? bad(part, "law", 0, "a power or exponential law; an ideal rectifier belongs to the supply's own solve")
        : (lawParameter(part, "law", part.law) ??
            (part.law.form === "knee"
              ? (positive("law.ohms", part.law.ohms) ?? positive("law.width", part.law.width))
              : undefined));
    case "switch":
    case "jack":
      return undefined;
  }
}

/** Duplicate ids, impossible values, no ground, nets with one pin. */
export function checkParts(parts: readonly Part[]): CompileFailure | undefined {
  const ids = new Set<string>();
  const uses = new Map<Net, { count: number; part: string }>();
  for (const part of parts) {
    if (ids.has(part.id)) return { kind: "duplicate-part", part: part.id };
    ids.add(part.id);
    const value = badValue(part);
    if (value !== undefined) return value;
    for (const [, net] of pinsOf(part)) {
      const use = uses.get(net);
      uses.set(net, { count: (use?.count ?? 0) + 1, part: use?.part ?? part.id });
    }
  }
  if (!uses.has(GROUND)) return { kind: "no-ground" };
  for (const [net, use] of uses)
    if (use.count === 1 && net !== GROUND) return { kind: "lonely-net", net, part: use.part };
  return undefined;
}

/**
 * A net without a dc path to ground through linear parts. A tube's or diode's own current is no path: with nothing but
 * capacitors beside it no volts would be the only ones. An ideal sink and a regulator are one (compile.ts puts
 * something across them), but not for a grid: unless its leak returns to its own cathode, where the tube itself finds
 * the volts at which it passes what the sink takes.
 */
export function checkPaths(parts: readonly Part[], map: NetMap): CompileFailure | undefined {
  const { reached, joins, node } = linearPaths(parts, map);
  for (const part of parts) {
    if (
      part.kind === "triode" &&
      !reached[node(part.grid)] &&
      !tied(joins, node(part.grid), node(part.cathode), reached)
    )
      return { kind: "floating-grid", part: part.id, net: part.grid };
  }
  for (const part of parts) {
    if (part.kind === "current-sink") joins.push([node(part.from), node(part.to)]);
    else if (isRegulator(part)) joins.push([node(part.anode), node(part.cathode)]);
  }
  spread(reached, joins);
  for (let i = 0; i < map.nets.length; i++) {
    if (reached[(map.node[i] as number) + 1]) continue;
    const net = map.nets[i] as Net;
    const around = parts.filter((part) => pinsOf(part).some(([, at]) => at === net)).map((part) => part.id);
    return { kind: "floating-net", net, parts: around };
  }
  return undefined;
}

const isRegulator = (part: Part): part is PartOf<"diode"> => part.kind === "diode" && part.law.form === "knee";

/** Nets that only regulators tie to the rest at dc. */
export function hangingNets(parts: readonly Part[], map: NetMap): ReadonlySet<Net> {
  const hanging = new Set<Net>();
  if (!parts.some(isRegulator)) return hanging;
  const { reached, joins, node } = linearPaths(parts, map);
  for (const part of parts) if (part.kind === "current-sink") joins.push([node(part.from), node(part.to)]);
  spread(reached, joins);
  for (const net of map.nets) if (!reached[node(net)]) hanging.add(net);
  return hanging;
}

/** What linear parts reach from ground; `joins` are the pairs of nodes that they tie. Node 0 is ground. */
function linearPaths(parts: readonly Part[], map: NetMap) {
  const reached = new Uint8Array(map.nodes + 1);
  reached[0] = 1;
  const node = (net: Net) => (map.node[map.index.get(net) as number] as number) + 1;
  const joins: [number, number][] = [];
  for (const part of parts) {
    switch (part.kind) {
      case "resistor":
      case "inductor":
        joins.push([node(part.a), node(part.b)]);
        break;
      case "potentiometer":
        joins.push([node(part.top), node(part.wiper)], [node(part.wiper), node(part.bottom)]);
        break;
      case "dc-source":
      case "ac-source":
        joins.push([node(part.plus), node(part.minus)]);
        break;
      case "current-sink":
        if (part.parallelOhms < Infinity) joins.push([node(part.from), node(part.to)]);
        break;
      default:
    }
  }
  spread(reached, joins);
  return { reached, joins, node };
}

/** Whether linear parts lead from one node to another without ground. */
function tied(
  joins: readonly (readonly [number, number])[],
  from: number,
  to: number,
  { length }: { readonly length: number },
): boolean {
  const reached = new Uint8Array(length);
  reached[from] = 1;
  spread(reached, joins);
  return reached[to] === 1;
}

function spread(reached: Uint8Array, joins: readonly (readonly [number, number])[]): void {
  for (let grew = true; grew; ) {
    grew = false;
    for (const [a, b] of joins) {
      if (reached[a] === reached[b]) continue;
      reached[a] = reached[b] = 1;
      grew = true;
    }
  }
}
