/** Noise against closed forms, the integration against exact integrals, and what must hold of any circuit. */
import { describe, expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import type { SpaceLaw } from "../tubes/law.ts";
import { amps, henries, type Hertz, hertz, ohms } from "../units/quantities.ts";
import { type Noise, type NoiseAsk, solveNoise } from "./noise.ts";
import { integrateBand } from "./noise-integral.ts";
import { BOLTZMANN, ELEMENTARY_CHARGE } from "./noise-sources.ts";
import { magnitude, solveResponse } from "./response.ts";
import { aWeightingPower } from "./weighting.ts";
import {
  capacitor,
  channel,
  GRID,
  KOREN_12AX7,
  NO_GRID,
  oneStage,
  ready,
  resistor,
  signal,
  supply,
  triode,
} from "./test-circuits.ts";

const FOUR_KT = 4 * BOLTZMANN * 300;
const AUDIO = { from: hertz(20), to: hertz(20e3), perDecade: 10 };
const span = (from: number, to: number) => ({ from: hertz(from), to: hertz(to) });

function noiseOf(parts: readonly Part[], ask: Partial<NoiseAsk> = {}): Noise {
  const { circuit, bias } = ready(parts);
  const answer = solveNoise(circuit, bias, { source: "in", output: "out", hertz: AUDIO, ...ask });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}

const of = (noise: Noise, part: string, cause = "thermal") => {
  const share = noise.shares.find((s) => s.part === part && s.cause === cause);
  if (share === undefined) throw new Error(`no ${cause} share of ${part}`);
  return share;
};

describe("the rule of integration", () => {
  const over = (density: (f: number) => number, from: number, to: number, panels = 200) => {
    const answer = integrateBand({ from, to, densities: 1, watched: 1, tolerance: 1e-9, panels }, (f, out) => {
      out[0] = density(f);
      return true;
    });
    if (answer === undefined) throw new Error("no integral");
    return answer;
  };

  test.each(Array.from({ length: 12 }, (_, i) => [2 * i]))("one panel is exact for (2 ln f)^%d / f", (m) => {
    const answer = over((f) => (2 * Math.log(f)) ** m / f, Math.exp(-0.5), Math.exp(0.5), 1);
    expect(answer.panels).toBe(1);
    expect(answer.evaluations).toBe(15);
    expect((answer.sums[0] ?? 0) * (m + 1)).toBeCloseTo(1, 13);
    // The 7-point rule is exact to degree 13 and no further: the error says so.
    const relative = (answer.errors[0] ?? 0) * (m + 1);
    if (m <= 12) expect(relative).toBeLessThan(1e-13);
    else expect(relative).toBeGreaterThan(1e-5);
  });

  test("a narrow resonance is found and halved down to; the error is not understated", () => {
    const [f0, q] = [150, 100];
    const lorentz = (f: number) => 1 / (1 + (2 * q * (f / f0 - 1)) ** 2);
    const exact = (f: number) => (f0 / (2 * q)) * Math.atan(2 * q * (f / f0 - 1));
    const answer = over(lorentz, 20, 20e3);
    const wanted = exact(20e3) - exact(20);
    expect(answer.withinTolerance).toBe(true);
    expect(answer.panels).toBeGreaterThan(6);
    expect(Math.abs((answer.sums[0] ?? 0) - wanted)).toBeLessThan(answer.errors[0] ?? 0);
    const cut = over(lorentz, 20, 20e3, 8);
    expect(cut.panels).toBe(8);
    expect(cut.withinTolerance).toBe(false);
  });
});

describe("resistors, capacitors, chokes", () => {
  test("two resistors are one: 4kT of what the output sees, shares as their conductances", () => {
    const noise = noiseOf([signal("in", "s"), resistor("R1", "s", "out", 10e3), resistor("R2", "out", "0", 2.2e3)]);
    const parallel = 1 / (1 / 10e3 + 1 / 2.2e3);
    for (const d of noise.density) expect(d / Math.sqrt(FOUR_KT * parallel)).toBeCloseTo(1, 12);
    expect(noise.flat.output.voltsRms / Math.sqrt(FOUR_KT * parallel * 19980)).toBeCloseTo(1, 9);
    expect(of(noise, "R1").flatFraction).toBeCloseTo(parallel / 10e3, 12);
    expect(of(noise, "R2").weightedFraction).toBeCloseTo(parallel / 2.2e3, 12);
    expect(noise.gainAtKilohertz).toBeCloseTo(2.2 / 12.2, 12);
    expect((noise.flat.input?.voltsRms ?? 0) * noise.gainAtKilohertz).toBeCloseTo(noise.flat.output.voltsRms, 15);
  });

  test("R across C over all frequencies: sqrt(kT/C), whatever R is", () => {
    for (const [r, c] of [
      [1e3, 1e-9],
      [1e6, 1e-9],
      [47e3, 22e-12],
    ] as const) {
      const corner = 1 / (2 * Math.PI * r * c);
      const parts = [signal("in", "s"), resistor("R", "s", "out", r), capacitor("C", "out", "0", c)];
      const noise = noiseOf(parts, { band: span(corner * 1e-8, corner * 1e8) });
      expect(Math.abs(noise.flat.output.voltsRms / Math.sqrt((BOLTZMANN * 300) / c) - 1)).toBeLessThan(1e-6);
    }
  });

  test.each([
    [20, 20e3],
    [100, 400],
    [1, 1e6],
  ])("R across C from %d to %d Hz: the arctangents", (from, to) => {
    const [r, c] = [100e3, 1e-9];
    const corner = 1 / (2 * Math.PI * r * c);
    const noise = noiseOf([signal("in", "s"), resistor("R", "s", "out", r), capacitor("C", "out", "0", c)], {
      band: span(from, to),
    });
    const wanted = Math.sqrt(FOUR_KT * r * corner * (Math.atan(to / corner) - Math.atan(from / corner)));
    const off = Math.abs(noise.flat.output.voltsRms / wanted - 1);
    expect(off).toBeLessThan(1e-9);
    expect(off).toBeLessThanOrEqual(noise.flat.errorFraction + 1e-12);
  });

  test("white noise 20 Hz to 20 kHz reads 2.048 dB lower A-weighted (integral of the standard's form)", () => {
    const noise = noiseOf([signal("in", "s"), resistor("R", "s", "out", 1e3), resistor("load", "out", "0", 1e3)]);
    expect(noise.flat.output.dbv - noise.weighted.output.dbv).toBeCloseTo(2.048, 3);
  });

  test("a choke is as noisy as the real part of its admittance (Nyquist), tuned by a capacitor", () => {
    const [r, l, c] = [180, 5, 1e-6];
    const parts: Part[] = [
      signal("in", "s"),
      { kind: "inductor", id: "L", a: "s", b: "out", henries: henries(l), seriesOhms: ohms(r) },
      capacitor("C", "out", "0", c),
    ];
    const noise = noiseOf(parts);
    for (const [k, f] of noise.hertz.entries()) {
      const w = 2 * Math.PI * f;
      // Re(Z) of (r + jwL) across 1/jwC.
      const real = r / ((1 - w * w * l * c) ** 2 + (w * r * c) ** 2);
      expect((noise.density[k] ?? 0) / Math.sqrt(FOUR_KT * real)).toBeCloseTo(1, 9);
    }
    expect(noise.outcome).toBe("settled");
  });

  test.each([0, 0.25, 0.5, 1])("a potentiometer at %d: both its parts, and the source's own resistance", (fraction) => {
    const noise = noiseOf([
      signal("in", "t", "0", 600),
      { kind: "potentiometer", id: "P", top: "t", wiper: "out", bottom: "0", ohms: ohms(50e3), fraction },
      resistor("leak", "out", "0", 1e15),
    ]);
    const lower = Math.max(1e-6, Math.min(1 - 1e-6, fraction)) * 50e3;
    const upper = 50e3 - lower + 600;
    const real = (lower * upper) / (lower + upper);
    expect((noise.density[0] ?? 0) / Math.sqrt(FOUR_KT * real)).toBeCloseTo(1, 9);
    expect(noise.shares.map((s) => s.part).toSorted()).toEqual(["P", "in", "leak"]);
  });

  for (let seed = 1; seed <= 15; seed++)
    test(`any passive network: 4kT of the real part of its impedance, whatever makes it (seed ${seed})`, () => {
      const random = seededRandom(seed);
      const log = (low: number, high: number) => low * (high / low) ** random.uniform();
      const nets = ["out", "b", "c", "d", "e"];
      const any = () => nets[random.below(5)] as string;
      const parts: Part[] = [signal("in", "s"), resistor("Rs", "s", any(), log(100, 1e5))];
      for (const net of nets)
        parts.push(resistor(`R${net}`, net, "0", log(1e3, 1e6)), capacitor(`C${net}`, net, "0", 1e-10));
      for (let i = 0; i < 6; i++) {
        const a = any();
        const b = nets[(nets.indexOf(a) + 1 + random.below(4)) % 5] as string;
        parts.push(i % 2 ? resistor(`R${i}`, a, b, log(100, 1e6)) : capacitor(`C${i}`, a, b, log(1e-10, 1e-5)));
      }
      parts.push({ kind: "inductor", id: "L", a: "b", b: "out", henries: henries(log(0.1, 10)), seriesOhms: ohms(90) });
      const { circuit, bias } = ready([...parts, signal("probe", "out", "0", 1e12)]);
      const noise = noiseOf(parts);
      // The probe's current is 1e-12 A per volt: what stands at the output is the impedance.
      const seen = solveResponse(circuit, bias, { source: "probe", output: "out", hertz: noise.hertz });
      if (!seen.ok) throw new Error(seen.failure.kind);
      for (const [k, z] of seen.value.transfer.entries())
        expect((noise.density[k] ?? 0) / Math.sqrt(FOUR_KT * z.re * 1e12)).toBeCloseTo(1, 6);
    });
});

/** A tube of constant slopes, and one grid current that does not vanish. */
const flat = (mu: number, rp: number): SpaceLaw => ({ form: "three-halves", K: 1 / rp, mu, p: 1 });
const NO_FLICKER = new Map([["V1", { flickerCornerHertz: hertz(0) }]]);

describe("one plate-loaded stage", () => {
  const [mu, rp, ra, rg] = [20, 10e3, 33e3, 470e3];
  const gm = mu / rp;
  const stage = (rs = 0): Part[] => [
    signal("in", "s"),
    ...(rs > 0 ? [resistor("Rs", "s", "g", rs)] : [resistor("Rs", "g", "s", 1e-3)]),
    triode("V1", ["p", "g", "k"], { space: flat(mu, rp), grid: NO_GRID }, [0, 0, 0]),
    resistor("Ra", "b", "p", ra),
    resistor("Rk", "k", "0", 820),
    capacitor("Ck", "k", "0", 1),
    capacitor("Cc", "p", "out", 1),
    resistor("load", "out", "0", rg),
    supply("B", "b", 250),
  ];
  const out = 1 / (1 / rp + 1 / ra + 1 / rg);

  test("closed form: plate resistor, load, tube and source resistance, cathode bypassed", () => {
    const rs = 68e3;
    const noise = noiseOf(stage(rs), { tubes: NO_FLICKER });
    const gain = gm * out;
    const density = FOUR_KT * (out * out * (1 / ra + 1 / rg) + gain * gain * (2.5 / gm + rs));
    for (const [k, d] of noise.density.entries()) {
      expect(d / Math.sqrt(density)).toBeCloseTo(1, 6);
      expect((noise.gain[k] ?? 0) / gain).toBeCloseTo(1, 6);
    }
    expect(of(noise, "V1", "tube").flatFraction).toBeCloseTo((FOUR_KT * gain * gain * 2.5) / gm / density, 5);
    expect(of(noise, "Rs").flatFraction).toBeCloseTo((FOUR_KT * gain * gain * rs) / density, 5);
    expect(noise.tubes).toEqual([
      { id: "V1", equivalentOhms: expect.closeTo(2.5 / gm, 9), flickerCornerHertz: 0, assumed: true },
    ]);
  });

  test("the tube's own noise referred to the grid is that of 2.5/gm, bypassed or not", () => {
    for (const parts of [stage(), stage().filter((part) => part.id !== "Ck")]) {
      const noise = noiseOf(parts, { tubes: NO_FLICKER });
      for (const [k, d] of of(noise, "V1", "tube").density.entries())
        expect(d / (noise.gain[k] ?? 0) / Math.sqrt((FOUR_KT * 2.5) / gm)).toBeCloseTo(1, 6);
    }
  });

  test("below the corner 3 dB per octave: the corner adds fc ln(f2/f1) to the bandwidth", () => {
    const corner = 700;
    const with1f = noiseOf(stage(), { tubes: new Map([["V1", { flickerCornerHertz: hertz(corner) }]]) });
    const white = noiseOf(stage(), { tubes: NO_FLICKER });
    const ratio = of(with1f, "V1", "tube").flatVoltsRms / of(white, "V1", "tube").flatVoltsRms;
    expect(ratio).toBeCloseTo(Math.sqrt(1 + (corner * Math.log(1000)) / 19980), 6);
    expect((of(with1f, "V1", "tube").density[0] ?? 0) / (of(white, "V1", "tube").density[0] ?? 0)).toBeCloseTo(
      Math.sqrt(1 + corner / 20),
      9,
    );
    expect(of(noiseOf(stage()), "V1", "tube").flatVoltsRms).toBeGreaterThan(of(with1f, "V1", "tube").flatVoltsRms);
  });

  test("grid current: 2q|ig| through what the grid sees", () => {
    const law = { space: KOREN_12AX7, grid: { ...GRID, Vg0: -1 } };
    const parts = oneStage(law).map((part) => (part.id === "in" ? signal("in", "s") : part));
    const { bias } = ready([...parts, resistor("Rg", "s", "g", 1e6)]);
    const noise = noiseOf([...parts, resistor("Rg", "s", "g", 1e6)], {
      hertz: { from: hertz(99.999), to: hertz(100), perDecade: 1 },
    });
    const ig = bias.triodes.get("V1")?.gridAmps ?? 0;
    expect(Math.abs(ig)).toBeGreaterThan(1e-9);
    // Both are currents into the grid (cathode bypassed): their ratio needs no transfer.
    const shot = of(noise, "V1", "grid shot").density[0] ?? 0;
    const thermal = of(noise, "Rg").density[0] ?? 0;
    expect((shot / thermal) ** 2 / ((2 * ELEMENTARY_CHARGE * ig) / (FOUR_KT / 1e6))).toBeCloseTo(1, 2);
  });
});

describe("what holds of any circuit", () => {
  test("shares add up; power is linear in temperature; input is output over gain (whole channel)", () => {
    const parts = channel({ drive: 0.4, gridA: GRID, gridB: GRID });
    const noise = noiseOf(parts);
    const sum = (of: (i: (typeof noise.shares)[number]) => number) => noise.shares.reduce((s, i) => s + of(i), 0);
    expect(sum((s) => s.flatFraction)).toBeCloseTo(1, 12);
    expect(sum((s) => s.weightedFraction)).toBeCloseTo(1, 12);
    for (const [k, d] of noise.density.entries()) expect(sum((s) => (s.density[k] ?? 0) ** 2)).toBeCloseTo(d * d, 25);
    for (const [i, s] of noise.shares.entries())
      if (i > 0) expect(s.flatFraction).toBeLessThanOrEqual(noise.shares[i - 1]?.flatFraction ?? 0);
    const hot = noiseOf(parts, { kelvin: 600 });
    for (const s of noise.shares) {
      const ratio = of(hot, s.part, s.cause).flatVoltsRms / s.flatVoltsRms;
      expect(ratio).toBeCloseTo(s.cause === "grid shot" ? 1 : Math.SQRT2, 9);
    }
    expect(noise.weighted.output.voltsRms).toBeLessThan(noise.flat.output.voltsRms);
    const { circuit, bias } = ready(parts);
    const response = solveResponse(circuit, bias, { source: "in", output: "out", hertz: noise.hertz });
    if (!response.ok) throw new Error(response.failure.kind);
    for (const [k, t] of response.value.transfer.entries())
      expect((noise.gain[k] ?? 0) / magnitude(t)).toBeCloseTo(1, 10);
  });

  test("a capacitor on an ideal source: the gain is that of the high-pass", () => {
    const noise = noiseOf([signal("in", "s"), capacitor("C", "s", "out", 100e-9), resistor("R", "out", "0", 10e3)]);
    const atKilohertz = 2 * Math.PI * 1000 * 1e-3;
    expect(noise.gainAtKilohertz).toBeCloseTo(atKilohertz / Math.hypot(1, atKilohertz), 12);
    for (const [k, f] of noise.hertz.entries()) {
      const x = 2 * Math.PI * f * 1e-3;
      expect((noise.gain[k] ?? 0) / (x / Math.hypot(1, x))).toBeCloseTo(1, 9);
    }
  });

  test("the level is that of the density: a fine trapezoid over the answer's own points", () => {
    const noise = noiseOf(channel(), { hertz: { ...AUDIO, perDecade: 300 } });
    let power = 0;
    for (let k = 1; k < noise.hertz.length; k++) {
      const [a, b] = [noise.hertz[k - 1], noise.hertz[k]] as [Hertz, Hertz];
      power += ((b - a) * ((noise.density[k - 1] ?? 0) ** 2 + (noise.density[k] ?? 0) ** 2)) / 2;
    }
    expect(Math.sqrt(power) / noise.flat.output.voltsRms).toBeCloseTo(1, 4);
  });

  test("the band adds up: 20 Hz to 500 Hz and from there to 20 kHz", () => {
    const whole = noiseOf(channel()).flat.output.voltsRms;
    const low = noiseOf(channel(), { band: span(20, 500) }).flat.output.voltsRms;
    const high = noiseOf(channel(), { band: span(500, 20e3) }).flat.output.voltsRms;
    expect(Math.hypot(low, high) / whole).toBeCloseTo(1, 7);
  });

  test("gain at a kilohertz is the response there, where it is not flat; input is output over it, in volts and dB", () => {
    const [r, c] = [20e3, 22e-9];
    const noise = noiseOf([signal("in", "s"), resistor("R", "s", "out", r), capacitor("C", "out", "0", c)]);
    const gain = 1 / Math.hypot(1, 2 * Math.PI * 1000 * r * c);
    expect(noise.gainAtKilohertz).toBeCloseTo(gain, 12);
    for (const { output, input } of [noise.flat, noise.weighted]) {
      expect((input?.voltsRms ?? 0) / (output.voltsRms / gain)).toBeCloseTo(1, 9);
      for (const level of [output, input]) expect(level?.dbv).toBeCloseTo(20 * Math.log10(level?.voltsRms ?? 0), 9);
    }
  });

  test("the error said is that of the rule over the band, flat and weighted, of volts", () => {
    const [r, c] = [100e3, 1e-9];
    const noise = noiseOf([signal("in", "s"), resistor("R", "s", "out", r), capacitor("C", "out", "0", c)]);
    const rule = integrateBand(
      { ...span(20, 20e3), densities: 2, watched: 2, tolerance: 1e-6, panels: 200 },
      (f, out) => {
        out[0] = (FOUR_KT * r) / (1 + (2 * Math.PI * f * r * c) ** 2);
        out[1] = out[0] * aWeightingPower(hertz(f));
        return true;
      },
    );
    for (const [d, total] of [noise.flat, noise.weighted].entries()) {
      const [sum, error] = [rule?.sums[d] ?? Number.NaN, rule?.errors[d] ?? Number.NaN];
      expect(error).toBeGreaterThan(1e-12 * sum);
      expect(total.output.voltsRms / Math.sqrt(sum)).toBeCloseTo(1, 9);
      expect(total.errorFraction / (error / sum / 2)).toBeCloseTo(1, 3);
    }
    expect(noise.effort.steps).toBe(rule?.panels);
    expect(noise.effort.residual).toBeCloseTo(noise.flat.errorFraction * noise.flat.output.voltsRms, 20);
    expect(noise.flat.errorFraction).not.toBe(noise.weighted.errorFraction);
  });

  test("shares are those of each part alone, flat and weighted", () => {
    const parts = channel({ drive: 0.4 });
    const noise = noiseOf(parts);
    const total = (of: (one: (typeof noise.shares)[number]) => number) =>
      noise.shares.reduce((sum, s) => sum + of(s), 0);
    expect(Math.sqrt(total((s) => s.flatVoltsRms ** 2)) / noise.flat.output.voltsRms).toBeCloseTo(1, 9);
    expect(Math.sqrt(total((s) => s.weightedVoltsRms ** 2)) / noise.weighted.output.voltsRms).toBeCloseTo(1, 9);
    for (const name of ["Ra", "load", "stopper"]) {
      const others = new Set(parts.map(({ id }) => id).filter((id) => id !== name));
      const alone = noiseOf(parts, { quiet: others });
      expect(alone.shares.map((s) => s.part)).toEqual([name]);
      // Their panels differ, each within its own tolerance.
      expect(alone.flat.output.voltsRms / of(noise, name).flatVoltsRms).toBeCloseTo(1, 5);
      expect(alone.weighted.output.voltsRms / of(noise, name).weightedVoltsRms).toBeCloseTo(1, 5);
      const share = (of(noise, name).flatVoltsRms / noise.flat.output.voltsRms) ** 2;
      expect(of(noise, name).flatFraction / share).toBeCloseTo(1, 9);
    }
  });

  test("a choke of half an ohm is a resistance all the same", () => {
    const noise = noiseOf([
      signal("in", "s"),
      { kind: "inductor", id: "L", a: "s", b: "out", henries: henries(1e-9), seriesOhms: ohms(0.5) },
      resistor("R", "out", "0", 10),
    ]);
    expect(of(noise, "L").flatFraction).toBeCloseTo(10 / 10.5, 5);
  });

  test("a quiet part makes no noise and changes no other", () => {
    const noise = noiseOf(channel());
    const without = noiseOf(channel(), { quiet: new Set(["Ra", "a"]) });
    expect(without.shares.some((s) => s.part === "Ra" || s.part === "a")).toBe(false);
    expect(of(without, "load").flatVoltsRms).toBe(of(noise, "load").flatVoltsRms);
  });
});

describe("sinks, junctions, silence", () => {
  const sinkParts: Part[] = [
    signal("in", "s"),
    resistor("Rs", "s", "out", 1e3),
    { kind: "current-sink", id: "I", from: "out", to: "0", amps: amps(1e-3), parallelOhms: ohms(1e5) },
  ];

  test("a sink is quiet, its resistance too, until its density is stated", () => {
    const r = 1e3 / 1.01;
    const quiet = noiseOf(sinkParts);
    expect(quiet.shares.map((s) => s.part)).toEqual(["Rs"]);
    expect((quiet.density[0] ?? 0) / Math.sqrt((FOUR_KT / 1e3) * r * r)).toBeCloseTo(1, 12);
    const stated = noiseOf(sinkParts, { sinks: new Map([["I", 1e-11]]) });
    expect((of(stated, "I", "stated").density[0] ?? 0) / (1e-11 * r)).toBeCloseTo(1, 12);
  });

  test("a junction that conducts: 2qI into its own slope, half the thermal noise of that slope at n = 1", () => {
    const nVt = (BOLTZMANN * 300) / ELEMENTARY_CHARGE;
    const noise = noiseOf(
      [
        signal("in", "s"),
        { kind: "diode", id: "D", anode: "out", cathode: "0", law: { form: "exponential", Is: 1e-12, nVt } },
        resistor("R", "b", "out", 100e3),
        resistor("Rin", "s", "out", 1e9),
        supply("B", "b", 100),
      ],
      { hertz: { from: hertz(100), to: hertz(1000), perDecade: 1 } },
    );
    const slope = nVt / 1e-3;
    expect((of(noise, "D", "shot").density[0] ?? 0) ** 2 / (FOUR_KT * slope)).toBeCloseTo(0.5, 2);
  });

  test("a tube that is cut off has no equivalent resistance and no share; the rest of the stage is heard", () => {
    const noise = noiseOf([
      signal("in", "s"),
      supply("bias", "g", -100),
      resistor("Rs", "s", "g", 1e3),
      triode("V1", ["out", "g", "0"], { space: flat(20, 10e3), grid: NO_GRID }),
      resistor("Ra", "b", "out", 47e3),
      supply("B", "b", 250),
    ]);
    expect(noise.tubes.map((tube) => tube.equivalentOhms)).toEqual([undefined]);
    expect(noise.shares.map((s) => s.part).toSorted()).toEqual(["Ra", "Rs"]);
    expect(noise.density[0]).toBeCloseTo(Math.sqrt(FOUR_KT * 47e3), 12);
    expect(of(noise, "Rs").flatFraction).toBe(0);
    expect(noise.flat.input).toBeUndefined();
  });

  test("an output that a source holds is silent: nothing is divided by nothing", () => {
    const noise = noiseOf(
      [signal("in", "s"), resistor("R", "s", "0", 1e3), signal("other", "out"), resistor("R2", "out", "0", 1e3)],
      {},
    );
    expect(noise.flat).toEqual({ output: { voltsRms: 0, dbv: -Infinity }, input: undefined, errorFraction: 0 });
    expect(noise.outcome).toBe("settled");
    expect(noise.shares.every((s) => s.flatFraction === 0)).toBe(true);
  });

  test("effort: one factoring per frequency; three decades of a smooth circuit take six panels", () => {
    const noise = noiseOf(sinkParts);
    expect(noise.effort).toEqual({ steps: 6, factorings: 31 + 1 + 90, lawCalls: 0, residual: expect.closeTo(0, 12) });
    expect(noiseOf(channel()).effort.steps).toBeLessThanOrEqual(6);
  });

  test("a share too small to count takes no panels, however sharp it is", () => {
    // A tank of Q 60 that a femtofarad joins to the output.
    const noise = noiseOf([
      { kind: "inductor", id: "L", a: "tank", b: "0", henries: henries(1), seriesOhms: ohms(100) },
      resistor("Rt", "tank", "0", 1e7),
      capacitor("Ct", "tank", "0", 27e-9),
      capacitor("Cj", "tank", "out", 1e-15),
      signal("in", "s"),
      resistor("R", "s", "out", 1e3),
    ]);
    expect(of(noise, "L").flatFraction).toBeGreaterThan(0);
    expect(of(noise, "L").flatFraction).toBeLessThan(1e-12);
    expect(noise.effort.steps).toBe(6);
  });
});

describe("what cannot be answered is named", () => {
  const { circuit, bias } = ready(channel());
  const good: NoiseAsk = { source: "in", output: "out", hertz: AUDIO };
  test.each<[string, Partial<NoiseAsk>, object]>([
    ["source", { source: "B" }, { kind: "unknown-name", name: "B" }],
    ["output", { output: "nowhere" }, { kind: "unknown-name", name: "nowhere" }],
    ["tube", { tubes: new Map([["Ra", {}]]) }, { kind: "unknown-name", name: "Ra" }],
    ["sink", { sinks: new Map([["Ra", 0]]) }, { kind: "unknown-name", name: "Ra" }],
    ["quiet part", { quiet: new Set(["R99"]) }, { kind: "unknown-name", name: "R99" }],
    ["kelvin", { kelvin: 0 }, { kind: "bad-value", field: "kelvin" }],
    ["kelvin not a number", { kelvin: Number.NaN }, { kind: "bad-value", field: "kelvin" }],
    ["band from zero", { band: span(0, 100) }, { kind: "bad-value", field: "band.from" }],
    ["band backwards", { band: span(100, 10) }, { kind: "bad-value", field: "band.to" }],
    ["no points", { hertz: { ...AUDIO, perDecade: 0 } }, { kind: "bad-value", field: "hertz.perDecade" }],
    ["endless", { hertz: { ...AUDIO, to: hertz(Infinity) } }, { kind: "bad-value", field: "hertz.to" }],
    [
      "factor below zero",
      { tubes: new Map([["a", { equivalentResistanceFactor: -1 }]]) },
      { kind: "bad-value", part: "a", field: "equivalentResistanceFactor" },
    ],
  ])("%s", (_, wrong, failure) => {
    expect(solveNoise(circuit, bias, { ...good, ...wrong })).toMatchObject({ ok: false, failure });
  });

  test("the answer has both ends of the asked frequencies", () => {
    const noise = noiseOf([signal("in", "s"), resistor("R", "s", "out", 1e3), capacitor("C", "out", "0", 1e-9)]);
    expect([noise.hertz[0], noise.hertz.at(-1), noise.hertz.length]).toEqual([20, 20e3, 31]);
  });
});
