/**
 * The difference table as it is read: groups of rows, each with the limit that judges its quantity.
 *
 * Law     A limit, its condition, its source and the level come from one Finding that judges the very quantity of the row
 *         (`judgedBy`); a quantity that no finding judges has none. What findings judge besides follows as rows of its own.
 * Limits  A finding reads its quantity in the worst condition of its rating system; the row shows nominal mains, and
 *         `limit.judged` what was judged. Equal channels are shown once, as the differences are.
 */
import { expand } from "../document/expand.ts";
import type { Document } from "../document/schema.ts";
import type { Difference, Finding, Level } from "../findings.ts";
import { levelRank } from "../limits/judge.ts";

export interface RowLimit {
  /** Id of the finding that judges. */
  readonly finding: string;
  readonly level: Level;
  /** The number that was judged, in the finding's own condition. */
  readonly judged: number;
  /** null: no source gives one. */
  readonly value: number | null;
  /** The limit that the proven unit was judged by, when it was another one. */
  readonly proven?: number;
  readonly sense: Finding["sense"];
  readonly condition: string;
  readonly source: string;
  /** The finding's sentence. */
  readonly title: string;
}

export interface DifferenceRow {
  readonly id: string;
  readonly label: string;
  readonly proven: number | null;
  readonly now: number | null;
  /** SI unit; "dB" of a gain, "ratio" of a harmonic, "yes/no". */
  readonly unit: string;
  /** Of a harmonic, signed ratios aside: dBc, and the half-width of its 90 % band in dB. */
  readonly decibels?: { readonly proven: number | null; readonly now: number | null; readonly band?: number };
  /** Of a dissipation: shares of the limit. */
  readonly shares?: { readonly proven: number | null; readonly now: number | null };
  readonly limit?: RowLimit;
  /** Belongs to the short view. */
  readonly main: boolean;
}

export interface RowGroup {
  /** "L.V1a", "L.voicing", "supply". */
  readonly id: string;
  readonly title: string;
  /** What it is: "gain half". */
  readonly words: string;
  /** The channels it stands for: "L, R" when they are equal. */
  readonly channel?: string;
  readonly rows: readonly DifferenceRow[];
}

/** Joins what differs with what judges it. `provenFindings` give the proven side of what only findings know. */
export function differenceRows(
  differences: readonly Difference[],
  findings: readonly Finding[],
  document: Document,
  provenFindings: readonly Finding[] = [],
): readonly RowGroup[] {
  const ask: Ask = {
    byId: new Map(differences.map((one) => [one.id, one])),
    findings: new Map(findings.map((one) => [one.id, one])),
    proven: new Map(provenFindings.map((one) => [one.id, one])),
    capacitors: capacitorsToGround(document),
    rectifier: document.supply?.rectifier.envelope,
    output: document.supply?.rectifier.output,
    voicing: document.targets.voicingVolts,
    used: new Set(),
  };
  const channels = [...new Set(differences.flatMap((one) => (one.channel === undefined ? [] : [one.channel])))];
  const groups = [
    ...channels.flatMap((channel) => [
      ...halvesOf(differences, channel).map((half, n) => halfGroup(ask, half, n === 0)),
      voicingGroup(ask, channel, channels.length > 1),
    ]),
    supplyGroup(ask, differences),
  ];
  return withTheRest(ask, groups, findings).filter((group) => group.rows.length > 0);
}

interface Ask {
  readonly byId: ReadonlyMap<string, Difference>;
  readonly findings: ReadonlyMap<string, Finding>;
  readonly proven: ReadonlyMap<string, Finding>;
  /** Net → capacitors from it to ground. */
  readonly capacitors: ReadonlyMap<string, readonly string[]>;
  readonly rectifier: string | undefined;
  /** Net of the first capacitor. */
  readonly output: string | undefined;
  readonly voicing: readonly number[];
  /** Findings that have a row. */
  readonly used: Set<string>;
}

function capacitorsToGround(document: Document): ReadonlyMap<string, readonly string[]> {
  const found = new Map<string, string[]>();
  const expanded = expand(document);
  for (const { id, electrical: e } of expanded.ok ? expanded.value.parts : []) {
    if (e.kind !== "capacitor") continue;
    const net = e.b === "0" ? e.a : e.a === "0" ? e.b : undefined;
    if (net !== undefined) found.set(net, [...(found.get(net) ?? []), id]);
  }
  return found;
}

