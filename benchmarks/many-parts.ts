/** The demo on a large plate with 150 parts, the same for a seed: what a drag on the plate is measured with. */
import { readFileSync } from "node:fs";
import { seededRandom } from "../engine/src/index.ts";

const KINDS = [
  "stand-off-m3",
  "lamp",
  "phono-jack-insulated",
  "binding-post",
  "tag-strip-5",
  "toggle-small",
  "fuse-holder",
  "potentiometer-16-dual",
  "can-25-clamp",
  "noval-moulded-below",
] as const;

const PITCH = 44;

/** A design file as bytes. */
export function manyParts(file: string, count: number, seed: number): Uint8Array<ArrayBuffer> {
  const design = JSON.parse(readFileSync(file, "utf8")) as {
    now: {
      name: string;
      chassis: {
        plate: { widthMillimetres: number; depthMillimetres: number };
        items: { id: string; what: object; footprint: string; x: number; y: number; degrees: number }[];
      };
    };
  };
  const random = seededRandom(seed);
  const { chassis } = design.now;
  design.now.name = `${count} parts, seed ${seed}`;
  chassis.plate.widthMillimetres = 660;
  chassis.plate.depthMillimetres = 620;
  for (let n = 0; chassis.items.length < count; n++) {
    const footprint = KINDS[Math.floor(random.uniform() * KINDS.length)] ?? KINDS[0];
    chassis.items.push({
      id: `P${n + 1}`,
      what: { fitting: footprint },
      footprint,
      x: 26 + (n % 15) * PITCH + Math.round(random.uniform() * 6),
      y: 206 + Math.floor(n / 15) * PITCH + Math.round(random.uniform() * 6),
      degrees: 15 * Math.floor(random.uniform() * 24),
    });
  }
  return new Uint8Array(new TextEncoder().encode(JSON.stringify(design)));
}
