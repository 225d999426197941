/** One mains cycle of the rectifier as it runs, with a choke or without: winding, first capacitor, current of each path. */
import {
  type Catalogue,
  chokeInputCycle,
  fail,
  ok,
  rectifierCycle,
  type Result,
  solveChokeInput,
} from "@platewright/engine";
import type { SolvedDesign } from "../solved/types.ts";
import { rectifierProblem } from "./rectifier-problem.ts";
import { chokeProblem } from "./source.ts";

export interface MainsCycle {
  readonly seconds: readonly number[];
  /** Of the half that conducts; half-wave, of the winding. */
  readonly windingVolts: readonly number[];
  readonly firstCapacitorVolts: readonly number[];
  readonly pathAmps: readonly (readonly number[])[];
}

export function mainsCycle(solved: SolvedDesign, catalogue: Catalogue, samples = 241): Result<MainsCycle, string> {
  const { document } = solved;
  const first = solved.parts.find((part) => part.id === document.supply?.rectifier.firstCapacitor);
  if (solved.supply === undefined || document.supply === undefined || first?.kind !== "capacitor")
    return fail("There is no rectifier with a first capacitor to draw.");
  const problem = rectifierProblem(document, document.supply, catalogue, solved.condition.mainsFactor, first.farads);
  if (!problem.ok) return problem;
  const choke = chokeProblem(problem.value, solved.supply.loadAmps);
  const through = choke === undefined ? undefined : solveChokeInput(choke);
  if (through?.ok === false) return fail("The choke input did not settle.");
  const cycle =
    choke === undefined || through === undefined
      ? rectifierCycle({ ...problem.value, load: { amps: solved.supply.loadAmps } }, solved.supply.rectifier, samples)
      : chokeInputCycle(choke, through.value, samples);
  const { rmsVolts, hertz, circuit } = problem.value;
  const winding = (t: number) => rmsVolts * Math.SQRT2 * Math.sin(2 * Math.PI * hertz * t);
  return ok({
    seconds: [...cycle.seconds],
    windingVolts: [...cycle.seconds].map((t) => (circuit === "half-wave" ? winding(t) : Math.abs(winding(t)))),
    firstCapacitorVolts: [...cycle.firstCapacitorVolts],
    pathAmps: cycle.plateAmps.map((amps) => [...amps]),
  });
}
