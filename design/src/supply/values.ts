/**
 * Values from preferred series that answer a wish about the supply: volts at a net, hum, discharge time. Each is a Fix:
 * the smallest change that does it, checked by solving the changed document whole.
 */
import { type Catalogue, partCode, preferredBetween } from "@platewright/engine";
import { applyChanges } from "../document/change.ts";
import { valueOf } from "../document/parts.ts";
import type { Document, DocumentPart } from "../document/schema.ts";
import type { Change, Fix } from "../findings.ts";
import { say } from "../limits/say.ts";
import { isReservoir } from "../solved/roles.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { solveHum } from "./hum.ts";
import { solveDischarge } from "./start-up.ts";

/** A change of a part's value in its block. */
function valueChange(document: Document, id: string, after: string): Change | undefined {
  const found = written(document, id);
  if (found === undefined || !("value" in found.part)) return undefined;
  const { instance, part, block } = found;
  const override = document.instances.find((one) => one.id === instance)?.overrides?.[part.id]?.value;
  return override === undefined
    ? { target: `blocks.${block}.parts[${part.id}].value`, before: found.part.value, after }
    : { target: `instances[${instance}].overrides.${part.id}.value`, before: override, after };
}

function written(document: Document, id: string): { instance: string; block: string; part: DocumentPart } | undefined {
  const [instance, partId] = [id.slice(0, id.indexOf(".")), id.slice(id.indexOf(".") + 1)];
  const block = document.instances.find((one) => one.id === instance)?.block;
  const part = block === undefined ? undefined : document.blocks[block]?.parts.find((one) => one.id === partId);
  return block === undefined || part === undefined ? undefined : { instance, block, part };
}

const changed = (document: Document, changes: readonly Change[]): Document | undefined => {
  const answer = applyChanges(document, changes);
  return answer.ok ? answer.value : undefined;
};

const bias = (document: Document, catalogue: Catalogue, near: SolvedDesign): SolvedDesign | undefined => {
  const solved = solveDesign(document, catalogue, { detail: "bias", near });
  return solved.ok ? solved.value : undefined;
};

/**
 * The dropper ahead of a net, from E12, that brings it nearest to the wanted volts. Undefined when no resistor from
 * another reservoir feeds the net, or nothing in the series changes it for the better.
 */
export function dropperFix(
  document: Document,
  catalogue: Catalogue,
  solved: SolvedDesign,
  net: string,
  wantedVolts: number,
): Fix | undefined {
  const at = (one: SolvedDesign, name: string) => one.bias.netVolts.get(name) ?? 0;
  const feed = solved.expanded.parts
    .flatMap(({ id, electrical: e }) => (e.kind === "resistor" ? [{ id, ohms: e.ohms, a: e.a, b: e.b }] : []))
    .map((one) => ({ ...one, other: one.a === net ? one.b : one.a }))
    .find(
      (one) =>
        (one.a === net || one.b === net) &&
        one.other !== "0" &&
        isReservoir(solved, one.other) &&
        at(solved, one.other) > at(solved, net),
    );
  if (feed === undefined) return undefined;
  const amps = (at(solved, feed.other) - at(solved, net)) / feed.ohms;
  const estimate = (at(solved, feed.other) - wantedVolts) / amps;
  if (!(estimate > 0)) return undefined;
  let best: { fix: Fix; miss: number } | undefined;
  for (const ohms of preferredBetween("E12", estimate / 1.8, estimate * 1.8)) {
    const change = valueChange(document, feed.id, partCode(ohms, "resistance"));
    const after = change === undefined ? undefined : changed(document, [change]);
    const answer = after === undefined ? undefined : bias(after, catalogue, solved);
    if (change === undefined || answer === undefined) continue;
    const volts = at(answer, net);
    const miss = Math.abs(volts - wantedVolts);
    const watts = (at(answer, feed.other) - volts) ** 2 / ohms;
    if (best === undefined || miss < best.miss)
      best = {
        miss,
        fix: {
          title: `${feed.id} ${say(feed.ohms, "Ω")} → ${say(ohms, "Ω")} brings ${net} to ${say(volts, "V")}; it takes ${say(watts, "W")}, so fit ${say(resistorWatts(watts), "W")}`,
          changes: [change, ...ratingChange(document, feed.id, watts)],
        },
      };
  }
  return best !== undefined && best.miss < Math.abs(at(solved, net) - wantedVolts) ? best.fix : undefined;
}

/** Sizes as sold; at least twice the heat: common practice. */
const WATTS = [0.25, 0.5, 1, 2, 3, 5, 7, 10, 15, 25] as const;
export const resistorWatts = (heat: number): number => WATTS.find((size) => size >= 2 * heat) ?? 50;

function ratingChange(document: Document, id: string, heat: number): readonly Change[] {
  const found = written(document, id);
  const wanted = resistorWatts(heat);
  if (found?.part.kind !== "resistor" || (found.part.watts ?? Infinity) >= wanted) return [];
  return [{ target: `blocks.${found.block}.parts[${found.part.id}].watts`, before: found.part.watts, after: wanted }];
}

