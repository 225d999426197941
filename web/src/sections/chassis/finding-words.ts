/** How findings of the metal are said in short: which things they are of, what was measured against what. */
import type { Finding } from "@platewright/design";

/** Things that a finding names which stand on the plate, the first one first. */
export const itemsIn = ({ where }: Finding, ids: ReadonlySet<string>): readonly string[] =>
  where.split(/[+,/ ]+/).filter((one) => ids.has(one));

/** The same, or else those that its sentence names: of what is said of several, or of the whole. */
export function namedIn(finding: Finding, ids: ReadonlySet<string>): readonly string[] {
  const there = itemsIn(finding, ids);
  return there.length > 0 ? there : [...new Set(finding.title.split(/[^\w-]+/).filter((word) => ids.has(word)))];
}

export const figure = (value: number): string =>
  (Math.abs(value) < 10 ? String(Math.round(value * 10) / 10) : String(Math.round(value * 10) / 10)).replace("-", "−");

/** "22 mm, at most 17 mm". */
export function limitWords({ value, limit, sense, unit }: Finding): string {
  if (value === null || limit === null || sense === "none") return "";
  const of = unit === "" ? "" : `\u202f${unit}`;
  return `${figure(value)}${of}, ${sense === "below" ? "at most" : "at least"} ${figure(limit)}${of}`;
}

/** What a rule measures, behind the two that it is measured between. */
const MEASURES: Readonly<Record<string, string>> = {
  "chassis-overlap": "bodies",
  "chassis-web": "metal between holes",
  "chassis-edge": "hole to the edge",
  "chassis-bend": "hole to the bend",
  "chassis-flange": "to the flange",
  "chassis-heavy-edge": "iron to the edge",
  "chassis-bush": "plate in its bush",
  "chassis-wrench": "room for a spanner",
  "chassis-cover": "under the cover",
  "chassis-tube-spacing": "centres",
  "chassis-tube-capacitor": "heat",
  "chassis-hot-glass": "hand to glass",
  "chassis-heat": "rise of the air inside",
  "chassis-iron-tube": "hum, centres",
  "chassis-mains-signal": "mains to signal",
  "chassis-earth": "to where mains comes in",
  "chassis-earth-bare": "bare metal",
  "chassis-creepage": "live to metal",
};

export interface Clearance {
  readonly id: string;
  readonly level: Finding["level"];
  /** "V1 to V2". */
  readonly between: string;
  readonly what: string;
  readonly value: number;
  readonly limit: number;
  readonly unit: string;
  readonly sense: "below" | "above";
  readonly items: readonly string[];
  readonly source: string;
}

const RANK: { readonly [L in Finding["level"]]: number } = { stop: 0, watch: 1, ok: 2 };

/** The tightest of each rule that measures something; what breaks its rule, then what is nearest to it. */
export function clearances(findings: readonly Finding[], names: ReadonlyMap<string, string>): readonly Clearance[] {
  const ids = new Set(names.keys());
  const tightest = new Map<string, Clearance>();
  for (const finding of findings) {
    const { rule, value, limit, sense, unit, level, where } = finding;
    const what = MEASURES[rule];
    if (what === undefined || value === null || limit === null || sense === "none") continue;
    const items = itemsIn(finding, ids);
    const said = where === "chassis" ? [] : where.split("+").map((one) => placeWords(one, names));
    const one: Clearance = {
      id: finding.id,
      level,
      between: said.length === 0 ? "The whole" : said.length === 1 ? (said[0] ?? "") : `${said[0]} to ${said[1]}`,
      what,
      value,
      limit,
      unit,
      sense,
      items,
      source: finding.source,
    };
    const there = tightest.get(rule);
    if (there === undefined || RANK[level] < RANK[there.level] || (level === there.level && room(one) < room(there)))
      tightest.set(rule, one);
  }
  return [...tightest.values()].sort((a, b) => RANK[a.level] - RANK[b.level] || room(a) - room(b));
}

/** "V3 screw a" of "V3/screw-a"; holes of the document are called what they are. */
function placeWords(place: string, names: ReadonlyMap<string, string>): string {
  const [item = "", hole] = place.split("/");
  const name = names.get(item) ?? item;
  return hole === undefined ? name : `${name} ${hole.replace("-", " ")}`;
}

/** How far from its limit, in parts of it. */
const room = ({ value, limit, sense }: Clearance): number => {
  const free = sense === "below" ? limit - value : value - limit;
  return limit === 0 ? free : free / Math.abs(limit);
};
