/** Wires of the circuit as it is in hand, and their ways on a plate. */
import { type ChassisJudged, wireRuns, type WireRuns, type WiringList, wiringList } from "@platewright/design";
import type { Bench } from "../../worker/bench.ts";

/** Every wire of the circuit as it is in hand; undefined when it could not be solved. */
export function listOf(bench: Bench): WiringList | undefined {
  return bench.ofKept(`wires ${bench.circuit()}`, () => {
    const [solved, conditions] = [bench.now(), bench.conditions()];
    if (!solved.ok || !conditions.ok) return undefined;
    return wiringList(solved.value, new Map(conditions.value.map((one) => [one.condition.id, one])));
  });
}

/** Their ways on a plate. */
export function runsOn(bench: Bench, judged: ChassisJudged): WireRuns | undefined {
  const list = listOf(bench);
  return list === undefined ? undefined : wireRuns(judged, list);
}
