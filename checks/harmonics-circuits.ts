/** Circuits of the harmonic checks, written out part by part, and short ways to solve them. */
import {
  amplitude,
  type Bias,
  type CompiledCircuit,
  compile,
  farads,
  type GridLaw,
  type HarmonicAnswer,
  type HarmonicLimits,
  harmonicProblem,
  harmonicRatios,
  hertz,
  ohms,
  type Part,
  type SpaceLaw,
  solveBias,
  solveHarmonics,
  type TriodeLaw,
  volts,
} from "@platewright/engine";

export const resistor = (id: string, a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id,
  a,
  b,
  ohms: ohms(value),
});

export const capacitor = (id: string, a: string, b: string, value: number): Part => ({
  kind: "capacitor",
  id,
  a,
  b,
  farads: farads(value),
});

export const supply = (id: string, plus: string, value: number, seriesOhms = 0): Part => ({
  kind: "dc-source",
  id,
  plus,
  minus: "0",
  volts: volts(value),
  seriesOhms: ohms(seriesOhms),
});

export const signal = (plus: string, minus = "0"): Part => ({
  kind: "ac-source",
  id: "in",
  plus,
  minus,
  seriesOhms: ohms(0),
});

export function triode(
  id: string,
  [plate, grid, cathode]: readonly [string, string, string],
  law: TriodeLaw,
  [gridPlate, gridCathode, plateCathode]: readonly [number, number, number] = [0, 0, 0],
): Part {
  return {
    kind: "triode",
    id,
    plate,
    grid,
    cathode,
    law,
    gridPlateFarads: farads(gridPlate),
    gridCathodeFarads: farads(gridCathode),
    plateCathodeFarads: farads(plateCathode),
  };
}

export const NO_GRID: GridLaw = { form: "none" };

/** 12AX7, Koren, Glass Audio 8(5), 1996, table of parameters. */
export const KOREN_12AX7: SpaceLaw = { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 };

/** 12AX7 specimen RSD-1, Dempwolf and Zoelzer, DAFx-11, table 1 (their Ig0 left out: it is a numerical aid). */
export const RSD_1: TriodeLaw = {
  space: { form: "softplus", G: 2.242e-3, mu: 103.2, gamma: 1.26, C: 3.4, Vct: 0 },
  grid: { form: "softplus", Gg: 6.177e-4, xi: 1.314, C: 9.901, Vg0: 0 },
};

/**
 * Circuit P2: two equal 12AX7 stages. 68k into the first grid with 1M to ground; 100k plate loads from b; 1.5k and 22 uF
 * at each cathode; 22 nF to 470k; 1 uF to 100k with 100 pF; b from 300 V through 10k with 22 uF; Cgp 1.7 pF, Cgk 1.6 pF,
 * Cpk 0.5 pF.
 */
export function twoStages(law: TriodeLaw): Part[] {
  const between = [1.7e-12, 1.6e-12, 0.5e-12] as const;
  return [
    signal("s"),
    resistor("Rs", "s", "g1", 68e3),
    resistor("Rg1", "g1", "0", 1e6),
    triode("V1", ["p1", "g1", "k1"], law, between),
    triode("V2", ["p2", "g2", "k2"], law, between),
    resistor("Ra1", "p1", "b", 100e3),
    resistor("Ra2", "p2", "b", 100e3),
    resistor("Rk1", "k1", "0", 1500),
    resistor("Rk2", "k2", "0", 1500),
    capacitor("Ck1", "k1", "0", 22e-6),
    capacitor("Ck2", "k2", "0", 22e-6),
    capacitor("Cc", "p1", "g2", 22e-9),
    resistor("Rg2", "g2", "0", 470e3),
    capacitor("Co", "p2", "out", 1e-6),
    resistor("load", "out", "0", 100e3),
    capacitor("cable", "out", "0", 100e-12),
    capacitor("Cb", "b", "0", 22e-6),
    supply("B", "b", 300, 10e3),
  ];
}

export function ready(parts: readonly Part[]): { readonly circuit: CompiledCircuit; readonly bias: Bias } {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(JSON.stringify(circuit.failure));
  const bias = solveBias(circuit.value);
  if (!bias.ok) throw new Error(JSON.stringify(bias.failure));
  return { circuit: circuit.value, bias: bias.value };
}

/** Harmonics at 1 kHz for a peak source voltage; throws when they do not settle. */
export function harmonicsAt(
  { circuit, bias }: { readonly circuit: CompiledCircuit; readonly bias: Bias },
  peak: number,
  options: { readonly harmonics?: number; readonly output?: string; readonly limits?: Partial<HarmonicLimits> } = {},
): HarmonicAnswer {
  const problem = harmonicProblem(circuit, bias, {
    source: "in",
    hertz: hertz(1000),
    output: options.output ?? "out",
    ...(options.limits === undefined ? {} : { limits: options.limits }),
  });
  const answer = solveHarmonics(problem, {
    sourceVoltsPeak: volts(peak),
    ...(options.harmonics === undefined ? {} : { harmonics: options.harmonics }),
  });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}

export const fundamental = (answer: HarmonicAnswer): number => amplitude(answer.output, 1);

/** Harmonic k (2, 3, ...) relative to the fundamental, in dB. */
export function decibelsOf(answer: HarmonicAnswer, k: number): number {
  return 20 * Math.log10(harmonicRatios(answer.output)[k - 2] as number);
}
