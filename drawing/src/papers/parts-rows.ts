/** The parts list as data: one row for what is bought as one, for the paper and for the CSV. */
import {
  type Condition,
  type Document,
  type DocumentPart,
  type ExpandedPart,
  onShelf,
  type RatedReading,
  type ShelfFile,
  valueOf,
} from "@platewright/design";
import { nearestPreferred } from "@platewright/engine";
import type { PackInput } from "./pack-input.ts";
import { itemOfPart, type PartSize, sizeOf } from "./part-size.ts";

export interface PartsRow {
  /** "L.R3, R.R3". */
  readonly ids: readonly string[];
  readonly kind: string;
  readonly what: string;
  readonly value: string;
  readonly tolerance: string;
  readonly rating: string;
  /** Body, millimetres; left out: nobody knows it. */
  readonly size?: PartSize;
  /** Worst share of the rating over every condition that was solved. */
  readonly stress?: {
    readonly part: string;
    readonly fraction: number;
    readonly condition: string;
    readonly words: string;
  };
  readonly count: number;
  readonly onHand: number;
  /** What the shelf holds that would do instead. */
  readonly instead?: string;
  /** It differs from the proven revision. */
  readonly differs: boolean;
}

const GROUPS: readonly string[] = [
  "transformer",
  "rectifier",
  "tube",
  "regulator",
  "follower",
  "diode",
  "capacitor",
  "resistor",
  "potentiometer",
  "inductor",
  "current-sink",
  "switch",
  "jack",
  "fuse",
  "socket",
];

export function partsRows(input: PackInput): readonly PartsRow[] {
  const rows = [
    ...iron(input),
    ...bottles(input),
    ...circuitRows(input),
    ...roundTheIron(input),
    ...fuseRow(input),
    ...sockets(input),
  ];
  return rows.toSorted((a, b) => GROUPS.indexOf(a.kind) - GROUPS.indexOf(b.kind));
}

/** Parts of equal channels on one row; a part that an instance overrides on a row of its own. */
function circuitRows(input: PackInput): readonly PartsRow[] {
  const rows = new Map<string, { part: ExpandedPart; ids: string[] }>();
  for (const part of input.solved.expanded.parts) {
    if (part.written.kind === "triode") continue;
    const { pins: _, ...written } = part.written;
    const key = `${part.block} ${JSON.stringify(written)}`;
    const row = rows.get(key) ?? { part, ids: [] };
    row.ids.push(part.id);
    rows.set(key, row);
  }
  return [...rows.values()]
    .filter(({ part }) => part.written.kind !== "dc-source")
    .map(({ part, ids }) => {
      const { written } = part;
      const onHand = handOf(input.shelf, written);
      const short = onHand < ids.length;
      const instead = short ? insteadOf(input.shelf, written) : undefined;
      const stress = worstStress(input, ids);
      const size = sizeOf(input, { part: ids[0] ?? "" });
      // Gangs of one control are one body.
      const bodies = new Set(ids.map((id) => itemOfPart(input, id)?.id ?? id)).size;
      const beside = togetherWith(input, ids);
      return {
        ids,
        kind: written.kind,
        what: `${written.label ?? written.kind}${written.kind === "capacitor" && written.polarised === true ? ", electrolytic" : ""}${beside.length === 0 ? "" : `, in one body with ${beside.join(", ")}`}`,
        value: `${valueWords(written)}${bodies < ids.length && written.kind === "potentiometer" ? `, ${GANGS[ids.length] ?? `${ids.length} gangs`}` : ""}`,
        tolerance: written.tolerancePercent === undefined ? "" : `±${written.tolerancePercent}\u202f%`,
        rating: ratingWords(written),
        ...(size === undefined ? {} : { size }),
        ...(stress === undefined ? {} : { stress }),
        count: bodies,
        onHand,
        ...(instead === undefined ? {} : { instead }),
        differs: ids.some((id) => differs(input, part, id)),
      };
    });
}

const GANGS: Readonly<Record<number, string>> = { 2: "dual", 3: "triple", 4: "quadruple" };

