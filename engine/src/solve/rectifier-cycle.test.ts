/** Waveform, ripple lines, heat and balance of a settled rectifier, over random problems of every circuit and law. */
import { describe, expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import { siliconLaw } from "../tubes/diode.ts";
import { bridgePath, dropVolts, lawElements } from "../tubes/diode-series.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import { GROUND } from "../circuit/parts.ts";
import { ohms, volts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import { ready } from "./test-circuits.ts";
import { rectifierCycle, rippleLines } from "./rectifier-cycle.ts";
import { type RectifierCircuit, type RectifierProblem, solveRectifier } from "./rectifier.ts";

type Uniform = () => number;
const uniformFrom = (seed: number): Uniform => {
  const source = seededRandom(seed);
  return () => source.uniform();
};

const TUBE: RectifierLaw = { form: "power", K: 7.433e-4, p: 1.4878 };
const LAWS: readonly RectifierLaw[] = [
  TUBE,
  { form: "ideal" },
  siliconLaw(),
  { form: "series", laws: [TUBE, siliconLaw()] },
];
const CIRCUITS: readonly RectifierCircuit[] = ["full-wave", "half-wave", "bridge"];

function randomProblem(random: Uniform): RectifierProblem {
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)] as T;
  const circuit = pick(CIRCUITS);
  const one = pick(LAWS);
  const load = 0.002 * 40 ** random();
  const rmsVolts = 60 + 340 * random();
  return {
    rmsVolts,
    hertz: random() < 0.5 ? 50 : 60,
    seriesOhms: random() < 0.1 ? 0 : 10 * 60 ** random(),
    firstFarads: 10e-6 * 20 ** random(),
    circuit,
    law: circuit === "bridge" ? bridgePath(one, pick(LAWS)) : one,
    load: random() < 0.5 ? { amps: load } : { ohms: (1.2 * rmsVolts) / load },
  };
}

const solved: readonly (readonly [RectifierProblem, RectifierAnswer])[] = (() => {
  const random = uniformFrom(21);
  const list: (readonly [RectifierProblem, RectifierAnswer])[] = [];
  while (list.length < 300) {
    const problem = randomProblem(random);
    const answer = solveRectifier(problem);
    // Some are too heavy for their capacitor or resistance: those are named, not counted.
    if (answer.ok) list.push([problem, answer.value]);
  }
  return list;
})();

describe("balance (seed 21, 300 problems of every circuit and law)", () => {
  test("the winding gives what becomes heat and what the load takes, to 0.1 %", () => {
    for (const [problem, { balance }] of solved) {
      const { windingWatts, heatWatts, loadWatts } = balance;
      expect(Math.abs((heatWatts + loadWatts) / windingWatts - 1), JSON.stringify(problem)).toBeLessThan(1e-3);
      expect(loadWatts).toBeGreaterThan(0);
    }
  });

  test("the first capacitor carries no mean current", () => {
    for (const [problem, { balance, dcVolts }] of solved) {
      const load = "amps" in problem.load ? problem.load.amps : dcVolts / problem.load.ohms;
      expect(Math.abs(balance.capacitorMeanAmps)).toBeLessThan(1e-6 * load);
    }
  });

  test("heat by element adds up, and series and path heat to the whole", () => {
    for (const [problem, answer] of solved) {
      expect(answer.elementWatts).toHaveLength(lawElements(problem.law).length);
      expect(answer.elementWatts.reduce((sum, one) => sum + one, 0)).toBeCloseTo(answer.rectifierWatts, 12);
      const paths = problem.circuit === "half-wave" ? 1 : 2;
      const windings = problem.circuit === "full-wave" ? 2 : 1;
      expect(paths * answer.rectifierWatts + windings * answer.seriesWatts).toBeCloseTo(answer.balance.heatWatts, 12);
    }
  });
});

