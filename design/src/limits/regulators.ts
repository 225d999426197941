/**
 * Findings of regulators and followers: current in its range, striking, heat, drop-out, what may stand across them.
 *
 * Law     Currents and volts as solved. A string of gas tubes strikes when the volts across it with the string open pass
 *         the sum of what its tubes need. A follower drops out where its drain, less half the ripple, comes within the
 *         overdrive sqrt(i/K) of its source.
 * Limits  What a gas tube draws while it strikes, and the noise of either kind, are not computed.
 * Sources Ranges and striking volts: the part as written, else the library; the rest is common practice, as said.
 */
import {
  type Catalogue,
  hertz,
  injection,
  magnitude,
  ohms,
  solveAdjoint,
  type Sourced,
  type TubeRecord,
} from "@platewright/engine";
import type { ExpandedPart } from "../document/expanded.ts";
import type { DocumentPart } from "../document/schema.ts";
import type { Finding, Level } from "../findings.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { against, finding, unsolved } from "./build.ts";
import { type Limit, partRating, trustOf } from "./judge.ts";
import { type Judged, netVolts, ratingFraction } from "./judged.ts";
import { feedFix, gateFix } from "./regulator-fixes.ts";
import { say } from "./say.ts";

/** Of the rating of a Zener or a follower; common practice for parts without a heat sink of their own. */
const HEAT_FRACTION = 0.5;
/** Unrated parts below this are not asked about. */
const UNRATED_WATTS = 0.1;
/** Striking volts rise with age and in the dark; common practice. */
const STRIKING_FRACTION = 0.9;
/** While the tubes warm up a gas tube may pass this many times its range for about ten seconds (0A2, from memory). */
const STARTING_TIMES = 2.5;
/** More than this right across a gas tube and it may oscillate; common practice. */
const GAS_FARADS = 0.1e-6;
/** Volts that are kept over a follower at the ripple's trough; common practice. */
const HEADROOM_VOLTS = 10;
/** Left to an open string, so that its nets stay tied. */
const OPEN_OHMS = ohms(1e8);

type Written<K extends DocumentPart["kind"]> = Extract<DocumentPart, { kind: K }>;
interface Regulator {
  readonly part: ExpandedPart;
  readonly written: Written<"regulator">;
  readonly record: TubeRecord["regulator"];
  readonly plus: string;
  readonly minus: string;
  readonly where: string;
}

export function regulatorFindings(judged: Judged): readonly Finding[] {
  const { expanded } = judged.nominal;
  const twins = new Set(expanded.equalTo.keys());
  const parts = expanded.parts.filter((part) => !twins.has(part.instance));
  const regulators = parts.flatMap((part) => regulatorOf(judged.catalogue, part));
  return [
    ...strings(regulators).flatMap((string) => fed(judged, string)),
    ...regulators.flatMap((one) => [...standing(judged, one), ...heat(judged, one)]),
    ...strings(regulators).flatMap((string) => [...striking(judged, string), ...across(judged, string)]),
    ...parts.flatMap((part) => (part.written.kind === "follower" ? follower(judged, part, part.written) : [])),
  ];
}

function regulatorOf(catalogue: Catalogue, part: ExpandedPart): readonly Regulator[] {
  const { written, electrical } = part;
  if (written.kind !== "regulator" || electrical.kind !== "diode") return [];
  return [
    {
      part,
      written,
      record: written.type === undefined ? undefined : catalogue.tube(written.type)?.regulator,
      plus: electrical.anode,
      minus: electrical.cathode,
      where: written.type === undefined ? part.id : `${part.id} ${written.type}`,
    },
  ];
}

/** Current of a two-terminal device, or of a follower, as solved. */
function deviceAmps({ circuit, bias }: SolvedDesign, id: string): number {
  let at = 0;
  for (const device of circuit.devices) {
    if (device.id === id) return bias.unknowns[at] ?? Number.NaN;
    at += device.kind === "triode" ? 2 : 1;
  }
  return Number.NaN;
}

