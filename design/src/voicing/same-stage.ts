/** Whether the gain stages of two units stand at the same point with the same load: then a law errs alike in both. */
import type { SolvedDesign } from "../solved/types.ts";
import { stagesOf } from "../solved/roles.ts";
import { stageCurves } from "./curves.ts";

/** Shares by which points and loads may differ and still be the same; within what preferred values leave open. */
const ALIKE = 0.01;

/** Sections are paired in the order of the channel; types must agree. */
export function sameStage(proven: SolvedDesign, now: SolvedDesign, instance: string): boolean {
  const gains = (solved: SolvedDesign) =>
    stagesOf(solved).filter(({ triode, role }) => triode.instance === instance && role === "gain");
  const [before, here] = [gains(proven), gains(now)];
  if (before.length === 0 || before.length !== here.length) return false;
  return before.every(({ triode }, n) => {
    const other = here[n]?.triode;
    if (other === undefined || other.type !== triode.type) return false;
    const [a, b] = [stageCurves(proven, triode.id), stageCurves(now, other.id)];
    if (!a.ok || !b.ok) return false;
    const near = (x: number, y: number) => Math.abs(x - y) <= ALIKE * Math.max(Math.abs(x), Math.abs(y));
    const [one, two] = [a.value, b.value];
    return (
      near(one.at.plateVolts, two.at.plateVolts) &&
      near(one.at.plateAmps, two.at.plateAmps) &&
      near(one.ac.ohms, two.ac.ohms)
    );
  });
}
