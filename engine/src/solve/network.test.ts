/** Any circuit of any parts: what the sparse solves say is what the whole tableau of its equations says. */
import { describe, expect, test } from "vitest";
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { hertz } from "../units/quantities.ts";
import type { Bias, Complex } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { controlsOf, portsOf, SLOPES } from "./network.ts";
import { type PortModel, portModel } from "./ports.ts";
import { solveImpedance, solveResponse } from "./response.ts";
import { anyCircuit, solveTableau } from "./test-tableau.ts";

interface Case {
  readonly seed: number;
  readonly parts: readonly Part[];
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly slopes: ReadonlyMap<string, readonly number[]>;
  readonly dc: ReadonlyMap<string, number>;
}

const TIGHT = { gridStepVolts: 2, plateStepVolts: 60, steps: 200, residualAmps: 1e-14, residualFraction: 1e-13 };

const CASES: readonly Case[] = Array.from({ length: 80 }, (_, seed) => seed + 1).flatMap((seed) => {
  const parts = anyCircuit(seed);
  const circuit = compile(parts);
  // A loop of ideal sources, or tubes that no rest suits: not every wiring is a circuit.
  if (!circuit.ok) return [];
  const bias = solveBias(circuit.value, { limits: TIGHT });
  if (!bias.ok) return [];
  const slopes = new Map(
    circuit.value.devices.map(({ id }, d) => [id, [...bias.value.slopes.subarray(SLOPES * d, SLOPES * d + SLOPES)]]),
  );
  const dc = new Map(parts.flatMap((part) => (part.kind === "dc-source" ? [[part.id, part.volts as number]] : [])));
  return [{ seed, parts, circuit: circuit.value, bias: bias.value, slopes, dc }];
});

test("most of these wirings are circuits, with sources of every kind at rest and tubes that draw", () => {
  expect(CASES.length).toBeGreaterThan(40);
  const ideal = CASES.filter(({ circuit }) => circuit.sources.some((one) => one.id === "in" && one.ideal));
  expect(ideal.length).toBeGreaterThan(15);
  expect(ideal.length).toBeLessThan(CASES.length - 10);
  const drawing = CASES.filter(({ slopes }) => (slopes.get("V1")?.[0] ?? 0) > 1e-5);
  expect(drawing.length).toBeGreaterThan(5);
  expect(CASES.filter(({ slopes }) => (slopes.get("V1")?.[2] ?? 0) > 1e-6).length).toBeGreaterThan(3);
});

/** Largest distance of two lists over the largest of the second. */
function apart(found: readonly Complex[], wanted: readonly Complex[]): number {
  expect(found.length).toBe(wanted.length);
  const size = Math.max(1e-6, ...wanted.map(({ re, im }) => Math.hypot(re, im)));
  return (
    Math.max(
      ...found.map(({ re, im }, i) =>
        Math.hypot(re - (wanted[i]?.re ?? Number.NaN), im - (wanted[i]?.im ?? Number.NaN)),
      ),
    ) / size
  );
}
const value = <T>(result: { ok: true; value: T } | { ok: false; failure: unknown }): T => {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
};
const minus = (a: Complex | undefined, b: Complex | undefined): Complex => ({
  re: (a?.re ?? Number.NaN) - (b?.re ?? Number.NaN),
  im: (a?.im ?? Number.NaN) - (b?.im ?? Number.NaN),
});
/** Amperes drawn beyond slope times volts by the devices that `which` names, at the bias. */
function standing({ circuit, bias, slopes }: Case, which: (id: string) => boolean) {
  const name = (net: number) => circuit.map.nets[net] as string;
  const at = (net: number) => bias.netVolts.get(name(net)) ?? Number.NaN;
  return circuit.devices.flatMap((device) => {
    if (!which(device.id)) return [];
    const [s0 = 0, s1 = 0, s2 = 0, s3 = 0] = slopes.get(device.id) ?? [];
    const out = new Float64Array(6);
    if (device.kind === "diode") {
      const v = at(device.anode) - at(device.cathode);
      device.evaluate(v, out);
      return [{ out: name(device.anode), back: name(device.cathode), amps: (out[0] as number) - s0 * v }];
    }
    const vg = at(device.grid) - at(device.cathode);
    const va = at(device.plate) - at(device.cathode);
    device.evaluate(vg, va, out);
    const back = name(device.cathode);
    return [
      { out: name(device.plate), back, amps: (out[0] as number) - s0 * vg - s1 * va },
      { out: name(device.grid), back, amps: (out[3] as number) - s2 * vg - s3 * va },
    ];
  });
}

const FREQUENCIES = [0.3, 50, 4000, 300e3];

