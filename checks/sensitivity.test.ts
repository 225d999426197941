/**
 * Sensitivities against closed forms of the textbook stage, differentiated by hand.
 *
 * Sources Self-bias stage: i = f(-i Rk, E - i (Ra + Rk)) differentiated by hand (the textbook's stiffness 1 + gm Rk + (Ra + Rk)/rp).
 *         Gain of a loaded stage, corner of a coupling capacitor, output resistance: textbook small-signal circuits.
 *         H2 of a power law into a resistance: series expansion, as in harmonics-cases.test.ts.
 */
import {
  biasSensitivity,
  type BiasFigure,
  harmonicProblem,
  harmonicSensitivity,
  hertz,
  openHarmonicSensitivity,
  openSensitivity,
  type Part,
  type PartSensitivity,
  type ResponseFigure,
  type Result,
  responseSensitivity,
  solveHarmonics,
  type SpaceLaw,
  type TriodeBias,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { capacitor, KOREN_12AX7, NO_GRID, ready, resistor, signal, supply, triode } from "./harmonics-circuits.ts";

function value<T, F>(result: Result<T, F>): T {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
}

const DECIBELS = 20 / Math.LN10;

function asked(parts: readonly Part[]) {
  const { circuit, bias } = ready(parts);
  const open = value(openSensitivity(circuit, bias));
  const tube = bias.triodes.get("V1") as TriodeBias;
  return {
    circuit,
    bias,
    tube,
    ofBias: (figure: BiasFigure) => value(biasSensitivity(open, figure)).byPart,
    ofResponse: (figure: ResponseFigure) => value(responseSensitivity(open, figure)).byPart,
  };
}

const at = (by: ReadonlyMap<string, PartSensitivity>, part: string, name: keyof PartSensitivity): number =>
  by.get(part)?.[name] ?? Number.NaN;

/** Plate load, self-bias with its bypass, coupling capacitor large or small, load. */
const stage = (coupling = 1e-3, space: SpaceLaw = KOREN_12AX7): readonly Part[] => [
  signal("g"),
  triode("V1", ["p", "g", "k"], { space, grid: NO_GRID }),
  resistor("Ra", "b", "p", 100e3),
  resistor("Rk", "k", "0", 1500),
  capacitor("Ck", "k", "0", 1),
  capacitor("Cc", "p", "out", coupling),
  resistor("RL", "out", "0", 470e3),
  supply("B", "b", 300),
];

describe("the textbook stage", () => {
  const { tube, ofBias, ofResponse } = asked(stage());
  const [gm, rp, i] = [tube.siemens, tube.plateOhms, tube.plateAmps];

  test("self-bias: plate current against each resistor, the supply and the tube, to 1e-7", () => {
    const by = ofBias({ kind: "plate-amps", triode: "V1" });
    const stiff = 1 + gm * 1500 + 101.5e3 / rp;
    const wanted = [
      ["Rk", "ohms", (-(gm + 1 / rp) * i * 1500) / stiff],
      ["Ra", "ohms", (-i * 100e3) / rp / stiff],
      ["B", "volts", 300 / rp / stiff],
      ["V1", "G", i / stiff],
      // Contact volts stand in series with the grid.
      ["V1", "contactVolts", gm / stiff],
    ] as const;
    for (const [part, name, want] of wanted) expect(at(by, part, name) / want, `${part} ${name}`).toBeCloseTo(1, 6);
    expect(Math.abs(at(by, "RL", "ohms"))).toBe(0);
  });

  test("dissipation follows from current and volts", () => {
    const watts = ofBias({ kind: "plate-watts", triode: "V1" });
    const amps = ofBias({ kind: "plate-amps", triode: "V1" });
    const across = ofBias({ kind: "plate-volts", triode: "V1" });
    for (const [part, name] of [
      ["Rk", "ohms"],
      ["Ra", "ohms"],
      ["V1", "mu"],
    ] as const)
      expect(at(watts, part, name)).toBeCloseTo(
        at(amps, part, name) * tube.plateVolts + i * at(across, part, name),
        10,
      );
  });

  test("a load behind the capacitor moves no bias: gain and output impedance by hand, to 1e-5", () => {
    const gain = ofResponse({ kind: "response-decibels", source: "in", output: "out", hertz: hertz(1000) });
    const source = (100e3 * rp) / (100e3 + rp);
    expect(at(gain, "RL", "ohms") / ((DECIBELS * source) / (source + 470e3))).toBeCloseTo(1, 5);
    const impedance = ofResponse({ kind: "impedance-ohms", net: "out", hertz: hertz(1000) });
    const whole = 1 / (1 / source + 1 / 470e3);
    expect(at(impedance, "RL", "ohms") / (whole * (source / (source + 470e3)))).toBeCloseTo(1, 5);
  });

  test("corner of the coupling capacitor: 1/(1 + x^2) of a neper per neper, x = w C (source + load)", () => {
    const small = asked(stage(10e-9));
    const source = (100e3 * rp) / (100e3 + rp);
    for (const f of [5, 30, 200]) {
      const by = small.ofResponse({ kind: "response-decibels", source: "in", output: "out", hertz: hertz(f) });
      const x = 2 * Math.PI * f * 10e-9 * (source + 470e3);
      expect(at(by, "Cc", "farads") / (DECIBELS / (1 + x * x)), `${f} Hz`).toBeCloseTo(1, 4);
    }
  });
});

test("H2 of i = K (mu vg + va)^p into R at fixed bias, level small: the series differentiated by hand, to 1e-3", () => {
  const [K, mu, p, R] = [1e-5, 20, 1.5, 33e3];
  const parts = [
    signal("s", "c"),
    supply("C", "c", -6),
    resistor("Rs", "s", "g", 1),
    resistor("Rg", "g", "0", 1e9),
    triode("V1", ["out", "g", "0"], { space: { form: "three-halves", K, mu, p }, grid: NO_GRID }),
    resistor("R", "b", "out", R),
    supply("B", "b", 300),
  ];
  const { circuit, bias, tube } = asked(parts);
  const u = mu * tube.gridVolts + tube.plateVolts;
  const [f1, f2] = [p * K * u ** (p - 1), p * (p - 1) * K * u ** (p - 2)];
  const loop = 1 + R * f1;
  // H2 = V mu f''/(4 f' (1 + R f')^2), f''/f' = (p - 1)/u.
  const problem = harmonicProblem(circuit, bias, {
    source: "in",
    hertz: hertz(1000),
    output: "out",
    limits: { residualFraction: 1e-13 },
  });
  const peak = 0.02;
  const answer = value(solveHarmonics(problem, { sourceVoltsPeak: volts(peak) }));
  const found = value(
    harmonicSensitivity(value(openHarmonicSensitivity(problem, answer)), { kind: "harmonic-decibels", harmonic: 2 }),
  );
  expect(found.value).toBeCloseTo(20 * Math.log10((peak * mu * f2) / (4 * f1 * loop * loop)), 4);
  const along = (du: number, direct: number) => DECIBELS * (-du / u + direct - (2 * R * f2 * du) / loop);
  const wanted = [
    // Of R: u moves by -i R/(1 + R f'), and R f' with R.
    ["R", "ohms", along((-tube.plateAmps * R) / loop, (-2 * R * f1) / loop)],
    // Of the supply: u by E/(1 + R f').
    ["B", "volts", along(300 / loop, 0)],
    // Of G: u by -R i/(1 + R f'), and f' with G.
    ["V1", "G", along((-tube.plateAmps * R) / loop, (-2 * R * f1) / loop)],
    ["in", "level", DECIBELS],
  ] as const;
  for (const [part, name, want] of wanted)
    expect(at(found.byPart, part, name) / want, `${part} ${name}`).toBeCloseTo(1, 3);
});
