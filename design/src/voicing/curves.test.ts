import { readFileSync } from "node:fs";
import { compileTriode, ONSET_AMPS, seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { loadLineEnds, sectionGain, stageCurves, transferCurve } from "./curves.ts";
import {
  currentOf,
  dissipationLine,
  gridCurrentRegion,
  gridVoltsAt,
  plateCurves,
  publishedPoints,
  slopesAgainstCurrent,
} from "./plate-curves.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

function solvedOf(document = base): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels" });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}

const solved = solvedOf();

function stageOf(design: SolvedDesign, triode: string, withSwing = true) {
  const level = design.channels[0]?.levels.at(-1);
  const stage = stageCurves(design, triode, withSwing ? level : undefined);
  if (!stage.ok) throw new Error(stage.failure);
  return stage.value;
}

describe("load lines", () => {
  test("pass through the operating point with slope −1/R (seed 21: 12 stages)", () => {
    const random = seededRandom(21);
    for (let n = 0; n < 12; n++) {
      const load = 8e3 + 14e3 * random.uniform();
      const cathode = 300 + 900 * random.uniform();
      let document = setPart(base, ["L", "R"], "R3", { value: load.toFixed(0) });
      document = setPart(document, ["L", "R"], "R4", { value: cathode.toFixed(0) });
      const stage = stageOf(solvedOf(document), "L.V1a", false);
      for (const line of [stage.dc, stage.ac]) {
        expect((line.openVolts - stage.at.plateVolts) / stage.at.plateAmps).toBeCloseTo(line.ohms, 6);
        expect(line.openVolts / line.shortAmps).toBeCloseTo(line.ohms, 6);
        const ends = loadLineEnds(line, 400, 0.02);
        const slope =
          ((ends.plateAmps[1] as number) - (ends.plateAmps[0] as number)) /
          ((ends.plateVolts[1] as number) - (ends.plateVolts[0] as number));
        expect(slope * line.ohms).toBeCloseTo(-1, 9);
      }
      // In series at dc: plate load, cathode resistor, dropper and filter, and the source behind them.
      expect(stage.dc.ohms).toBeGreaterThan(load + cathode + 2200 * 0.8);
      expect(stage.dc.ohms).toBeLessThan(load + cathode + 2200 + 1000 + 2000);
      // At 1 kHz: plate load across the follower's grid leak, less what little the bootstrapped leak takes.
      expect(stage.ac.ohms).toBeGreaterThan(0.9 * load);
      expect(stage.ac.ohms).toBeLessThan(load * 1.001);
    }
  });

  test("the operating point lies on the law's curve of its grid volts", () => {
    const { at, law } = stageOf(solved, "L.V1a", false);
    expect(currentOf(law)(at.gridVolts, at.plateVolts)).toBeCloseTo(at.plateAmps, 9);
  });

  test("a section that is not there is refused in a sentence", () => {
    expect(stageCurves(solved, "L.V9")).toMatchObject({ ok: false, failure: expect.stringContaining("L.V9") });
  });
});

describe("swing", () => {
  test.each(["L.V1a", "L.V1b"])(
    "%s: every instant lies on the law, the mean and the extremes are the cycle's",
    (id) => {
      const level = solved.channels[0]?.levels.at(-1);
      const { swing, law } = stageOf(solved, id);
      const cycle = level?.answer.triodes.get(id);
      if (swing === undefined || cycle === undefined) throw new Error("no swing");
      const out = new Float64Array(6);
      const evaluate = compileTriode(law);
      swing.plateAmps.forEach((amps, n) => {
        evaluate(swing.gridVolts[n] as number, swing.plateVolts[n] as number, out);
        expect(Math.abs(amps - (out[0] as number))).toBeLessThan(1e-8);
      });
      const once = swing.plateAmps.slice(1);
      expect(once.reduce((sum, amps) => sum + amps, 0) / once.length).toBeCloseTo(cycle.meanPlateAmps, 10);
      // Samples of the solve are coarser than the instants here: a little inside the true extremes.
      const span = swing.highPlateVolts - swing.lowPlateVolts;
      expect(Math.abs(swing.highPlateVolts - cycle.peakPlateVolts)).toBeLessThan(0.03 * span);
      expect(Math.abs(swing.lowPlateVolts - cycle.minimumPlateVolts)).toBeLessThan(0.03 * span);
    },
  );

  test("follows the ac load line: no instant of the gain stage is farther off it than 1 % of the swing", () => {
    const { swing, ac, at } = stageOf(solved, "L.V1a");
    if (swing === undefined) throw new Error("no swing");
    const span = swing.highPlateVolts - swing.lowPlateVolts;
    const rest = swing.plateAmps.reduce((sum, amps) => sum + amps, 0) / swing.plateAmps.length;
    swing.plateVolts.forEach((v, n) => {
      const line = at.plateVolts - ac.ohms * ((swing.plateAmps[n] as number) - at.plateAmps);
      // The mean current moves with the level, along the dc line: allowed for.
      expect(Math.abs(v - line)).toBeLessThan(0.01 * span + Math.abs(rest - at.plateAmps) * 3 * ac.ohms);
    });
  });
});

describe("plate curves", () => {
  const law = catalogue.law("12BH7A")?.law;
  if (law === undefined) throw new Error("no law");

  test("fall with grid volts, rise with plate volts, stay in the picture", () => {
    const family = plateCurves({ law, upToPlateVolts: 320, upToPlateAmps: 0.02 });
    expect(family.length).toBeGreaterThanOrEqual(6);
    expect(family.length).toBeLessThanOrEqual(18);
    expect(family[0]?.gridVolts).toBe(0);
    for (const [n, { gridVolts, plateVolts, plateAmps }] of family.entries()) {
      if (n > 0) expect(gridVolts).toBeLessThan(family[n - 1]?.gridVolts ?? 0);
      expect(Math.max(...plateAmps)).toBeLessThanOrEqual(0.02 * (1 + 1e-9));
      expect(Math.max(...plateVolts)).toBeLessThanOrEqual(320);
      for (let i = 1; i < plateAmps.length; i++)
        expect(plateAmps[i]).toBeGreaterThanOrEqual((plateAmps[i - 1] as number) - 1e-15);
    }
  });

  test("every law of the library gives a family that can be read: 6 to 18 curves, none crossing another", () => {
    for (const type of catalogue.types) {
      const mine = catalogue.law(type)?.law;
      if (mine === undefined) continue;
      const upToPlateAmps = currentOf(mine)(0, 120);
      const family = plateCurves({ law: mine, upToPlateVolts: 300, upToPlateAmps });
      expect(family.length, type).toBeGreaterThanOrEqual(6);
      expect(family.length, type).toBeLessThanOrEqual(18);
      for (let n = 1; n < family.length; n++) {
        const [upper, lower] = [family[n - 1], family[n]] as const;
        for (const va of [30, 100, 200, 300])
          expect(currentOf(mine)(upper?.gridVolts ?? 0, va)).toBeGreaterThanOrEqual(
            currentOf(mine)(lower?.gridVolts ?? 0, va),
          );
      }
    }
  });

  test("dissipation: P = V I at every point, inside the picture", () => {
    const line = dissipationLine(3.5, 320, 0.02);
    line.plateVolts.forEach((v, n) => {
      expect(v * (line.plateAmps[n] as number)).toBeCloseTo(3.5, 12);
    });
    expect(line.plateAmps[0]).toBeCloseTo(0.02, 12);
    expect(line.plateVolts.at(-1)).toBeCloseTo(320, 9);
  });

  test("grid current: 0.3 uA at the region's grid volts; a law without it has no region", () => {
    const region = gridCurrentRegion(law, 110, 320, 0.02);
    const out = new Float64Array(6);
    compileTriode(law)(region?.gridVolts ?? Number.NaN, 110, out);
    expect((out[3] as number) / ONSET_AMPS).toBeCloseTo(1, 6);
    expect(gridCurrentRegion({ ...law, grid: { form: "none" } }, 110, 320, 0.02)).toBeUndefined();
  });

  test("grid volts for a current give that current, whatever they are sought from (seed 31: every law, 40 each)", () => {
    const random = seededRandom(31);
    for (const type of catalogue.types) {
      const mine = catalogue.law(type)?.law;
      if (mine === undefined) continue;
      const current = currentOf(mine);
      for (let n = 0; n < 40; n++) {
        const plateVolts = 20 + 400 * random.uniform();
        const amps = current(0, plateVolts) * 10 ** (-5 * random.uniform());
        const gridVolts = gridVoltsAt(mine, plateVolts, amps, -100 * random.uniform());
        expect(current(gridVolts ?? Number.NaN, plateVolts) / amps, type).toBeCloseTo(1, 9);
      }
      expect(gridVoltsAt(mine, 100, current(0, 100) * 1.001)).toBeUndefined();
    }
  });

  test("slopes against current: mu = gm rp, the operating point's own where the section stands", () => {
    const { at, law: mine } = stageOf(solved, "L.V1a", false);
    const rest = solved.bias.triodes.get("L.V1a");
    const slopes = slopesAgainstCurrent(mine, at.plateVolts, at.plateAmps * 2);
    slopes.mu.forEach((mu, n) => {
      expect(mu / ((slopes.siemens[n] as number) * (slopes.plateOhms[n] as number))).toBeCloseTo(1, 9);
    });
    // 120 steps up to twice the current: the 60th stands at the operating point.
    expect(slopes.plateAmps[59]).toBeCloseTo(at.plateAmps, 12);
    expect((slopes.mu[59] as number) / (rest?.mu ?? 0)).toBeCloseTo(1, 6);
    expect((slopes.siemens[59] as number) / (rest?.siemens ?? 0)).toBeCloseTo(1, 6);
  });

  test("published points: each with its source, and the law's miss there is what the two currents say", () => {
    const record = catalogue.tube("5687");
    const mine = catalogue.law("5687")?.law;
    if (record === undefined || mine === undefined) throw new Error("no 5687");
    const points = publishedPoints(record, mine);
    expect(points.length).toBeGreaterThan(0);
    for (const point of points) {
      expect(catalogue.source(point.source)).toBeDefined();
      expect(point.lawAmps / point.plateAmps - 1).toBeCloseTo(point.lawHigherBy, 12);
    }
  });
});

describe("gain", () => {
  test("to the plate it is mu Z / (rp + Z) of the section with its cathode bypassed; a follower's is a little below one", () => {
    const { ac } = stageOf(solved, "L.V1a", false);
    const rest = solved.bias.triodes.get("L.V1a");
    if (rest === undefined) throw new Error("no V1a");
    const [gain, follower] = ["L.V1a", "L.V1b"].map((id) => sectionGain(solved, id));
    if (gain?.ok !== true || follower?.ok !== true) throw new Error("no gain");
    // Drive is fully up; the grid stopper and the bypass capacitor take next to nothing at 1 kHz.
    expect(gain.value / ((rest.mu * ac.ohms) / (rest.plateOhms + ac.ohms))).toBeCloseTo(1, 2);
    expect(follower.value / gain.value).toBeGreaterThan(0.8);
    expect(follower.value / gain.value).toBeLessThan(1);
    expect(sectionGain(solved, "L.V9").ok).toBe(false);
  });
});

describe("transfer", () => {
  test("both curves rise and pass through the operating point; the loaded one is flatter there", () => {
    const stage = stageOf(solved, "L.V1a", false);
    const { gridVolts, staticAmps, loadedAmps } = transferCurve(stage, 400);
    for (let n = 1; n < gridVolts.length; n++) {
      expect(staticAmps[n]).toBeGreaterThanOrEqual(staticAmps[n - 1] as number);
      expect(loadedAmps[n]).toBeGreaterThanOrEqual(loadedAmps[n - 1] as number);
    }
    const at = gridVolts.findIndex((vg) => vg >= stage.at.gridVolts);
    const share =
      (stage.at.gridVolts - (gridVolts[at - 1] as number)) /
      ((gridVolts[at] as number) - (gridVolts[at - 1] as number));
    const through = (y: readonly number[]) =>
      (y[at - 1] as number) + share * ((y[at] as number) - (y[at - 1] as number));
    expect(through(staticAmps) / stage.at.plateAmps).toBeCloseTo(1, 3);
    expect(through(loadedAmps) / stage.at.plateAmps).toBeCloseTo(1, 3);
    const slope = (y: readonly number[]) => (y[at] as number) - (y[at - 1] as number);
    const rest = solved.bias.triodes.get("L.V1a");
    const expected = (rest?.plateOhms ?? 0) / ((rest?.plateOhms ?? 0) + stage.ac.ohms);
    expect(slope(loadedAmps) / slope(staticAmps) / expected).toBeCloseTo(1, 2);
  });
});