/** Other parts of the same body on the plate: sections of one can. */
const togetherWith = (input: PackInput, ids: readonly string[]): readonly string[] =>
  [
    ...new Set(
      ids.flatMap((id) => {
        const what = itemOfPart(input, id)?.what;
        return what !== undefined && "part" in what ? [what.part, ...(what.also ?? [])] : [];
      }),
    ),
  ].filter((id) => !ids.includes(id));

function differs({ proven, document }: PackInput, part: ExpandedPart, id: string): boolean {
  if (proven === undefined) return false;
  const written = (of: Document): string => {
    const [instance = ""] = id.split(".");
    const owner = of.instances.find((one) => one.id === instance);
    const own = of.blocks[owner?.block ?? ""]?.parts.find((one) => one.id === part.written.id);
    const over = owner?.overrides?.[part.written.id];
    if (own === undefined) return "";
    const { note: _, label: __, ...electrical } = { ...own, ...over };
    return JSON.stringify(electrical);
  };
  return written(document) !== written(proven.document);
}

/** With its unit: "47 kΩ" is written "47k" on the part and in the design, and so it stands here. */
export function valueWords(written: DocumentPart): string {
  switch (written.kind) {
    case "potentiometer":
      return `${written.value} ${written.taper}`;
    case "resistor":
      return /\d$/.test(written.value) ? `${written.value}\u202fΩ` : written.value;
    case "capacitor":
      return faradWords(written.value);
    case "inductor":
      return written.value.endsWith("H") ? written.value : `${written.value}\u202fH`;
    case "regulator":
      return written.type ?? `${written.value}\u202fV`;
    case "diode":
      return written.type;
    case "follower":
      return written.type ?? "";
    case "current-sink":
      return written.value.endsWith("A") ? written.value : `${written.value}A`;
    case "jack":
      return written.role;
    default:
      return "";
  }
}

/** "470u" → "470 µF"; "4u7" stays a code. */
function faradWords(value: string): string {
  const plain = /^([\d.]+)([munp]?)F?$/.exec(value);
  return plain === null ? value.replace("u", "µ") : `${plain[1] ?? ""}\u202f${(plain[2] ?? "").replace("u", "µ")}F`;
}

function ratingWords(written: DocumentPart): string {
  const words: string[] = [];
  if ("watts" in written && written.watts !== undefined) words.push(`${written.watts}\u202fW`);
  if ("volts" in written && written.volts !== undefined) words.push(`${written.volts}\u202fV`);
  if (written.kind === "inductor" && written.amps !== undefined) words.push(`${1000 * written.amps}\u202fmA`);
  return words.join(", ");
}

function worstStress({ study }: PackInput, ids: readonly string[]): PartsRow["stress"] {
  let worst: PartsRow["stress"];
  for (const row of study?.rows.filter((one) => !one.condition.id.startsWith("lamp")) ?? [])
    for (const id of ids) {
      const reading: RatedReading | undefined = row.parts[id];
      if (reading !== undefined && (worst === undefined || reading.fraction > worst.fraction))
        worst = {
          part: id,
          fraction: reading.fraction,
          condition: row.condition.id,
          words: shortCondition(row.condition),
        };
    }
  return worst;
}

const SHORT: Readonly<Record<string, string>> = {
  nominal: "running",
  "mains-low": "mains low",
  "mains-high": "mains high",
  cold: "cold",
  "cold-mains-high": "cold, mains high",
  pulled: "tubes out, mains high",
};

/** "cold, mains high", "V1 out". */
export const shortCondition = ({ id, words }: Condition): string =>
  SHORT[id] ?? (id.startsWith("without-") ? `${id.slice("without-".length)} out` : words);

/** How many of a part the shelf holds; a series counts as enough. */
function handOf(shelf: ShelfFile | undefined, written: DocumentPart): number {
  if (shelf === undefined) return 0;
  if (written.kind === "resistor") {
    const ohms = valueOf("resistance", written.value);
    let count = 0;
    for (const entry of shelf.resistors) {
      if (entry.watts < (written.watts ?? 0)) continue;
      if ("series" in entry) {
        const within =
          ohms >= valueOf("resistance", entry.from) * 0.999 && ohms <= valueOf("resistance", entry.to) * 1.001;
        if (within && inSeries(entry.series, ohms)) return Infinity;
      } else if (Math.abs(valueOf("resistance", entry.value) / ohms - 1) < 1e-6) count += entry.count;
    }
    return count;
  }
  if (written.kind === "capacitor") {
    const farads = valueOf("capacitance", written.value);
    return shelf.capacitors
      .filter(
        (entry) =>
          entry.volts >= (written.volts ?? 0) && Math.abs(valueOf("capacitance", entry.value) / farads - 1) < 1e-6,
      )
      .reduce((sum, entry) => sum + entry.count, 0);
  }
  return 0;
}

