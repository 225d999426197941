/**
 * The supply as a chain: from transformer and rectifier through each section to the nets that feed the tubes, with what
 * hangs from every net. Plain data for a drawing, in one condition.
 *
 * Method  From the first capacitor's net along resistors, chokes, diodes and followers to nets that hold a reservoir or feed
 *         a tube; the rest hangs down to ground, through dividers where there are any. Of equal channels the first.
 * Limits  Parts of the supply's own block that stand in none of these places are listed, so that none is ever missing.
 */
import type { ExpandedPart } from "../document/expanded.ts";
import type { Document, DocumentPart, Supply } from "../document/schema.ts";
import { isReservoir, type Stage, stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { transformerOf } from "./rectifier-problem.ts";
import { conditionRow, type RatedReading } from "./table.ts";

export interface ChainPart {
  /** "PS.C1". */
  readonly id: string;
  /** "C1". */
  readonly name: string;
  readonly written: DocumentPart;
  /** Volts across it and amperes through a resistor, at rest. */
  readonly volts: number;
  readonly amps?: number;
  readonly rated?: RatedReading;
}

export interface ChainNet {
  readonly net: string;
  readonly volts: number;
  readonly hanging: readonly ChainHanging[];
}

/** A part from a net downwards: to ground, or to a net with its own below. */
export interface ChainHanging {
  readonly part: ChainPart;
  /** Left out: ground. */
  readonly below?: ChainNet;
}

/** A section of a tube that a net feeds. */
export interface ChainConsumer {
  /** "L.V1a". */
  readonly id: string;
  readonly name: string;
  readonly amps: number;
  /** Its plate load; left out: the plate stands at the net. */
  readonly through?: string;
}

export interface ChainNode extends ChainNet {
  /** Which node it follows, and through what; the first follows the rectifier. */
  readonly after?: number;
  readonly through?: ChainPart;
  /** The channels that have this net alike, when it is a channel's. */
  readonly channels: readonly string[];
  readonly consumers: readonly ChainConsumer[];
}

export interface ChainHeater {
  readonly id: string;
  readonly amps: number;
  readonly ratedAmps: number;
  /** Across the winding. */
  readonly volts: number;
  readonly ratedVolts: number;
  readonly reference: string;
  readonly referenceVolts: number;
  readonly direct: boolean;
  readonly bottles: readonly string[];
}

export interface SupplyChain {
  readonly words: string;
  readonly mains: { readonly volts: number; readonly hertz: number; readonly tapVolts?: number };
  readonly fuse?: { readonly amps: number; readonly kind: string };
  readonly transformer: {
    readonly label: string;
    /** rms of one half (the whole winding of a bridge) with nothing drawn, in this condition. */
    readonly unloadedVolts: number;
    readonly ratedVolts: number;
    readonly dcAmps: number;
    readonly ratedAmps: number;
    readonly knownBy: "label" | "measured" | "unknown";
  };
  readonly heaters: readonly ChainHeater[];
  readonly rectifier: {
    readonly circuit: NonNullable<Supply["rectifier"]["circuit"]>;
    readonly envelope?: string;
    readonly type?: string;
    readonly silicon?: string;
    readonly seriesOhms?: string;
    readonly dcAmps: number;
    readonly rippleVolts: number;
  };
  readonly choke?: {
    readonly value: string;
    readonly seriesOhms: string;
    readonly outcome: "continuous" | "discontinuous";
  };
  readonly nodes: readonly ChainNode[];
  readonly others: readonly ChainPart[];
}

const GROUND = "0";

/** Kinds of two leads that the chain is made of, and how their pins are called, from the fed end. */
const LEADS: Readonly<Partial<Record<DocumentPart["kind"], readonly [string, string]>>> = {
  resistor: ["a", "b"],
  capacitor: ["a", "b"],
  inductor: ["a", "b"],
  switch: ["a", "b"],
  diode: ["anode", "cathode"],
  regulator: ["anode", "cathode"],
  follower: ["drain", "source"],
  "current-sink": ["from", "to"],
};

/**
 * The chain of a solved design; undefined when it has no supply. `nominal` is the same design running, which says what is a
 * tube's load; left out: `solved` itself.
 */
export function supplyChain(solved: SolvedDesign, nominal: SolvedDesign = solved): SupplyChain | undefined {
  const { document } = solved;
  const { supply } = document;
  if (supply === undefined) return undefined;
  const walk = walkOf(solved, nominal);
  const nodes: ChainNode[] = [];
  layNode(walk, nodes, supply.rectifier.output);
  const channels = new Set(nominal.expanded.channels.map((one) => one.instance));
  return {
    words: solved.condition.words,
    ...frontOf(document, supply, solved),
    nodes,
    others: walk.parts.filter((part) => !channels.has(part.instance) && !walk.used.has(part.id)).map(walk.part),
  };
}

function frontOf(
  document: Document,
  supply: Supply,
  solved: SolvedDesign,
): Omit<SupplyChain, "words" | "nodes" | "others"> {
  const resolved = transformerOf(supply);
  const transformer = resolved.ok ? resolved.value : supply.transformer;
  const { mains, rectifier, fuse } = supply;
  const factor = solved.condition.mainsFactor;
  const { choke, seriesOhms, envelope, silicon, circuit = "full-wave" } = rectifier;
  const type = document.envelopes.find((one) => one.id === envelope)?.type;
  const dcAmps = solved.supply?.loadAmps ?? 0;
  return {
    mains: {
      volts: mains.volts * factor,
      hertz: mains.hertz,
      ...(supply.transformer.primary === undefined ? {} : { tapVolts: supply.transformer.primary.usedTapVolts }),
    },
    ...(fuse === undefined ? {} : { fuse: { amps: fuse.amps, kind: fuse.kind } }),
    transformer: {
      label: supply.transformer.label,
      unloadedVolts: transformer.highTension.unloadedRmsVoltsPerHalf * factor,
      ratedVolts: transformer.highTension.ratedRmsVoltsPerHalf,
      dcAmps,
      ratedAmps: transformer.highTension.ratedAmps,
      knownBy:
        supply.transformer.unknown !== undefined
          ? "unknown"
          : supply.transformer.measured !== undefined
            ? "measured"
            : "label",
    },
    heaters: solved.heaters.map((one): ChainHeater => {
      const winding = transformer.heaters.find((other) => other.id === one.winding);
      return {
        id: one.winding,
        amps: one.amps,
        ratedAmps: one.ratedAmps,
        volts: one.volts,
        ratedVolts: winding?.ratedVolts ?? one.volts,
        reference: winding?.reference ?? GROUND,
        referenceVolts: one.referenceVolts,
        direct: winding?.direct !== undefined,
        bottles: one.envelopes.map((tube) => tube.envelope),
      };
    }),
    rectifier: {
      circuit,
      ...(envelope === undefined ? {} : { envelope }),
      ...(type === undefined ? {} : { type }),
      ...(silicon === undefined ? {} : { silicon: silicon.type }),
      ...(seriesOhms === undefined ? {} : { seriesOhms }),
      dcAmps,
      rippleVolts: solved.supply?.rectifier.ripplePeakToPeakVolts ?? 0,
    },
    ...(choke === undefined
      ? {}
      : {
          choke: {
            value: choke.value,
            seriesOhms: choke.seriesOhms,
            outcome: solved.supply?.choke?.outcome ?? "discontinuous",
          },
        }),
  };
}

interface Walk {
  readonly solved: SolvedDesign;
  readonly stages: readonly Stage[];
  /** Of the first of equal channels, and of all that is no channel. */
  readonly parts: readonly ExpandedPart[];
  readonly on: (net: string) => readonly ExpandedPart[];
  readonly volts: (net: string) => number;
  readonly part: (part: ExpandedPart) => ChainPart;
  /** Loads of plates, and nets of the signal: no part of the chain. */
  readonly loads: ReadonlySet<string>;
  readonly signal: ReadonlySet<string>;
  readonly channels: ReadonlySet<string>;
  readonly used: Set<string>;
  readonly placed: Set<string>;
}

function walkOf(solved: SolvedDesign, nominal: SolvedDesign): Walk {
  const { expanded } = solved;
  const twins = new Set(expanded.equalTo.keys());
  const parts = expanded.parts.filter((part) => !twins.has(part.instance));
  const stages = stagesOf(nominal).filter((stage) => !twins.has(stage.triode.instance));
  const byNet = new Map<string, ExpandedPart[]>();
  for (const part of parts)
    for (const net of new Set(endsOf(part) ?? [])) byNet.set(net, [...(byNet.get(net) ?? []), part]);
  const volts = (net: string) => (net === GROUND ? 0 : (solved.bias.netVolts.get(net) ?? 0));
  const ratings = conditionRow(solved.document, solved).parts;
  const signal = new Set(
    stages.flatMap(({ triode, role }) => [
      triode.grid,
      triode.cathode,
      ...(role === "gain" && !isReservoir(solved, triode.plate) ? [triode.plate] : []),
    ]),
  );
  return {
    solved,
    stages,
    parts,
    on: (net) => byNet.get(net) ?? [],
    volts,
    part: (part) => {
      const [a, b] = endsOf(part) ?? [GROUND, GROUND];
      const across = volts(a) - volts(b);
      const { electrical } = part;
      const rated = ratings[part.id];
      return {
        id: part.id,
        name: part.id.slice(part.id.indexOf(".") + 1),
        written: part.written,
        volts: across,
        ...(electrical.kind === "resistor" ? { amps: across / electrical.ohms } : {}),
        ...(rated === undefined ? {} : { rated }),
      };
    },
    loads: new Set(stages.flatMap((stage) => stage.plateLoad ?? [])),
    signal,
    channels: new Set(expanded.channels.map((one) => one.instance)),
    used: new Set(),
    placed: new Set([GROUND]),
  };
}

/** The two nets of a part that can stand in the chain, the fed one first where it matters. */
function endsOf({ written }: ExpandedPart): readonly [string, string] | undefined {
  const leads = LEADS[written.kind];
  if (leads === undefined) return undefined;
  const pins: Readonly<Record<string, string>> = written.pins;
  return [pins[leads[0]] ?? GROUND, pins[leads[1]] ?? GROUND];
}

function otherEnd(part: ExpandedPart, net: string): string | undefined {
  const [a, b] = endsOf(part) ?? [];
  return a === net ? b : b === net ? a : undefined;
}

function consumersOf({ stages, solved, loads, on }: Walk, net: string): readonly ChainConsumer[] {
  const fed = new Map(
    on(net)
      .filter((part) => loads.has(part.id))
      .map((part) => [part.id, part]),
  );
  return stages.flatMap(({ triode, plateLoad }): readonly ChainConsumer[] => {
    const through = plateLoad === undefined ? undefined : fed.get(plateLoad);
    if (through === undefined && triode.plate !== net) return [];
    return [
      {
        id: triode.id,
        name: triode.part,
        amps: solved.bias.triodes.get(triode.id)?.plateAmps ?? 0,
        ...(through === undefined ? {} : { through: through.id.slice(through.id.indexOf(".") + 1) }),
      },
    ];
  });
}

/** Whether a part leads from a fed net on to another one. */
function leadsOn(walk: Walk, part: ExpandedPart, from: string): string | undefined {
  const to = otherEnd(part, from);
  if (to === undefined || walk.placed.has(to) || walk.signal.has(to) || walk.used.has(part.id)) return undefined;
  if (walk.loads.has(part.id)) return undefined;
  const { written } = part;
  const passes =
    written.kind === "resistor" ||
    written.kind === "inductor" ||
    (written.kind === "switch" && written.closed) ||
    ((written.kind === "diode" || written.kind === "follower") && endsOf(part)?.[0] === from);
  if (!passes || isReference(walk, to) || isTap(walk, part, to)) return undefined;
  return holds(walk, to) || passesOn(walk, part, to) ? to : undefined;
}

const isReference = ({ solved }: Walk, net: string): boolean =>
  (solved.document.supply?.transformer.heaters ?? []).some((one) => one.reference === net);

/** The middle of a divider: a resistor to ground, and besides it and the one from above nothing but capacitors. */
function isTap(walk: Walk, upper: ExpandedPart, net: string): boolean {
  if (upper.written.kind !== "resistor") return false;
  const others = walk.on(net).filter((part) => part !== upper && part.written.kind !== "capacitor");
  const down = others.filter((part) => part.written.kind === "resistor" && otherEnd(part, net) === GROUND);
  return down.length > 0 && down.length === others.length && consumersOf(walk, net).length === 0;
}

/** A net that is kept up by a capacitor or a regulator, or that feeds a tube. */
const holds = (walk: Walk, net: string): boolean =>
  isReservoir(walk.solved, net) ||
  walk.on(net).some((part) => part.written.kind === "regulator" && otherEnd(part, net) === GROUND) ||
  consumersOf(walk, net).length > 0;

/** Two parts in series: the net between them holds nothing and leads on. */
function passesOn(walk: Walk, part: ExpandedPart, net: string): boolean {
  const [next, more] = walk.on(net).filter((one) => one !== part);
  if (next === undefined || more !== undefined) return false;
  const to = otherEnd(next, net);
  return to !== undefined && to !== GROUND && !walk.signal.has(to) && !walk.loads.has(next.id) && holds(walk, to);
}

function layNode(walk: Walk, nodes: ChainNode[], net: string, after?: number, through?: ExpandedPart): void {
  walk.placed.add(net);
  const index = nodes.length;
  const instance = net.includes(".") ? net.slice(0, net.indexOf(".")) : "";
  const channels = walk.channels.has(instance)
    ? [instance, ...[...walk.solved.expanded.equalTo].flatMap(([twin, first]) => (first === instance ? [twin] : []))]
    : [];
  const node = {
    net,
    volts: walk.volts(net),
    channels,
    consumers: consumersOf(walk, net),
    ...(after === undefined ? {} : { after }),
    ...(through === undefined ? {} : { through: walk.part(through) }),
  };
  // Held first, so that what follows stands behind it in the list; what hangs is known when the ways on are.
  nodes.push({ ...node, hanging: [] });
  const on = walk.on(net).flatMap((part) => {
    const to = leadsOn(walk, part, net);
    return to === undefined ? [] : [{ part, to, weight: weightOf(walk, part, to, new Set([net])) }];
  });
  const ways = on.sort((a, b) => b.weight - a.weight);
  for (const { part, to } of ways) {
    walk.used.add(part.id);
    walk.placed.add(to);
  }
  nodes[index] = { ...node, hanging: hangingOf(walk, net) };
  for (const { part, to } of ways) layNode(walk, nodes, to, index, part);
}

/** How much stands behind a way on: tubes first, then sections. */
function weightOf(walk: Walk, part: ExpandedPart, net: string, seen: ReadonlySet<string>): number {
  if (seen.has(net) || seen.size > 20) return 0;
  const here = new Set([...seen, net]);
  const behind = walk.on(net).flatMap((next) => {
    const to = next === part ? undefined : leadsOn(walk, next, net);
    return to === undefined ? [] : [weightOf(walk, next, to, here)];
  });
  return 1 + 100 * consumersOf(walk, net).length + Math.max(0, ...behind);
}

/** Capacitors first, what else goes to ground next, dividers last. */
const HANGS: Readonly<Partial<Record<DocumentPart["kind"], number>>> = {
  capacitor: 0,
  regulator: 1,
  "current-sink": 2,
};

function hangingOf(walk: Walk, net: string): readonly ChainHanging[] {
  const inChannel = (part: ExpandedPart) => walk.channels.has(part.instance);
  const own = walk.on(net).filter((part) => {
    const to = otherEnd(part, net);
    if (to === undefined || to === net || walk.used.has(part.id) || walk.loads.has(part.id)) return false;
    // Of a channel only what belongs to its supply.
    return to === GROUND || (!inChannel(part) && !walk.signal.has(to));
  });
  const rank = (part: ExpandedPart) => (HANGS[part.written.kind] ?? 3) + (otherEnd(part, net) === GROUND ? 0 : 10);
  for (const part of own) walk.used.add(part.id);
  return own
    .sort((a, b) => rank(a) - rank(b))
    .map((part): ChainHanging => {
      const to = otherEnd(part, net) ?? GROUND;
      if (to === GROUND) return { part: walk.part(part) };
      const elsewhere = walk.placed.has(to);
      walk.placed.add(to);
      return {
        part: walk.part(part),
        below: { net: to, volts: walk.volts(to), hanging: elsewhere ? [] : hangingOf(walk, to) },
      };
    });
}
