/**
 * Nodes in every condition: what a meter reads to ground, and the share of the rating that belongs there.
 *
 * Law     A net's rating is that of the lowest rated capacitor from it to ground (half the ripple added at the first); a
 *         plate's is plate to cathode, running or cold; heater to cathode is dc, signed, against the limit of its sign.
 * Level   Of the column that is worst, by the rating alone: 95 % of a capacitor, 80 % of a plate, 90 % from heater to cathode are
 *         watched (common practice). Findings add tolerance, signal and doubt of the source: take the worse of both.
 */
import type { Catalogue, EffectiveLimit, LimitName } from "@platewright/engine";
import type { ExpandedPart, ExpandedTriode } from "../document/expanded.ts";
import type { Finding, Level } from "../findings.ts";
import { ratedLimit, worseOf } from "../limits/judge.ts";
import type { Condition, SolvedDesign } from "../solved/types.ts";
import type { ConditionRow } from "./table.ts";

export interface NodeReading {
  /** As a meter reads it; null: the bottle is out, or the condition has no such net. */
  readonly volts: number | null;
  /** Of which rating, where there is one. */
  readonly limit: number | null;
  readonly share: number | null;
}

export interface NodeRow {
  readonly id: string;
  readonly kind: "net" | "plate" | "cathode" | "heater-cathode";
  readonly words: string;
  /** One for each condition. */
  readonly readings: readonly NodeReading[];
  /** The condition whose share is the largest. */
  readonly worst?: number;
  readonly level?: Level;
  /** Findings about the same thing. */
  readonly rules: readonly string[];
  readonly where: readonly string[];
}

export interface NodeTable {
  readonly conditions: readonly Condition[];
  readonly rows: readonly NodeRow[];
}

const NOTHING: NodeReading = { volts: null, limit: null, share: null };
const CAPACITOR_WATCH = 0.95;
const PLATE_WATCH = 0.8;
const HEATER_WATCH = 0.9;

export interface NodeGround {
  readonly rows: readonly ConditionRow[];
  readonly solved: ReadonlyMap<string, SolvedDesign>;
}

/** Of the conditions without a lamp, in the study's order. Equal channels are shown once. */
export function nodeTable({ rows, solved }: NodeGround, catalogue: Catalogue): NodeTable {
  const columns = rows
    .filter((row) => !row.condition.id.startsWith("lamp-"))
    .flatMap((row) => {
      const here = solved.get(row.condition.id);
      return here === undefined ? [] : [{ row, here }];
    });
  const nominal = solved.get("nominal") ?? columns[0]?.here;
  if (nominal === undefined) return { conditions: [], rows: [] };
  const twins = new Set(nominal.expanded.equalTo.keys());
  const parts = nominal.expanded.parts.filter((part) => !twins.has(part.instance));
  const triodes = nominal.expanded.triodes.filter((one) => !twins.has(one.instance));
  const pins = new Set(triodes.flatMap((one) => [one.plate, one.cathode]));
  const nets = netsOf(nominal).filter((net) => !pins.has(net) || capacitorsOn(parts, net).length > 0);
  const made = [
    ...nets.filter((net) => !triodes.some((one) => one.cathode === net)).map((net) => netRow(columns, parts, net)),
    ...triodes.flatMap((one) => [plateRow(columns, catalogue, one), cathodeRow(columns, parts, one)]),
    ...triodes.flatMap((one) => heaterRow(columns, catalogue, one)),
    ...rectifierRow(columns, catalogue),
  ];
  // Where channels differ, each row says whose it is.
  const channels = new Set(triodes.map((one) => one.instance));
  const whose = (row: NodeRow): NodeRow => {
    const instance = row.id.includes(".") ? row.id.slice(0, row.id.indexOf(".")) : "";
    return channels.size > 1 && channels.has(instance) ? { ...row, words: `${instance}.${row.words}` } : row;
  };
  return { conditions: columns.map((one) => one.row.condition), rows: made.map(whose) };
}

/** The level of a row with what the findings say of the same thing. */
export function rowLevel(row: NodeRow, findings: readonly Finding[]): Level | undefined {
  const about = findings.filter((one) => row.rules.includes(one.rule) && row.where.includes(one.where));
  return about.reduce<Level | undefined>(
    (worst, one) => (worst === undefined ? one.level : worseOf(worst, one.level)),
    row.level,
  );
}