/** The limit of a row: of the findings that judge its quantity the worst, then the nearest to its limit. */
function judgedBy(ask: Ask, ids: readonly string[]): { readonly limit?: RowLimit } {
  const all = ids.flatMap((id) => ask.findings.get(id) ?? []).filter((one) => one.value !== null);
  for (const one of all) ask.used.add(one.id);
  const worst = all.toSorted((a, b) => levelRank(b.level) - levelRank(a.level) || shareOf(b) - shareOf(a))[0];
  return worst === undefined ? {} : { limit: limitOf(ask, worst) };
}

function limitOf(ask: Ask, finding: Finding): RowLimit {
  const { id, level, value, limit, sense, condition, source, title } = finding;
  const before = ask.proven.get(id)?.limit ?? null;
  return {
    finding: id,
    level,
    judged: value ?? Number.NaN,
    value: limit,
    ...(before === null || before === limit ? {} : { proven: before }),
    sense,
    condition,
    source,
    title,
  };
}

/** How much of its limit a finding's number takes; the larger the nearer. */
function shareOf({ value, limit, sense }: Finding): number {
  if (value === null || limit === null) return 0;
  return sense === "above" ? limit / value : value / limit;
}

const plainRow = (difference: Difference, label: string, main: boolean): DifferenceRow => ({
  id: difference.id,
  label,
  proven: difference.proven,
  now: difference.now,
  unit: difference.unit,
  main,
});

interface Half {
  readonly instance: string;
  readonly part: string;
  readonly channel: string;
  /** "gain half". */
  readonly name: string;
}

/** The sections of a channel, in the order of the table. */
function halvesOf(differences: readonly Difference[], channel: string): readonly Half[] {
  return differences.flatMap(({ id, label, channel: own }) => {
    const match = own === channel ? /^(.+)\.plateAmps\/(.+)$/.exec(id) : null;
    const [, instance, part] = match ?? [];
    if (instance === undefined || part === undefined) return [];
    return [{ instance, part, channel, name: label.slice(0, label.indexOf(":")) }];
  });
}

function halfGroup(ask: Ask, { instance, part, channel, name }: Half, first: boolean): RowGroup {
  const of = (quantity: string) => ask.byId.get(`${instance}.${quantity}/${part}`);
  const judged = (...rules: readonly string[]) =>
    judgedBy(
      ask,
      rules.map((rule) => `${rule}/${instance}.${part}`),
    );
  const [amps, plate, cathode, share] = [of("plateAmps"), of("plateVolts"), of("cathodeVolts"), of("plateWatts")];
  const across = (side: "proven" | "now") => less(plate?.[side], cathode?.[side]);
  const watts = (side: "proven" | "now") => times(amps?.[side], across(side));
  const rows: DifferenceRow[] = [];
  if (amps !== undefined) rows.push({ ...plainRow(amps, "Plate current", true), ...judged("cathode-current") });
  if (plate !== undefined && cathode !== undefined)
    rows.push({
      id: `${instance}.acrossVolts/${part}`,
      label: "Plate to cathode",
      proven: across("proven"),
      now: across("now"),
      unit: "V",
      main: first,
      ...judged("plate-volts"),
    });
  if (share !== undefined)
    rows.push({
      id: share.id,
      label: "Plate dissipation",
      proven: watts("proven"),
      now: watts("now"),
      unit: "W",
      shares: { proven: share.proven, now: share.now },
      main: true,
      ...judged("plate-watts"),
    });
  if (plate !== undefined) rows.push(plainRow(plate, "Plate to ground", false));
  if (cathode !== undefined) rows.push(plainRow(cathode, "Cathode to ground", false));
  return {
    id: `${instance}.${part}`,
    title: channel.includes(",") ? part : `${instance}.${part}`,
    words: name === part ? "" : name,
    channel,
    rows,
  };
}

const less = (a: number | null | undefined, b: number | null | undefined): number | null =>
  a === null || a === undefined || b === null || b === undefined ? null : a - b;
