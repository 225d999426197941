/** Circuits and values for the tests of the solves; no part of the engine's interface. */
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import type { GridLaw, SpaceLaw, TriodeLaw } from "../tubes/law.ts";
import { farads, ohms, volts } from "../units/quantities.ts";
import type { Bias } from "./answers.ts";
import { solveBias } from "./bias.ts";

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

export const signal = (id: string, plus: string, minus = "0", seriesOhms = 0): Part => ({
  kind: "ac-source",
  id,
  plus,
  minus,
  seriesOhms: ohms(seriesOhms),
});

export function triode(
  id: string,
  [plate, grid, cathode]: readonly [string, string, string],
  law: TriodeLaw,
  [gridPlate, gridCathode, plateCathode]: readonly [number, number, number] = [1.7e-12, 1.6e-12, 0.5e-12],
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
/** A grid that conducts as the three specimens of Dempwolf and Zoelzer 2011 do, about their middle. */
export const GRID: GridLaw = { form: "softplus", Gg: 5e-4, xi: 1.25, C: 11, Vg0: 0 };

/** 12AX7 as published by Koren (Glass Audio 8(5), 1996). */
export const KOREN_12AX7: SpaceLaw = { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 };
/** A 12AU7A-like island law, values near a fit to one maker's sheet. */
export const ISLAND_12AU7: SpaceLaw = {
  form: "island",
  G: 1.2688e-3,
  mu: 20.825,
  p: 1.3705,
  k: 5.683,
  a: 0.2933,
  Vt: 0.1805,
  Vct: 0.226,
};

/**
 * One channel of a line stage: drive control (linear share `drive`), a plate-loaded stage, a follower with its leak at
 * a tap of the tail, output capacitor into 25k, 10k and 1 nF, supply through 2.2k and 47 uF. Source "in", output "out".
 */
export function channel(
  options: {
    readonly drive?: number;
    readonly gridA?: GridLaw;
    readonly gridB?: GridLaw;
    readonly space?: SpaceLaw;
  } = {},
): Part[] {
  const { drive = 1, gridA = NO_GRID, gridB = NO_GRID, space = ISLAND_12AU7 } = options;
  return [
    signal("in", "in", "0", 100),
    { kind: "potentiometer", id: "drive", top: "in", wiper: "w", bottom: "0", ohms: ohms(50e3), fraction: drive },
    resistor("stopper", "w", "ga", 220),
    triode("a", ["pa", "ga", "ka"], { space, grid: gridA }, [1.5e-12, 1.6e-12, 0.5e-12]),
    resistor("Ra", "b", "pa", 15e3),
    resistor("Rk", "ka", "0", 680),
    capacitor("Ck", "ka", "0", 470e-6),
    capacitor("Cc", "pa", "gb", 100e-9),
    resistor("Rg", "gb", "tap", 470e3),
    triode("b", ["b", "gb", "kb"], { space, grid: gridB }, [1.5e-12, 1.6e-12, 0.5e-12]),
    resistor("Rk1", "kb", "tap", 820),
    resistor("Rk2", "tap", "0", 8200),
    resistor("Ro", "kb", "o", 100),
    capacitor("Co", "o", "out", 4.7e-6),
    resistor("level", "out", "0", 25e3),
    resistor("load", "out", "0", 10e3),
    capacitor("cable", "out", "0", 1e-9),
    resistor("Rb", "hv", "b", 2200),
    capacitor("Cb", "b", "0", 47e-6),
    supply("B", "hv", 330),
  ];
}

/** Two equal plate-loaded stages of high-mu tubes; source "in", output "out". */
export function twoStages(law: TriodeLaw = { space: KOREN_12AX7, grid: NO_GRID }): Part[] {
  return [
    signal("in", "s"),
    resistor("Rs", "s", "g1", 68e3),
    resistor("Rg1", "g1", "0", 1e6),
    triode("V1", ["p1", "g1", "k1"], law),
    triode("V2", ["p2", "g2", "k2"], law),
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

/** One plate-loaded stage, cathode resistor bypassed or not; source "in", output "out". */
export function oneStage(
  law: TriodeLaw,
  options: { readonly bypass?: boolean; readonly plateOhms?: number } = {},
): Part[] {
  const { bypass = true, plateOhms = 47e3 } = options;
  return [
    signal("in", "g"),
    triode("V1", ["p", "g", "k"], law),
    resistor("Ra", "b", "p", plateOhms),
    resistor("Rk", "k", "0", 1200),
    ...(bypass ? [capacitor("Ck", "k", "0", 50e-6)] : []),
    capacitor("Cc", "p", "out", 100e-9),
    resistor("load", "out", "0", 470e3),
    supply("B", "b", 250),
  ];
}

/** Compiles parts and finds their bias; throws with the failure (tests only). */
export function ready(parts: readonly Part[]): { readonly circuit: CompiledCircuit; readonly bias: Bias } {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(JSON.stringify(circuit.failure));
  const bias = solveBias(circuit.value);
  if (!bias.ok) throw new Error(JSON.stringify(bias.failure));
  return { circuit: circuit.value, bias: bias.value };
}
