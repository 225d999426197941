/**
 * What the bench sheet expects at every test point, as the meter shows it, with the mains low, nominal and high.
 *
 * Method  The net's volts in each solved condition; where the meter itself draws (a grid behind a large leak) the design is
 *         solved again with the meter in it. Bands from `netBands`, at the nominal mains.
 * Limits  The meter is followed on grids alone: everything else is stiff against it.
 */
import { type Catalogue, fail, ohms, ok, type Part, type Result } from "@platewright/engine";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { netBands } from "./bands.ts";
import { type TestPoint, testPoints } from "./probe-points.ts";

/** Of a common digital meter on direct volts. */
export const METER_OHMS = 10e6;

export const READ_CONDITIONS = ["mains-low", "nominal", "mains-high"] as const;
export type ReadCondition = (typeof READ_CONDITIONS)[number];

export interface ExpectedReading {
  readonly point: TestPoint;
  /** As the meter shows it; left out where a condition was not solved. */
  readonly volts: Readonly<Partial<Record<ReadCondition, number>>>;
  /** Half-width at the nominal mains: nine units of ten. */
  readonly bandVolts: number;
  /** The meter draws enough to be counted. */
  readonly meterCounts: boolean;
}

export function expectedReadings(
  nominal: SolvedDesign,
  conditions: ReadonlyMap<string, SolvedDesign>,
  catalogue: Catalogue,
): Result<readonly ExpectedReading[], string> {
  const points = testPoints(nominal);
  const bands = netBands(
    nominal,
    points.flatMap((point) => point.places.map((place) => place.net)),
  );
  if (!bands.ok) return bands;
  const readings: ExpectedReading[] = [];
  for (const point of points) {
    const net = point.places[0]?.net ?? "0";
    const meterCounts = point.kind === "grid";
    const volts: Partial<Record<ReadCondition, number>> = {};
    for (const id of READ_CONDITIONS) {
      const solved = id === "nominal" ? nominal : conditions.get(id);
      if (solved === undefined) continue;
      const read = meterCounts ? withMeter(solved, net, catalogue) : ok(solved.bias.netVolts.get(net) ?? 0);
      if (!read.ok) return fail(read.failure);
      volts[id] = read.value;
    }
    readings.push({ point, volts, bandVolts: bands.value.get(net)?.bandVolts ?? 0, meterCounts });
  }
  return ok(readings);
}

/** Volts of a net with a meter from it to ground. */
export function withMeter(solved: SolvedDesign, net: string, catalogue: Catalogue): Result<number, string> {
  const meter: Part = { kind: "resistor", id: "meter", a: net, b: "0", ohms: ohms(METER_OHMS) };
  const answer = solveDesign(solved.document, catalogue, {
    situation: solved.condition,
    detail: "bias",
    near: solved,
    fault: (parts) => [...parts, meter],
  });
  return answer.ok ? ok(answer.value.bias.netVolts.get(net) ?? 0) : fail(answer.failure.sentence);
}
