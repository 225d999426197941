/** For tests: the demo's chassis, a bare plate, and footprints of their own. The library is not asked. */
import { assert, type Footprint, type Footprints, seededRandom } from "@platewright/engine";
import type { Chassis, ChassisItem, DocumentHole } from "../document/chassis-schema.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";

/** The demo from the text of its file. */
export function demoOf(text: string): Document & { readonly chassis: Chassis } {
  const read = readDesign(text);
  assert(read.ok && read.value.now.chassis !== undefined, "the demo reads and has a chassis");
  return { ...read.value.now, chassis: read.value.now.chassis };
}

export const with7Pin = (chassis: Chassis): Chassis => ({
  ...chassis,
  items: chassis.items.map((one) => (one.id === "V3" ? { ...one, footprint: "7-pin-saddle-above" } : one)),
});

export const plate = (more: Partial<Chassis> = {}): Chassis => ({
  plate: { widthMillimetres: 200, depthMillimetres: 120, thicknessMillimetres: 2, material: "aluminium" },
  items: [],
  holes: [],
  ...more,
});

export const item = (
  id: string,
  footprint: string,
  x: number,
  y: number,
  more: Partial<ChassisItem> = {},
): ChassisItem => ({
  id,
  what: { fitting: footprint },
  footprint,
  x,
  y,
  degrees: 0,
  ...more,
});

export const cut = (
  id: string,
  x: number,
  y: number,
  diameterMillimetres: number,
  more: Partial<DocumentHole> = {},
): DocumentHole => ({
  id,
  x,
  y,
  shape: { kind: "circle", diameterMillimetres },
  state: "cut",
  ...more,
});

/** A part with one round hole that passes to `under` less and covers `over` more, under a flange. */
export const round = (
  id: string,
  diameterMillimetres: number,
  under: number,
  over: number,
  flange: number,
): Footprint => ({
  id,
  label: id,
  kind: "lamp",
  holes: [
    {
      id: "body",
      x: 0,
      y: 0,
      shape: { kind: "circle", diameterMillimetres },
      underMillimetres: under,
      overMillimetres: over,
      purpose: "body",
    },
  ],
  above: [
    { what: "flange", outline: { kind: "circle", x: 0, y: 0, diameterMillimetres: flange }, heightMillimetres: 3 },
  ],
  below: [],
  provenance: { status: "memory", confidence: "high", source: "TEST" },
});

export const only = (...all: readonly Footprint[]): Footprints => ({
  all,
  footprint: (id) => all.find((one) => one.id === id),
});

/** Numbers from 0 to 1, the same for a seed. */
export function uniform(seed: number): () => number {
  const random = seededRandom(seed);
  return () => random.uniform();
}
