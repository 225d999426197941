/** One mains cycle of the rectifier as it runs, with choke or without: winding, first capacitor, current of each path. */
import { chokeProblem, rectifierProblem, type SolvedDesign } from "@platewright/design";
import {
  type Catalogue,
  chokeInputCycle,
  fail,
  ok,
  rectifierCycle,
  type Result,
  solveChokeInput,
} from "@platewright/engine";

const SAMPLES = 240;

export interface MainsCycle {
  readonly seconds: readonly number[];
  readonly windingVolts: readonly number[];
  readonly firstCapacitorVolts: readonly number[];
  readonly pathAmps: readonly (readonly number[])[];
  readonly net: string;
}

export function mainsCycle(solved: SolvedDesign, catalogue: Catalogue): Result<MainsCycle, string> {
  const { document } = solved;
  const first = solved.parts.find((part) => part.id === document.supply?.rectifier.firstCapacitor);
  if (solved.supply === undefined || document.supply === undefined || first?.kind !== "capacitor")
    return fail("There is no rectifier with a first capacitor to draw.");
  const problem = rectifierProblem(document, document.supply, catalogue, 1, first.farads);
  if (!problem.ok) return problem;
  const choke = chokeProblem(problem.value, solved.supply.loadAmps);
  const through = choke === undefined ? undefined : solveChokeInput(choke);
  if (through?.ok === false) return fail("The choke input did not settle.");
  const cycle =
    choke === undefined || through === undefined
      ? rectifierCycle({ ...problem.value, load: { amps: solved.supply.loadAmps } }, solved.supply.rectifier, SAMPLES)
      : chokeInputCycle(choke, through.value, SAMPLES);
  const crest = problem.value.rmsVolts * Math.SQRT2;
  return ok({
    seconds: [...cycle.seconds],
    windingVolts: [...cycle.seconds].map((t) => crest * Math.abs(Math.sin(2 * Math.PI * problem.value.hertz * t))),
    firstCapacitorVolts: [...cycle.firstCapacitorVolts],
    pathAmps: cycle.plateAmps.map((amps) => [...amps]),
    net: document.supply.rectifier.output,
  });
}
