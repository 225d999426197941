/** What is said beside each thing of a supply's chain: value, rating and its share, and what it was in the proven unit. */
import type { ChainHeater, ChainNet, ChainPart, SupplyChain } from "@platewright/design";
import { printValue } from "@platewright/engine";
import type { Line, Word } from "./sheet.ts";

/** What a drawing is told besides the chain. */
export interface ChainLook {
  /** The proven unit's chain, in the same condition. */
  readonly was?: SupplyChain;
  /** Nets, parts and windings that the edit in hand moves. */
  readonly live?: ReadonlySet<string>;
  /** Parts, bottles and windings past a limit. */
  readonly stops?: ReadonlySet<string>;
}

export interface Said {
  readonly look: ChainLook;
  readonly wasParts: ReadonlyMap<string, ChainPart>;
  readonly wasNets: ReadonlyMap<string, number>;
}

export function saidOf(look: ChainLook): Said {
  const parts = new Map<string, ChainPart>();
  const nets = new Map<string, number>();
  /** Of channels that were alike only the first stood in the chain; each is known by its own name too. */
  const under = (id: string, channels: readonly string[]): readonly string[] =>
    channels.length === 0 ? [id] : channels.map((one) => `${one}${id.slice(id.indexOf("."))}`);
  const hang = (net: ChainNet, channels: readonly string[]) => {
    for (const id of under(net.net, channels)) nets.set(id, net.volts);
    for (const { part, below } of net.hanging) {
      for (const id of under(part.id, channels)) parts.set(id, part);
      if (below !== undefined) hang(below, channels);
    }
  };
  for (const node of look.was?.nodes ?? []) {
    hang(node, node.channels);
    if (node.through !== undefined) for (const id of under(node.through.id, node.channels)) parts.set(id, node.through);
  }
  for (const part of look.was?.others ?? []) parts.set(part.id, part);
  return { look, wasParts: parts, wasNets: nets };
}

const micro = (value: string): string => value.replace("u", "µ");
const isLive = ({ look }: Said, id: string): boolean => look.live?.has(id) === true;
const tone = (said: Said, id: string): Pick<Word, "role"> => (isLive(said, id) ? { role: "live" } : {});

/** As a meter reads it. */
export function meterVolts(volts: number): string {
  const size = Math.abs(volts);
  const places = size >= 100 ? 0 : size >= 10 ? 1 : 2;
  const text = size.toFixed(places);
  return `${volts < 0 && Number(text) !== 0 ? "−" : ""}${text}\u202fV`;
}

export const shortNet = (net: string): string => net.slice(net.indexOf(".") + 1);

function valueOf({ written }: ChainPart): string {
  switch (written.kind) {
    case "resistor":
    case "capacitor":
    case "potentiometer":
      return micro(written.value);
    case "inductor":
      return `${micro(written.value)}${/\d$/.test(written.value) ? "\u202f" : ""}H`;
    case "regulator":
      return written.type ?? `${micro(written.value)}\u202fV`;
    case "diode":
      return written.type;
    case "follower":
      return written.type ?? "";
    case "current-sink":
    case "dc-source":
      return micro(written.value);
    case "switch":
      return written.closed ? "closed" : "open";
    default:
      return "";
  }
}

interface PartWords {
  readonly name: Line;
  readonly rating: Line;
  readonly was: Line;
}

function partWords(said: Said, part: ChainPart): PartWords {
  const value = valueOf(part);
  const stops = said.look.stops?.has(part.id) === true;
  const { rated } = part;
  const past = rated !== undefined && rated.fraction > 1;
  const was = said.wasParts.get(part.id);
  const then =
    said.look.was === undefined
      ? undefined
      : was === undefined
        ? "new"
        : valueOf(was) === value
          ? undefined
          : `was ${valueOf(was)}`;
  return {
    name: [
      { text: part.name, bold: true, ...tone(said, part.id) },
      ...(value === "" ? [] : [{ text: value, ...tone(said, part.id) }]),
    ],
    rating: [
      ...(rated === undefined
        ? []
        : [
            {
              text: `${printValue(rated.limit, rated.unit)}, ${Math.round(100 * rated.fraction)}\u202f%`,
              role: past ? ("stop" as const) : isLive(said, part.id) ? ("live" as const) : ("quiet" as const),
            },
          ]),
      ...(past || stops ? [{ text: "stop", role: "stop" as const, bold: true }] : []),
    ],
    was: then === undefined ? [] : [{ text: then, role: "proven" }],
  };
}

/** Beside a part that hangs: "C1 33µ", "450 V, 65 %", "was 47µ". */
export function partLines(said: Said, part: ChainPart): readonly Line[] {
  const { name, rating, was } = partWords(said, part);
  return [name, rating, was].filter((line) => line.length > 0);
}

/** Over and under a part that lies on a wire: "R1 820 was 1k", "3 W, 37 %". */
export function alongLines(said: Said, part: ChainPart): readonly [Line, Line] {
  const { name, rating, was } = partWords(said, part);
  return [[...name, ...was], rating];
}

/** "B1 was 302 V" over "287 V". Volts that no meter would tell apart are not said to have been others. */
export function netLines(said: Said, net: string, volts: number): readonly [Line, Line] {
  const was = said.wasNets.get(net);
  const then = was === undefined || meterVolts(was) === meterVolts(volts) ? undefined : was;
  return [
    [
      { text: shortNet(net), role: "quiet" },
      ...(then === undefined ? [] : [{ text: `was ${meterVolts(then)}`, role: "proven" } satisfies Word]),
    ],
    [{ text: meterVolts(volts), bold: true, large: true, ...tone(said, net) }],
  ];
}

export function heaterLines(said: Said, heater: ChainHeater): readonly Line[] {
  const was = said.look.was?.heaters.find((one) => one.id === heater.id);
  const past = heater.amps > heater.ratedAmps || said.look.stops?.has(heater.id) === true;
  const then =
    was === undefined || Math.abs(was.amps - heater.amps) < 0.005 ? [] : [`was ${printValue(was.amps, "A")}`];
  const role = past ? ({ role: "stop" } as const) : tone(said, heater.id);
  const stands =
    heater.reference === "0"
      ? "at ground"
      : `lifted to ${meterVolts(heater.referenceVolts)} by ${shortNet(heater.reference)}`;
  return [
    [
      { text: heater.id, bold: true },
      { text: `${heater.volts.toFixed(2)}\u202fV,` },
      {
        text: `${printValue(heater.amps, "A")} of ${printValue(heater.ratedAmps, "A")}${heater.direct ? " into a bridge" : ""}`,
        bold: true,
        ...role,
      },
      ...then.map((text): Word => ({ text, role: "proven" })),
    ],
    [
      {
        text: `${heater.bottles.length === 0 ? "nothing on it" : heater.bottles.join(", ")}; ${stands}`,
        role: "quiet",
      },
    ],
  ];
}