const inSeries = (series: "E12" | "E24", ohms: number): boolean =>
  Math.abs(nearestPreferred(series, ohms) / ohms - 1) < 1e-6;

/** A capacitor on the shelf of at least the volts, and at most a quarter off in value: for the builder to judge. */
function insteadOf(shelf: ShelfFile | undefined, written: DocumentPart): string | undefined {
  if (written.kind !== "capacitor") return undefined;
  const farads = valueOf("capacitance", written.value);
  const near = (shelf?.capacitors ?? [])
    .filter((entry) => entry.count > 0 && entry.volts >= (written.volts ?? 0))
    .map((entry) => ({ entry, off: Math.abs(Math.log(valueOf("capacitance", entry.value) / farads)) }))
    .filter(({ off }) => off > 1e-6 && off < Math.log(1.35))
    .toSorted((a, b) => a.off - b.off)[0];
  if (near === undefined) return undefined;
  return `${faradWords(near.entry.value)} ${near.entry.volts}\u202fV, ${near.entry.count} on hand`;
}

function bottles(input: PackInput): readonly PartsRow[] {
  const { document, shelf, catalogue, proven } = input;
  const groups = new Map<string, string[]>();
  for (const one of document.envelopes) {
    const type = one.variant ?? one.type;
    groups.set(type, [...(groups.get(type) ?? []), one.id]);
  }
  return [...groups].map(([type, ids]) => {
    const rectifies = ids.some((id) => document.supply?.rectifier.envelope === id);
    const size = sizeOf(input, { envelope: ids[0] ?? "" });
    const instead = otherTypes(input, ids);
    return {
      ids,
      kind: rectifies ? "rectifier" : "tube",
      what: rectifies ? "rectifier tube" : "tube",
      value: type,
      tolerance: "",
      rating: "",
      ...(size === undefined ? {} : { size }),
      count: ids.length,
      onHand: onShelf(shelf, catalogue, type),
      ...(instead === undefined ? {} : { instead }),
      differs:
        proven !== undefined &&
        ids.some(
          (id) =>
            (proven.document.envelopes.find((one) => one.id === id)?.type ?? "") !==
            (document.envelopes.find((one) => one.id === id)?.type ?? ""),
        ),
    };
  });
}

const MOST_OTHERS = 3;

/** Types that may go in as they are, and those that then sound otherwise. */
function otherTypes({ tubes }: PackInput, ids: readonly string[]): string | undefined {
  const of = (verdict: string) =>
    tubes
      .filter((one) => !one.fitted && one.verdict === verdict && one.envelopes.some((id) => ids.includes(id)))
      .slice(0, MOST_OTHERS)
      .map((one) => one.type);
  const [alike, other] = [of("may"), of("sounds-different")];
  const words = [
    ...(alike.length === 0 ? [] : [alike.join(", ")]),
    ...(other.length === 0 ? [] : [`${other.join(", ")} (sounds different)`]),
  ];
  return words.length === 0 ? undefined : words.join("; ");
}

function iron(input: PackInput): readonly PartsRow[] {
  const size = sizeOf(input, { iron: true });
  return ironRow(input).map((row) => (size === undefined ? row : { ...row, size }));
}

