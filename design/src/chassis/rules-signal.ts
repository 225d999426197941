/** Signal against power: iron to the first tubes, mains to what carries little, ways that cross, sockets turned badly. */
import type { Place } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import type { Finding } from "../findings.ts";
import { type ChassisJudged, isIron, isMains, mm, nameOf, practised, tightest } from "./context.ts";
import { distance, segmentsCross } from "./geometry.ts";
import { leastGap, type PlacedBody, type PlacedItem } from "./placed.ts";
import { IRON_TO_FIRST_TUBE, MAINS_TO_SIGNAL, RING_CORE_TO_FIRST_TUBE } from "./practice.ts";
import { rotationOf } from "./rotation.ts";
import { firstTubes, tracer, type Tracer } from "./trace.ts";

export function signalFindings(judged: ChassisJudged): readonly Finding[] {
  const { expanded } = judged;
  if (expanded === undefined) return [];
  const trace = tracer(judged.document, expanded, judged.items);
  const first = firstTubes(judged.document, expanded, judged.items);
  return [
    ...tightest(ironToTubes(judged, first)),
    ...tightest(mainsToSignal(judged, trace, first)),
    ...crossings(judged, expanded, trace),
    ...rotationFindings(judged),
  ];
}

/** Field of a dipole: every doubling of the distance takes 15 to 18 dB. */
const PER_DOUBLING = 15;

function ironToTubes(judged: ChassisJudged, first: readonly PlacedItem[]): readonly Finding[] {
  return judged.items
    .filter((item) => isIron(item) && item.footprint.kind !== "choke")
    .flatMap((iron) =>
      first.map((tube) => {
        const wanted = iron.footprint.kind === "toroid" ? RING_CORE_TO_FIRST_TUBE : IRON_TO_FIRST_TUBE;
        const apart = distance(iron.item, tube.item);
        const louder = PER_DOUBLING * Math.log2(wanted / Math.max(1, apart));
        const near = apart < wanted;
        return practised({
          rule: "chassis-iron-tube",
          where: `${iron.item.id}+${tube.item.id}`,
          level: near ? "watch" : "ok",
          title: `${nameOf(judged, iron.item.id)} to the first tube ${nameOf(judged, tube.item.id)} ${mm(apart)} mm between centres, ${wanted} mm wanted${near ? `: about ${Math.round(louder)} dB more hum than there; turn the iron for least hum before its holes are drilled` : ""}`,
          value: apart,
          limit: wanted,
          sense: "above",
        });
      }),
    );
}

/** Parts that carry a small signal: jacks and pots of the circuit, first tubes. */
function isSignal(item: PlacedItem, trace: Tracer, first: readonly PlacedItem[]): boolean {
  return (
    first.includes(item) ||
    trace.partsOf(item).some((part) => part.written.kind === "jack" || part.written.kind === "potentiometer")
  );
}

function mainsToSignal(judged: ChassisJudged, trace: Tracer, first: readonly PlacedItem[]): readonly Finding[] {
  const mains = judged.items.filter(isMains);
  const signal = judged.items.filter((item) => isSignal(item, trace, first));
  return mains.flatMap((live) =>
    signal.map((quiet) => {
      const gap = leastGap(fixedBodies(live), fixedBodies(quiet));
      return practised({
        rule: "chassis-mains-signal",
        where: `${live.item.id}+${quiet.item.id}`,
        level: gap < MAINS_TO_SIGNAL ? "watch" : "ok",
        title: `mains at ${nameOf(judged, live.item.id)} ${mm(gap)} mm from ${nameOf(judged, quiet.item.id)}, which carries the signal; ${MAINS_TO_SIGNAL} mm wanted`,
        value: gap,
        limit: MAINS_TO_SIGNAL,
        sense: "above",
      });
    }),
  );
}

const fixedBodies = (item: PlacedItem): readonly PlacedBody[] => item.bodies.filter((body) => body.what !== "plug");

interface Way {
  readonly words: string;
  readonly from: PlacedItem;
  readonly to: PlacedItem;
}