describe("one mains cycle in samples", () => {
  const some = solved.filter((_, n) => n % 6 === 0);
  const COUNT = 6000;
  const mean = (list: Float64Array, of: (x: number) => number = (x) => x) =>
    list.reduce((sum, x) => sum + of(x), 0) / list.length;

  test("means, rms, peaks and heat of the samples are those of the answer", () => {
    for (const [problem, answer] of some) {
      const cycle = rectifierCycle(problem, answer, COUNT);
      const says = JSON.stringify(problem);
      const [first] = cycle.plateAmps as [Float64Array];
      // An ideal switch without resistance jumps: its samples are as good as their spacing.
      const near = problem.seriesOhms === 0 ? 3e-2 : 1e-3;
      const within = (got: number, wanted: number, tolerance = near) =>
        expect(Math.abs(got - wanted), says).toBeLessThanOrEqual(tolerance * Math.abs(wanted) + 1e-9);
      within(mean(cycle.firstCapacitorVolts), answer.dcVolts, 1e-5);
      within(
        Math.max(...cycle.firstCapacitorVolts) - Math.min(...cycle.firstCapacitorVolts),
        answer.ripplePeakToPeakVolts,
        2e-3,
      );
      within(Math.sqrt(mean(first, (i) => i * i)), answer.plateRmsAmps);
      within(Math.max(...first), answer.platePeakAmps, 1e-2);
      within(Math.sqrt(mean(cycle.windingAmps, (i) => i * i)), answer.windingRmsAmps);
      within(
        mean(first, (i) => i * dropVolts(problem.law, i)),
        answer.rectifierWatts,
      );
      within(
        mean(first, (i) => i * i) * problem.seriesOhms * (problem.circuit === "bridge" ? 2 : 1),
        answer.seriesWatts,
      );
      // Ripple current: all plates together less the load.
      const flow = Float64Array.from(first, (_, n) => {
        const v = cycle.firstCapacitorVolts[n] as number;
        const load = "amps" in problem.load ? problem.load.amps : v / problem.load.ohms;
        return cycle.plateAmps.reduce((sum, plate) => sum + (plate[n] as number), 0) - load;
      });
      within(Math.sqrt(mean(flow, (i) => i * i)), answer.capacitorRmsAmps);
    }
  });

  test("samples are equally spaced over one mains cycle, and a pulse or two lie in it", () => {
    for (const [problem, answer] of some.slice(0, 12)) {
      const cycle = rectifierCycle(problem, answer, COUNT);
      for (const n of [0, 1, 700, COUNT - 1]) expect(cycle.seconds[n]).toBeCloseTo(n / COUNT / problem.hertz, 12);
      for (const plate of cycle.plateAmps) {
        const starts = plate.filter((i, n) => i > 0 && !((plate[(n + COUNT - 1) % COUNT] as number) > 0));
        expect(starts.length).toBe(1);
        // Peaks of the samples and of the answer: no sample lies far from the crest.
        if (problem.seriesOhms > 0) expect(Math.max(...plate) / answer.platePeakAmps).toBeCloseTo(1, 4);
      }
    }
  });

  test("the lines are the Fourier sums of the samples", () => {
    for (const [problem, answer] of some) {
      const cycle = rectifierCycle(problem, answer, COUNT);
      for (const line of rippleLines(problem, answer)) {
        let [real, imaginary] = [0, 0];
        for (const [n, v] of cycle.firstCapacitorVolts.entries()) {
          const angle = 2 * Math.PI * line.hertz * (cycle.seconds[n] as number);
          real += (2 / COUNT) * v * Math.cos(angle);
          imaginary -= (2 / COUNT) * v * Math.sin(angle);
        }
        const apart = Math.hypot(real - line.real, imaginary - line.imaginary);
        expect(apart, JSON.stringify(problem)).toBeLessThan(2e-4 * answer.ripplePeakToPeakVolts);
      }
    }
  });

  test.each(CIRCUITS)(
    "ideal, no resistance, %s: on the winding while it conducts, with the current that takes",
    (circuit) => {
      for (const load of [{ amps: 0.05 }, { ohms: 4000 }]) {
        const law: RectifierLaw = { form: "ideal" };
        const problem = { rmsVolts: 200, hertz: 50, seriesOhms: 0, firstFarads: 33e-6, circuit, law, load };
        const answer = solveRectifier(problem);
        if (!answer.ok) throw new Error(answer.failure.kind);
        const cycle = rectifierCycle(problem, answer.value, COUNT);
        let conducting = 0;
        for (const [n, t] of cycle.seconds.entries()) {
          const [angle, v] = [2 * Math.PI * 50 * t, cycle.firstCapacitorVolts[n] as number];
          const e = 200 * Math.SQRT2 * Math.sin(angle);
          const highest = circuit === "half-wave" ? e : Math.abs(e);
          expect(v).toBeGreaterThan(highest - 1e-9);
          const plates = cycle.plateAmps.reduce((sum, plate) => sum + (plate[n] as number), 0);
          if (plates === 0) continue;
          conducting++;
          expect(v).toBeCloseTo(highest, 9);
          const rising = 200 * Math.SQRT2 * 2 * Math.PI * 50 * Math.cos(angle) * Math.sign(e);
          expect(plates).toBeCloseTo(33e-6 * rising + ("amps" in load ? load.amps : v / load.ohms), 9);
        }
        const pulses = circuit === "half-wave" ? 1 : 2;
        expect((conducting / COUNT) * 360).toBeCloseTo(pulses * answer.value.conductionDegrees, 0);
      }
    },
  );

  test("full-wave has no line at the mains frequency, half-wave has", () => {
    for (const [problem, answer] of some) {
      const [first] = rippleLines(problem, answer, 1);
      expect(first?.hertz).toBe(problem.circuit === "half-wave" ? problem.hertz : 2 * problem.hertz);
    }
  });

  test("without a load the capacitor stands at the peak and nothing flows", () => {
    for (const circuit of CIRCUITS) {
      const problem: RectifierProblem = {
        rmsVolts: 300,
        hertz: 50,
        seriesOhms: 215,
        firstFarads: 50e-6,
        circuit,
        law: TUBE,
        load: { amps: 0 },
      };
      const answer = solveRectifier(problem);
      if (!answer.ok) throw new Error(answer.failure.kind);
      const cycle = rectifierCycle(problem, answer.value, 100);
      expect(mean(cycle.firstCapacitorVolts)).toBeCloseTo(300 * Math.SQRT2, 9);
      expect(Math.max(...cycle.windingAmps)).toBe(0);
      const { elementWatts, balance, dcVolts } = answer.value;
      expect(dcVolts).toBeCloseTo(300 * Math.SQRT2, 9);
      for (const name of [
        "ripplePeakToPeakVolts",
        "platePeakAmps",
        "plateRmsAmps",
        "windingRmsAmps",
        "capacitorRmsAmps",
        "rectifierWatts",
        "seriesWatts",
        "conductionDegrees",
      ] as const)
        expect(answer.value[name], name).toBe(0);
      expect([...elementWatts]).toEqual([0]);
      expect(Object.values(balance)).toEqual([0, 0, 0, 0]);
      // The source resistance there is the slope of a trickle, large and negative.
      expect(answer.value.slopeOhms).toBeLessThan(-215);
      expect(solveRectifier({ ...problem, load: { amps: 1e-5 } })).toMatchObject({
        ok: true,
        value: { slopeOhms: answer.value.slopeOhms },
      });
      expect(rippleLines(problem, answer.value).every((line) => line.real === 0 && line.imaginary === 0)).toBe(true);
      expect(answer.value.peakInverseVolts).toBeCloseTo((circuit === "bridge" ? 1 : 2) * 300 * Math.SQRT2, 9);
    }
  });
});