const solvedOnce = (judged: Judged): readonly SolvedDesign[] => [
  judged.nominal,
  ...judged.conditions.filter((one) => one.condition.id !== "nominal"),
];
const running = (judged: Judged) => solvedOnce(judged).filter((one) => one.condition.tubes === "running");
const cold = (judged: Judged) => solvedOnce(judged).filter((one) => one.condition.tubes === "cold");

/** The condition in which `measure` is largest (sign 1) or least (sign -1); what is not a number goes before all. */
function extreme(among: readonly SolvedDesign[], sign: 1 | -1, measure: (solved: SolvedDesign) => number) {
  let worst = { value: Number.NaN, words: "not solved", missing: [] as readonly string[] };
  for (const [n, solved] of among.entries()) {
    const value = measure(solved);
    if (n === 0 || Number.isNaN(value) || sign * value > sign * worst.value)
      worst = { value, words: solved.condition.words, missing: [] };
    if (Number.isNaN(worst.value)) break;
  }
  return worst;
}

/** What the document says before what the library does; no sheet's rating system is known for regulators. */
function limitOf(written: number | undefined, known: Sourced<number> | undefined): Limit | undefined {
  if (written !== undefined) return partRating(written);
  if (known === undefined) return undefined;
  const { value, ...provenance } = known;
  return { value, trust: trustOf(provenance, "unknown"), provenance };
}

const idOf = (found: Finding, part: ExpandedPart): Finding => ({
  ...found,
  where: part.id,
  id: `${found.rule}/${part.id}`,
});

/** Currents of a string's regulators, with the feed resistor that brings all of them into their ranges where there is one. */
function fed(judged: Judged, string: readonly Regulator[]): readonly Finding[] {
  const findings = string.flatMap((one) => currents(judged, one));
  const [top] = string;
  const wrong = (one: Finding) =>
    one.level === "stop" && (one.rule === "regulator-least" || one.rule === "regulator-most");
  if (top === undefined || !findings.some(wrong)) return findings;
  const ranges = string.map(({ part, written, record }) => ({
    id: part.id,
    from: limitOf(written.ampsFrom, record?.minimumAmps)?.value ?? 0,
    to: limitOf(written.ampsTo, record?.maximumAmps)?.value ?? Infinity,
  }));
  const fixes = feedFix(
    judged,
    top.plus,
    (solved) =>
      ranges.some(({ id, from }) => deviceAmps(solved, id) < from)
        ? "too little"
        : ranges.some(({ id, to }) => deviceAmps(solved, id) > to)
          ? "too much"
          : "inside",
    "keeps the current in its range at both mains",
  );
  const [fix] = fixes;
  return findings.map((one) =>
    !wrong(one)
      ? one
      : fix === undefined
        ? judged.resolve === undefined
          ? one
          : {
              ...one,
              title: `${one.title}; no resistor above it keeps the range at both mains: feed it more volts, or fit fewer`,
            }
        : { ...one, title: `${one.title}; ${fix.title}`, fixes },
  );
}