/** Straight ways between items in the order that current takes: mains from inlet to iron, signal from jack to jack. */
function crossings(judged: ChassisJudged, expanded: Expanded, trace: Tracer): readonly Finding[] {
  const mains = chainOf(
    "mains",
    (["inlet", "gland", "fuse-holder", "switch"] as const)
      .flatMap((kind) => judged.items.filter((item) => isMains(item) && item.footprint.kind === kind))
      .concat(judged.items.filter((item) => "transformer" in item.item.what)),
  );
  const signal = expanded.channels.flatMap(({ instance }) =>
    chainOf(`signal ${instance}`, signalItems(judged, expanded, trace, instance)),
  );
  const found = signal.flatMap((quiet) =>
    mains.flatMap((live) => {
      if (!segmentsCross(at(quiet.from), at(quiet.to), at(live.from), at(live.to))) return [];
      const names = (way: Way) => `${nameOf(judged, way.from.item.id)} to ${nameOf(judged, way.to.item.id)}`;
      return [
        practised({
          rule: "chassis-crossing",
          where: `${quiet.from.item.id}+${quiet.to.item.id}+${live.from.item.id}+${live.to.item.id}`,
          level: "watch",
          unit: "",
          title: `the straight way of the signal from ${names(quiet)} crosses the mains from ${names(live)}: keep to the edge with the mains, or cross at right angles, screened`,
        }),
      ];
    }),
  );
  if (found.length > 0 || signal.length === 0 || mains.length === 0) return found;
  return [
    practised({
      rule: "chassis-crossing",
      where: "chassis",
      level: "ok",
      unit: "",
      title: "no straight way of the signal crosses one of the mains",
    }),
  ];
}

const at = ({ item }: PlacedItem): Place => item;

const chainOf = (words: string, items: readonly PlacedItem[]): readonly Way[] =>
  items.slice(1).map((to, i) => ({ words, from: items[i] as PlacedItem, to }));

/** Items of a channel in the order of its parts in the block, which is that of the signal; a bottle where its first section is. */
function signalItems(
  judged: ChassisJudged,
  expanded: Expanded,
  trace: Tracer,
  instance: string,
): readonly PlacedItem[] {
  const order: PlacedItem[] = [];
  const add = (item: PlacedItem | undefined) => {
    if (item !== undefined && !order.includes(item)) order.push(item);
  };
  for (const part of expanded.parts) {
    if (part.instance !== instance) continue;
    const triode = expanded.triodes.find((one) => one.id === part.id);
    if (triode !== undefined)
      add(judged.items.find((one) => "envelope" in one.item.what && one.item.what.envelope === triode.envelope));
    else if (part.written.kind === "jack" || part.written.kind === "potentiometer")
      add(judged.items.find((one) => trace.partsOf(one).some((own) => own.id === part.id)));
  }
  return order;
}

/** A turn has to gain this share of the score to be worth new holes. */
const WORTH = 0.85;

function rotationFindings(judged: ChassisJudged): readonly Finding[] {
  return judged.tubes.flatMap((tube) => {
    const rotation = rotationOf(judged, tube.item);
    if (rotation === undefined) return [];
    const { now, turns, bestAsCut } = rotation;
    const holesThere = judged.holes.holes.some(
      (hole) => hole.item === tube.item.item.id && hole.in === "plate" && hole.work === "done",
    );
    // Holes that are there leave the turns that they allow.
    const best = holesThere ? bestAsCut : turns[0];
    const better =
      best !== undefined && (best.crossings < now.crossings || best.score < WORTH * now.score) ? best : undefined;
    const name = nameOf(judged, tube.item.item.id);
    const state = `${now.crossings === 0 ? "no heater wire crosses a grid's" : `${now.crossings} heater ${now.crossings === 1 ? "wire crosses" : "wires cross"} a grid's`}${now.gridMillimetres > 0 ? `, ${Math.round(now.gridMillimetres)} mm of grid wire` : ""}`;
    return [
      practised({
        rule: "chassis-rotation",
        where: tube.item.item.id,
        level: better === undefined && now.crossings === 0 ? "ok" : "watch",
        title:
          better === undefined
            ? `${name} at ${mm(now.degrees)}°: ${state}${now.crossings > 0 ? "; no turn that its holes allow is better" : ""}`
            : `${name} at ${mm(now.degrees)}°: ${state}; at ${better.degrees}° ${better.crossings === 0 ? "none crosses" : `${better.crossings} cross`}${better.gridMillimetres > 0 ? `, ${Math.round(better.gridMillimetres)} mm` : ""}, the key counted from the front, counter-clockwise from above`,
        value: now.crossings,
        limit: 0,
        unit: "",
        sense: "below",
        fixes:
          better === undefined
            ? []
            : [
                {
                  title: `${name} turned to ${better.degrees}°`,
                  changes: [
                    {
                      target: `chassis.items[${tube.item.item.id}].degrees`,
                      before: tube.item.item.degrees,
                      after: better.degrees,
                    },
                  ],
                },
              ],
      }),
    ];
  });
}