interface Column {
  readonly row: ConditionRow;
  readonly here: SolvedDesign;
}

/** The first capacitor's net, nets that channels share, and the reservoirs within the first of equal channels. */
function netsOf(nominal: SolvedDesign): readonly string[] {
  const { expanded, bias, document } = nominal;
  const first = document.supply?.rectifier.output;
  const twins = new Set(expanded.equalTo.keys());
  const inChannel = (net: string) => expanded.channels.find((one) => net.startsWith(`${one.instance}.`));
  const own = expanded.parts.filter((part) => !twins.has(part.instance));
  const wanted = [...bias.netVolts.keys()].filter((net) => {
    if (net === "0") return false;
    const channel = inChannel(net);
    if (channel === undefined) return true;
    return !twins.has(channel.instance) && capacitorsOn(own, net).some((one) => one.farads >= 1e-6);
  });
  const volts = (net: string) => Math.abs(bias.netVolts.get(net) ?? 0);
  return wanted.toSorted((a, b) => Number(b === first) - Number(a === first) || volts(b) - volts(a));
}

interface Capacitor {
  readonly part: ExpandedPart;
  readonly farads: number;
  readonly volts?: number;
}

/** From a net to ground. */
function capacitorsOn(parts: readonly ExpandedPart[], net: string): readonly Capacitor[] {
  return parts.flatMap((part): readonly Capacitor[] => {
    const { written, electrical: e } = part;
    if (written.kind !== "capacitor" || e.kind !== "capacitor") return [];
    const across = (e.a === net && e.b === "0") || (e.b === net && e.a === "0");
    if (!across) return [];
    return [{ part, farads: e.farads, ...(written.volts === undefined ? {} : { volts: written.volts }) }];
  });
}

type Draft = Omit<NodeRow, "worst" | "level"> & { readonly watch: number };

function rowOf({ watch, ...draft }: Draft): NodeRow {
  let worst: number | undefined;
  for (const [n, { share }] of draft.readings.entries())
    if (share !== null && (worst === undefined || share > (draft.readings[worst]?.share ?? -Infinity))) worst = n;
  const share = worst === undefined ? null : (draft.readings[worst]?.share ?? null);
  if (worst === undefined || share === null) return draft;
  return { ...draft, worst, level: !(share <= 1) ? "stop" : share > watch ? "watch" : "ok" };
}

const at = ({ here }: Column, net: string): number | null => (net === "0" ? 0 : (here.bias.netVolts.get(net) ?? null));

function netRow(columns: readonly Column[], parts: readonly ExpandedPart[], net: string): NodeRow {
  const on = capacitorsOn(parts, net);
  const [weakest] = on
    .filter((one) => one.volts !== undefined)
    .toSorted((a, b) => (a.volts ?? Infinity) - (b.volts ?? Infinity));
  const names = on.map(({ part }) => part.id.slice(part.id.indexOf(".") + 1));
  return rowOf({
    id: net,
    kind: "net",
    words: [net.includes(".") && names.length > 0 ? "" : net, names.join(", ")].filter(Boolean).join(", "),
    readings: columns.map((column) => ({
      volts: at(column, net),
      limit: weakest?.volts ?? null,
      share: weakest === undefined ? null : (column.row.parts[weakest.part.id]?.fraction ?? null),
    })),
    rules: ["capacitor-volts", "capacitor-reversed"],
    where: on.map(({ part }) => part.id),
    watch: CAPACITOR_WATCH,
  });
}

const isOut = ({ here }: Column, envelope: string): boolean => here.condition.absent?.includes(envelope) === true;

function plateRow(columns: readonly Column[], catalogue: Catalogue, triode: ExpandedTriode): NodeRow {
  const running = catalogue.limit(triode.type, "plateVolts", triode.variant);
  const cold = catalogue.limit(triode.type, "coldPlateVolts", triode.variant);
  return rowOf({
    id: `${triode.id}/plate`,
    kind: "plate",
    words: `${triode.part} plate`,
    readings: columns.map((column) => {
      const plate = at(column, triode.plate);
      const cathode = at(column, triode.cathode);
      const isCold = column.here.condition.tubes === "cold";
      const limit = isCold ? (cold ?? running) : running;
      const none = plate === null || cathode === null || limit === undefined || isOut(column, triode.envelope);
      const share = none ? null : (plate - cathode) / limit.value;
      // Above the running limit, with no cold one published, nothing says how far it may go: the finding says so.
      const unsaid = isCold && cold === undefined && share !== null && share > 1;
      return { volts: plate, limit: unsaid ? null : (limit?.value ?? null), share: unsaid ? null : share };
    }),
    rules: ["plate-volts", "plate-volts-cold"],
    where: [triode.id],
    watch: PLATE_WATCH,
  });
}