function ironRow({ document, shelf, study, proven }: PackInput): readonly PartsRow[] {
  const { supply } = document;
  if (supply === undefined) return [];
  const { label } = supply.transformer;
  const loads = (study?.rows ?? []).flatMap((row) =>
    Object.entries(row.parts)
      .filter(([id]) => id === "transformer.voltAmps" || id === "HT.amps" || /^H\w*\.amps$/.test(id))
      .map(([id, reading]) => ({
        part: id,
        fraction: reading.fraction,
        condition: row.condition.id,
        words: shortCondition(row.condition),
      })),
  );
  const worst = loads.toSorted((a, b) => b.fraction - a.fraction)[0];
  return [
    {
      ids: ["T1"],
      kind: "transformer",
      what: "mains transformer",
      value: label,
      tolerance: "",
      rating: "",
      ...(worst === undefined ? {} : { stress: worst }),
      count: 1,
      onHand: (shelf?.transformers ?? [])
        .filter((one) => one.transformer.label === label)
        .reduce((sum, one) => sum + one.count, 0),
      differs:
        proven !== undefined &&
        JSON.stringify(proven.document.supply?.transformer) !== JSON.stringify(supply.transformer),
    },
  ];
}

/** What stands in the supply's own fields and in no block: it is bought and wired all the same. */
function roundTheIron({ document, proven, solved }: PackInput): readonly PartsRow[] {
  const { supply } = document;
  if (supply === undefined) return [];
  const was = proven?.document.supply;
  const differ = (is: unknown, before: unknown) =>
    proven !== undefined && JSON.stringify(is) !== JSON.stringify(before);
  const rows: PartsRow[] = [];
  const add = (row: Omit<PartsRow, "tolerance" | "onHand">) => rows.push({ tolerance: "", onHand: 0, ...row });
  const { rectifier, transformer } = supply;
  const paths = (rectifier.circuit ?? "full-wave") === "half-wave" ? 1 : 2;
  if (rectifier.seriesOhms !== undefined) {
    const ohms = valueOf("resistance", rectifier.seriesOhms);
    const heat = (solved.supply?.rectifier.windingRmsAmps ?? 0) ** 2 * ohms;
    add({
      ids: Array.from({ length: paths }, (_, n) => `RS${n + 1}`),
      kind: "resistor",
      what: "in each plate lead of the rectifier",
      value: /\d$/.test(rectifier.seriesOhms) ? `${rectifier.seriesOhms}\u202fΩ` : rectifier.seriesOhms,
      // Twice its heat and no less than a watt: common practice.
      rating: `≥\u202f${[1, 2, 3, 5, 10].find((watts) => watts >= 2 * heat) ?? Math.ceil(2 * heat)}\u202fW`,
      count: paths,
      differs: differ(rectifier.seriesOhms, was?.rectifier.seriesOhms),
    });
  }
  if (rectifier.silicon !== undefined)
    add({
      ids: Array.from({ length: paths }, (_, n) => `D${n + 1}`),
      kind: "diode",
      what: "rectifier",
      value: rectifier.silicon.type,
      rating: `${rectifier.silicon.volts}\u202fV, ${rectifier.silicon.amps}\u202fA`,
      count: paths,
      differs: differ(rectifier.silicon, was?.rectifier.silicon),
    });
  if (rectifier.choke !== undefined)
    add({
      ids: ["LS1"],
      kind: "inductor",
      what: "choke before the first capacitor",
      value: rectifier.choke.value.endsWith("H") ? rectifier.choke.value : `${rectifier.choke.value}\u202fH`,
      rating: rectifier.choke.amps === undefined ? "" : `${1000 * rectifier.choke.amps}\u202fmA`,
      count: 1,
      differs: differ(rectifier.choke, was?.rectifier.choke),
    });
  for (const winding of transformer.heaters) {
    const before = was?.transformer.heaters.find((one) => one.id === winding.id);
    const two = winding.referredBy === "two-resistors" || winding.referredBy === "hum-pot";
    if (two && winding.referredByOhms !== undefined)
      add({
        ids: [`${winding.id} centre`],
        kind: "resistor",
        what:
          winding.referredBy === "hum-pot"
            ? "hum pot across the heaters"
            : "two across the heaters, their joint is the centre",
        value: winding.referredByOhms,
        rating: "0.5\u202fW",
        count: winding.referredBy === "hum-pot" ? 1 : 2,
        differs: differ(winding.referredByOhms, before?.referredByOhms),
      });
    if (winding.dropOhmsPerLeg !== undefined)
      add({
        ids: [`${winding.id} drop`],
        kind: "resistor",
        what: "in each leg of the heaters",
        value: winding.dropOhmsPerLeg,
        rating: "",
        count: 2,
        differs: differ(winding.dropOhmsPerLeg, before?.dropOhmsPerLeg),
      });
    if (winding.direct !== undefined)
      add({
        ids: [`${winding.id} bridge`],
        kind: "diode",
        what: `bridge and ${winding.direct.farads}F for heaters on direct current`,
        value: winding.direct.bridge,
        rating: "",
        count: 1,
        differs: differ(winding.direct, before?.direct),
      });
  }
  return rows;
}

