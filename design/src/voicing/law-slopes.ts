/**
 * How what a meter reads on a channel moves with the parameters of its tube's law: numerical slopes through the solved
 * circuit.
 *
 * Method  Central differences of 0.02 in ln of each parameter (0.02 V of contact potential), the whole channel solved at
 *         each: every section of that type in the design moves together, as an error of the law would move them.
 */
import {
  fail,
  type LawRecord,
  ok,
  type Part,
  revalue,
  type Result,
  sentence,
  solveBias,
  type TriodeLaw,
} from "@platewright/engine";
import { solveChannel } from "../solved/channel.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";

/** What can be read on a unit, all in dB (20 log of volts, of gain, of H2 over the fundamental). */
export const READABLES = ["cathode-volts", "plate-volts", "gain", "h2"] as const;
export type Readable = (typeof READABLES)[number];
export type Readings = { readonly [R in Readable]: number };

export interface LawSlopes {
  readonly record: LawRecord;
  readonly triode: string;
  readonly at: Readings;
  /** Per parameter of the record, in its order: dB per neper (per volt of contact potential). */
  readonly slopes: readonly Readings[];
}

const STEP = 0.02;
/** As in the fits: above this share the law would no longer be monotone in the grid. */
const MOST_ISLAND = 0.95;
/** H2 to 1e-6 is more than a difference needs. */
const TAIL_DECIBELS = -120;

/** The gain section whose law leaves H2 of the channel least known; the first of equals. */
export function governingSection(
  solved: SolvedDesign,
  instance: string,
): { readonly triode: string; readonly record: LawRecord } | undefined {
  let best: { triode: string; record: LawRecord } | undefined;
  for (const { triode, role } of stagesOf(solved)) {
    const record = solved.laws.get(triode.id);
    if (triode.instance !== instance || role !== "gain" || record === undefined) continue;
    if (best === undefined || record.h2BandDecibels > best.record.h2BandDecibels) best = { triode: triode.id, record };
  }
  return best;
}

/** A law with one parameter moved: in ln, contact potential in volts. Only the parameters that the form has. */
export function moved(law: TriodeLaw, parameter: string, by: number): TriodeLaw {
  const space: Record<string, unknown> = { ...law.space };
  const value = space[parameter];
  if (typeof value !== "number") return law;
  const there = parameter === "Vct" ? value + by : value * Math.exp(by);
  space[parameter] = parameter === "a" ? Math.min(MOST_ISLAND, there) : there;
  return { ...law, space: space as unknown as TriodeLaw["space"] };
}

/** The design's readings at one input with every section of a type following `law`. */
export function readingsWith(
  solved: SolvedDesign,
  instance: string,
  triode: string,
  inputVolts: number,
  law: TriodeLaw,
): Result<Readings, string> {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  const section = solved.expanded.triodes.find((one) => one.id === triode);
  if (channel === undefined || section === undefined) return fail(`${instance} is no channel with ${triode} in it.`);
  const alike = new Set(solved.expanded.triodes.filter((one) => one.type === section.type).map((one) => one.id));
  const parts = solved.circuit.parts.map(
    (part): Part => (part.kind === "triode" && alike.has(part.id) ? { ...part, law } : part),
  );
  const circuit = revalue(solved.circuit, parts);
  if (!circuit.ok) return fail(sentence(circuit.failure));
  const bias = solveBias(circuit.value, { start: solved.bias.unknowns });
  if (!bias.ok) return fail(sentence(bias.failure));
  const heard = solveChannel(circuit.value, bias.value, solved.expanded, channel, {
    levels: [],
    largestInputVolts: inputVolts,
    detail: "brief",
    harmonicLimits: { tailDecibels: TAIL_DECIBELS },
  });
  if (!heard.ok) return heard;
  const decibels = (x: number | undefined) => 20 * Math.log10(Math.abs(x ?? Number.NaN));
  const readings = {
    "cathode-volts": decibels(bias.value.netVolts.get(section.cathode)),
    "plate-volts": decibels(bias.value.netVolts.get(section.plate)),
    gain: decibels(heard.value.gain),
    h2: decibels(heard.value.largest.ratios[0]),
  };
  return Object.values(readings).every(Number.isFinite)
    ? ok(readings)
    : fail(`${triode}: a reading is zero, so that it has no ratio (a grounded cathode, or no signal).`);
}

/** `section`: whose law moves and whose electrodes are read; the governing one unless told. */
export function lawSlopes(
  solved: SolvedDesign,
  instance: string,
  inputVolts: number,
  section = governingSection(solved, instance),
): Result<LawSlopes, string> {
  if (section === undefined) return fail(`${instance} has no gain section with a fitted law.`);
  const { triode, record } = section;
  const at = readingsWith(solved, instance, triode, inputVolts, record.law);
  if (!at.ok) return at;
  const slopes: Readings[] = [];
  for (const { name } of record.parameters) {
    const up = readingsWith(solved, instance, triode, inputVolts, moved(record.law, name, STEP));
    if (!up.ok) return up;
    const down = readingsWith(solved, instance, triode, inputVolts, moved(record.law, name, -STEP));
    if (!down.ok) return down;
    const slope = (which: Readable) => (up.value[which] - down.value[which]) / (2 * STEP);
    slopes.push({
      "cathode-volts": slope("cathode-volts"),
      "plate-volts": slope("plate-volts"),
      gain: slope("gain"),
      h2: slope("h2"),
    });
  }
  return ok({ record, triode, at: at.value, slopes });
}

/** Spread between specimens of each parameter, in the order of the record; those without one do not differ. */
export const specimenSpread = ({ parameters, spread }: LawRecord): readonly number[] =>
  parameters.map(({ name }) =>
    name === "G" ? spread.lnG : name === "mu" ? spread.lnMu : name === "Vct" ? spread.contactVolts : 0,
  );

/** Deviation of H2 between specimens in this channel, dB: the spread of the record carried through the slopes. */
export const specimenDecibels = ({ record, slopes }: LawSlopes): number =>
  Math.hypot(...specimenSpread(record).map((sd, i) => sd * (slopes[i]?.h2 ?? 0)));

/** Deviation of H2 in this channel from the law's posterior and its specimens together, dB. */
export function explainedDecibels(slopes: LawSlopes): number {
  const { record } = slopes;
  const n = record.parameters.length;
  const h2 = (i: number) => slopes.slopes[i]?.h2 ?? 0;
  let posterior = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) posterior += h2(i) * h2(j) * (record.covariance[i * n + j] ?? 0);
  return Math.hypot(Math.sqrt(Math.max(0, posterior)), specimenDecibels(slopes));
}