function currents(judged: Judged, { part, written, record, where }: Regulator): readonly Finding[] {
  const amps = (solved: SolvedDesign) => deviceAmps(solved, part.id);
  const most = limitOf(written.ampsTo, record?.maximumAmps);
  const least = limitOf(written.ampsFrom, record?.minimumAmps);
  const rule = (name: string, what: string, sign: 1 | -1, limit: Limit | undefined) =>
    idOf(
      against(judged, {
        rule: name,
        where,
        what,
        reading: extreme(running(judged), sign, amps),
        limit,
        unit: "A",
        houseFraction: ratingFraction(judged),
        sense: sign === 1 ? "below" : "above",
      }),
      part,
    );
  // A Zener without a range is judged by its heat alone.
  const asked = written.technology === "gas-tube";
  const findings = [
    ...(asked || least !== undefined ? [rule("regulator-least", "least current", -1, least)] : []),
    ...(asked || most !== undefined ? [rule("regulator-most", "most current", 1, most)] : []),
  ];
  if (!asked || most === undefined || cold(judged).length === 0) return findings;
  const early = extreme(cold(judged), 1, amps);
  const level: Level = !(early.value <= STARTING_TIMES * most.value)
    ? "stop"
    : early.value > most.value || most.trust === "watch-at-best"
      ? "watch"
      : "ok";
  return [
    ...findings,
    finding({
      rule: "regulator-starting",
      where: part.id,
      level,
      title: `${where} passes ${say(early.value, "A")} while the tubes do not draw, ${early.words}: ${
        early.value > most.value
          ? `more than its ${say(most.value, "A")}, which the kind stands for ten seconds or so and not with tubes pulled`
          : `within its ${say(most.value, "A")}`
      }`,
      value: early.value,
      limit: most.value,
      unit: "A",
      sense: "below",
      condition: early.words,
      source: "common practice; 2.5 times the range for ten seconds is from memory",
    }),
  ];
}

/** Right way round, and near the volts that the library knows for its type. */
function standing(judged: Judged, { part, plus, minus, where, record, written }: Regulator): readonly Finding[] {
  const volts = (netVolts(judged.nominal, plus) ?? Number.NaN) - (netVolts(judged.nominal, minus) ?? Number.NaN);
  const { condition } = judged.nominal;
  const findings: Finding[] = [];
  if (!(volts > -0.1))
    findings.push(
      finding({
        rule: "regulator-polarity",
        where: part.id,
        level: "stop",
        title: `${where} stands ${say(Math.abs(volts), "V")} the wrong way round, ${condition.words}: turn its pins`,
        value: volts,
        limit: 0,
        unit: "V",
        sense: "above",
        condition: condition.words,
        source: "common practice",
      }),
    );
  const known = record?.runningVolts.value;
  const at = part.electrical.kind === "diode" && part.electrical.law.form === "knee" ? part.electrical.law.volts : 0;
  if (known !== undefined && Math.abs(at / known - 1) > 0.1)
    findings.push(
      finding({
        rule: "regulator-type",
        where: part.id,
        level: "watch",
        title: `${where} is written with ${written.value}, the library has ${say(known, "V")} for its type: check which is meant`,
        value: at,
        limit: known,
        unit: "V",
        condition: "as written",
        source: "library",
      }),
    );
  return findings;
}

function heat(judged: Judged, { part, plus, minus, where, written }: Regulator): readonly Finding[] {
  if (written.technology !== "zener") return [];
  const reading = extreme(solvedOnce(judged), 1, (solved) => {
    const volts = (netVolts(solved, plus) ?? Number.NaN) - (netVolts(solved, minus) ?? Number.NaN);
    return Math.abs(volts * deviceAmps(solved, part.id));
  });
  return rated(judged, part, where, "regulator-watts", reading, written.watts);
}

function rated(
  judged: Judged,
  part: ExpandedPart,
  where: string,
  rule: string,
  reading: ReturnType<typeof extreme>,
  watts: number | undefined,
): readonly Finding[] {
  if (watts === undefined && reading.value < UNRATED_WATTS) return [];
  return [
    idOf(
      against(judged, {
        rule,
        where,
        what: "dissipation",
        reading,
        limit: watts === undefined ? undefined : partRating(watts),
        unit: "W",
        houseFraction: HEAT_FRACTION,
      }),
      part,
    ),
  ];
}

/** Regulators one on top of the other, top first. */
function strings(regulators: readonly Regulator[]): readonly (readonly Regulator[])[] {
  const tops = regulators.filter((one) => !regulators.some((other) => other.minus === one.plus));
  return tops.map((top) => {
    const string = [top];
    for (let last = top; string.length <= regulators.length; ) {
      const below = regulators.find((one) => one.plus === last.minus && !string.includes(one));
      if (below === undefined) break;
      string.push(below);
      last = below;
    }
    return string;
  });
}

