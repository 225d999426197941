/** Level arithmetic: rms, peak, dBV (1 V), dBu (0.7746 V), ratios and dBc. */

export const DBU_VOLTS = Math.sqrt(0.6);

export const toDecibels = (ratio: number): number => 20 * Math.log10(ratio);
export const fromDecibels = (decibels: number): number => 10 ** (decibels / 20);
export const dbv = (rmsVolts: number): number => toDecibels(rmsVolts);
export const dbu = (rmsVolts: number): number => toDecibels(rmsVolts / DBU_VOLTS);
export const peakOf = (rmsVolts: number): number => rmsVolts * Math.SQRT2;
export const rmsOf = (peakVolts: number): number => peakVolts / Math.SQRT2;
