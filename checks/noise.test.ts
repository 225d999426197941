/**
 * Noise against worked values from outside, and against published measurements of tubes.
 *
 * Sources Johnson: "Tubes 201 part 7: Noise" (n5296s.blogspot.com, 27 September 2025) prints about 0.6 uV for 1 k at 300 K in
 *         20 kHz; the further digits and rows were computed outside from 4kTRB with the SI's k.
 *         Equivalent resistance 2.5/gm: Harris, RCA Review 1941, and North, RCA Review 1940 (cited second hand).
 *         A 6CG7 at 5 mA and 2 mS: rec.audio.tubes, March 2009 (theory 1250 ohms and about 0.6 uV; best sample just over 3 uV).
 *         7025: its sheet's average noise and hum, 1.8 uV in 25 Hz to 10 kHz (memory).
 *         Measured averages: Tavish Design, "Audio Tube Noise Measurements" (tavishdesign.com, list of 22 July 2020).
 */
import {
  amps,
  dbu,
  hertz,
  type Noise,
  type NoiseAsk,
  ohms,
  type Part,
  solveNoise,
  type TriodeLaw,
} from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { capacitor, NO_GRID, ready, resistor, supply, triode } from "./harmonics-circuits.ts";

const signal = (plus: string): Part => ({ kind: "ac-source", id: "in", plus, minus: "0", seriesOhms: ohms(0) });
/** 20 kHz wide to a part in 5e7, from where 1/f noise does not matter when there is none. */
const TWENTY_KILOHERTZ = { from: hertz(1e-3), to: hertz(20e3) };
const DENSITY_AT = { from: hertz(999), to: hertz(1000), perDecade: 1 };

function noiseOf(parts: readonly Part[], ask: Partial<NoiseAsk> = {}): Noise & { readonly gm: number } {
  const { circuit, bias } = ready(parts);
  const answer = solveNoise(circuit, bias, { source: "in", output: "out", hertz: DENSITY_AT, ...ask });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return { ...answer.value, gm: bias.triodes.get("V1")?.siemens ?? 0 };
}

/** A wanted value to half a unit of its last printed digit. */
function printed(got: number, wanted: string): void {
  const [mantissa = "", exponent = "0"] = wanted.split("e");
  const decimals = mantissa.split(".")[1]?.length ?? 0;
  const half = 0.5 * 10 ** (Number(exponent) - decimals);
  expect(Math.abs(got - Number(wanted)), `${got} for ${wanted}`).toBeLessThanOrEqual(half * (1 + 1e-6));
}

describe("Johnson noise of one resistor", () => {
  const one = (value: number, kelvin: number) =>
    noiseOf([signal("s"), resistor("R", "s", "out", value), resistor("leak", "out", "0", 1e15)], {
      kelvin,
      band: TWENTY_KILOHERTZ,
    });
  test("1 k at 300 K in 20 kHz: 0.5756 uV (the text: about 0.6 uV)", () => {
    const rms = one(1e3, 300).flat.output.voltsRms;
    printed(rms, "0.5756e-6");
    printed(rms, "0.6e-6");
  });
  test("1 k at 290 K: 4.0019 nV per root hertz", () => {
    printed(one(1e3, 290).density[1] ?? Number.NaN, "4.0019e-9");
  });
  test.each([
    [10e3, "1.7897e-6"],
    [68e3, "4.667e-6"],
  ])("%d ohms at 290 K in 20 kHz: %s V", (value, wanted) => {
    printed(one(value, 290).flat.output.voltsRms, wanted);
  });
});

/** A plate-loaded stage, its cathode held by a quiet sink and bypassed; capacitors so large that they are shorts. */
const stage = (law: TriodeLaw, milliamps: number, plateVolts: number, sourceOhms = 1e-6): Part[] => {
  const plateOhms = 68e3;
  return [
    signal("s"),
    resistor("Rs", "s", "g", sourceOhms),
    triode("V1", ["p", "g", "k"], law, [0, 0, 0]),
    resistor("Ra", "b", "p", plateOhms),
    { kind: "current-sink", id: "tail", from: "k", to: "0", amps: amps(milliamps * 1e-3), parallelOhms: ohms(100e3) },
    capacitor("Ck", "k", "0", 1e3),
    capacitor("Cc", "p", "out", 1e3),
    resistor("load", "out", "0", 1e9),
    supply("B", "b", plateVolts + milliamps * 1e-3 * plateOhms),
  ];
};
/** Constant mu and gm. */
const straight = (gm: number): TriodeLaw => ({
  space: { form: "three-halves", K: gm / 20, mu: 20, p: 1 },
  grid: NO_GRID,
});
const white = (kelvin = 290): Partial<NoiseAsk> => ({
  kelvin,
  band: TWENTY_KILOHERTZ,
  tubes: new Map([["V1", { flickerCornerHertz: hertz(0) }]]),
});
const tubeOf = (noise: Noise) => {
  const share = noise.shares.find((s) => s.cause === "tube");
  if (share === undefined) throw new Error("no tube");
  return share;
};

