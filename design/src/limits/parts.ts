/** Findings of resistors and capacitors against what is written on them: the worst of each kind, and each that is not ok. */
import type { ExpandedPart } from "../document/expanded.ts";
import type { Change, Finding, Fix } from "../findings.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { finding } from "./build.ts";
import { levelRank } from "./judge.ts";
import { type Judged, netVolts, resistorFraction } from "./judged.ts";
import { percent, say } from "./say.ts";

/** Working volts of film and metal-oxide resistors by their watts, where the document does not say; common practice. */
const RESISTOR_VOLTS: readonly (readonly [number, number])[] = [
  [0.25, 250],
  [0.6, 350],
  [Infinity, 500],
];
/** Below these nothing is asked of a part that has no rating written on it. */
const UNRATED_WATTS = 0.1;
const UNRATED_VOLTS = 25;
const CAPACITOR_FRACTION = 0.95;
/** A polarised capacitor may stand this much the wrong way round. */
const REVERSE_VOLTS = 0.5;

interface Worst {
  readonly value: number;
  readonly words: string;
}

function worstOf(solved: readonly SolvedDesign[], part: ExpandedPart, measure: (volts: number) => number): Worst {
  const { electrical: e } = part;
  let worst: Worst = { value: 0, words: solved[0]?.condition.words ?? "" };
  if (e.kind !== "resistor" && e.kind !== "capacitor") return worst;
  for (const one of solved) {
    const a = netVolts(one, e.a);
    const b = netVolts(one, e.b);
    const value = a === undefined || b === undefined ? Number.NaN : measure(a - b);
    if (!(value <= worst.value)) worst = { value, words: one.condition.words };
  }
  return worst;
}

export function partFindings(judged: Judged, twins: ReadonlySet<string>): readonly Finding[] {
  const parts = judged.nominal.expanded.parts.filter((part) => !twins.has(part.instance));
  return [
    ...summary(
      "capacitor-volts",
      parts.flatMap((part) => capacitor(judged, part)),
    ),
    ...summary(
      "resistor-watts",
      parts.flatMap((part) => resistorWatts(judged, part)),
    ),
    ...summary(
      "resistor-volts",
      parts.flatMap((part) => resistorVolts(judged, part)),
    ),
  ];
}

/** Everything that is asked of one resistor or capacitor, the plainly ok too. */
export const findingsOfPart = (judged: Judged, part: ExpandedPart): readonly Finding[] => [
  ...capacitor(judged, part),
  ...resistorWatts(judged, part),
  ...resistorVolts(judged, part),
];

/** Every finding that is not ok, or the nearest to its limit when all are. */
function summary(rule: string, findings: readonly Finding[]): readonly Finding[] {
  const bad = findings.filter((one) => one.rule !== rule || levelRank(one.level) > 0);
  if (bad.length > 0) return bad;
  const share = (one: Finding) => (one.value ?? 0) / (one.limit ?? Infinity);
  const nearest = [...findings].sort((a, b) => share(b) - share(a))[0];
  return nearest === undefined ? [] : [{ ...nearest, title: `${nearest.title}: the nearest of ${findings.length}` }];
}

function capacitor(judged: Judged, part: ExpandedPart): readonly Finding[] {
  const { written } = part;
  if (written.kind !== "capacitor") return [];
  const all = judged.conditions;
  const ripple = (judged.nominal.supply?.rectifier.ripplePeakToPeakVolts ?? 0) / 2;
  const first = judged.document.supply?.rectifier.firstCapacitor === part.id ? ripple : 0;
  const across = worstOf(all, part, (volts) => Math.abs(volts) + first);
  const reversed = written.polarised === true ? worstOf(all, part, (volts) => Math.max(0, -volts)) : undefined;
  const findings: Finding[] = [];
  if (reversed !== undefined && reversed.value > REVERSE_VOLTS)
    findings.push(
      finding({
        rule: "capacitor-reversed",
        where: part.id,
        level: "stop",
        title: `${part.id} ${written.value} is polarised and stands ${say(reversed.value, "V")} the wrong way round, ${reversed.words}`,
        value: reversed.value,
        limit: REVERSE_VOLTS,
        unit: "V",
        sense: "below",
        condition: reversed.words,
        source: "common practice",
      }),
    );
  if (written.volts === undefined) {
    if (across.value > UNRATED_VOLTS)
      findings.push(
        finding({
          rule: "capacitor-volts",
          where: part.id,
          level: "watch",
          title: `${part.id} ${written.value} sees ${say(across.value, "V")}, ${across.words}, and no rating is written on it`,
          value: across.value,
          unit: "V",
          sense: "below",
          condition: across.words,
          source: "no rating in the document",
        }),
      );
    return findings;
  }
  const level = !(across.value <= written.volts)
    ? "stop"
    : across.value > CAPACITOR_FRACTION * written.volts
      ? "watch"
      : "ok";
  findings.push(
    finding({
      rule: "capacitor-volts",
      where: part.id,
      level,
      title: `${part.id} ${written.value} sees ${say(across.value, "V")} of ${say(written.volts, "V")}, ${across.words}`,
      value: across.value,
      limit: written.volts,
      unit: "V",
      sense: "below",
      condition: across.words,
      source: "rating of the part",
      fixes: level === "ok" ? [] : ratingFix(judged, part, across.value),
    }),
  );
  return findings;
}

