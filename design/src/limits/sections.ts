/** Findings of each triode section: plate volts running and cold, dissipation, cathode current mean and peak. */
import { type LimitName, partCode, stepPreferred } from "@platewright/engine";
import type { ExpandedTriode } from "../document/expanded.ts";
import { valueOf } from "../document/parts.ts";
import type { Change, Finding, Fix } from "../findings.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { allowanceFor } from "./allowance.ts";
import { against, unsolved } from "./build.ts";
import { fromEffective, type Limit } from "./judge.ts";
import { type Allowance, biasOf, type Judged, netVolts, ratingFraction, readWorst, signalOf } from "./judged.ts";
import { percent, say } from "./say.ts";

export const limitOf = (judged: Judged, triode: ExpandedTriode, name: LimitName): Limit | undefined =>
  fromEffective(judged.catalogue.limit(triode.type, name, triode.variant));

interface SectionRule {
  readonly rule: string;
  readonly what: string;
  readonly limit: LimitName;
  readonly unit: string;
  readonly state: "running" | "cold";
  readonly measure: (solved: SolvedDesign, triode: ExpandedTriode, allowance: Allowance) => number | undefined;
  /** Says nothing when no source gives the limit; the others say "no published limit". */
  readonly onlyWhenKnown?: boolean;
}

const RULES: readonly SectionRule[] = [
  {
    rule: "plate-volts",
    what: "plate to cathode",
    limit: "plateVolts",
    unit: "V",
    state: "running",
    measure: (solved, triode, allowance) => {
      const bias = biasOf(solved, triode);
      return bias === undefined ? undefined : bias.plateVolts + allowanceFor(solved, triode, allowance).plateVolts;
    },
  },
  {
    rule: "plate-watts",
    what: "plate dissipation",
    limit: "plateWatts",
    unit: "W",
    state: "running",
    measure: (solved, triode, allowance) => wattsOf(solved, triode, allowance),
  },
  {
    rule: "cathode-current",
    what: "cathode current",
    limit: "cathodeAmps",
    unit: "A",
    state: "running",
    onlyWhenKnown: true,
    measure: (solved, triode, allowance) => {
      const bias = biasOf(solved, triode);
      if (bias === undefined) return undefined;
      return (bias.plateAmps + bias.gridAmps) * allowanceFor(solved, triode, allowance).current;
    },
  },
  {
    rule: "peak-cathode-current",
    what: "peak cathode current at the largest input",
    limit: "peakCathodeAmps",
    unit: "A",
    state: "running",
    onlyWhenKnown: true,
    measure: (solved, triode, allowance) => {
      const cycle = signalOf(solved, triode);
      if (cycle === undefined) return undefined;
      return (cycle.maximumPlateAmps + cycle.maximumGridAmps) * allowanceFor(solved, triode, allowance).current;
    },
  },
];

function wattsOf(solved: SolvedDesign, triode: ExpandedTriode, allowance: Allowance): number | undefined {
  const bias = biasOf(solved, triode);
  return bias === undefined ? undefined : bias.plateWatts * allowanceFor(solved, triode, allowance).current;
}

/** All section rules for one triode. */
export function sectionFindings(judged: Judged, triode: ExpandedTriode): readonly Finding[] {
  const findings: Finding[] = [];
  for (const rule of RULES) {
    const limit = limitOf(judged, triode, rule.limit);
    if (limit === undefined && rule.onlyWhenKnown === true) continue;
    const reading = readWorst(judged, limit?.system ?? "unknown", rule.state, (solved, allowance) =>
      rule.measure(solved, triode, allowance),
    );
    if (reading === undefined) {
      findings.push(unsolved(rule.rule, triode.id, rule.what, "running"));
      continue;
    }
    const plain = against(judged, {
      rule: rule.rule,
      where: triode.id,
      what: rule.what,
      reading,
      limit,
      unit: rule.unit,
      houseFraction: ratingFraction(judged),
    });
    const over = limit !== undefined && reading.value > limit.value * ratingFraction(judged);
    findings.push(over ? { ...plain, fixes: currentFixes(judged, triode, rule, limit) } : plain);
  }
  findings.push(coldPlate(judged, triode));
  return findings;
}

