/** Any circuit of any parts: what the sparse solves say is what the whole tableau of its equations says. */
import { describe, expect, test } from "vitest";
import { GROUND } from "../circuit/parts.ts";
import { hertz } from "../units/quantities.ts";
import { injection, solveAdjoint, sourceTransfer } from "./adjoint.ts";
import type { Complex } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { controlsOf, portsOf } from "./network.ts";
import { solveNoise } from "./noise.ts";
import { type PortModel, portModel } from "./ports.ts";
import { solveImpedance, solveResponse } from "./response.ts";
import { apart, biasedCircuits, less, solveTableau, standing } from "./test-tableau.ts";

const CASES = biasedCircuits(80);

test("most of these wirings are circuits, with sources of every kind at rest and tubes that draw", () => {
  expect(CASES.length).toBeGreaterThan(40);
  const ideal = CASES.filter(({ circuit }) => circuit.sources.some((one) => one.id === "in" && one.ideal));
  expect(ideal.length).toBeGreaterThan(15);
  expect(ideal.length).toBeLessThan(CASES.length - 10);
  const drawing = CASES.filter(({ slopes }) => (slopes.get("V1")?.[0] ?? 0) > 1e-5);
  expect(drawing.length).toBeGreaterThan(5);
  expect(CASES.filter(({ slopes }) => (slopes.get("V1")?.[2] ?? 0) > 1e-6).length).toBeGreaterThan(3);
});

const value = <T>(result: { ok: true; value: T } | { ok: false; failure: unknown }): T => {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
};
test("effort of all their biases together, from rest and from the answer", () => {
  // Lower them when the method betters, never raise them to pass.
  const total = { steps: 0, factorings: 0, lawCalls: 0, again: 0 };
  for (const { circuit } of CASES) {
    const bias = value(solveBias(circuit));
    for (const name of ["steps", "factorings", "lawCalls"] as const) total[name] += bias.effort[name];
    total.again += value(solveBias(circuit, { start: bias.unknowns })).effort.steps;
  }
  expect(total.steps).toBeLessThanOrEqual(1565);
  expect(total.factorings).toBe(total.steps);
  expect(total.lawCalls).toBeLessThanOrEqual(4962);
  expect(total.again).toBe(0);
});

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
            nets.map((net) => less(wanted.get(net), rest)),
          ),
        ).toBeLessThan(1e-8);
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
      expect(apart(found, wanted)).toBeLessThan(1e-8);
    }
  });

  test("from everywhere to one output, read against another net", () => {
    const [output, against] = [nets[nets.length - 2] as string, nets[4] as string];
    const adjoint = value(solveAdjoint(circuit, bias, { output, against, hertz: FREQUENCIES.map(hertz) }));
    for (const [k, frequency] of FREQUENCIES.entries()) {
      const ask = { radiansPerSecond: 2 * Math.PI * frequency, slopes };
      const read = (volts: ReadonlyMap<string, Complex>) => less(volts.get(output), volts.get(against));
      const pushed = nets.map((back) => read(solveTableau(parts, { ...ask, drawn: [{ out: "0", back, amps: 1 }] })));
      expect(
        apart(
          nets.map((net) => injection(adjoint, k, GROUND, net)),
          pushed,
        ),
      ).toBeLessThan(1e-8);
      const driven = circuit.sources.map(({ id }) => read(solveTableau(parts, { ...ask, emf: new Map([[id, 1]]) })));
      expect(
        apart(
          circuit.sources.map(({ id }) => sourceTransfer(adjoint, k, id)),
          driven,
        ),
      ).toBeLessThan(1e-8);
    }
  });

  test("noise: 4kT of every resistance, tubes and grids, each through its own way to the output", () => {
    const output = nets[nets.length - 2] as string;
    const span = { from: hertz(100), to: hertz(10e3), perDecade: 1 };
    const noise = value(solveNoise(circuit, bias, { source: "in", output, hertz: span }));
    const kT = 1.380649e-23 * 300;
    for (const [k, frequency] of noise.hertz.entries()) {
      const ask = { radiansPerSecond: 2 * Math.PI * frequency, slopes };
      const powers = new Map<string, number>();
      const add = (name: string, out: string, back: string, density: number) => {
        const z = solveTableau(parts, { ...ask, drawn: [{ out, back, amps: 1 }] }).get(output) as Complex;
        powers.set(name, (powers.get(name) ?? 0) + (z.re * z.re + z.im * z.im) * density);
      };
      const thermal = (id: string, a: string, b: string, siemens: number) =>
        add(`${id} thermal`, a, b, 4 * kT * siemens);
      for (const part of parts) {
        const triode = bias.triodes.get(part.id);
        if (part.kind === "resistor") thermal(part.id, part.a, part.b, 1 / part.ohms);
        else if (part.kind === "inductor") {
          const [r, x] = [part.seriesOhms, 2 * Math.PI * frequency * part.henries];
          thermal(part.id, part.a, part.b, r / (r * r + x * x));
        } else if (part.kind === "potentiometer") {
          thermal(part.id, part.top, part.wiper, 1 / (part.ohms * (1 - part.fraction)));
          thermal(part.id, part.wiper, part.bottom, 1 / (part.ohms * part.fraction));
        } else if ((part.kind === "dc-source" || part.kind === "ac-source") && part.seriesOhms > 0)
          thermal(part.id, part.plus, part.minus, 1 / part.seriesOhms);
        else if (part.kind === "triode" && triode !== undefined) {
          if (triode.siemens > 0)
            add(`${part.id} tube`, part.plate, part.cathode, 4 * kT * 2.5 * triode.siemens * (1 + 1000 / frequency));
          if (triode.gridAmps !== 0)
            add(`${part.id} grid shot`, part.grid, part.cathode, 2 * 1.602176634e-19 * Math.abs(triode.gridAmps));
        }
      }
      const total = [...powers.values()].reduce((sum, power) => sum + power, 0);
      expect((noise.density[k] as number) ** 2 / 1e-18).toBeCloseTo(total / 1e-18, 6);
      for (const { part, cause, density } of noise.shares)
        expect(Math.abs((density[k] as number) ** 2 - (powers.get(`${part} ${cause}`) ?? Number.NaN))).toBeLessThan(
          1e-9 * total + 1e-40,
        );
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
      ...controls.map(([a, b]) => less(volts.get(a), volts.get(b))),
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
    expect(apart(still, seen(rest))).toBeLessThan(1e-8);
    for (let k = 0; k <= 3; k++) {
      const ask = { radiansPerSecond: 2 * Math.PI * 700 * k, slopes: kept };
      const driven = solveTableau(parts, { ...ask, emf: new Map([["in", k === 0 ? 0 : 1]]) });
      expect(apart(sourceOf(model, k), seen(driven))).toBeLessThan(1e-8);
      for (const [q, [out, back]] of ports.entries()) {
        const found = impedanceOf(model, k, q);
        if (flows[q] === false) {
          for (const { re, im } of found) expect([re, im]).toEqual([0, 0]);
          continue;
        }
        const wanted = seen(solveTableau(parts, { ...ask, drawn: [{ out, back, amps: -1 }] }));
        expect(apart(found, wanted)).toBeLessThan(1e-8);
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
