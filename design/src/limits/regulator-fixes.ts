/**
 * Fixes for regulators, followers and choke input: parts put in, or a feed resistor of another value. Each is tried by
 * solving the changed document before it is offered.
 */
import { partCode, preferredBetween } from "@platewright/engine";
import { diffDocuments } from "../document/change.ts";
import type { Document, DocumentPart } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Fix } from "../findings.ts";
import { solveDesign } from "../solved/solve.ts";
import type { JudgedCondition, SolvedDesign } from "../solved/types.ts";
import { type Judged, netVolts, resistorFraction } from "./judged.ts";
import { say } from "./say.ts";

/** Ratings in which resistors are sold. */
const WATTS = [0.5, 1, 2, 3, 5, 7, 10, 15, 25, 50] as const;

/** The next rating that keeps to a share of it; undefined beyond what is common. */
const wattsFor = (heat: number, share: number): number | undefined => WATTS.find((one) => one * share >= heat);

const blockOf = (document: Document, id: string) => {
  const at = id.indexOf(".");
  const instance = document.instances.find((one) => one.id === id.slice(0, at));
  const block = instance === undefined ? undefined : document.blocks[instance.block];
  const part = block?.parts.find((one) => one.id === id.slice(at + 1));
  return instance === undefined || block === undefined || part === undefined ? undefined : { instance, block, part };
};

const freeId = (parts: readonly DocumentPart[], prefix: string): string => {
  for (let n = 1; ; n++) if (!parts.some((one) => one.id === `${prefix}${n}`)) return `${prefix}${n}`;
};

function withPart(document: Document, name: string, part: DocumentPart): Document {
  const block = document.blocks[name];
  if (block === undefined) return document;
  return { ...document, blocks: { ...document.blocks, [name]: { ...block, parts: [...block.parts, part] } } };
}

const solvedAt = (judged: Judged, document: Document, condition: JudgedCondition): SolvedDesign | undefined => {
  const answer = solveDesign(document, judged.catalogue, { condition, detail: "bias", near: judged.nominal });
  return answer.ok ? answer.value : undefined;
};

/** A Zener of 12 V from a follower's gate to its source. */
export function gateFix(judged: Judged, followerId: string): readonly Fix[] {
  const { document } = judged;
  const found = blockOf(document, followerId);
  if (judged.resolve === undefined || found?.part.kind !== "follower") return [];
  const { gate, source } = found.part.pins;
  const id = freeId(found.block.parts, "D");
  const after = withPart(document, found.instance.block, {
    kind: "regulator",
    id,
    label: "gate guard",
    technology: "zener",
    value: "12",
    ohms: "10",
    watts: 0.5,
    pins: { cathode: gate, anode: source },
  });
  if (solvedAt(judged, after, "nominal") === undefined) return [];
  return [
    { title: `${id} 12 V Zener from ${gate} to ${source} of ${followerId}`, changes: diffDocuments(document, after) },
  ];
}

/** A bleeder across the first capacitor that keeps a choke's current from falling to zero in a condition. */
export function bleederForChoke(judged: Judged, condition: JudgedCondition, aboutOhms: number): readonly Fix[] {
  const { document } = judged;
  const { supply } = document;
  const found = blockOf(document, supply?.rectifier.firstCapacitor ?? "");
  if (judged.resolve === undefined || supply === undefined || found?.part.kind !== "capacitor") return [];
  const { a, b } = found.part.pins;
  const id = freeId(found.block.parts, "R");
  const rated = supply.transformer.highTension.ratedAmps;
  for (const ohms of [...preferredBetween("E12", aboutOhms / 2, aboutOhms)].reverse()) {
    const value = partCode(ohms, "resistance");
    const bleeder = (watts: number): Document =>
      withPart(document, found.instance.block, {
        kind: "resistor",
        id,
        label: "bleeder",
        value,
        watts,
        pins: { a, b },
      });
    const after = bleeder(50);
    const there = solvedAt(judged, after, condition);
    if (there?.supply?.choke?.outcome !== "continuous") continue;
    const nominal = solvedAt(judged, after, "nominal");
    const hottest = solvedAt(judged, after, "cold-mains-high");
    if (!((nominal?.supply?.loadAmps ?? Infinity) <= rated) || hottest === undefined) return [];
    const heat = (netVolts(hottest, supply.rectifier.output) ?? Number.NaN) ** 2 / ohms;
    const watts = wattsFor(heat, resistorFraction(judged));
    if (watts === undefined) return [];
    return [
      {
        title: `bleeder ${id} ${value}, ${say(watts, "W")} across ${supply.rectifier.firstCapacitor} keeps the choke's current steady`,
        changes: diffDocuments(document, bleeder(watts)),
      },
    ];
  }
  return [];
}

/**
 * Another value for the resistor that feeds `net`, such that the verdict is "inside" with mains low and with mains high; by
 * halving the series, as more resistance always means less current.
 */
export function feedFix(
  judged: Judged,
  net: string,
  verdict: (solved: SolvedDesign) => "inside" | "too little" | "too much",
  words: string,
): readonly Fix[] {
  const { document, nominal } = judged;
  if (judged.resolve === undefined) return [];
  const feed = nominal.expanded.parts
    .flatMap(({ id, electrical: e }) => (e.kind === "resistor" ? [{ id, ohms: e.ohms, a: e.a, b: e.b }] : []))
    .map((one) => ({ ...one, other: one.a === net ? one.b : one.a }))
    .filter((one) => one.a === net || one.b === net)
    .map((one) => ({ ...one, amps: ((netVolts(nominal, one.other) ?? 0) - (netVolts(nominal, net) ?? 0)) / one.ohms }))
    .sort((one, other) => other.amps - one.amps)[0];
  const found = feed === undefined ? undefined : blockOf(document, feed.id);
  if (feed === undefined || found === undefined || !(feed.amps > 0)) return [];
  const values = preferredBetween("E12", feed.ohms / 10, feed.ohms * 10);
  let low = 0;
  let high = values.length - 1;
  while (low <= high) {
    const middle = (low + high) >> 1;
    const ohms = values[middle] as number;
    const value = partCode(ohms, "resistance");
    const changed = setPart(document, [found.instance.id], found.part.id, { value });
    const least = solvedAt(judged, changed, "mains-low");
    const most = solvedAt(judged, changed, "mains-high");
    if (least === undefined || most === undefined) return [];
    const atLeast = verdict(least);
    const atMost = verdict(most);
    if (atLeast === "inside" && atMost === "inside") {
      const cold = solvedAt(judged, changed, "cold-mains-high");
      const drop = (one: SolvedDesign | undefined) =>
        one === undefined ? Number.NaN : (netVolts(one, feed.other) ?? 0) - (netVolts(one, net) ?? 0);
      const watts = wattsFor(Math.max(drop(most) ** 2, drop(cold) ** 2) / ohms, resistorFraction(judged));
      if (watts === undefined) return [];
      const after = setPart(document, [found.instance.id], found.part.id, { value, watts });
      return [
        {
          title: `${feed.id} ${partCode(feed.ohms, "resistance")} → ${value}, ${say(watts, "W")} ${words}`,
          changes: diffDocuments(document, after),
        },
      ];
    }
    // More than one end of the range is out: no value serves both.
    if (atLeast === "too little" && atMost === "too much") return [];
    if (atLeast === "too little" || atMost === "too little") high = middle - 1;
    else low = middle + 1;
  }
  return [];
}