/** Cold: the tube draws nothing and its plate stands at B+. The cold limit where one is printed, else the running one. */
function coldPlate(judged: Judged, triode: ExpandedTriode): Finding {
  const printed = limitOf(judged, triode, "coldPlateVolts");
  const running = limitOf(judged, triode, "plateVolts");
  const limit = printed ?? running;
  const reading = readWorst(judged, limit?.system ?? "unknown", "cold", (solved) => {
    const plate = netVolts(solved, triode.plate);
    const cathode = netVolts(solved, triode.cathode);
    return plate === undefined || cathode === undefined ? undefined : plate - cathode;
  });
  if (reading === undefined) return unsolved("plate-volts-cold", triode.id, "plate volts", "cold");
  if (printed === undefined && running !== undefined && reading.value > running.value) {
    const found = against(judged, {
      rule: "plate-volts-cold",
      where: triode.id,
      what: "plate to cathode",
      reading,
      limit: undefined,
      unit: "V",
      houseFraction: 1,
    });
    return {
      ...found,
      title: `${found.title}; above the running limit of ${say(running.value, "V")}, and no cold one is published`,
    };
  }
  return against(judged, {
    rule: "plate-volts-cold",
    where: triode.id,
    what: "plate to cathode",
    reading,
    limit,
    unit: "V",
    houseFraction: 1,
  });
}

/** More cathode resistance draws less: one to four preferred steps up, the first that brings the number inside. */
function currentFixes(judged: Judged, triode: ExpandedTriode, rule: SectionRule, limit: Limit): readonly Fix[] {
  const { resolve, nominal } = judged;
  const stage = stagesOf(nominal).find((one) => one.triode.id === triode.id);
  const id = stage?.cathodeResistors[0];
  const part = nominal.expanded.parts.find((one) => one.id === id);
  if (resolve === undefined || part?.written.kind !== "resistor") return [];
  const ohms = valueOf("resistance", part.written.value);
  for (const steps of [1, 2, 3, 4, 6]) {
    const value = partCode(stepPreferred("E12", ohms, steps), "resistance");
    const changes: readonly Change[] = [
      { target: `blocks.${part.block}.parts[${part.written.id}].value`, before: part.written.value, after: value },
    ];
    const trial = resolve(changes);
    const brought =
      trial === undefined ? undefined : rule.measure(trial, triode, { tolerance: false, specimen: false });
    if (brought === undefined || brought > limit.value * ratingFraction(judged)) continue;
    return [
      {
        title: `${part.written.id} ${part.written.value} → ${value} brings it to ${percent(brought, limit.value)} of ${say(limit.value, rule.unit)} at nominal`,
        changes,
      },
    ];
  }
  return [];
}

/** Both plates of one envelope together. */
export function togetherFinding(judged: Judged, envelope: string): readonly Finding[] {
  const triodes = judged.nominal.expanded.triodes.filter((triode) => triode.envelope === envelope);
  const [first] = triodes;
  if (first === undefined || triodes.length < 2) return [];
  const limit = limitOf(judged, first, "plateWattsTogether");
  if (limit === undefined) return [];
  const reading = readWorst(judged, limit.system ?? "unknown", "running", (solved, allowance) => {
    let sum = 0;
    for (const triode of triodes) sum += wattsOf(solved, triode, allowance) ?? Number.NaN;
    return sum;
  });
  if (reading === undefined) return [unsolved("plate-watts-together", envelope, "both plates together", "running")];
  return [
    against(judged, {
      rule: "plate-watts-together",
      where: envelope,
      what: "both plates together",
      reading,
      limit,
      unit: "W",
      houseFraction: ratingFraction(judged),
    }),
  ];
}
