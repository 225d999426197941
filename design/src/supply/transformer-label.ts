/**
 * A transformer's label as it is printed or typed: "230-0-230 V 60 mA, 6.3 V 3 A".
 *
 * Method  Windings are separated by commas, semicolons, slashes with spaces, plus signs or new lines. Each gives its volts
 *         (A-0-A, A V CT, 2 x A V, A V) and its current in A or mA; "primary" or "mains" names taps; "VA" the whole.
 * Limits  A comma inside a number is read as a decimal point when digits stand on both sides of it ("6,3 V").
 *         A current that no winding of such volts has is asked about, never corrected.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { TransformerFailure } from "./transformer-failures.ts";

export interface LabelWinding {
  /** rms volts of the whole winding, or of each half when `halves` is 2. */
  readonly rmsVolts: number;
  readonly halves: 1 | 2;
  /** Undefined when the label gives none. */
  readonly amps?: number;
  /** Whether a low-voltage winding has a centre tap (its `rmsVolts` is then the whole). */
  readonly centreTap: boolean;
}

export interface TransformerLabel {
  readonly text: string;
  readonly primaryVolts: readonly number[];
  readonly hertz?: number;
  readonly voltAmps?: number;
  readonly highTension: LabelWinding;
  readonly others: readonly LabelWinding[];
}

/** From this voltage up a winding is high tension. */
const HIGH_TENSION_VOLTS = 50;

const NUMBER = String.raw`\d+(?:\.\d+)?`;
const VOLTS = new RegExp(
  String.raw`(?:(?<count>2)\s*[x×*]\s*)?(?<first>${NUMBER})\s*V?(?:\s*[-–/]\s*(?<second>${NUMBER})\s*V?)?(?:\s*[-–/]\s*(?<third>${NUMBER}))?\s*(?:V(?:olts?)?(?:\s*(?:ac|rms|a\.c\.))?)(?![A-Za-z])\s*(?<tap>CT|C\.T\.|centre[- ]?tapped|center[- ]?tapped)?`,
  "i",
);
const AMPS = new RegExp(String.raw`(?:@|at)?\s*(?<value>${NUMBER})\s*(?<unit>m?A)(?:mps?|mperes?)?\b(?!\s*V)`, "i");

export function readTransformerLabel(text: string): Result<TransformerLabel, TransformerFailure> {
  const refuse = () => fail<TransformerFailure>({ kind: "not-a-label", text });
  if (text.length > 400) return refuse();
  const clean = text
    .replace(/(\d),(\d)/g, "$1.$2")
    .replace(/\u00a0|\u202f/g, " ")
    // "6V3" is 6.3 V; "5V2A" is not.
    .replace(/(?<![\d.])(\d{1,2})V(\d)(?![\d.]|\s*m?A)/gi, "$1.$2 V")
    // "230-0-230" says volts without the letter.
    .replace(/(\d)(\s*[-–]\s*0\s*[-–]\s*)(\d+(?:\.\d+)?)(?![\d.]|\s*V)/gi, "$1$2$3 V");
  const windings: LabelWinding[] = [];
  let primaryVolts: readonly number[] = [];
  let hertz: number | undefined;
  let voltAmps: number | undefined;
  for (const piece of clean.split(/\s*[;,\n+]\s*|\s+\/\s+/)) {
    if (piece.trim() === "") continue;
    const frequency = /(\d+(?:\.\d+)?)\s*(?:\/\s*\d+\s*)?(?:Hz|c\/s)/i.exec(piece);
    if (frequency !== null) hertz = Number(frequency[1]);
    if (/\b(?:pri(?:mary)?|mains|input|line)\b/i.test(piece)) {
      const rest = piece.replace(/\d+(?:\.\d+)?\s*(?:\/\s*\d+\s*)?(?:Hz|c\/s)/i, "");
      primaryVolts = [...rest.matchAll(/\d+(?:\.\d+)?/g)].map((one) => Number(one[0])).filter((one) => one > 0);
      if (primaryVolts.length === 0) return refuse();
      continue;
    }
    const whole = /(\d+(?:\.\d+)?)\s*VA\b/i.exec(piece);
    const volts = VOLTS.exec(piece.replace(/\d+(?:\.\d+)?\s*VA\b/i, ""));
    if (whole !== null) voltAmps = Number(whole[1]);
    if (volts?.groups === undefined) {
      // "230-0-230 V, 60 mA": a current alone belongs to the winding before it.
      const last = windings[windings.length - 1];
      const alone = ampsIn(piece);
      if (last !== undefined && last.amps === undefined && alone !== undefined)
        windings[windings.length - 1] = { ...last, amps: alone };
      else if (whole === null && frequency === null) return refuse();
      continue;
    }
    const winding = readWinding(volts.groups, piece.replace(volts[0], " "));
    if (winding === undefined) return refuse();
    windings.push(winding);
  }
  if (windings.length === 0) return refuse();
  const highTension = windings.find((one) => one.rmsVolts >= HIGH_TENSION_VOLTS);
  if (highTension === undefined) return fail({ kind: "no-high-tension", text });
  for (const [n, winding] of windings.entries()) {
    const wrong = implausibleAmps(`winding ${n + 1} of the label`, winding.rmsVolts, winding.amps);
    if (wrong !== undefined) return fail(wrong);
  }
  return ok({
    text,
    primaryVolts,
    ...(hertz === undefined ? {} : { hertz }),
    ...(voltAmps === undefined ? {} : { voltAmps }),
    highTension,
    others: windings.filter((one) => one !== highTension),
  });
}

