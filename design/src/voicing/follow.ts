/**
 * Which resistor puts a section where it is wanted: its bias for a current, its plate load for a load line.
 *
 * Method  Secant on the logarithms of resistance and current; every trial is the whole design biased with its supply, so
 *         that what the change does to B+ and to the other stages is in it.
 * Answer  The part and its exact resistance, or one sentence: nothing sets the current, or the range was left.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { partOhms, withOhms } from "./part-ohms.ts";
import { stagesOf } from "../solved/roles.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";

export interface Follow {
  /** Expanded id: "L.R4". */
  readonly part: string;
  readonly ohms: number;
}

/** A current is reached when this near, as a share. */
const REACHED = 1e-4;
const MOST_TRIALS = 14;
/** A bias resistor is not taken beyond this many times itself, up or down. */
const WIDEST = 200;

/** The bias resistor that brings a section to a plate current, and its value. */
export function followCurrent(
  solved: SolvedDesign,
  catalogue: Catalogue,
  triode: string,
  wantedAmps: number,
): Result<Follow, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === triode);
  const part = stage?.cathodeResistors[0];
  const start = solved.bias.triodes.get(triode)?.plateAmps;
  if (stage === undefined || start === undefined) return fail(`${triode} is no section of this design.`);
  if (part === undefined)
    return fail(`No resistor under ${triode} sets its current: fixed bias or a current sink does.`);
  if (!(wantedAmps > 0)) return fail("The wanted current is not above zero.");
  const first = partOhms(solved, part);
  if (first === undefined) return fail(`${part} is not a resistor of this design.`);
  let near = solved;
  const currentWith = (ohms: number): Result<number, string> => {
    const answer = solveDesign(withOhms(solved.document, part, ohms), catalogue, { detail: "bias", near });
    if (!answer.ok) return fail(answer.failure.sentence);
    near = answer.value;
    return ok(answer.value.bias.triodes.get(triode)?.plateAmps ?? Number.NaN);
  };
  const miss = (amps: number) => Math.log(amps / wantedAmps);
  let [x0, y0] = [Math.log(first), miss(start)];
  // More current wants less resistance, and about as much less volts as the slope allows.
  let x1 = x0 + Math.min(0.7, Math.max(-0.7, 1.6 * y0));
  for (let trial = 0; trial < MOST_TRIALS; trial++) {
    if (Math.abs(y0) < REACHED) return ok({ part, ohms: Math.exp(x0) });
    if (Math.abs(x1 - Math.log(first)) > Math.log(WIDEST))
      return fail(`No value of ${part} within reason brings ${triode} there.`);
    const amps = currentWith(Math.exp(x1));
    if (!amps.ok) return amps;
    const y1 = miss(amps.value);
    if (!Number.isFinite(y1)) return fail(`${triode} carries no current there.`);
    const slope = (y1 - y0) / (x1 - x0);
    [x0, y0] = [x1, y1];
    // Current falls as resistance rises; a slope that says otherwise is noise near the answer.
    const step = slope < 0 ? -y1 / slope : Math.sign(y1) * 0.3;
    x1 = x0 + Math.min(1.2, Math.max(-1.2, step));
  }
  return Math.abs(y0) < 10 * REACHED
    ? ok({ part, ohms: Math.exp(x0) })
    : fail(`No value of ${part} was found that brings ${triode} there.`);
}

/** The plate load that gives the dc load line a slope; what else is in the line stays. */
export function followLoad(
  solved: SolvedDesign,
  triode: string,
  presentOhms: number,
  wantedOhms: number,
): Result<Follow, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === triode);
  const part = stage?.plateLoad ?? stage?.cathodeResistors.at(-1);
  const ohms = part === undefined ? undefined : partOhms(solved, part);
  if (part === undefined || ohms === undefined) return fail(`No resistor makes the load line of ${triode}.`);
  const next = ohms + (wantedOhms - presentOhms);
  return next > 1
    ? ok({ part, ohms: next })
    : fail(`The rest of the line alone is more than that: ${part} cannot bring it.`);
}