function fuseRow({ document, proven }: PackInput): readonly PartsRow[] {
  const fuse = document.supply?.fuse;
  if (fuse === undefined) return [];
  return [
    {
      ids: ["F1"],
      kind: "fuse",
      what: "mains fuse, in the live lead, with holder",
      value: `${1000 * fuse.amps}\u202fmA ${fuse.kind}`,
      tolerance: "",
      rating: `${document.supply?.mains.volts ?? ""}\u202fV, ${fuse.breaking} breaking`,
      count: 1,
      onHand: 0,
      differs: proven !== undefined && JSON.stringify(proven.document.supply?.fuse) !== JSON.stringify(fuse),
    },
  ];
}

function sockets(input: PackInput): readonly PartsRow[] {
  const { document } = input;
  const groups = new Map<string, string[]>();
  for (const one of document.envelopes) groups.set(one.socket, [...(groups.get(one.socket) ?? []), one.id]);
  return [...groups].map(([socket, ids]) => {
    const size = sizeOf(input, { socketOf: ids[0] ?? "" });
    return {
      ids: ids.map((id) => `X${id.replace(/^V/, "")}`),
      kind: "socket",
      what: `socket of ${ids.join(", ")}`,
      value: socket,
      tolerance: "",
      rating: "",
      ...(size === undefined ? {} : { size }),
      count: ids.length,
      onHand: 0,
      differs: input.proven !== undefined && ids.some((id) => socketIn(input.proven?.document, id) !== socket),
    };
  });
}

const socketIn = (document: Document | undefined, id: string): string | undefined =>
  document?.envelopes.find((one) => one.id === id)?.socket;

/** The CSV's table: a head and rows of plain text. */
export function partsTable(input: PackInput): readonly (readonly string[])[] {
  const plain = (text: string) => text.replaceAll("\u202f", " ");
  return [
    [
      "designators",
      "kind",
      "what",
      "value",
      "tolerance",
      "rating",
      "size mm",
      "worst stress %",
      "in condition",
      "count",
      "on hand",
      "to buy",
      "instead",
      "differs from proven",
      "price each",
      "currency",
    ],
    ...partsRows(input).map((row) => [
      row.ids.join(" "),
      row.kind,
      row.what,
      plain(row.value),
      plain(row.tolerance),
      plain(row.rating),
      row.size?.words ?? "",
      row.stress === undefined ? "" : (100 * row.stress.fraction).toFixed(0),
      row.stress?.words ?? "",
      String(row.count),
      row.onHand === Infinity ? "series" : String(row.onHand),
      String(toBuy(row)),
      plain(row.instead ?? ""),
      row.differs ? "yes" : "",
      priceOf(input, row) === undefined ? "" : (priceOf(input, row) ?? 0).toFixed(2),
      priceOf(input, row) === undefined ? "" : (input.prices?.currency ?? ""),
    ]),
  ];
}

export const toBuy = (row: PartsRow): number => Math.max(0, row.count - row.onHand);

/** Of one piece: the first key of the price book that is there. */
export function priceOf({ prices }: PackInput, row: PartsRow): number | undefined {
  if (prices === undefined) return undefined;
  for (const key of priceKeys(row)) if (Object.hasOwn(prices.parts, key)) return prices.parts[key];
  return undefined;
}

/** "L.R3", "R.R3", "15k", "resistor 3 W", "resistor": from the part itself to its kind. */
export const priceKeys = ({ ids, value, kind, rating }: PartsRow): readonly string[] => {
  const plain = (text: string) => text.replaceAll(/\s+/g, " ").trim();
  return [...ids, plain(value), plain(`${kind} ${rating}`), kind];
};
