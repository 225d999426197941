/**
 * How far a solved design is outside what its tubes and its signal allow, as one number for the value search: 0 when all
 * is inside. The findings (limits/) judge the result afterwards in every condition; this is the quick form of them.
 */
import { type Catalogue, type LimitName, ONSET_AMPS } from "@platewright/engine";
import type { SolvedDesign } from "../solved/types.ts";

/** Shares of a limit at nominal that leave room for mains, tolerances and specimens; common practice 75 to 80 %. */
const WATTS_SHARE = 0.75;
const VOLTS_SHARE = 0.9;
const AMPS_SHARE = 0.75;
/** Lowest plate current at the largest input, as a share of the standing current. */
const LOWEST_SHARE = 0.05;

export interface Strain {
  /** Sum of excesses as fractions of their limits. */
  readonly amount: number;
  /** The largest one, in words. */
  readonly worst: string | null;
}

export function strainOf(solved: SolvedDesign, catalogue: Catalogue, triodes: readonly string[]): Strain {
  let amount = 0;
  let largest = 0;
  let worst: string | null = null;
  const add = (value: number, limit: number | undefined, share: number, words: string) => {
    if (limit === undefined || !(limit > 0)) return;
    const excess = value / (limit * share) - 1;
    if (!(excess > 0)) return;
    amount += excess;
    if (excess > largest) {
      largest = excess;
      worst = words;
    }
  };
  const together = new Map<string, { type: string; variant: string | undefined; watts: number }>();
  for (const triode of solved.expanded.triodes) {
    if (!triodes.includes(triode.id)) continue;
    const bias = solved.bias.triodes.get(triode.id);
    if (bias === undefined) continue;
    const limit = (name: LimitName) => catalogue.limit(triode.type, name, triode.variant)?.value;
    add(bias.plateWatts, limit("plateWatts"), WATTS_SHARE, `${triode.id} plate dissipation`);
    add(bias.plateVolts, limit("plateVolts"), VOLTS_SHARE, `${triode.id} plate volts`);
    add(bias.plateAmps, limit("cathodeAmps"), AMPS_SHARE, `${triode.id} cathode current`);
    const both = together.get(triode.envelope) ?? { type: triode.type, variant: triode.variant, watts: 0 };
    both.watts += bias.plateWatts;
    together.set(triode.envelope, both);
    const channel = solved.channels.find((one) => one.instance === triode.instance);
    const cycle =
      channel?.largest.answer.triodes.get(triode.id) ??
      channel?.largest.answer.triodes.get(`${channel.sameAs ?? ""}.${triode.part}`);
    if (cycle === undefined) continue;
    // Grid current grows by decades: its logarithm keeps the search moving.
    if (cycle.meanGridAmps > ONSET_AMPS) {
      const excess = Math.log10(cycle.meanGridAmps / ONSET_AMPS);
      amount += excess;
      if (excess > largest) {
        largest = excess;
        worst = `${triode.id} draws grid current below the largest input`;
      }
    }
    const low = 1 - cycle.minimumPlateAmps / (LOWEST_SHARE * bias.plateAmps);
    if (low > 0) {
      amount += low;
      if (low > largest) {
        largest = low;
        worst = `${triode.id} cuts off at the largest input`;
      }
    }
  }
  for (const [envelope, both] of together)
    add(
      both.watts,
      catalogue.limit(both.type, "plateWattsTogether", both.variant)?.value,
      WATTS_SHARE,
      `${envelope} both plates together`,
    );
  return { amount, worst };
}
