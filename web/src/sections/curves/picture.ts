/** What the plane of the plate curves is drawn over: round ends that hold what matters, and stand still under a drag. */

export interface Picture {
  readonly upToPlateVolts: number;
  readonly upToPlateAmps: number;
}

export interface InPicture {
  readonly plateVolts: number;
  readonly plateAmps: number;
  /** Where the load lines end. */
  readonly openVolts: readonly number[];
  readonly swingAmps: readonly number[];
  readonly limitVolts?: number | undefined;
  readonly limitAmps?: number | undefined;
  readonly published: readonly { readonly plateVolts: number; readonly plateAmps: number }[];
}

const ROUND = [1, 1.2, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10];

/** The next round number that is not below the value. */
export function roundUp(value: number): number {
  if (!(value > 0)) return 1;
  const decade = 10 ** Math.floor(Math.log10(value));
  return Number(((ROUND.find((step) => step * decade >= value * 0.9999) ?? 10) * decade).toPrecision(3));
}

/** "near": the circuit's own ground, with the point well inside; "whole": the maker's sheet. */
export function picturesOf(shown: InPicture): { readonly near: Picture; readonly whole: Picture } {
  const { plateVolts, plateAmps, openVolts, swingAmps, limitVolts = 0, limitAmps = 0, published } = shown;
  const reach = 1.04 * Math.max(1.3 * plateVolts, ...openVolts);
  // A limit is shown where it is not far outside.
  const volts = limitVolts <= 1.5 * reach ? Math.max(reach, 1.08 * limitVolts) : reach;
  const amps = Math.max(2.4 * plateAmps, 1.15 * Math.max(0, ...swingAmps));
  const near = { upToPlateVolts: roundUp(volts), upToPlateAmps: roundUp(amps) };
  const most = (values: readonly number[]) => 1.04 * Math.max(0, ...values);
  return {
    near,
    whole: {
      upToPlateVolts: roundUp(Math.max(volts, 1.08 * limitVolts, most(published.map((point) => point.plateVolts)))),
      upToPlateAmps: roundUp(Math.max(amps, 1.08 * limitAmps, most(published.map((point) => point.plateAmps)))),
    },
  };
}

/** Ends that stood there may go on standing: nothing is cut off, nothing has become small. */
export const stillFits = (still: readonly number[], next: readonly number[]): boolean =>
  still.length === next.length && next.every((end, n) => end <= (still[n] ?? 0) && end >= 0.45 * (still[n] ?? 0));
