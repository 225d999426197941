/** The resistors that a rework may change, their available values, and sets of them. */
import { valueOf } from "../document/parts.ts";
import { droppersOf, stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";

export interface Variable {
  readonly partId: string;
  readonly instances: readonly string[];
  /** Available values in ohms, ascending, the fitted one among them. */
  readonly values: readonly number[];
  /** Index of the fitted value. */
  readonly fitted: number;
}

/** The resistors that set the stages: cathode resistor and plate load of gain halves first, then bias, tail and dropper. */
export function variablesOf(
  ask: { readonly instances: readonly string[]; readonly available: readonly number[] },
  solved: SolvedDesign,
): readonly Variable[] {
  const stages = stagesOf(solved).filter((stage) => ask.instances.includes(stage.triode.instance));
  const first = stages.filter((stage) => stage.role === "gain").flatMap((s) => [s.cathodeResistors[0], s.plateLoad]);
  const then = stages.filter((stage) => stage.role === "follower").flatMap((s) => s.cathodeResistors);
  const last = ask.instances.flatMap((instance) => droppersOf(solved, instance));
  const variables: Variable[] = [];
  for (const id of [...first, ...then, ...last]) {
    const part = solved.expanded.parts.find((one) => one.id === id);
    if (part === undefined || part.written.kind !== "resistor") continue;
    const partId = part.written.id;
    if (variables.some((variable) => variable.partId === partId)) continue;
    const ohms = valueOf("resistance", part.written.value);
    const values = [...new Set([ohms, ...ask.available])]
      .filter((r) => r >= ohms / 5 && r <= ohms * 5)
      .sort((a, b) => a - b);
    variables.push({ partId, instances: ask.instances, values, fitted: values.indexOf(ohms) });
  }
  return variables.slice(0, 5);
}

/** Every choice of `size` of the first `count` numbers. */
export function* subsets(count: number, size: number, from = 0): Generator<readonly number[]> {
  if (size === 0) {
    yield [];
    return;
  }
  for (let v = from; v <= count - size; v++) for (const rest of subsets(count, size - 1, v + 1)) yield [v, ...rest];
}
