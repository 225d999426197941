/** For tests: the demo's chassis judged, as it is and changed, and random ones. The library is given. */
import {
  type Chassis,
  type ChassisJudged,
  type Document,
  judgedChassis,
  readDesign,
  salvageOptions,
} from "@platewright/design";
import { assert, type Catalogue, type Footprints, seededRandom } from "@platewright/engine";

export type Demo = Document & { readonly chassis: Chassis };

/** From the text of the demo's file. */
export function testPlates(text: string, footprints: Footprints, catalogue: Catalogue) {
  const read = readDesign(text);
  assert(read.ok && read.value.now.chassis !== undefined, "the demo reads and has a chassis");
  const demo: Demo = { ...read.value.now, chassis: read.value.now.chassis };

  function judged(document: Document): ChassisJudged {
    const found = judgedChassis({ document, footprints, catalogue });
    assert(found !== undefined, "the document has a chassis");
    return found;
  }

  const withChassis = (change: (chassis: Chassis) => Chassis): Demo => ({
    ...demo,
    chassis: change(demo.chassis),
  });

  /** A socket of another size over the third tube's hole. */
  const with7Pin = withChassis((chassis) => ({
    ...chassis,
    items: chassis.items.map((one) => (one.id === "V3" ? { ...one, footprint: "7-pin-saddle-above" } : one)),
  }));

  /** The same with a way decided, as its fix has it. */
  function decided(by: "adapter-ring" | "cover-plate" | "sub-plate"): Demo {
    const options = salvageOptions({ chassis: with7Pin.chassis, library: footprints }, "H3", "V3");
    assert(options.ok, "the hole is there");
    const changes = options.value.find((one) => one.by === by)?.fix?.changes ?? [];
    const salvage = changes.find((one) => one.target === "chassis.salvage")?.after as Chassis["salvage"];
    const degrees = changes.find((one) => one.target.endsWith(".degrees"))?.after as number | undefined;
    return {
      ...with7Pin,
      chassis: {
        ...with7Pin.chassis,
        salvage,
        items: with7Pin.chassis.items.map((one) =>
          one.id === "V3" && degrees !== undefined ? { ...one, degrees } : one,
        ),
      },
    };
  }

  /** Parts anywhere on a plate, some holes of no use or in the way. */
  function randomDocument(seed: number, parts: number): Demo {
    const random = seededRandom(seed);
    const pick = <T>(all: readonly T[]): T => all[Math.floor(random.uniform() * all.length)] as T;
    const between = (low: number, high: number) => Math.round((low + random.uniform() * (high - low)) * 10) / 10;
    const [wide, deep] = [Math.round(between(150, 450)), Math.round(between(100, 300))];
    const bottles = ["V1", "V2", "V3"];
    const bends = (["front", "rear", "left", "right"] as const)
      .filter(() => random.uniform() < 0.3)
      .map((edge) => ({ edge, insideRadiusMillimetres: 2, flangeMillimetres: Math.round(between(15, 60)) }));
    return withChassis((chassis) => ({
      ...chassis,
      plate: {
        ...chassis.plate,
        widthMillimetres: wide,
        depthMillimetres: deep,
        thicknessMillimetres: pick([1, 1.5, 2, 3]),
        ...(bends.length === 0 ? {} : { bends }),
        ...(random.uniform() < 0.3 ? { coverMillimetres: Math.round(between(50, 140)) } : {}),
      },
      items: Array.from({ length: parts }, (_, n) => {
        const footprint = pick(footprints.all);
        // A bottle stands once.
        const envelope = footprint.kind === "socket" ? bottles.shift() : undefined;
        return {
          id: `P${n}`,
          what: envelope === undefined ? { fitting: footprint.id } : { envelope },
          footprint: footprint.id,
          x: between(10, wide - 10),
          y: between(10, deep - 10),
          degrees: pick([0, 15, 45, 90, 180, 270]),
          ...(random.uniform() < 0.2 ? { face: "under" as const } : {}),
        };
      }),
      holes: Array.from({ length: Math.ceil(parts / 5) }, (_, n) => ({
        id: `X${n}`,
        x: between(8, wide - 8),
        y: between(8, deep - 8),
        shape:
          random.uniform() < 0.8
            ? { kind: "circle" as const, diameterMillimetres: between(3, 24) }
            : { kind: "rectangle" as const, widthMillimetres: between(5, 30), heightMillimetres: between(5, 20) },
        state: random.uniform() < 0.8 ? ("cut" as const) : ("planned" as const),
      })),
    }));
  }

  return { demo, judged, with7Pin, decided, randomDocument, withChassis };
}
