/** For tests: plates as judged, random ones among them, and what two independent readers find in a DXF. */
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Chassis, type ChassisJudged, type Document, judgedChassis, readDesign } from "@platewright/design";
import type { PackInput, PageSize } from "@platewright/drawing";
import { footprints, openCatalogue } from "@platewright/library";
import fc from "fast-check";

const catalogue = openCatalogue();

export function demo(): Document & { readonly chassis: Chassis } {
  const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
  if (!file.ok || file.value.now.chassis === undefined) throw new Error("the demo reads and has a chassis");
  return { ...file.value.now, chassis: file.value.now.chassis };
}

export function judgedOf(chassis: Chassis): ChassisJudged {
  const judged = judgedChassis({ document: { ...demo(), chassis }, footprints, catalogue });
  if (judged === undefined) throw new Error("there is a chassis");
  return judged;
}

/** What the papers of metal ask of a pack: nothing of it is solved. */
export function metalInput(chassis: Chassis, size: PageSize): PackInput {
  const judged = judgedOf(chassis);
  const asked: Pick<PackInput, "document" | "revision" | "date" | "findings" | "chassis" | "size"> = {
    document: judged.document,
    revision: "A",
    date: "2026-11-25",
    findings: [],
    chassis: judged,
    size,
  };
  return asked as PackInput;
}

/** The demo with the 7-pin socket over its 22 mm hole, carried by a ring. */
export function withRing(): Chassis {
  const { chassis } = demo();
  return {
    ...chassis,
    items: chassis.items.map((one) =>
      one.id === "V3" ? { ...one, footprint: "7-pin-saddle-above", degrees: 0 } : one,
    ),
    salvage: [{ hole: "H3", item: "V3", by: "adapter-ring" }],
  };
}

/** The demo's parts on a plate of 450 × 300 mm with flanges on three edges. */
export function bentPlate(): Chassis {
  const { chassis } = demo();
  return {
    ...chassis,
    plate: {
      ...chassis.plate,
      widthMillimetres: 450,
      depthMillimetres: 300,
      cornerRadiusMillimetres: 3,
      bends: [
        { edge: "front", insideRadiusMillimetres: 2, flangeMillimetres: 40 },
        { edge: "rear", insideRadiusMillimetres: 2, flangeMillimetres: 40 },
        { edge: "left", insideRadiusMillimetres: 2, flangeMillimetres: 30 },
      ],
    },
  };
}

const number = (from: number, to: number) => fc.double({ min: from, max: to, noNaN: true });

/** Plates with parts and, beside them, holes of their own, turned anyhow, all of them on the plate. */
export const plates: fc.Arbitrary<Chassis> = fc
  .record({
    wide: number(250, 600),
    deep: number(200, 400),
    corner: fc.constantFrom(0, 3, 7.5),
    bends: fc.subarray(["front", "rear", "left", "right"] as const),
    items: fc.array(
      fc.record({
        footprint: fc.constantFrom("toggle", "phono-jack-insulated", "fuse-holder", "earth-stud-m4", "mains-inlet"),
        x: number(0, 1),
        y: number(0, 1),
        degrees: fc.constantFrom(0, 90, 180, 270, 33.3, -12.5),
        face: fc.constantFrom("top" as const, "under" as const),
      }),
      { maxLength: 6 },
    ),
    holes: fc.array(
      fc.record({
        x: number(0, 1),
        y: number(0, 1),
        shape: fc.oneof(
          fc.record({ kind: fc.constant("circle" as const), diameterMillimetres: number(0.5, 40) }),
          fc
            .record({ w: number(1, 40), h: number(1, 40), corner: number(0, 0.5), degrees: number(-180, 180) })
            .map(({ w, h, corner, degrees }) => ({
              kind: "rectangle" as const,
              widthMillimetres: w,
              heightMillimetres: h,
              cornerMillimetres: corner < 0.1 ? 0 : corner * Math.min(w, h),
              degrees: Math.abs(degrees) < 60 ? 0 : degrees,
            })),
        ),
      }),
      { maxLength: 8 },
    ),
  })
  .map(({ wide, deep, corner, bends, items, holes }): Chassis => {
    const inside = (part: number, length: number) => 45 + part * (length - 90);
    // Parts on the left, holes of their own on the right: none is in the way of another kind.
    const half = wide / 2;
    return {
      plate: {
        widthMillimetres: wide,
        depthMillimetres: deep,
        thicknessMillimetres: 2,
        material: "aluminium",
        cornerRadiusMillimetres: corner,
        bends: bends.map((edge, n) => ({ edge, insideRadiusMillimetres: n, flangeMillimetres: 12 + 9 * n })),
      },
      items: items.map(({ footprint, x, y, degrees, face }, n) => ({
        id: `I${n}`,
        what: { fitting: footprint },
        footprint,
        x: inside(x, half + 14),
        y: inside(y, deep),
        degrees,
        face,
      })),
      holes: holes.map(({ x, y, shape }, n) => ({
        id: `P${n}`,
        x: half - 14 + inside(x, half + 14),
        y: inside(y, deep),
        shape,
        state: "planned",
      })),
    };
  });

