/** The channel that is timed: drive pot, gain triode, capacitor-coupled follower, B+ behind a dropper. 12 nodes. */
import { farads, type GridLaw, ohms, type Part, volts } from "@platewright/engine";

const SPACE = {
  form: "island",
  G: 1.2688e-3,
  mu: 20.825,
  p: 1.3705,
  k: 5.683,
  a: 0.2933,
  Vt: 0.1805,
  Vct: 0.226,
} as const;
const CONDUCTS: GridLaw = { form: "softplus", Gg: 5e-4, xi: 1.25, C: 11, Vg0: 0 };

export function channel(drive: number, gridA: boolean, gridB: boolean, cathodeOhms = 680): readonly Part[] {
  const R = (id: string, a: string, b: string, value: number): Part => ({
    kind: "resistor",
    id,
    a,
    b,
    ohms: ohms(value),
  });
  const C = (id: string, a: string, b: string, value: number): Part => ({
    kind: "capacitor",
    id,
    a,
    b,
    farads: farads(value),
  });
  const tube = (id: string, plate: string, grid: string, cathode: string, conducts: boolean): Part => ({
    kind: "triode",
    id,
    plate,
    grid,
    cathode,
    law: { space: SPACE, grid: conducts ? CONDUCTS : { form: "none" } },
    gridPlateFarads: farads(1.5e-12),
    gridCathodeFarads: farads(1.6e-12),
    plateCathodeFarads: farads(0.5e-12),
  });
  return [
    { kind: "ac-source", id: "signal", plus: "in", minus: "0", seriesOhms: ohms(100) },
    { kind: "potentiometer", id: "drive", top: "in", wiper: "w", bottom: "0", ohms: ohms(50e3), fraction: drive },
    R("stop", "w", "ga", 220),
    tube("a", "pa", "ga", "ka", gridA),
    R("Ra", "b", "pa", 15e3),
    R("Rk", "ka", "0", cathodeOhms),
    C("Ck", "ka", "0", 470e-6),
    C("Cc", "pa", "gb", 100e-9),
    R("Rg", "gb", "tap", 470e3),
    tube("b", "b", "gb", "kb", gridB),
    R("Rk1", "kb", "tap", 820),
    R("Rk2", "tap", "0", 8200),
    R("Ro", "kb", "o1", 100),
    C("Co", "o1", "out", 4.7e-6),
    R("level", "out", "0", 25e3),
    R("load", "out", "0", 10e3),
    C("cable", "out", "0", 1e-9),
    R("Rb", "hv", "b", 2200),
    C("Cb", "b", "0", 47e-6),
    { kind: "dc-source", id: "hv", plus: "hv", minus: "0", volts: volts(250), seriesOhms: ohms(0) },
  ];
}