function ampsIn(text: string): number | undefined {
  const current = AMPS.exec(text)?.groups;
  return current === undefined ? undefined : Number(current.value) * (current.unit?.toLowerCase() === "ma" ? 1e-3 : 1);
}

function readWinding(groups: { [name: string]: string | undefined }, rest: string): LabelWinding | undefined {
  const first = Number(groups.first);
  const second = groups.second === undefined ? undefined : Number(groups.second);
  const third = groups.third === undefined ? undefined : Number(groups.third);
  const amps = ampsIn(rest);
  const given = amps === undefined ? {} : { amps };
  if (amps === 0) return undefined;
  if (second === 0 && third !== undefined)
    // A-0-A; unequal halves are no winding that is known here.
    return first > 0 && first === third
      ? first >= HIGH_TENSION_VOLTS
        ? { rmsVolts: first, halves: 2, centreTap: true, ...given }
        : { rmsVolts: 2 * first, halves: 1, centreTap: true, ...given }
      : undefined;
  const tapped = groups.tap !== undefined;
  const volts = first === 0 ? (third ?? second) : second === undefined ? first : undefined;
  if (volts === undefined || !(volts > 0)) return undefined;
  if (groups.count === "2" && volts >= HIGH_TENSION_VOLTS)
    return { rmsVolts: volts, halves: 2, centreTap: true, ...given };
  if (groups.count === "2") return { rmsVolts: 2 * volts, halves: 1, centreTap: true, ...given };
  if (tapped && volts >= HIGH_TENSION_VOLTS) return { rmsVolts: volts / 2, halves: 2, centreTap: true, ...given };
  return { rmsVolts: volts, halves: 1, centreTap: tapped, ...given };
}

/** A winding of a preamplifier's iron carries no kilowatt, and a heater winding no milliwatt: such a current is asked about. */
export function implausibleAmps(
  where: string,
  volts: number,
  amps: number | undefined,
): Extract<TransformerFailure, { kind: "amps-implausible" }> | undefined {
  if (amps === undefined) return undefined;
  const high = volts >= HIGH_TENSION_VOLTS;
  const [least, most] = high ? [1e-3, 2] : [0.05, 30];
  if (amps > most) return { kind: "amps-implausible", where, volts, amps, meant: amps / 1000 };
  if (amps < least) return { kind: "amps-implausible", where, volts, amps, meant: amps * 1000 };
  return undefined;
}