export interface ReadByPython {
  readonly version: string;
  readonly units: number;
  readonly errors: readonly string[];
  readonly fixes: readonly string[];
  readonly layers: readonly string[];
  readonly circles: readonly {
    readonly layer: string;
    readonly at: readonly [number, number];
    readonly diameter: number;
  }[];
  readonly polylines: readonly {
    readonly layer: string;
    readonly closed: boolean;
    readonly corners: readonly (readonly [x: number, y: number, bulge: number])[];
  }[];
  readonly lines: readonly { readonly layer: string }[];
  readonly texts: readonly { readonly layer: string; readonly text: string }[];
}

const SCRIPT = `
import sys, json, ezdxf
out = []
for path in json.load(sys.stdin):
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    own = dict(version=doc.dxfversion, units=doc.units, layers=[l.dxf.name for l in doc.layers],
               errors=[e.message for e in audit.errors], fixes=[e.message for e in audit.fixes],
               circles=[], polylines=[], lines=[], texts=[])
    for e in doc.modelspace():
        kind, layer = e.dxftype(), e.dxf.layer
        if kind == "CIRCLE":
            own["circles"].append(dict(layer=layer, at=[e.dxf.center.x, e.dxf.center.y], diameter=2 * e.dxf.radius))
        elif kind == "POLYLINE":
            own["polylines"].append(dict(layer=layer, closed=e.is_closed,
                corners=[[v.dxf.location.x, v.dxf.location.y, v.dxf.bulge] for v in e.vertices]))
        elif kind == "LINE":
            own["lines"].append(dict(layer=layer))
        elif kind == "TEXT":
            own["texts"].append(dict(layer=layer, text=e.plain_text()))
        else:
            raise SystemExit("unexpected " + kind)
    out.append(own)
json.dump(out, sys.stdout)
`;
const PYTHON = "/usr/bin/python3";

export const HAS_EZDXF = existsSync(PYTHON) && spawnSync(PYTHON, ["-c", "import ezdxf"]).status === 0;

/** All files in one run of Debian's python3-ezdxf. */
export function readByPython(files: readonly string[]): readonly ReadByPython[] {
  const folder = mkdtempSync(join(tmpdir(), "platewright-dxf-"));
  try {
    const paths = files.map((text, n) => {
      const path = join(folder, `${n}.dxf`);
      writeFileSync(path, text);
      return path;
    });
    const done = spawnSync(PYTHON, ["-c", SCRIPT], {
      input: JSON.stringify(paths),
      encoding: "utf8",
      maxBuffer: 500_000_000,
    });
    if (done.status !== 0) throw new Error(`ezdxf: ${done.stderr.slice(-500)}`);
    return JSON.parse(done.stdout) as readonly ReadByPython[];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