function striking(judged: Judged, string: readonly Regulator[]): readonly Finding[] {
  const gas = string.filter(({ written }) => written.technology === "gas-tube");
  const [top] = string;
  const bottom = string[string.length - 1];
  if (top === undefined || bottom === undefined || gas.length === 0) return [];
  const rule = "regulator-striking";
  const limits = gas.map(({ written, record }) => limitOf(written.strikingVolts, record?.strikingVolts));
  const ids = new Set(string.map(({ part }) => part.id));
  const answer = solveDesign(judged.document, judged.catalogue, {
    condition: "mains-low",
    detail: "bias",
    fault: (parts) =>
      parts.map((part) =>
        part.kind === "diode" && ids.has(part.id)
          ? { kind: "resistor", id: part.id, a: part.anode, b: part.cathode, ohms: OPEN_OHMS }
          : part,
      ),
  });
  if (!answer.ok) return [unsolved(rule, top.part.id, "striking", "mains low, not yet lit")];
  const open = (netVolts(answer.value, top.plus) ?? Number.NaN) - (netVolts(answer.value, bottom.minus) ?? Number.NaN);
  // Zeners of the string take their own volts first.
  const own = string.reduce(
    (sum, { part, written }) =>
      written.technology === "zener" && part.electrical.kind === "diode" && part.electrical.law.form === "knee"
        ? sum + part.electrical.law.volts
        : sum,
    0,
  );
  const known = limits.filter((one): one is Limit => one !== undefined);
  const [first] = known;
  const least = known.find((one) => one.trust === "watch-at-best") ?? first;
  const limit =
    first === undefined || least === undefined || known.length < gas.length
      ? undefined
      : { ...least, value: own + known.reduce((sum, one) => sum + one.value, 0) };
  return [
    idOf(
      against(judged, {
        rule,
        where: string.length === 1 ? top.where : `string of ${string.map((one) => one.where).join(", ")}`,
        what: "volts to strike on",
        reading: { value: open, words: "running, mains low, not yet lit", missing: [] },
        limit,
        unit: "V",
        houseFraction: STRIKING_FRACTION,
        sense: "above",
      }),
      top.part,
    ),
  ];
}

/** A capacitor across a string of gas tubes, or across one of them. */
function across(judged: Judged, string: readonly Regulator[]): readonly Finding[] {
  const findings: Finding[] = [];
  for (const [n, { plus, written, part, where }] of string.entries()) {
    if (written.technology !== "gas-tube") continue;
    const below = new Set(string.slice(n).map((one) => one.minus));
    let farads = 0;
    for (const { electrical: e } of judged.nominal.expanded.parts)
      if (e.kind === "capacitor" && ((e.a === plus && below.has(e.b)) || (e.b === plus && below.has(e.a))))
        farads += e.farads;
    if (farads <= GAS_FARADS * (1 + 1e-9)) continue;
    findings.push(
      finding({
        rule: "regulator-capacitor",
        where: part.id,
        level: "watch",
        title: `${where} has ${say(farads, "F")} right across it: a gas tube may then oscillate; keep to ${say(GAS_FARADS, "F")}, or put 100 Ω to 1 kΩ between them`,
        value: farads,
        limit: GAS_FARADS,
        unit: "F",
        sense: "below",
        condition: "as wired",
        source: "common practice",
      }),
    );
  }
  return findings;
}

