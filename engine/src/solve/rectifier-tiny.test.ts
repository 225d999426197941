import { expect, test } from "vitest";
import { siliconLaw } from "../tubes/diode.ts";
import { type RectifierProblem, solveRectifier } from "./rectifier.ts";

const problem = (over: Partial<RectifierProblem>): RectifierProblem => ({
  circuit: "full-wave",
  law: siliconLaw(),
  rmsVolts: 230,
  hertz: 50,
  seriesOhms: 250,
  firstFarads: 1e-12,
  load: { amps: 0.03 },
  ...over,
});

test("a capacitor of picofarads is refused at once, by name, whatever the load is", () => {
  const heavy = solveRectifier(problem({}));
  expect(heavy.ok ? "" : heavy.failure.kind).toBe("load-too-heavy");
  const light = solveRectifier(problem({ load: { ohms: 10e3 } }));
  expect(light.ok ? "" : light.failure.kind).toBe("bad-input");
});
