import { expect, test } from "vitest";
import { editValues } from "../circuit/edit.ts";
import type { Part } from "../circuit/parts.ts";
import { compileTriode } from "../tubes/triode.ts";
import { hertz, volts } from "../units/quantities.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { type Memoryless, solveMemoryless } from "./memoryless.ts";
import { harmonicRatios, harmonicSigns } from "./spectrum.ts";
import { editSeen, type NetworkSeen, seeNetwork, type Terminal } from "./terminals.ts";
import { channel, GRID, oneStage, ready, resistor, triode, twoStages } from "./test-circuits.ts";

const AT = { source: "in", hertz: hertz(1000) } as const;

/** Plate and grid of every triode, then the output. */
function terminalsOf(parts: readonly Part[]): readonly Terminal[] {
  return [
    ...parts.flatMap((part) =>
      part.kind === "triode"
        ? [
            { plus: part.plate, minus: part.cathode },
            { plus: part.grid, minus: part.cathode },
          ]
        : [],
    ),
    { plus: "out", minus: "0" },
  ];
}

function seen(circuit: Parameters<typeof seeNetwork>[0], at: Parameters<typeof seeNetwork>[2]): NetworkSeen {
  const answer = seeNetwork(circuit, terminalsOf(circuit.parts), at);
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}

function open(parts: readonly Part[]): { problem: Memoryless } & ReturnType<typeof ready> {
  const { circuit, bias } = ready(parts);
  const dc = seen(circuit, "dc");
  const swing = seen(circuit, AT);
  const devices = circuit.devices.flatMap((device) => (device.kind === "triode" ? [device] : []));
  const Q = 2 * devices.length;
  const terminal = (c: number) => c ^ 1;
  const square = (from: NetworkSeen) =>
    Float64Array.from(
      { length: Q * Q },
      (_, i) => from.impedance[terminal(Math.floor(i / Q)) * (Q + 1) + (i % Q)] ?? 0,
    );
  const at = devices.map((device) => bias.triodes.get(device.id));
  return {
    circuit,
    bias,
    problem: {
      devices,
      volts: Float64Array.from(at.flatMap((one) => [one?.gridVolts ?? 0, one?.plateVolts ?? 0])),
      amps: Float64Array.from(at.flatMap((one) => [one?.plateAmps ?? 0, one?.gridAmps ?? 0])),
      direct: square(dc),
      alternating: square(swing),
      drive: Float64Array.from({ length: Q }, (_, c) => swing.open[terminal(c)] ?? 0),
      outputDrive: swing.open[Q] ?? 0,
      outputOhms: Float64Array.from({ length: Q }, (_, q) => swing.impedance[Q * (Q + 1) + q] ?? 0),
    },
  };
}

test("the network seen, with the bias currents drawn, leaves the bias volts", () => {
  const { circuit, bias, problem } = open(channel({ gridA: GRID, gridB: GRID }));
  const dc = seen(circuit, "dc");
  for (let c = 0; c < 4; c++) {
    let v = dc.open[c ^ 1] ?? 0;
    for (let q = 0; q < 4; q++) v -= (problem.direct[c * 4 + q] ?? 0) * (bias.unknowns[q] ?? 0);
    expect(v).toBeCloseTo(problem.volts[c] ?? Number.NaN, 6);
  }
});

test("resistors changed at their terminals are the network made anew", () => {
  const { circuit } = ready(channel());
  const terminals: readonly Terminal[] = [
    ...terminalsOf(circuit.parts),
    { plus: "b", minus: "pa" },
    { plus: "tap", minus: "0" },
  ];
  const made = (at: Parameters<typeof seeNetwork>[2], of = circuit) => {
    const answer = seeNetwork(of, terminals, at);
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    return answer.value;
  };
  const ohms = new Map([
    ["Ra", 33e3],
    ["Rk2", 4700],
  ]);
  const edits = [
    { terminal: 5, siemens: 1 / 33e3 - 1 / 15e3, amps: 0 },
    { terminal: 6, siemens: 1 / 4700 - 1 / 8200, amps: 0 },
  ];
  const edited = editSeen(made("dc"), edits);
  const anew = made("dc", editValues(circuit, { ohms }));
  if (edited === undefined) throw new Error("no network");
  for (const [i, z] of anew.impedance.entries()) expect(edited.impedance[i]).toBeCloseTo(z, 4);
  for (const [i, v] of anew.open.entries()) expect(edited.open[i]).toBeCloseTo(v, 8);
});

