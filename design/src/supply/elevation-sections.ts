/**
 * What the window of elevation is computed from, read out of a design solved in its conditions.
 *
 * Law     As the heater-cathode findings judge: allowances of the limit's rating system on the cathode that stands above,
 *         none on the one that stands below; signal of the largest input and the heater's own peak on the peak limits.
 * Limits  The lifting source is taken to follow the reference net as solved: its factor is that net's volts over its nominal
 *         volts. Where the reference is ground the factor follows the net given by `lifter` (the supply to be divided).
 */
import type { Catalogue, LimitName, RatingSystem } from "@platewright/engine";
import type { ExpandedTriode } from "../document/expanded.ts";
import { cathodeVolts } from "../limits/allowance.ts";
import { ratedLimit } from "../limits/judge.ts";
import { type Allowance, heaterOf, type Judged, netVolts, signalOf } from "../limits/judged.ts";
import type { SolvedDesign } from "../solved/types.ts";
import type { ElevationLimit, ElevationMeasure, ElevationSection, ElevationSign, ElevationState } from "./elevation.ts";
import { type HeaterReference, heaterReference } from "./elevation-reference.ts";

const NAMES: { readonly [S in ElevationSign]: { readonly [M in ElevationMeasure]: LimitName } } = {
  positive: { dc: "cathodePositiveDcVolts", peak: "cathodePositivePeakVolts" },
  negative: { dc: "cathodeNegativeDcVolts", peak: "cathodeNegativePeakVolts" },
};

export interface ElevationGround {
  readonly judged: Judged;
  /** Heater winding. */
  readonly winding: string;
  /** Net whose volts the elevation is divided from. */
  readonly lifter: string;
  readonly reference: HeaterReference;
  /** Heaters on dc of these volts instead of ac. */
  readonly directVolts?: number;
}

/** Sections on a winding, one state per solved condition that has its numbers. */
export function elevationSections(ground: ElevationGround): readonly ElevationSection[] {
  const { judged } = ground;
  const nominal = netVolts(judged.nominal, ground.lifter) ?? 0;
  const triodes = judged.nominal.expanded.triodes
    .filter((triode) => heaterOf(judged.nominal, triode.envelope)?.winding === ground.winding)
    .map((triode) => ({
      id: triode.id,
      tube: triode.type,
      limits: {
        positive: limitsOf(judged.catalogue, triode, "positive"),
        negative: limitsOf(judged.catalogue, triode, "negative"),
      },
      states: judged.conditions.flatMap((solved) => statesOf(ground, triode, solved, nominal)),
    }));
  const rectifier = rectifierSection(ground, nominal);
  return rectifier === undefined ? triodes : [...triodes, rectifier];
}

/** The rectifier's bottle when it hangs on the same winding: its cathode stands at B+. */
function rectifierSection(ground: ElevationGround, nominal: number): ElevationSection | undefined {
  const { judged } = ground;
  const supply = judged.document.supply;
  const envelope = judged.document.envelopes.find((one) => one.id === supply?.rectifier.envelope);
  if (supply === undefined || envelope === undefined) return undefined;
  if (heaterOf(judged.nominal, envelope.id)?.winding !== ground.winding) return undefined;
  const entries = judged.catalogue.tube(envelope.type)?.rectifier?.limits.heaterCathodePeakVolts;
  const limit = ratedLimit(entries, supply.transformer.highTension.ratedRmsVoltsPerHalf);
  const states = judged.conditions.flatMap((solved): readonly ElevationState[] => {
    const at = netVolts(solved, supply.rectifier.output);
    const lifted = netVolts(solved, ground.lifter);
    if (at === undefined || lifted === undefined) return [];
    return [
      {
        condition: solved.condition.words,
        cathodeVoltsHigh: at,
        cathodeVoltsLow: at,
        swingUpVolts: (solved.supply?.rectifier.ripplePeakToPeakVolts ?? 0) / 2,
        swingDownVolts: 0,
        heaterPeakVolts: 0,
        factor: nominal > 0 ? lifted / nominal : 0,
      },
    ];
  });
  return {
    id: envelope.id,
    tube: envelope.type,
    limits: {
      positive:
        limit === undefined
          ? {}
          : { peak: { volts: limit.value, trust: limit.trust, source: limit.provenance?.source ?? "" } },
      // No source gives the other sign, and a rectifier's cathode never stands below its heater.
      negative: {},
    },
    oneSided: true,
    states,
  };
}

/** How far the heater's ends stand from the reference: swinging on ac, still on dc. */
function endsOf(ground: ElevationGround, windingVolts: number) {
  const { peakVolts } = heaterReference(ground.reference, ground.directVolts ?? windingVolts);
  return ground.directVolts === undefined
    ? { heaterPeakVolts: peakVolts }
    : { heaterPeakVolts: 0, heaterDcVolts: peakVolts / Math.SQRT2 };
}

function limitsOf(catalogue: Catalogue, triode: ExpandedTriode, sign: ElevationSign) {
  const limits: { [M in ElevationMeasure]?: ElevationLimit } = {};
  for (const measure of ["dc", "peak"] as const) {
    const limit = catalogue.limit(triode.type, NAMES[sign][measure], triode.variant);
    if (limit !== undefined)
      limits[measure] = {
        volts: limit.value,
        trust: limit.trust,
        source: limit.provenance.source,
        system: limit.system,
      };
  }
  return limits;
}

/** What a system asks for on top of the solve, and whether only the nominal mains counts: docs/findings.md. */
const ASKED: readonly {
  readonly systems: readonly RatingSystem[];
  readonly allowance: Allowance;
  readonly nominalOnly: boolean;
}[] = [
  { systems: ["design-centre"], allowance: { tolerance: false, specimen: false }, nominalOnly: true },
  { systems: ["design-maximum"], allowance: { tolerance: true, specimen: false }, nominalOnly: false },
  { systems: ["absolute", "unknown"], allowance: { tolerance: true, specimen: true }, nominalOnly: false },
];
const AT_NOMINAL_MAINS: readonly string[] = ["nominal", "cold"];

function statesOf(
  ground: ElevationGround,
  triode: ExpandedTriode,
  solved: SolvedDesign,
  nominal: number,
): readonly ElevationState[] {
  const heater = heaterOf(solved, triode.envelope);
  const still = netVolts(solved, triode.cathode);
  const lifted = netVolts(solved, ground.lifter);
  if (heater === undefined || still === undefined || lifted === undefined) return [];
  const swung = signalOf(solved, triode);
  return ASKED.filter((one) => !one.nominalOnly || AT_NOMINAL_MAINS.includes(solved.condition.id)).map((one) => ({
    condition: solved.condition.words,
    systems: one.systems,
    cathodeVoltsHigh: cathodeVolts(solved, triode, one.allowance) ?? still,
    cathodeVoltsLow: still,
    swingUpVolts: swung === undefined ? 0 : swung.cathodeVoltsHigh - still,
    swingDownVolts: swung === undefined ? 0 : still - swung.cathodeVoltsLow,
    ...endsOf(ground, heater.volts),
    factor: nominal > 0 ? lifted / nominal : 0,
  }));
}
