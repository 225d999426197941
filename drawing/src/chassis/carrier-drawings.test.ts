import { readFileSync } from "node:fs";
import { type Carrier, rotationOf, salvageOptions, type ScrewSeat } from "@platewright/design";
import { assert } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { flatten, itemBox, overlap, textBox } from "../bounds.ts";
import { type Item, SIZES, type TextItem } from "../scene.ts";
import { carrierDrawing, openedDrawing, plugDrawing } from "./carrier-drawing.ts";
import { carrierSection, type SmallDrawing } from "./carrier-section.ts";
import { salvageDrawing } from "./salvage-drawing.ts";
import { testPlates } from "./test-plates.ts";
import { turnsPicture } from "./turns-picture.ts";

const { decided, demo, judged, with7Pin, withChassis } = testPlates(
  readFileSync("examples/hearth/hearth.design.json", "utf8"),
  footprints,
  openCatalogue(),
);

const textsOf = (items: readonly Item[]): readonly TextItem[] =>
  flatten(items).filter((item): item is TextItem => item.kind === "text");
const wordsOf = (drawing: SmallDrawing): string =>
  textsOf(drawing.items)
    .map((item) => item.text)
    .join(" ");

function holds(drawing: SmallDrawing, width?: number) {
  const texts = textsOf(drawing.items);
  for (const item of texts) expect(item.size).toBeGreaterThanOrEqual(SIZES.small);
  const met = texts.flatMap((one, n) =>
    texts
      .slice(n + 1)
      .filter((other) => overlap(textBox(one), textBox(other), -0.9))
      .map((other) => `${one.text} | ${other.text}`),
  );
  expect(met).toEqual([]);
  if (width !== undefined) expect(drawing.box.right - drawing.box.left).toBeLessThanOrEqual(width + 1.5);
}

const kinds = ["adapter-ring", "cover-plate", "sub-plate"] as const;
const carrierOf = (kind: (typeof kinds)[number]) => {
  const found = judged(decided(kind));
  const [carrier] = found.holes.carriers;
  assert(carrier !== undefined, "it was decided");
  return { found, carrier };
};

describe.each(kinds)("%s", (kind) => {
  const { found, carrier } = carrierOf(kind);

  test.each([90, 110, 140])("cut through, %i mm wide: sizes said, metal true to scale", (width) => {
    const drawing = carrierSection(found, carrier, { width });
    holds(drawing, width);
    const words = wordsOf(drawing);
    expect(words).toContain("Ø\u202f16");
    expect(words).toContain(`${carrier.thicknessMillimetres}\u202fmm`);
    expect(words).toContain(`${found.chassis.plate.thicknessMillimetres}\u202fmm`);
    if (carrier.opening === undefined) expect(words).toContain("Ø\u202f22, as cut");
    const plates = flatten(drawing.items).filter((item) => item.kind === "path" && item.points.length === 4);
    const heights = plates.map((item) => itemBox(item)).map((box) => box.bottom - box.top);
    for (const thick of [carrier.thicknessMillimetres, found.chassis.plate.thicknessMillimetres])
      expect(heights.some((one) => Math.abs(one - thick * drawing.scale) < 0.7)).toBe(true);
  });

  test.each<ScrewSeat>(["in-opening", "on-rim", "through-plate"])("a screw %s passes only what it says", (seat) => {
    const seated: Carrier = {
      ...carrier,
      holes: carrier.holes.map((one) => (one.seat === undefined ? one : { ...one, seat })),
    };
    for (const face of ["top", "under"] as const) {
      const drawing = carrierSection(found, { ...seated, face }, { width: 120 });
      holds(drawing, 120);
      const thick = found.chassis.plate.thicknessMillimetres;
      const high = carrier.thicknessMillimetres;
      // Away from the joint toward the carrier is up on the top.
      const way = face === "top" ? -1 : 1;
      const [middle] = [(drawing.box.left + drawing.box.right) / 2];
      const shanks = flatten(drawing.items)
        .filter((item) => item.kind === "path" && item.fill === "paper")
        .map(itemBox)
        .filter((box) => box.left > middle && Math.abs(box.right - box.left - 3 * drawing.scale) < 0.6);
      const reach = Math.min(...shanks.map((box) => (way === -1 ? -box.bottom : box.top) / drawing.scale));
      if (seat === "on-rim") expect(reach).toBeGreaterThanOrEqual(-0.2);
      if (seat === "in-opening") expect(reach).toBeLessThan(-1);
      if (seat === "through-plate") expect(reach).toBeLessThan(-thick - 1);
      expect(high).toBeGreaterThan(0);
      expect(wordsOf(drawing)).toContain(face === "top" ? "on the top" : "on the underside");
      expect(wordsOf(drawing)).toContain(seat === "on-rim" ? "tapped M3" : seat === "in-opening" ? "nuts" : "through");
    }
  });

  test("to make it from: every hole with its place from the centre, true to scale", () => {
    for (const scale of [0.6, 1, 1.5]) {
      const drawing = carrierDrawing(carrier, { scale, width: 90 });
      holds(drawing);
      const words = wordsOf(drawing);
      const marks = textsOf(drawing.items).filter((item) => /^[a-z]$/.test(item.text));
      expect(marks).toHaveLength(carrier.holes.length + carrier.fixing.length);
      const circles = flatten(drawing.items).filter((item) => item.kind === "circle");
      for (const one of carrier.fixing)
        expect(circles.some((item) => Math.abs(item.radius - (one.diameterMillimetres / 2) * scale) < 1e-9)).toBe(true);
      expect(words).toContain("tap M3");
      expect(words).toContain(`${carrier.thicknessMillimetres}\u202fmm ${carrier.material}`);
    }
  });
});