test("current that a source adds at a terminal moves the open volts by its impedance", () => {
  const { circuit } = ready(channel());
  const dc = seen(circuit, "dc");
  const moved = editSeen(dc, [{ terminal: 0, siemens: 0, amps: 1e-3 }]);
  for (let r = 0; r < dc.count; r++)
    expect(moved?.open[r]).toBeCloseTo((dc.open[r] ?? 0) + 1e-3 * (dc.impedance[r * dc.count] ?? 0), 9);
});

// Where the network turns no phases to speak of, the exact solve says the same.
test.each([
  [
    "one stage, bypassed",
    oneStage({
      space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 },
      grid: { form: "none" },
    }),
    0.5,
    0.01,
  ],
  [
    "one stage, cathode open",
    oneStage(
      { space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 }, grid: { form: "none" } },
      { bypass: false },
    ),
    1,
    0.01,
  ],
  ["two stages", twoStages(), 0.01, 0.05],
  ["gain stage and follower, clean", channel({ drive: 0.5 }), 1, 0.02],
  ["gain stage and follower, grid current", channel({ gridA: GRID, gridB: GRID }), 4, 0.1],
] as const)("%s: H2 as harmonic balance has it", (_, parts, level, decibels) => {
  const { circuit, bias, problem } = open(parts);
  const exact = solveHarmonics(harmonicProblem(circuit, bias, { ...AT, output: "out" }), {
    sourceVoltsPeak: volts(level * Math.SQRT2),
    harmonics: 48,
  });
  const quick = solveMemoryless(problem, level * Math.SQRT2);
  if (!exact.ok || quick === undefined) throw new Error("not settled");
  const ratio = harmonicRatios(exact.value.output)[0] ?? 0;
  expect(Math.sign(quick.second)).toBe(harmonicSigns(exact.value.output)[0]);
  expect(Math.abs(20 * Math.log10(Math.abs(quick.second) / ratio))).toBeLessThan(decibels);
  for (const [d, device] of problem.devices.entries()) {
    const id = circuit.devices[d]?.id ?? "";
    const cycle = exact.value.triodes.get(id);
    const size = cycle?.maximumPlateAmps ?? 0;
    expect(Math.abs((quick.triodes[d]?.minimumPlateAmps ?? 0) - (cycle?.minimumPlateAmps ?? 0)) / size).toBeLessThan(
      3e-3,
    );
    if (device.conductsGrid && (cycle?.meanGridAmps ?? 0) > 1e-9)
      expect((quick.triodes[d]?.meanGridAmps ?? 0) / (cycle?.meanGridAmps ?? 1)).toBeCloseTo(1, 1);
  }
});

test("without a signal it stands at its bias", () => {
  const { problem } = open(channel({ gridA: GRID, gridB: GRID }));
  const still = solveMemoryless(problem, 0);
  for (const [i, x] of still?.samples.entries() ?? [])
    expect(x).toBeCloseTo(problem.amps[Math.floor(i / 13)] ?? Number.NaN, 9);
});

test("a start near by and none at all lead to the same", () => {
  const { problem } = open(channel({ gridA: GRID, gridB: GRID }));
  const near = solveMemoryless(problem, 3);
  const warm = solveMemoryless(problem, 4, near?.samples);
  const cold = solveMemoryless(problem, 4);
  expect(warm?.second).toBeCloseTo(cold?.second ?? Number.NaN, 5);
});

test("a law that gives no number is not answered", () => {
  const space = { form: "three-halves", K: 1e-6, mu: 20, p: 1.5 } as const;
  const { problem } = open(oneStage({ space, grid: { form: "none" } }));
  const evaluate = compileTriode({ space: { ...space, K: Number.NaN }, grid: { form: "none" } });
  expect(solveMemoryless(problem, 1)).toBeDefined();
  expect(solveMemoryless({ ...problem, devices: [{ evaluate, conductsGrid: false }] }, 1)).toBeUndefined();
});

test("a net that is not there is named", () => {
  const { circuit } = ready([
    ...channel(),
    resistor("extra", "out", "0", 1e6),
    triode("c", ["b", "gb", "kb"], { space: { form: "three-halves", K: 0, mu: 1, p: 1.5 }, grid: { form: "none" } }),
  ]);
  expect(seeNetwork(circuit, [{ plus: "nowhere", minus: "0" }], "dc")).toEqual({
    ok: false,
    failure: { kind: "unknown-name", name: "nowhere" },
  });
  expect(seeNetwork(circuit, [{ plus: "out", minus: "0" }], { source: "B", hertz: hertz(1000) })).toEqual({
    ok: false,
    failure: { kind: "unknown-name", name: "B" },
  });
});
