/**
 * First-order allowances for part tolerances and for a strong specimen, where a rating system asks for them.
 *
 * Law     A section with Rb = |Vgk| / Ik of bias resistance and Rt = (B+ − Va) / Ia of all resistance in its way has the
 *         loop 1 + gm Rb + Rt / rp. A tube with e^s times the current of the average one then draws about e^(s / loop)
 *         times as much; resistors that are t low draw at most 1 + t times as much. Plate volts move by at most 2 t of
 *         what the resistors drop (plate load and cathode resistor both off), and never past B+.
 * Limits  First order; a dc-coupled stage before the grid is not followed. t is the largest tolerance of the resistors
 *         tied to plate and cathode. The strong tube stands at 1.645 standard deviations (95 of 100 are weaker).
 * Sources Feedback of the cathode resistor: text-book small-signal result. Spread: the law's record, else 0.15 (common
 *         practice: tubes within ±25 % are normal).
 */
import type { ExpandedTriode } from "../document/expanded.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { biasOf, netVolts, partsOn, toleranceOf, type Allowance } from "./judged.ts";

const STRONG = 1.645;
const USUAL_SPREAD = 0.15;

export interface SectionAllowance {
  /** Factor on plate current, cathode current and dissipation. */
  readonly current: number;
  /** Added to plate volts. */
  readonly plateVolts: number;
}

const highestVolts = (solved: SolvedDesign): number => {
  let highest = 0;
  for (const value of solved.bias.netVolts.values()) if (value > highest) highest = value;
  return highest;
};

export function allowanceFor(solved: SolvedDesign, triode: ExpandedTriode, asked: Allowance): SectionAllowance {
  const bias = biasOf(solved, triode);
  if (bias === undefined || (!asked.tolerance && !asked.specimen)) return { current: 1, plateVolts: 0 };
  const resistors = [triode.plate, triode.cathode]
    .flatMap((net) => partsOn(solved, net))
    .filter((part) => part.kind === "resistor");
  const tolerance = asked.tolerance ? resistors.reduce((most, part) => Math.max(most, toleranceOf(part)), 0) : 0;
  const law = solved.laws.get(triode.type) ?? solved.laws.get(triode.id);
  const spread = law?.spread.lnG ?? USUAL_SPREAD;
  const dropVolts = Math.max(0, highestVolts(solved) - bias.plateVolts);
  const cathodeAmps = bias.plateAmps + bias.gridAmps;
  const loop =
    cathodeAmps > 0
      ? 1 + (bias.siemens * Math.max(0, -bias.gridVolts)) / cathodeAmps + dropVolts / cathodeAmps / bias.plateOhms
      : 1;
  const strong = asked.specimen ? Math.exp((STRONG * spread) / loop) : 1;
  return { current: (1 + tolerance) * strong, plateVolts: Math.min(2 * tolerance * dropVolts, dropVolts) };
}

/** Volts of a cathode to ground, allowances added: current through what is under it. */
export function cathodeVolts(solved: SolvedDesign, triode: ExpandedTriode, asked: Allowance): number | undefined {
  const at = netVolts(solved, triode.cathode);
  return at === undefined ? undefined : at * allowanceFor(solved, triode, asked).current;
}
