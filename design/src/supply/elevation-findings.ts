/**
 * The elevation of a heater winding as a finding: where it stands in the window that keeps every tube legal, why there is none,
 * and as a Fix the two resistors that bring it in.
 */
import { partCode } from "@platewright/engine";
import { diffDocuments } from "../document/change.ts";
import type { ExpandedPart } from "../document/expanded.ts";
import { valueOf } from "../document/parts.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Finding, Fix } from "../findings.ts";
import { finding } from "../limits/build.ts";
import { type Judged, netVolts, partsOn, resistorFraction, toleranceOf } from "../limits/judged.ts";
import { say } from "../limits/say.ts";
import { chooseDivider, type ElevationDivider } from "./elevation-divider.ts";
import type { HeaterReference } from "./elevation-reference.ts";
import { elevationSections } from "./elevation-sections.ts";
import { elevationSentences, type ElevationWindow, elevationWindow } from "./elevation.ts";

/** How close to a limit the lift may stand before it is watched. Common practice. */
const HOUSE_FRACTION = 0.9;

export interface ElevationAsk {
  readonly winding: string;
  /** The net that the winding is referred to. */
  readonly net: string;
  readonly reference: HeaterReference;
  /** What would be divided where the winding stands at ground now; left out: the first capacitor's net. */
  readonly lifter?: string;
}

export function elevationFindings(judged: Judged, ask: ElevationAsk): readonly Finding[] {
  const { winding, net } = ask;
  const grounded = net === "0";
  const lifter = grounded ? (ask.lifter ?? judged.document.supply?.rectifier.output) : net;
  if (lifter === undefined) return [];
  const now = netVolts(judged.nominal, net) ?? Number.NaN;
  const draft = {
    where: winding,
    condition: "all conditions that were solved",
    source: "heater-cathode limits of the tubes on it",
  };
  const ground = { judged, winding, lifter, reference: ask.reference };
  const sections = elevationSections(ground);
  if (sections.length === 0) return [];
  // The states hold the lifting source's course; the window is of the lift itself, whatever it is divided from.
  const window = elevationWindow(sections);
  if (window.kind === "empty")
    return elevationSentences(window).map((title, n) =>
      finding({ ...draft, rule: n === 0 ? "elevation-none" : `elevation-none-${n + 1}`, level: "stop", title }),
    );
  const careful = elevationWindow(sections, { limitFraction: HOUSE_FRACTION });
  const inside = now >= window.low && now <= window.high;
  const clear = careful.kind === "window" && now >= careful.low && now <= careful.high;
  const level = !inside ? "stop" : clear && window.verified ? "ok" : "watch";
  const remark = !inside ? "" : !window.verified ? "; a limit in it is unverified" : clear ? "" : "; close to its edge";
  return [
    finding({
      ...draft,
      source: boundWords(judged, window),
      rule: "elevation",
      level,
      title: `${winding} stands at ${say(now, "V")}; ${windowWords(window)} keeps every tube on it legal${remark}`,
      value: now,
      limit: inside ? window.high : now > window.high ? window.high : window.low,
      unit: "V",
      sense: now < window.low ? "above" : "below",
      fixes:
        level === "ok" || clear
          ? []
          : dividerFix(judged, net, careful.kind === "window" ? [careful, window] : [window]),
    }),
  ];
}

/** Whose limits set the edges. */
function boundWords(judged: Judged, { setLow, setHigh }: ElevationWindow): string {
  const words = [setLow, setHigh].flatMap((one) =>
    one === undefined ? [] : [`${one.tube}: ${judged.catalogue.source(one.limit.source)?.title ?? one.limit.source}`],
  );
  return [...new Set(words)].join("; ") || "no limit is known";
}

const windowWords = ({ low, high }: ElevationWindow): string =>
  high === Infinity ? `${say(low, "V")} or more` : `${say(low, "V")} to ${say(high, "V")}`;

/** The resistors from the net up and down, changed together, at about the current that they pass now. */
function dividerFix(judged: Judged, net: string, windows: readonly ElevationWindow[]): readonly Fix[] {
  const pair = dividerOn(judged, net);
  if (pair === undefined) return [];
  const { top, bottom, supplyVolts } = pair;
  const ohms = (part: ExpandedPart) =>
    part.written.kind === "resistor" ? valueOf("resistance", part.written.value) : Number.NaN;
  const amps = supplyVolts / (ohms(top) + ohms(bottom));
  const room = capacitorRoom(judged, net);
  // Clear of the limits if resistors of this tolerance can hold it there, else inside them.
  const [best] = windows.flatMap(({ low, high }) => {
    const chosen = chooseDivider({ low, high: Math.min(high, room) }, supplyVolts, {
      amps: [amps * 0.7, amps * 1.4],
      tolerance: Math.max(toleranceOf(top), toleranceOf(bottom)),
    });
    return chosen.ok ? [chosen.value] : [];
  });
  if (best === undefined) return [];
  const document = withDivider(judged, top, bottom, best);
  const changes = diffDocuments(judged.document, document);
  if (changes.length === 0) return [];
  const code = (value: number) => partCode(value, "resistance");
  return [
    {
      title: `${top.id} ${code(ohms(top))} → ${code(best.topOhms)}, ${bottom.id} ${code(ohms(bottom))} → ${code(best.bottomOhms)} lifts the heaters to ${say(best.volts, "V")}`,
      changes,
    },
  ];
}

function dividerOn(judged: Judged, net: string) {
  const on = partsOn(judged.nominal, net).filter((part) => part.kind === "resistor");
  const other = (part: ExpandedPart): string | undefined =>
    part.written.kind === "resistor"
      ? part.written.pins.a === net
        ? part.written.pins.b
        : part.written.pins.a
      : undefined;
  const bottom = on.find((part) => other(part) === "0");
  const top = on.find((part) => other(part) !== "0");
  const from = top === undefined ? undefined : other(top);
  const supplyVolts = from === undefined ? undefined : netVolts(judged.nominal, from);
  if (on.length !== 2 || top === undefined || bottom === undefined || supplyVolts === undefined) return undefined;
  return { top, bottom, supplyVolts };
}

/** The capacitor on the net bounds the lift too: 80 % of its volts in the worst condition. */
function capacitorRoom(judged: Judged, net: string): number {
  const nominal = netVolts(judged.nominal, net) ?? Number.NaN;
  const factors = judged.conditions.map((one) => (netVolts(one, net) ?? Number.NaN) / nominal).filter(Number.isFinite);
  const worst = Math.max(1, ...factors);
  const rooms = partsOn(judged.nominal, net).flatMap(({ written }) =>
    written.kind === "capacitor" && written.volts !== undefined ? [(0.8 * written.volts) / worst] : [],
  );
  return Math.min(Infinity, ...rooms);
}

function withDivider(judged: Judged, top: ExpandedPart, bottom: ExpandedPart, chosen: ElevationDivider): Document {
  const edit = (document: Document, part: ExpandedPart, value: number, watts: number): Document => {
    const rated = part.written.kind === "resistor" ? part.written.watts : undefined;
    const wanted = watts / resistorFraction(judged);
    const bigger =
      rated !== undefined && rated < wanted
        ? { watts: [0.5, 1, 2, 3, 5, 10].find((one) => one >= wanted) ?? wanted }
        : {};
    return setPart(document, [part.instance], part.written.id, { value: partCode(value, "resistance"), ...bigger });
  };
  return edit(
    edit(judged.document, top, chosen.topOhms, chosen.topWatts),
    bottom,
    chosen.bottomOhms,
    chosen.bottomWatts,
  );
}