/** Working volts of capacitors as they are sold. */
const CAPACITOR_VOLTS = [16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450, 500, 630, 1000];

/** The next rating that stays clear of what the part sees in its worst condition. */
function ratingFix(judged: Judged, part: ExpandedPart, volts: number): readonly Fix[] {
  const { written } = part;
  const wanted = CAPACITOR_VOLTS.find((rating) => volts <= CAPACITOR_FRACTION * rating);
  if (written.kind !== "capacitor" || wanted === undefined) return [];
  return [
    {
      title: `${part.id} ${say(written.volts ?? 0, "V")} → ${say(wanted, "V")}`,
      changes: [ratingChange(judged, part, "volts", written.volts, wanted)],
    },
  ];
}

function resistorWatts(judged: Judged, part: ExpandedPart): readonly Finding[] {
  const { written, electrical } = part;
  if (written.kind !== "resistor" || electrical.kind !== "resistor") return [];
  const heat = worstOf(judged.conditions, part, (volts) => (volts * volts) / electrical.ohms);
  if (written.watts === undefined) {
    if (!(heat.value > UNRATED_WATTS)) return [];
    return [
      finding({
        rule: "resistor-watts",
        where: part.id,
        level: "watch",
        title: `${part.id} ${written.value} takes ${say(heat.value, "W")}, ${heat.words}, and no rating is written on it`,
        value: heat.value,
        unit: "W",
        sense: "below",
        condition: heat.words,
        source: "no rating in the document",
      }),
    ];
  }
  const house = resistorFraction(judged);
  const level = !(heat.value <= written.watts)
    ? "stop"
    : heat.value > house * written.watts * (1 + 1e-9)
      ? "watch"
      : "ok";
  return [
    finding({
      rule: "resistor-watts",
      where: part.id,
      level,
      title: `${part.id} ${written.value} takes ${say(heat.value, "W")} of ${say(written.watts, "W")} (${percent(heat.value, written.watts)}), ${heat.words}${level === "watch" ? `; the house keeps to ${Math.round(100 * house)} %` : ""}`,
      value: heat.value,
      limit: written.watts,
      unit: "W",
      sense: "below",
      condition: heat.words,
      source: "rating of the part",
      fixes: level === "ok" ? [] : wattsFix(judged, part, heat.value / house),
    }),
  ];
}

/** Sizes of resistors as they are sold. */
const RESISTOR_WATTS = [0.25, 0.5, 0.6, 1, 2, 3, 5, 7, 10, 15, 25, 50];

function wattsFix(judged: Judged, part: ExpandedPart, atLeast: number): readonly Fix[] {
  const { written } = part;
  const wanted = RESISTOR_WATTS.find((size) => size >= atLeast);
  if (written.kind !== "resistor" || wanted === undefined) return [];
  return [
    {
      title: `${part.id} ${say(written.watts ?? 0, "W")} → ${say(wanted, "W")}`,
      changes: [ratingChange(judged, part, "watts", written.watts, wanted)],
    },
  ];
}

/** A rating where it is written: in the instance that overrides it, or in the block. */
function ratingChange(
  judged: Judged,
  part: ExpandedPart,
  field: "watts" | "volts",
  before: number | undefined,
  after: number,
): Change {
  const id = part.id.slice(part.id.indexOf(".") + 1);
  const override = judged.document.instances.find((one) => one.id === part.instance)?.overrides?.[id]?.[field];
  const target =
    override === undefined
      ? `blocks.${part.block}.parts[${id}].${field}`
      : `instances[${part.instance}].overrides.${id}.${field}`;
  return { target, ...(before === undefined ? {} : { before }), after };
}

function resistorVolts(judged: Judged, part: ExpandedPart): readonly Finding[] {
  const { written } = part;
  if (written.kind !== "resistor") return [];
  const across = worstOf(judged.conditions, part, Math.abs);
  const usual = RESISTOR_VOLTS.find(([watts]) => (written.watts ?? 0.25) <= watts)?.[1] ?? 250;
  const limit = written.volts ?? usual;
  return [
    finding({
      rule: "resistor-volts",
      where: part.id,
      level: !(across.value <= limit) ? (written.volts === undefined ? "watch" : "stop") : "ok",
      title: `${part.id} ${written.value} has ${say(across.value, "V")} across it of ${say(limit, "V")}, ${across.words}`,
      value: across.value,
      limit,
      unit: "V",
      sense: "below",
      condition: across.words,
      source: written.volts === undefined ? "common practice for its watts" : "rating of the part",
    }),
  ];
}