const times = (a: number | null | undefined, b: number | null | undefined): number | null =>
  a === null || a === undefined || b === null || b === undefined ? null : a * b;

/** Levels of the short view: the lowest, the middle and the highest. */
function shortLevels(volts: readonly number[]): readonly number[] {
  if (volts.length < 4) return volts;
  return [volts[0], volts[Math.floor(volts.length / 2)], volts[volts.length - 1]].flatMap((one) => one ?? []);
}

function voicingGroup(ask: Ask, channel: string, several: boolean): RowGroup {
  const instance = channel.split(", ")[0] ?? channel;
  const short = shortLevels(ask.voicing);
  const middle = short[Math.floor(short.length / 2)];
  const rows: DifferenceRow[] = [];
  let onsets = 0;
  for (const [id, difference] of ask.byId) {
    if (difference.channel !== channel || !id.startsWith(`${instance}.`)) continue;
    const [quantity = "", at = ""] = id.slice(instance.length + 1).split("/");
    switch (quantity) {
      case "gain":
        rows.push(plainRow(difference, "Gain at 1 kHz", true));
        break;
      case "inverts":
        rows.push(plainRow(difference, "Inverts", difference.proven !== difference.now));
        break;
      case "h2":
      case "h3": {
        const level = Number.parseFloat(at);
        const decibels = ask.byId.get(`${instance}.${quantity}Decibels/${at}`);
        const main = quantity === "h2" ? short.includes(level) : level === middle;
        rows.push({
          ...plainRow(difference, difference.label, main),
          ...(decibels === undefined
            ? {}
            : {
                decibels: {
                  proven: decibels.proven,
                  now: decibels.now,
                  ...(decibels.band === undefined ? {} : { band: decibels.band }),
                },
              }),
        });
        break;
      }
      case "onsetVolts":
        rows.push({
          ...plainRow(difference, `${at} grid current from`, onsets++ === 0),
          ...judgedBy(ask, [`grid-onset/${instance}.${at}`]),
        });
        break;
      case "outputOhms":
        rows.push(plainRow(difference, "Output impedance", true));
        break;
      case "minusOneDecibelLow":
      case "minusOneDecibelHigh":
        rows.push(plainRow(difference, difference.label, false));
    }
  }
  return { id: `${instance}.voicing`, title: several ? `Voicing ${instance}` : "Voicing", words: "", channel, rows };
}

function supplyGroup(ask: Ask, differences: readonly Difference[]): RowGroup {
  const rows: DifferenceRow[] = [];
  const atNet = (net: string) =>
    judgedBy(
      ask,
      (ask.capacitors.get(net) ?? []).map((part) => `capacitor-volts/${part}`),
    );
  for (const difference of differences) {
    const { id, label } = difference;
    const winding = id.split("/")[1] ?? "";
    if (id === "supply.volts/first")
      rows.push({ ...plainRow(difference, "B+ at the first capacitor", true), ...atNet(ask.output ?? "") });
    else if (id === "supply.loadAmps")
      rows.push({
        ...plainRow(difference, "B+ current", true),
        ...judgedBy(ask, ["transformer-amps/HT", `rectifier-dc/${ask.rectifier ?? ""}`]),
      });
    else if (id.endsWith(".supplyVolts")) {
      const net = /\((.+)\)$/.exec(label)?.[1] ?? "";
      rows.push({ ...plainRow(difference, `B+ at ${net}`, false), ...atNet(net) });
    } else if (id.startsWith("heater.amps/"))
      rows.push({
        ...plainRow(difference, `Heater current, ${winding}`, true),
        ...judgedBy(ask, [`heater-winding-amps/${winding}`]),
      });
    else if (id.startsWith("heater.volts/")) rows.push(plainRow(difference, `Heater volts, ${winding}`, false));
  }
  return { id: "supply", title: "Supply", words: "", rows };
}

const CHASSIS: RowGroup = { id: "chassis", title: "Chassis", words: "", rows: [] };