describe("a triode's 2.5/gm at 290 K, as a stage makes it", () => {
  test.each([
    [1.6e-3, "1562.5", "5.002e-9", "0.7074e-6", "-120.79"],
    [2.2e-3, "1136.4", "4.266e-9", "0.6033e-6", "-122.17"],
    [2.6e-3, "961.5", "3.924e-9", "0.5550e-6", "-122.90"],
    [12.5e-3, "200", "1.790e-9", "0.2531e-6", "-129.72"],
  ])("gm %d S: %s ohms, %s V per root hertz, %s V in 20 kHz, %s dBu", (gm, resistance, density, rms, level) => {
    const noise = noiseOf(stage(straight(gm), 2, 150), white());
    const tube = tubeOf(noise);
    printed(noise.tubes[0]?.equivalentOhms ?? Number.NaN, resistance);
    printed((tube.density[1] ?? Number.NaN) / (noise.gain[1] ?? Number.NaN), density);
    const input = tube.flatVoltsRms / noise.gainAtKilohertz;
    printed(input, rms);
    printed(dbu(input), level);
  });
});

describe("real tubes are worse", () => {
  test("6CG7 at 2 mS: theory as the text has it; the best sample needs a 1/f corner above 50 kHz", () => {
    const theory = noiseOf(stage(straight(2e-3), 5, 150), white(300));
    printed(theory.tubes[0]?.equivalentOhms ?? Number.NaN, "1250");
    const volts = tubeOf(theory).flatVoltsRms / theory.gainAtKilohertz;
    printed(volts, "0.6e-6");
    const measured = 3e-6;
    const corner = (((measured / volts) ** 2 - 1) * 19980) / Math.log(1000);
    expect(corner).toBeGreaterThan(50e3);
  });

  test("7025's published average, hum included, is two to four times the default model", () => {
    const noise = noiseOf(stage(straight(1.6e-3), 1.2, 250), { band: { from: hertz(25), to: hertz(10e3) } });
    const ratio = 1.8e-6 / (noise.flat.input?.voltsRms ?? Number.NaN);
    expect(ratio).toBeGreaterThan(2);
    expect(ratio).toBeLessThan(4);
  });
});

/**
 * Averages over several sections, referred to the input, 30 Hz to 8 kHz, with a source of 390 ohms whose own noise is in
 * the figure (the list's noise figures say so: 0.588 uV over the 0.227 uV of 390 ohms is the 8.3 dB printed). Rows as far as
 * read. The list gives the current; 150 V on the plate is ours, and matters little: gm at a given current hardly moves.
 * Type, mA, nV, then decibels by which the published average may lie above the default model; wide ones are misses, kept as such.
 */
const MEASURED: readonly (readonly [string, number, number, number, number])[] = [
  ["12AX7A", 1.45, 588, -1.5, 2.5],
  ["12AX7A", 1.45, 768, -1.5, 2.5],
  ["12AX7A", 1.45, 587, -1.5, 2.5],
  ["12AX7A", 1.45, 735, -1.5, 2.5],
  ["5751", 1.5, 583, -1.5, 2.5],
  ["12AT7", 1.95, 698, -1.5, 2.5],
  ["12AY7", 1.8, 725, -1.5, 2.5],
  ["6SL7GT", 1.65, 788, -1.5, 2.5],
  ["6SL7GT", 1.65, 709, -1.5, 2.5],
  // One maker's 12AT7, and frame grids: 1/f noise far above what a corner of 1 kHz allows.
  ["12AT7", 1.95, 1442, 7, 9],
  ["6922", 5.2, 825, 6, 8],
  ["6922", 5.2, 610, 3.5, 5.5],
];

describe("published averages against the default (2.5/gm, corner 1 kHz)", () => {
  const catalogue = openCatalogue();
  const predictedMicrovolts = (type: string, milliamps: number, corner?: number) => {
    const record = catalogue.law(type);
    if (record === undefined) throw new Error(`no law of ${type}`);
    const noise = noiseOf(stage(record.law, milliamps, 150, 390), {
      band: { from: hertz(30), to: hertz(8e3) },
      ...(corner === undefined ? {} : { tubes: new Map([["V1", { flickerCornerHertz: hertz(corner) }]]) }),
    });
    return (noise.flat.input?.voltsRms ?? Number.NaN) * 1e6;
  };

  test.each(MEASURED)("%s at %d mA, %d nV: between %d and %d dB above", (type, milliamps, nanovolts, low, high) => {
    const above = 20 * Math.log10(nanovolts / 1e3 / predictedMicrovolts(type, milliamps));
    expect(above).toBeGreaterThan(low);
    expect(above).toBeLessThan(high);
  });

  test("the 6922 averages ask for corners of 5 to 20 kHz", () => {
    expect(predictedMicrovolts("6922", 5.2, 5e3)).toBeLessThan(0.61);
    expect(predictedMicrovolts("6922", 5.2, 20e3)).toBeGreaterThan(0.825);
  });
});
