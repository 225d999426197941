/**
 * Which resistor puts a section where it is wanted: its bias for a current or for plate volts, its load for a load line.
 *
 * Method  Secant on the logarithms of resistance and of what is wanted; every trial is the whole design biased with its
 *         supply, so that what the change does to B+ and to the other stages is in it. The first trial comes from the dc
 *         load line and the law: the wanted grid volts, with the grid's own potential as it is.
 * Answer  The part and its exact resistance, or one sentence: nothing sets the current, or the wish is out of reach.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { stagesOf } from "../solved/roles.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { stageCurves } from "./curves.ts";
import { partOhms, withOhms } from "./part-ohms.ts";
import { gridVoltsAt } from "./plate-curves.ts";

export interface Follow {
  /** Expanded id: "L.R4". */
  readonly part: string;
  readonly ohms: number;
}

/** One of the two: along the load line the other follows. */
export type PointWish = { readonly plateAmps: number } | { readonly plateVolts: number };

/** A wish is met when this near, as a share. */
const REACHED = 1e-4;
const MOST_TRIALS = 14;
/** A bias resistor is not taken beyond this many times itself, up or down. */
const WIDEST = 200;

/** The bias resistor that brings a section to a plate current or to plate volts, and its value. */
export function followPoint(
  solved: SolvedDesign,
  catalogue: Catalogue,
  triode: string,
  wish: PointWish,
  reached = REACHED,
): Result<Follow, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === triode);
  const rest = solved.bias.triodes.get(triode);
  if (stage === undefined || rest === undefined) return fail(`${triode} is no section of this design.`);
  const name = stage.triode.part;
  const part = stage.cathodeResistors[0];
  if (part === undefined)
    return fail(`No resistor under ${name} sets its current: fixed bias or a current sink does. Change that instead.`);
  const ohms = partOhms(solved, part);
  if (ohms === undefined) return fail(`${part} is not a resistor of this design.`);
  const guess = firstOhms(solved, triode, wish, ohms, name);
  if (!guess.ok) return guess;

  const wanted = "plateAmps" in wish ? wish.plateAmps : wish.plateVolts;
  const of = (bias: { readonly plateAmps: number; readonly plateVolts: number }) =>
    "plateAmps" in wish ? bias.plateAmps : bias.plateVolts;
  // More resistance: less current, more plate volts.
  const sense = "plateAmps" in wish ? -1 : 1;
  const miss = (value: number) => Math.log(value / wanted);
  let near = solved;
  let [x0, y0] = [Math.log(ohms), miss(of(rest))];
  let x1 = Math.log(guess.value);
  for (let trial = 0; trial < MOST_TRIALS; trial++) {
    if (Math.abs(y0) < reached) return ok({ part, ohms: Math.exp(x0) });
    if (Math.abs(x1 - Math.log(ohms)) > Math.log(WIDEST)) break;
    const answer = solveDesign(withOhms(solved.document, part, Math.exp(x1)), catalogue, { detail: "bias", near });
    if (!answer.ok) return fail(answer.failure.sentence);
    near = answer.value;
    const there = near.bias.triodes.get(triode);
    const y1 = there === undefined ? Number.NaN : miss(of(there));
    if (!Number.isFinite(y1)) return fail(`${name} carries no current there.`);
    const slope = (y1 - y0) / (x1 - x0);
    [x0, y0] = [x1, y1];
    // A slope of the wrong sense is noise near the answer.
    const step = slope * sense > 0 ? -y1 / slope : -sense * Math.sign(y1) * 0.3;
    x1 = x0 + Math.min(1.2, Math.max(-1.2, step));
  }
  return Math.abs(y0) < 10 * reached
    ? ok({ part, ohms: Math.exp(x0) })
    : fail(`No value of ${part} was found that brings ${name} there.`);
}

/** From the dc load line and the law, everything else standing still. */
function firstOhms(
  solved: SolvedDesign,
  triode: string,
  wish: PointWish,
  ohms: number,
  name: string,
): Result<number, string> {
  const stage = stageCurves(solved, triode);
  if (!stage.ok) return stage;
  const { at, dc, law } = stage.value;
  const amps = "plateAmps" in wish ? wish.plateAmps : (dc.openVolts - wish.plateVolts) / dc.ohms;
  const volts = "plateVolts" in wish ? wish.plateVolts : dc.openVolts - dc.ohms * wish.plateAmps;
  if (!(amps > 0)) return fail(`${name} carries no current there: its load line ends at ${dc.openVolts.toFixed(0)} V.`);
  if (!(volts > 0)) return fail(`The load line of ${name} gives no more than ${(dc.shortAmps * 1e3).toFixed(1)} mA.`);
  const gridVolts = gridVoltsAt(law, volts, amps, at.gridVolts);
  if (gridVolts === undefined) return fail(`The grid of ${name} would have to stand above its cathode there.`);
  const first = (ohms * at.plateAmps - (gridVolts - at.gridVolts)) / amps;
  return ok(Math.min(ohms * WIDEST, Math.max(ohms / WIDEST, first)));
}

/** The resistor in a section's load line (under a follower: the lowest of its cathode) that gives the line a slope. */
export function followLoad(
  solved: SolvedDesign,
  catalogue: Catalogue,
  triode: string,
  wantedOhms: number,
  reached = REACHED,
): Result<Follow, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === triode);
  if (stage === undefined) return fail(`${triode} is no section of this design.`);
  const name = stage.triode.part;
  const part = stage.plateLoad ?? stage.cathodeResistors.at(-1);
  let ohms = part === undefined ? undefined : partOhms(solved, part);
  if (part === undefined || ohms === undefined) return fail(`No resistor makes the load line of ${name}.`);
  let near = solved;
  for (let trial = 0; trial < MOST_TRIALS; trial++) {
    const line = stageCurves(near, triode);
    if (!line.ok) return line;
    const present: number = line.value.dc.ohms;
    if (Math.abs(present / wantedOhms - 1) < reached) return ok({ part, ohms });
    ohms += wantedOhms - present;
    if (!(ohms > 1)) return fail(`The rest of the line alone is more than that: ${part} cannot bring it there.`);
    const answer = solveDesign(withOhms(solved.document, part, ohms), catalogue, { detail: "bias", near });
    if (!answer.ok) return fail(answer.failure.sentence);
    near = answer.value;
  }
  return fail(`No value of ${part} was found that gives ${name} that line.`);
}