describe.each(CASES)("circuit of seed $seed", (it) => {
  const { parts, circuit, bias, slopes, dc } = it;
  const nets = circuit.map.nets;

  test("the bias: all currents at all nets", () => {
    const wanted = solveTableau(parts, {
      radiansPerSecond: 0,
      emf: dc,
      sinks: true,
      slopes,
      drawn: standing(it, () => true),
    });
    const found = nets.map((net) => ({ re: bias.netVolts.get(net) ?? Number.NaN, im: 0 }));
    expect(
      apart(
        found,
        nets.map((net) => wanted.get(net) as Complex),
      ),
    ).toBeLessThan(1e-7);
  });

  test("the response at every net, to ground and to another", () => {
    for (const [f, frequency] of FREQUENCIES.entries()) {
      const wanted = solveTableau(parts, {
        radiansPerSecond: 2 * Math.PI * frequency,
        emf: new Map([["in", 1]]),
        slopes,
      });
      const against = nets[(3 * f + 1) % nets.length] as string;
      for (const reference of ["0", against]) {
        const found = nets.map((output) => {
          const ask = { source: "in", output, hertz: [hertz(frequency)] };
          const full = reference === "0" ? ask : { ...ask, against: reference };
          return value(solveResponse(circuit, bias, full)).transfer[0] as Complex;
        });
        const rest = wanted.get(reference);
        expect(
          apart(
            found,
            nets.map((net) => minus(wanted.get(net), rest)),
          ),
        ).toBeLessThan(1e-9);
      }
    }
  });

  test("the impedance at every net", () => {
    for (const frequency of FREQUENCIES) {
      const ask = { radiansPerSecond: 2 * Math.PI * frequency, slopes };
      const wanted = nets.map(
        (net) => solveTableau(parts, { ...ask, drawn: [{ out: "0", back: net, amps: 1 }] }).get(net) as Complex,
      );
      const found = nets.map(
        (net) => value(solveImpedance(circuit, bias, { net, hertz: [hertz(frequency)] }))[0] as Complex,
      );
      expect(apart(found, wanted)).toBeLessThan(1e-9);
    }
  });

  test.each([[[]], [["V1"]], [["D", "V2"]]])("as seen from its devices, %j linear", (linear) => {
    const model = value(
      portModel(circuit, { source: "in", hertz: hertz(700), harmonics: 3, observers: nets, linear, bias }),
    );
    const kept = new Map([...slopes].filter(([id]) => linear.includes(id)));
    const name = (net: number) => nets[net] as string;
    const controls = controlsOf(model.devices).map((one) => [name(one.plus), name(one.minus)] as const);
    const ports = portsOf(model.devices).map((one) => [name(one.out), name(one.back)] as const);
    const flows = model.devices.flatMap((one) => (one.kind === "triode" ? [true, one.conductsGrid] : [true]));
    const seen = (volts: ReadonlyMap<string, Complex>) => [
      ...controls.map(([a, b]) => minus(volts.get(a), volts.get(b))),
      ...nets.map((net) => volts.get(net) as Complex),
    ];
    const rest = solveTableau(parts, {
      radiansPerSecond: 0,
      emf: dc,
      sinks: true,
      slopes: kept,
      drawn: standing(it, (id) => linear.includes(id)),
    });
    const still = [...model.dcControl, ...model.observerDc].map((re) => ({ re, im: 0 }));
    expect(apart(still, seen(rest))).toBeLessThan(1e-9);
    for (let k = 0; k <= 3; k++) {
      const ask = { radiansPerSecond: 2 * Math.PI * 700 * k, slopes: kept };
      const driven = solveTableau(parts, { ...ask, emf: new Map([["in", k === 0 ? 0 : 1]]) });
      expect(apart(sourceOf(model, k), seen(driven))).toBeLessThan(1e-9);
      for (const [q, [out, back]] of ports.entries()) {
        const found = impedanceOf(model, k, q);
        if (flows[q] === false) {
          for (const { re, im } of found) expect([re, im]).toEqual([0, 0]);
          continue;
        }
        const wanted = seen(solveTableau(parts, { ...ask, drawn: [{ out, back, amps: -1 }] }));
        expect(apart(found, wanted)).toBeLessThan(1e-9);
      }
    }
  });
});

function sourceOf(model: PortModel, k: number): readonly Complex[] {
  const { controls: C, observers } = model;
  const O = observers.length;
  return [
    ...Array.from({ length: C }, (_, c) => ({
      re: model.sourceReal[k * C + c] as number,
      im: model.sourceImaginary[k * C + c] as number,
    })),
    ...Array.from({ length: O }, (_, o) => ({
      re: model.observerSourceReal[k * O + o] as number,
      im: model.observerSourceImaginary[k * O + o] as number,
    })),
  ];
}

function impedanceOf(model: PortModel, k: number, q: number): readonly Complex[] {
  const { controls: C, currents: Q, observers } = model;
  const O = observers.length;
  return [
    ...Array.from({ length: C }, (_, c) => ({
      re: model.impedanceReal[(k * C + c) * Q + q] as number,
      im: model.impedanceImaginary[(k * C + c) * Q + q] as number,
    })),
    ...Array.from({ length: O }, (_, o) => ({
      re: model.observerImpedanceReal[(k * O + o) * Q + q] as number,
      im: model.observerImpedanceImaginary[(k * O + o) * Q + q] as number,
    })),
  ];
}