/** Sizes of electrolytics as sold. */
const ELECTROLYTICS = [10e-6, 22e-6, 33e-6, 47e-6, 68e-6, 100e-6, 150e-6, 220e-6] as const;

/** The smallest step up of one smoothing capacitor (never the first) that brings every ripple line under the wish. */
export function humFix(
  document: Document,
  catalogue: Catalogue,
  solved: SolvedDesign,
  wantedDecibelVolts: number,
): Fix | undefined {
  const { supply } = document;
  if (supply === undefined) return undefined;
  const smoothing = solved.expanded.parts.flatMap(({ id, instance, electrical: e }) =>
    e.kind === "capacitor" &&
    id !== supply.rectifier.firstCapacitor &&
    !solved.expanded.equalTo.has(instance) &&
    (e.a === "0" || e.b === "0") &&
    isReservoir(solved, e.a === "0" ? e.b : e.a) &&
    (solved.bias.netVolts.get(e.a === "0" ? e.b : e.a) ?? 0) > 100
      ? [{ id, farads: e.farads }]
      : [],
  );
  const trials = smoothing
    .flatMap(({ id, farads }) =>
      ELECTROLYTICS.filter((size) => size > farads * 1.01).map((size) => ({ id, from: farads, size })),
    )
    .sort((a, b) => a.size / a.from - b.size / b.from);
  for (const { id, from, size } of trials) {
    const change = valueChange(document, id, partCode(size, "capacitance"));
    const after = change === undefined ? undefined : changed(document, [change]);
    const answer = after === undefined ? undefined : bias(after, catalogue, solved);
    if (change === undefined || after === undefined || answer === undefined) continue;
    const hum = solveHum(after, supply, catalogue, answer);
    if (!hum.ok) continue;
    const worst = Math.max(...hum.value.lines.filter((one) => one.from === "ripple").map((one) => one.dbv));
    if (worst <= wantedDecibelVolts)
      return {
        title: `${id} ${say(from, "F")} → ${say(size, "F")} brings the worst line to ${worst.toFixed(0)} dBV`,
        changes: [change],
      };
  }
  return undefined;
}

/** A bleeder across a smoothing capacitor, from E12, for a wanted time to 60 V; across the first when none other is there. */
export function bleederFix(
  document: Document,
  catalogue: Catalogue,
  cold: SolvedDesign,
  wantedSeconds: number,
): Fix | undefined {
  const { supply } = document;
  if (supply === undefined) return undefined;
  const [instanceId = "", capacitor = ""] = supply.rectifier.firstCapacitor.split(".");
  const block = document.instances.find((one) => one.id === instanceId)?.block ?? "";
  const parts = document.blocks[block]?.parts ?? [];
  const first = parts.find((one) => one.id === capacitor);
  if (first?.kind !== "capacitor") return undefined;
  const taken = new Set(parts.map((one) => one.id));
  const id = ["R90", "R91", "R92", "R93"].find((one) => !taken.has(one));
  if (id === undefined) return undefined;
  const volts = cold.bias.netVolts.get(supply.rectifier.output) ?? 0;
  for (const ohms of preferredBetween("E12", 22e3, 1e6).toReversed()) {
    const watts = (volts * volts) / ohms;
    const bleeder: DocumentPart = {
      kind: "resistor",
      id,
      label: "bleeder",
      value: partCode(ohms, "resistance"),
      watts: resistorWatts(watts),
      volts: 500,
      pins: first.pins,
    };
    const change: Change = { target: `blocks.${block}.parts[${id}]`, after: bleeder };
    const after = changed(document, [change]);
    const answer = after === undefined ? undefined : bias(after, catalogue, cold);
    if (after === undefined || answer === undefined) continue;
    const still = { ...cold, document: after, expanded: answer.expanded };
    const time = solveDischarge(after, catalogue, still, "");
    if (!time.ok || !(time.value.seconds <= wantedSeconds)) continue;
    return {
      title: `a bleeder of ${say(ohms, "Ω")}, ${say(resistorWatts(watts), "W")}, across ${first.id} brings it to ${time.value.seconds.toFixed(0)} s`,
      changes: [change],
    };
  }
  return undefined;
}

/** A slow, high-breaking fuse of the size that suits the running current. */
export function fuseFix(document: Document, amps: number): Fix {
  const before = document.supply?.fuse;
  return {
    title: `fit a slow fuse of ${say(amps, "A")}, high breaking capacity, in the live lead; the local code goes before this`,
    changes: [
      {
        target: "supply.fuse",
        ...(before === undefined ? {} : { before }),
        after: { amps, kind: "slow", breaking: "high" },
      },
    ],
  };
}

/** Ohms of a written value; for callers that print what a Fix does. */
export const ohmsOf = (part: DocumentPart): number =>
  "value" in part ? valueOf("resistance", part.value) : Number.NaN;
