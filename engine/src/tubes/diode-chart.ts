/**
 * Rating charts of rectifiers: how much direct current is permitted at a winding voltage, or at an efficiency.
 *
 * Law     A maker's second chart (efficiency against direct current) is its peak rating in another form: at a constant
 *         resistance and a large capacitor Ipk/Idc = pi (1 - cos a) / (2 (tan a - a) cos a) with cos a = Vdc/(sqrt2 Vrms),
 *         whatever the resistance is. For types without a printed chart that closed form is the chart.
 * Limits  Beyond the last point nothing is permitted: the answer is undefined, never the last value. A half-wave or a
 *         finite capacitor is not in the closed form; the solver's own peak current is the better judge where it exists.
 * Sources Large-capacitor closed form (docs/rectifiers.md); the printed chart of the EZ80 (Mazda, August 1963) is met within
 *         its reading of 4 % (checks/rectifier-chart.test.ts).
 */
import { amps, type Amps } from "../units/quantities.ts";
import type { Provenance, RatedLimit, RatingSystem, RectifierChart, RectifierRecord } from "./catalogue.ts";

export interface Permitted extends Provenance {
  readonly amps: Amps;
  readonly system: RatingSystem;
  readonly chart: RectifierChart;
}

/** Permitted direct current at x: rms volts per plate, or efficiency. Undefined beyond the chart's last point. */
export function permittedAmps(chart: RectifierChart, x: number): Permitted | undefined {
  const at = chart.points.findIndex((point) => x <= point.value.x * (1 + 1e-9));
  const point = chart.points[at];
  if (point === undefined || Number.isNaN(x)) return undefined;
  const before = chart.points[at - 1];
  const { value, ...provenance } = point;
  let permitted = value.amps;
  if (chart.between === "line" && before !== undefined) {
    const share = (x - before.value.x) / (value.x - before.value.x);
    permitted = amps(before.value.amps + Math.min(1, share) * (value.amps - before.value.amps));
  }
  return { ...provenance, amps: permitted, system: chart.system, chart };
}

/** Peak plate current over direct current of a full-wave rectifier (two plates) at an efficiency Vdc/(sqrt2 Vrms). */
export function peakOverDc(efficiency: number): number {
  const a = Math.acos(efficiency);
  return (Math.PI * (1 - efficiency)) / (2 * (Math.tan(a) - a) * efficiency);
}

/** Every chart that a record holds or implies: printed first, then tables, then what its peak ratings say. */
export function chartsOf(record: RectifierRecord): readonly RectifierChart[] {
  return [...printedCharts(record), ...windingCharts(record), ...peakCharts(record)];
}

function printedCharts(record: RectifierRecord): readonly RectifierChart[] {
  if (record.ratingChart.length < 2) return [];
  const points = record.ratingChart
    .map(({ value, ...provenance }) => ({ value: { x: value.efficiency, amps: value.amps }, ...provenance }))
    .sort((one, other) => one.value.x - other.value.x);
  return [{ limits: "dc-by-efficiency", origin: "chart", between: "line", system: record.ratingSystem, points }];
}

/** One chart per source and system: rows that fall with the winding, or one current up to the largest winding. */
function windingCharts(record: RectifierRecord): readonly RectifierChart[] {
  const bySource = new Map<string, RatedLimit<Amps>[]>();
  for (const one of record.limits.dcAmps ?? []) {
    const key = `${one.source} ${one.system} ${one.status}`;
    bySource.set(key, [...(bySource.get(key) ?? []), one]);
  }
  const largest = record.limits.rmsVoltsPerPlate ?? [];
  return [...bySource.values()].flatMap((rows): readonly RectifierChart[] => {
    const [first] = rows;
    if (first === undefined) return [];
    const own = largest.find((one) => one.source === first.source && one.system === first.system) ?? largest[0];
    // Where a source's current falls with the winding, its headline figure is the table's first row again.
    const falling = rows.filter((row) => row.upToRmsVoltsPerPlate !== undefined);
    const points = (falling.length > 0 ? falling : rows)
      .flatMap((row) => {
        const { value, system: _system, upToRmsVoltsPerPlate, ...provenance } = row;
        const upTo = upToRmsVoltsPerPlate ?? own?.value;
        return upTo === undefined ? [] : [{ value: { x: upTo as number, amps: value }, ...provenance }];
      })
      .sort((one, other) => one.value.x - other.value.x || one.value.amps - other.value.amps);
    if (points.length === 0) return [];
    return [{ limits: "dc-by-winding", origin: "rows", between: "step", system: first.system, points }];
  });
}

function peakCharts(record: RectifierRecord): readonly RectifierChart[] {
  return (record.limits.peakPlateAmps ?? []).map((peak): RectifierChart => {
    const { value, system, upToRmsVoltsPerPlate: _upTo, status: _status, ...provenance } = peak;
    const points = Array.from({ length: 10 }, (_, n) => {
      const x = 0.5 + 0.05 * n;
      const remark = `from the peak rating of ${Math.round(1000 * value)} mA (${peak.status}), large capacitor`;
      return {
        value: { x, amps: amps(value / peakOverDc(x)) },
        ...provenance,
        status: "derived" as const,
        note: remark,
      };
    });
    return { limits: "dc-by-efficiency", origin: "closed-form", between: "line", system, points };
  });
}