function follower(judged: Judged, part: ExpandedPart, written: Written<"follower">): readonly Finding[] {
  const e = part.electrical;
  if (e.kind !== "triode") return [];
  const where = written.type === undefined ? part.id : `${part.id} ${written.type}`;
  const over = (solved: SolvedDesign) =>
    (netVolts(solved, e.plate) ?? Number.NaN) - (netVolts(solved, e.cathode) ?? Number.NaN);
  const amps = (solved: SolvedDesign) => deviceAmps(solved, part.id);
  const findings = [
    ...rated(
      judged,
      part,
      where,
      "follower-watts",
      extreme(solvedOnce(judged), 1, (solved) => Math.abs(over(solved) * amps(solved))),
      written.watts,
    ),
    idOf(
      against(judged, {
        rule: "follower-volts",
        where,
        what: "drain to source, while what it feeds is still empty",
        reading: extreme(solvedOnce(judged), 1, (solved) => netVolts(solved, e.plate) ?? Number.NaN),
        limit: written.volts === undefined ? undefined : partRating(written.volts),
        unit: "V",
        houseFraction: ratingFraction(judged),
      }),
      part,
    ),
    dropOut(judged, part, written, where, over, amps),
  ];
  const guarded = judged.nominal.expanded.parts.some(
    (one) =>
      one.written.kind === "regulator" &&
      one.electrical.kind === "diode" &&
      one.electrical.anode === e.grid &&
      one.electrical.cathode === e.cathode,
  );
  if (guarded) return findings;
  const fixes = gateFix(judged, part.id);
  return [
    ...findings,
    finding({
      rule: "follower-gate",
      where: part.id,
      level: "watch",
      title: `${where} has no Zener from gate to source: at switch-on, and with its output shorted, the gate sees the whole reference; fit 12 V across them`,
      value: null,
      condition: "switch-on",
      source: "common practice",
      fixes,
    }),
  ];
}

function dropOut(
  judged: Judged,
  part: ExpandedPart,
  written: Written<"follower">,
  where: string,
  over: (solved: SolvedDesign) => number,
  amps: (solved: SolvedDesign) => number,
): Finding {
  const e = part.electrical;
  const trough = (solved: SolvedDesign) =>
    over(solved) - (e.kind === "triode" ? ripplePeak(judged, solved, e.plate) : Number.NaN);
  const among = running(judged);
  const reading = extreme(among, -1, trough);
  const overdrive =
    Math.max(...among.map((one) => Math.sqrt(Math.max(0, amps(one)) * 4 * written.atAmps)), 0) / written.siemens;
  const level: Level = !(reading.value > overdrive) ? "stop" : reading.value < HEADROOM_VOLTS ? "watch" : "ok";
  return finding({
    rule: "follower-drop-out",
    where: part.id,
    level,
    title: `${where} has ${say(reading.value, "V")} over it at the ripple's trough, ${reading.words}${
      level === "ok"
        ? ""
        : level === "watch"
          ? `: keep ${say(HEADROOM_VOLTS, "V")}`
          : `: it drops out below ${say(overdrive, "V")} and lets the mains through; lower its reference or feed it more volts`
    }`,
    value: reading.value,
    limit: HEADROOM_VOLTS,
    unit: "V",
    sense: "above",
    condition: reading.words,
    source: "common practice",
  });
}

/** Half the ripple at a net: that of the first capacitor, through the circuit, at the pulse frequency. */
function ripplePeak(judged: Judged, solved: SolvedDesign, net: string): number {
  const supply = judged.document.supply;
  if (supply === undefined || solved.supply === undefined) return 0;
  const peak = solved.supply.rectifier.ripplePeakToPeakVolts / 2;
  const { output, circuit = "full-wave" } = supply.rectifier;
  if (net === output) return peak;
  const at = hertz(supply.mains.hertz * (circuit === "half-wave" ? 1 : 2));
  const here = solveAdjoint(solved.circuit, solved.bias, { output: net, hertz: [at] });
  const first = solveAdjoint(solved.circuit, solved.bias, { output, hertz: [at] });
  if (!here.ok || !first.ok) return Number.NaN;
  return (peak * magnitude(injection(here.value, 0, "0", output))) / magnitude(injection(first.value, 0, "0", output));
}