test("the compiled circuit's diode takes drops in series: 300 V, 10 k, a tube and silicon", () => {
  const law: RectifierLaw = { form: "series", laws: [TUBE, siliconLaw()] };
  const { bias } = ready([
    { kind: "dc-source", id: "B", plus: "b", minus: GROUND, volts: volts(300), seriesOhms: ohms(0) },
    { kind: "resistor", id: "R", a: "b", b: "a", ohms: ohms(10_000) },
    { kind: "diode", id: "D", anode: "a", cathode: GROUND, law },
  ]);
  const drop = bias.netVolts.get("a") ?? Number.NaN;
  expect(dropVolts(law, (300 - drop) / 10_000)).toBeCloseTo(drop, 6);
});

describe("bridge", () => {
  const base = { rmsVolts: 250, hertz: 50, seriesOhms: 60, firstFarads: 47e-6, load: { amps: 0.06 } } as const;
  const at = (circuit: RectifierCircuit, law: RectifierLaw) => {
    const answer = solveRectifier({ ...base, circuit, law });
    if (!answer.ok) throw new Error(answer.failure.kind);
    return answer.value;
  };

  test("is a centre tap of the same volts and path, but for copper, inverse volts and which resistance is heated", () => {
    const path = bridgePath(siliconLaw());
    const [bridge, tapped] = [at("bridge", path), at("full-wave", path)];
    expect(bridge.dcVolts).toBeCloseTo(tapped.dcVolts, 9);
    expect(bridge.plateRmsAmps).toBeCloseTo(tapped.plateRmsAmps, 12);
    expect(bridge.windingRmsAmps / tapped.windingRmsAmps).toBeCloseTo(Math.SQRT2, 12);
    expect(bridge.seriesWatts / tapped.seriesWatts).toBeCloseTo(2, 9);
    expect(bridge.balance.heatWatts).toBeCloseTo(tapped.balance.heatWatts, 12);
    expect(bridge.peakInverseVolts).toBeCloseTo(250 * Math.SQRT2, 9);
    expect(tapped.peakInverseVolts / (250 * Math.SQRT2)).toBeGreaterThan(1.9);
  });

  test("a hybrid lies between silicon and tubes, and the tube makes the heat", () => {
    const [silicon, hybrid, tubes] = [
      at("bridge", bridgePath(siliconLaw())),
      at("bridge", { form: "series", laws: [TUBE, siliconLaw()] }),
      at("bridge", bridgePath(TUBE)),
    ];
    expect(silicon.dcVolts).toBeGreaterThan(hybrid.dcVolts);
    expect(hybrid.dcVolts).toBeGreaterThan(tubes.dcVolts);
    const [tube = 0, junction = 0] = hybrid.elementWatts;
    expect(tube).toBeGreaterThan(20 * junction);
  });

  test("silicon in the plate lead of a tube costs less than a volt or so", () => {
    const lost =
      at("full-wave", TUBE).dcVolts - at("full-wave", { form: "series", laws: [TUBE, siliconLaw()] }).dcVolts;
    expect(lost).toBeGreaterThan(0.5);
    expect(lost).toBeLessThan(1.1);
  });
});
