/** Runs of the wiring list as they are drawn on the plate: a pair once, each in its look. */
import type { WirePurpose, WireRun } from "@platewright/design";
import type { PlateWire } from "./plate-look.ts";

const KINDS: { readonly [P in WirePurpose]: PlateWire["kind"] } = {
  heater: "heater",
  winding: "heater",
  mains: "mains",
  earth: "earth",
  ground: "ground",
  supply: "high-tension",
  signal: "signal",
  grid: "plain",
  plate: "plain",
  cathode: "plain",
};

/** Wires of one way are drawn once. */
export function plateWires(runs: readonly WireRun[]): readonly PlateWire[] {
  const drawn = new Map<string, PlateWire & { readonly ids: string[] }>();
  for (const run of runs) {
    const kind = run.screened ? "signal" : run.purpose === "winding" && !run.twisted ? "plain" : KINDS[run.purpose];
    const way = run.route.map(({ x, y }) => `${x.toFixed(2)},${y.toFixed(2)}`);
    const back = [...way].reverse().join(" ");
    const key = `${kind} ${way.join(" ") < back ? way.join(" ") : back}`;
    const there = drawn.get(key);
    if (there === undefined) drawn.set(key, { kind, points: run.route, ids: [run.id] });
    else there.ids.push(run.id);
  }
  return [...drawn.values()];
}

/** What each look is, in the order of a legend. */
export const WIRE_WORDS: { readonly [K in PlateWire["kind"]]: string } = {
  heater: "heaters and windings, twisted",
  mains: "mains",
  earth: "safety earth",
  ground: "ground bus",
  "high-tension": "B+",
  signal: "signal",
  plain: "plates, grids, cathodes",
};