function cathodeRow(columns: readonly Column[], parts: readonly ExpandedPart[], triode: ExpandedTriode): NodeRow {
  const bypassed = netRow(columns, parts, triode.cathode);
  return { ...bypassed, id: `${triode.id}/cathode`, kind: "cathode", words: `${triode.part} cathode` };
}

const NAMES: { readonly [S in "positive" | "negative"]: readonly LimitName[] } = {
  positive: ["cathodePositiveDcVolts", "cathodePositivePeakVolts"],
  negative: ["cathodeNegativeDcVolts", "cathodeNegativePeakVolts"],
};

/** Cathode minus heater. A bottle that hangs on no winding has no row. */
function heaterRow(columns: readonly Column[], catalogue: Catalogue, triode: ExpandedTriode): readonly NodeRow[] {
  const limitOf = (sign: "positive" | "negative"): EffectiveLimit | undefined =>
    NAMES[sign].map((name) => catalogue.limit(triode.type, name, triode.variant)).find((one) => one !== undefined);
  const limits = { positive: limitOf("positive"), negative: limitOf("negative") };
  const readings = columns.map((column): NodeReading => {
    const winding = column.here.heaters.find((one) => one.envelopes.some((tube) => tube.envelope === triode.envelope));
    const cathode = at(column, triode.cathode);
    if (winding === undefined || cathode === null || isOut(column, triode.envelope)) return NOTHING;
    const apart = cathode - winding.referenceVolts;
    const limit = apart >= 0 ? limits.positive : limits.negative;
    return {
      volts: apart,
      limit: limit?.value ?? null,
      share: limit === undefined ? null : Math.abs(apart) / limit.value,
    };
  });
  if (readings.every((one) => one.volts === null)) return [];
  return [
    rowOf({
      id: `${triode.id}/heater`,
      kind: "heater-cathode",
      words: `${triode.part} heater-cathode`,
      readings,
      rules: ["dc-positive", "dc-negative", "peak-positive", "peak-negative", "positive", "negative"].map(
        (one) => `heater-cathode-${one}`,
      ),
      where: [triode.id],
      watch: HEATER_WATCH,
    }),
  ];
}

/** The rectifier's own cathode, which stands at the first capacitor, above its heater. */
function rectifierRow(columns: readonly Column[], catalogue: Catalogue): readonly NodeRow[] {
  const [first] = columns;
  const supply = first?.here.document.supply;
  const envelope = first?.here.document.envelopes.find((one) => one.id === supply?.rectifier.envelope);
  if (supply === undefined || envelope === undefined || supply.rectifier.choke !== undefined) return [];
  const limit = ratedLimit(
    catalogue.tube(envelope.type)?.rectifier?.limits.heaterCathodePeakVolts,
    supply.transformer.highTension.unloadedRmsVoltsPerHalf,
  );
  const readings = columns.map((column): NodeReading => {
    const winding = column.here.heaters.find((one) => one.envelopes.some((tube) => tube.envelope === envelope.id));
    const cathode = at(column, supply.rectifier.output);
    if (winding === undefined || cathode === null) return NOTHING;
    const apart = cathode - winding.referenceVolts;
    const ripple = (column.here.supply?.rectifier.ripplePeakToPeakVolts ?? 0) / 2;
    return {
      volts: apart,
      limit: limit?.value ?? null,
      share: limit === undefined ? null : (apart + ripple) / limit.value,
    };
  });
  // Directly heated: cathode and heater are one.
  if (limit === undefined || readings.every((one) => one.volts === null)) return [];
  return [
    rowOf({
      id: `${envelope.id}/heater`,
      kind: "heater-cathode",
      words: `${envelope.id} heater-cathode`,
      readings,
      rules: ["rectifier-heater-cathode"],
      where: [envelope.id],
      watch: HEATER_WATCH,
    }),
  ];
}
