/**
 * Heat of the box against its surface and its vents.
 *
 * Law     All that the primary draws becomes heat. Under a cover it leaves through the surface, U A ΔT, and with the air that rises
 *         through the vents, rho c Cd A √(g H ΔT / T) ΔT, half of the open area low and half high. ΔT is where both make up the
 *         watts. Without a cover the tubes give theirs to the room; what the resistors under the plate make leaves through it.
 * Limits  One temperature inside; a rise of 20 K wanted and 35 K the most (common practice). Good to a third.
 * Sources U from air to air of closed cabinets: painted steel 5.5, bare stainless 3.7 W/m²K (thermal guides of cabinet makers,
 *         quoted; checks/box-heat.test.ts holds it to a worked example); Cd 0.6 textbook, from memory.
 */
import type { ChassisPlate } from "../document/chassis-schema.ts";
import type { Supply } from "../document/schema.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { primaryWatts } from "../supply/power.ts";

/** W/m²K through the wall, air to air: paint and anodising radiate, bare metal hardly. */
const SURFACE = { coated: 5.5, bare: 3.7 } as const;
const DISCHARGE = 0.6;
/** Density times specific heat of air, J/m³K. */
const AIR = 1200;
const GRAVITY = 9.81;
const ROOM = 298;

export const RISE_WANTED = 20;
export const RISE_MOST = 35;

export interface BoxHeat {
  /** Everything that becomes heat. */
  readonly watts: number;
  /** Of it, what is made under the plate by resistors. */
  readonly underWatts: number;
  /** What counts for the rise: all under a cover, what is made underneath without one. */
  readonly enclosedWatts: number;
  readonly riseKelvin: number;
  /** Open area that would keep the rise; undefined: none is needed, or none is enough. */
  readonly ventsWanted?: number;
}

/** Watts that leave at a rise of `kelvin`. */
function leaving(plate: ChassisPlate, squareMetres: number, ventSquareMillimetres: number, kelvin: number): number {
  const through = (plate.finish ?? "bare") === "bare" ? SURFACE.bare : SURFACE.coated;
  const surface = through * squareMetres * kelvin;
  const height = (plate.coverMillimetres ?? 0) / 1e3;
  // Two openings in series, of half the area each.
  const area = ventSquareMillimetres / 1e6 / 2 / Math.SQRT2;
  return surface + AIR * DISCHARGE * area * Math.sqrt((GRAVITY * height * Math.max(0, kelvin)) / ROOM) * kelvin;
}

function riseFor(watts: number, leaves: (kelvin: number) => number): number {
  if (!Number.isFinite(watts)) return Number.NaN;
  let [low, high] = [0, 1];
  while (leaves(high) < watts && high < 1e4) high *= 2;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (leaves(middle) < watts) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Resistors of the solve: i² R. */
function resistorWatts(solved: SolvedDesign): number {
  let watts = 0;
  for (const { electrical } of solved.expanded.parts) {
    if (electrical.kind !== "resistor") continue;
    const at = (net: string) => (net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? 0));
    const across = at(electrical.a) - at(electrical.b);
    watts += (across * across) / electrical.ohms;
  }
  return watts;
}

/** Both faces of the plate, and the walls of a cover. */
function surfaceOf({ widthMillimetres, depthMillimetres, coverMillimetres }: ChassisPlate): number {
  const [width, depth] = [widthMillimetres / 1e3, depthMillimetres / 1e3];
  return 2 * width * depth + (coverMillimetres === undefined ? 0 : (2 * (width + depth) * coverMillimetres) / 1e3);
}

/** Kelvin by which the air inside is warmer than the room, for watts that become heat there. */
export function airRise(plate: ChassisPlate, watts: number): number {
  const vents = plate.coverMillimetres === undefined ? 0 : (plate.ventSquareMillimetres ?? 0);
  const squareMetres = surfaceOf(plate);
  return riseFor(watts, (kelvin) => leaving(plate, squareMetres, vents, kelvin));
}

export function boxHeat(plate: ChassisPlate, solved: SolvedDesign, supply: Supply): BoxHeat {
  const watts = primaryWatts(solved, supply);
  const underWatts = resistorWatts(solved);
  const cover = plate.coverMillimetres;
  const squareMetres = surfaceOf(plate);
  const enclosedWatts = cover === undefined ? underWatts : watts;
  const riseKelvin = airRise(plate, enclosedWatts);
  const wanted =
    cover === undefined || riseKelvin <= RISE_WANTED
      ? undefined
      : riseFor(enclosedWatts, (area) => leaving(plate, squareMetres, area * 1e3, RISE_WANTED)) * 1e3;
  return {
    watts,
    underWatts,
    enclosedWatts,
    riseKelvin,
    ...(wanted === undefined || wanted > 4e6 ? {} : { ventsWanted: wanted }),
  };
}