test("every way of the salvage that changes metal has its drawing", () => {
  const found = judged(with7Pin);
  const options = salvageOptions({ chassis: found.chassis, library: footprints }, "H3", "V3");
  assert(options.ok, "the hole is there");
  const drawn = options.value.filter((one) => salvageDrawing(found, one, { width: 100 }) !== undefined);
  expect(drawn.map((one) => one.by).sort()).toEqual(["adapter-ring", "blank-plug", "cover-plate", "sub-plate"]);
  for (const one of drawn) {
    const drawing = salvageDrawing(found, one, { width: 100 });
    if (drawing !== undefined) holds(drawing, 100);
  }
});

test("an opened hole says how far its centre moved; a plug is as wide as its hole", () => {
  const there = { kind: "circle", x: 10, y: 10, diameterMillimetres: 10 } as const;
  const opened = openedDrawing(there, { ...there, x: 10.5, diameterMillimetres: 16 }, { scale: 2 });
  holds(opened);
  expect(wordsOf(opened)).toMatch(/Ø\u202f16, to be.*Ø\u202f10, as cut.*0\.5, 0/);
  const same = openedDrawing(there, { ...there, diameterMillimetres: 16 }, { scale: 2 });
  expect(wordsOf(same)).toContain("one centre");
  const plug = plugDrawing(22, { thicknessMillimetres: 2 }, { scale: 2 });
  holds(plug);
  expect(wordsOf(plug)).toContain("Ø\u202f22, as cut");
});

test("a socket's turns: crossings ringed as many as are counted, wires' millimetres said, every angle has its bar", () => {
  for (const degrees of [0, 180]) {
    const found = judged(
      withChassis((chassis) => ({
        ...chassis,
        items: chassis.items.map((one) => (one.id === "V1" ? { ...one, degrees } : one)),
      })),
    );
    const item = found.items.find((one) => one.item.id === "V1");
    assert(item !== undefined, "the tube stands there");
    const rotation = rotationOf(found, item);
    assert(rotation !== undefined, "it is wired");
    const drawing = turnsPicture(rotation, item, { width: 130 });
    holds(drawing, 130);
    const rings = flatten(drawing.items).filter((one) => one.kind === "circle" && one.role === "stop");
    const words = wordsOf(drawing);
    expect(rings.length).toBeGreaterThanOrEqual(rotation.now.crossings);
    expect(words).toContain(`grids ${Math.round(rotation.now.gridMillimetres)}\u202fmm`);
    expect(words).toContain(`heaters ${Math.round(rotation.now.heaterMillimetres)}\u202fmm`);
    const bars = flatten(drawing.items).filter((one) => one.kind === "path" && one.points.length === 4);
    expect(bars.length).toBeGreaterThanOrEqual(rotation.turns.length);
  }
});

test("drawings name what they show", () => {
  const { found, carrier } = carrierOf("adapter-ring");
  for (const item of carrierSection(found, carrier, { width: 110 }).items) expect(item.ids).toEqual(["V3"]);
  expect(demo.chassis.items.some((one) => one.id === carrier.item)).toBe(true);
});
