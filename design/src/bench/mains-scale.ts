/** What the chart's volts become at the mains of the day: from the design solved with mains low, nominal and high. */
import { conditionOf } from "../solved/conditions.ts";
import type { SolvedDesign } from "../solved/types.ts";

export interface MainsScale {
  readonly mainsVolts: number;
  /** Times the chart's volts: of direct voltages, and of the heaters'. */
  readonly direct: number;
  readonly heater: number;
}

/**
 * Factors at mains voltages in round steps between the document's lowest and highest.
 *
 * Method  A parabola through what the net of the first capacitor, and the first heater winding, stand at in three
 *         conditions.
 */
export function mainsScales(solved: ReadonlyMap<string, SolvedDesign>, stepVolts = 5): readonly MainsScale[] {
  const nominal = solved.get("nominal");
  const supply = nominal?.document.supply;
  const low = solved.get("mains-low");
  const high = solved.get("mains-high");
  if (nominal === undefined || supply === undefined || low === undefined || high === undefined) return [];
  const { volts } = supply.mains;
  const three = [low, nominal, high];
  const factors = (["mains-low", "nominal", "mains-high"] as const).map(
    (id) => conditionOf(nominal.document, id).mainsFactor,
  );
  const direct = three.map((one) => one.bias.netVolts.get(supply.rectifier.output) ?? 0);
  const heater = three.map((one) => one.heaters[0]?.volts ?? 0);
  const scales: MainsScale[] = [];
  const [lowest = 1, , highest = 1] = factors;
  if (!(highest > lowest)) return [];
  for (let n = Math.ceil((lowest * volts) / stepVolts); n * stepVolts <= highest * volts + 1e-9; n++) {
    const factor = (n * stepVolts) / volts;
    scales.push({
      mainsVolts: n * stepVolts,
      direct: parabola(factors, direct, factor) / (direct[1] ?? 1),
      heater: (heater[1] ?? 0) > 0 ? parabola(factors, heater, factor) / (heater[1] ?? 1) : factor,
    });
  }
  return scales;
}

/** Through three points with different x; two that are equal make it a line through the others. */
export function parabola(xs: readonly number[], ys: readonly number[], x: number): number {
  let sum = 0;
  const known = xs
    .map((one, n) => ({ x: one, y: ys[n] ?? 0 }))
    .filter((one, n, all) => all.findIndex((o) => o.x === one.x) === n);
  for (const one of known) {
    let weight = one.y;
    for (const other of known) if (other !== one) weight *= (x - other.x) / (one.x - other.x);
    sum += weight;
  }
  return sum;
}