/** What findings judge and no difference tells, in the group of its section, with the chassis or with the supply. */
function withTheRest(ask: Ask, groups: readonly RowGroup[], findings: readonly Finding[]): readonly RowGroup[] {
  const rest = findings.filter((one) => one.value !== null && one.limit !== null && !ask.used.has(one.id));
  const homeOf = ({ where, rule }: Finding) =>
    rule.startsWith("chassis-")
      ? CHASSIS.id
      : (groups.find((group) => group.id === where)?.id ?? groups[groups.length - 1]?.id ?? "");
  return [...groups, CHASSIS].map((group) => ({
    ...group,
    rows: [
      ...group.rows,
      ...rest
        .filter((finding) => homeOf(finding) === group.id)
        .map((finding): DifferenceRow => {
          const { id, rule, where, value, unit } = finding;
          const words = JUDGED_WORDS[rule] ?? rule.replaceAll("-", " ");
          const alone = OF_THE_UNIT.includes(rule) && rest.filter((one) => one.rule === rule).length === 1;
          return {
            id,
            label:
              group.id === where || alone
                ? words
                : `${words}${group === CHASSIS ? "" : ","} ${where.split("+").join(", ")}`,
            proven: ask.proven.get(id)?.value ?? null,
            now: value,
            unit,
            main: rule === "hum",
            limit: limitOf(ask, finding),
          };
        }),
    ],
  }));
}

/** Rules that need no place said when they speak once. */
const OF_THE_UNIT: readonly string[] = ["hum", "thump", "fuse", "transformer-va"];

/** Quantities that only findings know. */
const JUDGED_WORDS: Readonly<Record<string, string>> = {
  "peak-cathode-current": "Peak cathode current",
  "plate-volts-cold": "Plate to cathode, cold",
  "plate-watts-together": "Both plates together",
  "heater-cathode-dc-positive": "Cathode above heater, dc",
  "heater-cathode-dc-negative": "Cathode below heater, dc",
  "heater-cathode-peak-positive": "Cathode above heater, peak",
  "heater-cathode-peak-negative": "Cathode below heater, peak",
  "grid-ohms": "Grid circuit",
  "grid-stopper": "Slope, for its stopper",
  "cold-grid": "Grid to cathode, cold",
  "follower-grid": "Grid current at the largest input",
  "output-current": "Least share of its current",
  "output-slew": "Current asked at 20 kHz",
  "heater-pins": "Heater at its pins",
  "heater-inrush": "Heater inrush",
  "heater-pulled": "Heater with tubes pulled",
  elevation: "Heater elevation",
  "transformer-va": "Transformer load",
  "capacitor-volts": "Volts on",
  "resistor-watts": "Heat in",
  "resistor-volts": "Volts across",
  "rectifier-dc": "Rectifier dc",
  "rectifier-peak": "Rectifier peak",
  "rectifier-inverse": "Rectifier inverse volts",
  "rectifier-winding": "Winding per plate",
  "rectifier-heater-cathode": "Rectifier cathode above heater",
  "rectifier-chart-efficiency": "Rectifier dc by its chart",
  "rectifier-series": "Resistance per plate",
  "rectifier-first-capacitor": "First capacitor",
  discharge: "Time to 60 V",
  fuse: "Mains current, for the fuse",
  hum: "Hum at the output",
  thump: "Thump at the output",
  "chassis-hole": "Hole of",
  "chassis-overlap": "Room between",
  "chassis-outside": "Past the edge:",
  "chassis-web": "Metal between",
  "chassis-edge": "To the edge from",
  "chassis-bend": "To the bend from",
  "chassis-flange": "To the flange from",
  "chassis-heavy-edge": "To the edge from",
  "chassis-bush": "Plate for the bush of",
  "chassis-wrench": "Room for a spanner,",
  "chassis-cover": "Height under the cover,",
  "chassis-tube-spacing": "Between tubes",
  "chassis-tube-capacitor": "Glass to can,",
  "chassis-hot-glass": "Glass to hand,",
  "chassis-heat": "Air warmer than the room",
  "chassis-iron-tube": "Iron to first tube,",
  "chassis-mains-signal": "Mains to signal,",
  "chassis-rotation": "Heater wires over grids,",
  "chassis-earth": "Inlet to earth stud,",
  "chassis-creepage": "Live terminals to",
};
