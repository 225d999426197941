/**
 * How far a solved design is outside what its tubes and its signal allow, as one number for the value search: 0 when all
 * is inside. The findings (limits/) judge the result afterwards in every condition; this is the quick form of them.
 */
import { type Catalogue, type LimitName, ONSET_AMPS } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import type { SolvedDesign } from "../solved/types.ts";

/** Shares of a limit at nominal that leave room for mains, tolerances and specimens; common practice 75 to 80 %. */
const WATTS_SHARE = 0.75;
const VOLTS_SHARE = 0.9;
const AMPS_SHARE = 0.75;
/** Lowest plate current at the largest input, as a share of the standing current. */
const LOWEST_SHARE = 0.05;

/** What of a bias and of a cycle is asked. */
export interface Standing {
  readonly triodes: ReadonlyMap<
    string,
    { readonly plateAmps: number; readonly plateVolts: number; readonly plateWatts: number }
  >;
}
export interface TubeCycle {
  readonly meanGridAmps: number;
  readonly minimumPlateAmps: number;
}

export interface Strain {
  /** Sum of excesses as fractions of their limits. */
  readonly amount: number;
  /** The largest one, in words. */
  readonly worst: string | null;
}

/** What is asked of one triode, looked up once for many trials. */
export interface StrainLimits {
  readonly triodes: readonly {
    readonly id: string;
    readonly instance: string;
    readonly part: string;
    readonly envelope: string;
    readonly plateWatts: number | undefined;
    readonly plateVolts: number | undefined;
    readonly cathodeAmps: number | undefined;
  }[];
  /** Both plates of an envelope together, when a source limits that. */
  readonly together: ReadonlyMap<string, number | undefined>;
}

export function strainLimits(expanded: Expanded, catalogue: Catalogue, triodes: readonly string[]): StrainLimits {
  const asked = expanded.triodes.filter((triode) => triodes.includes(triode.id));
  const limitOf = (triode: (typeof asked)[number], name: LimitName) =>
    catalogue.limit(triode.type, name, triode.variant)?.value;
  return {
    triodes: asked.map((triode) => ({
      id: triode.id,
      instance: triode.instance,
      part: triode.part,
      envelope: triode.envelope,
      plateWatts: limitOf(triode, "plateWatts"),
      plateVolts: limitOf(triode, "plateVolts"),
      cathodeAmps: limitOf(triode, "cathodeAmps"),
    })),
    together: new Map(asked.map((triode) => [triode.envelope, limitOf(triode, "plateWattsTogether")] as const)),
  };
}

/** Adds up excesses and remembers the largest. */
interface Tally {
  amount: number;
  largest: number;
  worst: string | null;
}

function add(tally: Tally, excess: number, words: string): void {
  if (!(excess > 0)) return;
  tally.amount += excess;
  if (excess > tally.largest) {
    tally.largest = excess;
    tally.worst = words;
  }
}

function addOver(tally: Tally, value: number, limit: number | undefined, share: number, words: string): void {
  if (limit !== undefined && limit > 0) add(tally, value / (limit * share) - 1, words);
}

/** What the standing currents and volts alone strain. */
function addBias(tally: Tally, limits: StrainLimits, bias: Standing): void {
  const together = new Map<string, number>();
  for (const triode of limits.triodes) {
    const at = bias.triodes.get(triode.id);
    if (at === undefined) continue;
    addOver(tally, at.plateWatts, triode.plateWatts, WATTS_SHARE, `${triode.id} plate dissipation`);
    addOver(tally, at.plateVolts, triode.plateVolts, VOLTS_SHARE, `${triode.id} plate volts`);
    addOver(tally, at.plateAmps, triode.cathodeAmps, AMPS_SHARE, `${triode.id} cathode current`);
    together.set(triode.envelope, (together.get(triode.envelope) ?? 0) + at.plateWatts);
  }
  for (const [envelope, watts] of together)
    addOver(tally, watts, limits.together.get(envelope), WATTS_SHARE, `${envelope} both plates together`);
}

/** What the largest input strains. */
function addCycle(tally: Tally, id: string, standingAmps: number, cycle: TubeCycle): void {
  // Grid current grows by decades: its logarithm keeps the search moving.
  if (cycle.meanGridAmps > ONSET_AMPS)
    add(tally, Math.log10(cycle.meanGridAmps / ONSET_AMPS), `${id} draws grid current below the largest input`);
  add(tally, 1 - cycle.minimumPlateAmps / (LOWEST_SHARE * standingAmps), `${id} cuts off at the largest input`);
}

/** Strain of a bias, with the cycle at the largest input of every triode for which `cycleOf` knows one. */
export function strainFrom(
  limits: StrainLimits,
  bias: Standing,
  cycleOf: (instance: string, id: string, part: string) => TubeCycle | undefined,
): Strain {
  const tally: Tally = { amount: 0, largest: 0, worst: null };
  addBias(tally, limits, bias);
  for (const { id, instance, part } of limits.triodes) {
    const standing = bias.triodes.get(id)?.plateAmps;
    const cycle = cycleOf(instance, id, part);
    if (standing !== undefined && cycle !== undefined) addCycle(tally, id, standing, cycle);
  }
  return { amount: tally.amount, worst: tally.worst };
}

export function strainOf(solved: SolvedDesign, catalogue: Catalogue, triodes: readonly string[]): Strain {
  return strainFrom(strainLimits(solved.expanded, catalogue, triodes), solved.bias, (instance, id, part) => {
    const channel = solved.channels.find((one) => one.instance === instance);
    const cycles = channel?.largest.answer.triodes;
    return cycles?.get(id) ?? cycles?.get(`${channel?.sameAs ?? ""}.${part}`);
  });
}
