/**
 * What a ruler read on the two check bars of a printed template, judged.
 *
 * Limits  The bars are 100 mm; 0.3 mm either way is allowed: over a plate of 300 mm that is a millimetre, more than a socket's
 *         screws forgive. Common practice.
 */
export const BAR_MILLIMETRES = 100;
export const BAR_ALLOWED_MILLIMETRES = 0.3;

/** Beyond these it was not the bar that was measured. */
const LEAST = 50;
const MOST = 200;

export type BarRead =
  | { readonly kind: "none" }
  | { readonly kind: "wrong"; readonly sentence: string }
  | { readonly kind: "read"; readonly millimetres: number };

/** "100.1", "99,8", "99.8 mm". */
export function readBar(written: string): BarRead {
  const text = written
    .trim()
    .replace(/\s*mm$/i, "")
    .replace(",", ".");
  if (text === "") return { kind: "none" };
  const millimetres = /^\d{1,4}(\.\d{1,4})?$/.test(text) ? Number(text) : Number.NaN;
  if (!(millimetres >= LEAST && millimetres <= MOST))
    return {
      kind: "wrong",
      sentence: `Write what the ruler says in millimetres, like 99.8; the bar is ${BAR_MILLIMETRES}.`,
    };
  return { kind: "read", millimetres };
}

export interface TrueSize {
  /** undefined: not both bars are read yet. */
  readonly level?: "ok" | "stop";
  readonly words: string;
}

export function judgeBars(across: BarRead, up: BarRead): TrueSize {
  const read = [across, up].flatMap((one) => (one.kind === "read" ? [one.millimetres] : []));
  // Rounded to the hundredth, so that 100.3 as written is 0.3 off.
  const off = read.filter((one) => Math.round(100 * Math.abs(one - BAR_MILLIMETRES)) > 100 * BAR_ALLOWED_MILLIMETRES);
  const [worst] = off.sort((a, b) => Math.abs(b - BAR_MILLIMETRES) - Math.abs(a - BAR_MILLIMETRES));
  if (worst !== undefined)
    return {
      level: "stop",
      words: `This print is ${percent(worst)} ${worst < BAR_MILLIMETRES ? "small" : "large"}. Print again at 100 %, without “fit to page”, and measure again.`,
    };
  if (read.length < 2)
    return {
      words:
        read.length === 0
          ? "Do not cut before both bars are measured."
          : "Measure the other bar too; a printer can be off in one direction alone.",
    };
  return { level: "ok", words: "True to size in both directions." };
}

const percent = (millimetres: number): string =>
  `${((100 * Math.abs(millimetres - BAR_MILLIMETRES)) / BAR_MILLIMETRES).toFixed(1)} %`;
