/** A photo's marks against a plate that is known. */
import { seededRandom } from "@platewright/engine";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Frame, type HoleMarks, type Mark, traceMap, tracedHole } from "./trace.ts";

interface Photo {
  /** Pixels to a millimetre along and across; turn of the front edge; where the corner lies. */
  readonly along: number;
  readonly across: number;
  readonly degrees: number;
  readonly u: number;
  readonly v: number;
  readonly fromBelow: boolean;
}

/** Where a place of the plate lies on the photo; written anew, not the inverse of the code. */
function shot(photo: Photo, x: number, y: number, pixels = 1): Mark {
  const turn = (photo.degrees * Math.PI) / 180;
  const [p, q] = [(photo.fromBelow ? -1 : 1) * x * photo.along, y * photo.across];
  return {
    u: photo.u + p * Math.cos(turn) - q * Math.sin(turn),
    v: photo.v - p * Math.sin(turn) - q * Math.cos(turn),
    pixels,
  };
}

const frameOf = (photo: Photo, more: Partial<Frame> = {}): Frame => ({
  distances: [
    { from: shot(photo, 10, 20), to: shot(photo, 250, 20), millimetres: 240 },
    { from: shot(photo, 30, 5), to: shot(photo, 30, 165), millimetres: 160 },
  ],
  corner: shot(photo, 0, 0),
  edge: shot(photo, 290, 0),
  fromBelow: photo.fromBelow,
  ...more,
});

const photos = fc.record({
  along: fc.double({ min: 2, max: 12, noNaN: true }),
  stretch: fc.double({ min: 0.97, max: 1.03, noNaN: true }),
  degrees: fc.double({ min: -180, max: 180, noNaN: true }),
  u: fc.double({ min: 0, max: 4000, noNaN: true }),
  v: fc.double({ min: 0, max: 3000, noNaN: true }),
  fromBelow: fc.boolean(),
});
const places = fc.record({
  x: fc.double({ min: 0, max: 300, noNaN: true }),
  y: fc.double({ min: 0, max: 180, noNaN: true }),
});

describe("a photo with two known distances", () => {
  test("gives back every place and size of a known plate, however it lies, seed 41", () => {
    fc.assert(
      fc.property(photos, places, fc.double({ min: 3, max: 60, noNaN: true }), (drawn, { x, y }, diameter) => {
        const photo = { ...drawn, across: drawn.along * drawn.stretch };
        const frame = frameOf(photo);
        const centre = tracedHole(frame, [shot(photo, x, y), shot(photo, x + diameter / 2, y)]);
        const rim = [20, 140, 265].map((degrees) => {
          const turn = (degrees * Math.PI) / 180;
          return shot(photo, x + (diameter / 2) * Math.cos(turn), y + (diameter / 2) * Math.sin(turn));
        });
        const round = tracedHole(frame, rim as unknown as HoleMarks);
        for (const read of [centre, round]) {
          if (!read.ok) throw new Error(read.failure);
          expect(Math.hypot(read.value.x - x, read.value.y - y)).toBeLessThan(1e-6);
          expect(Math.abs(read.value.diameterMillimetres - diameter)).toBeLessThan(1e-6);
        }
      }),
      { seed: 41, numRuns: 400 },
    );
  });

  test("slanted distances do as well, and there and back is the same pixel, seed 42", () => {
    fc.assert(
      fc.property(photos, places, (drawn, { x, y }) => {
        const photo = { ...drawn, across: drawn.along * drawn.stretch };
        const way = (x1: number, y1: number, x2: number, y2: number) => ({
          from: shot(photo, x1, y1),
          to: shot(photo, x2, y2),
          millimetres: Math.hypot(x2 - x1, y2 - y1),
        });
        const map = traceMap(frameOf(photo, { distances: [way(5, 10, 280, 90), way(20, 10, 90, 170)] }));
        if (!map.ok) throw new Error(map.failure);
        const mark = shot(photo, x, y);
        const on = map.value.toPlate(mark);
        expect(Math.hypot(on.x - x, on.y - y)).toBeLessThan(1e-6);
        const back = map.value.toPhoto(on);
        expect(Math.hypot(back.u - mark.u, back.v - mark.v)).toBeLessThan(1e-6);
        expect(map.value.differencePercent).toBeCloseTo((200 * Math.abs(1 - drawn.stretch)) / (1 + drawn.stretch), 6);
      }),
      { seed: 42, numRuns: 300 },
    );
  });

  test("what it says of its error holds when every click is off, seed 43", () => {
    const random = seededRandom(43);
    const flat = (least: number, most: number) => least + random.uniform() * (most - least);
    // A flat spread of ±√3 pixels has one pixel as its deviation.
    const click = (mark: Mark): Mark => ({
      ...mark,
      u: mark.u + Math.sqrt(3) * flat(-1, 1),
      v: mark.v + Math.sqrt(3) * flat(-1, 1),
    });
    const photo: Photo = { along: 5, across: 5, degrees: 3, u: 200, v: 1400, fromBelow: false };
    const clean = frameOf(photo);
    const count = 600;
    let [sum, sizes] = [0, 0];
    for (let n = 0; n < count; n++) {
      const [x, y] = [flat(30, 280), flat(20, 170)];
      const frame: Frame = {
        ...clean,
        corner: click(clean.corner),
        edge: click(clean.edge),
        distances: clean.distances.map((one) => ({ ...one, from: click(one.from), to: click(one.to) })),
      };
      const read = tracedHole(frame, [click(shot(photo, x, y)), click(shot(photo, x + 11, y))]);
      if (!read.ok) throw new Error(read.failure);
      sum += (Math.hypot(read.value.x - x, read.value.y - y) / read.value.placeMillimetres) ** 2;
      sizes += ((read.value.diameterMillimetres - 22) / read.value.sizeMillimetres) ** 2;
    }
    // The ruler's part is not drawn here, and a slant is allowed for: the truth is within what is said, and not far within.
    expect(sum / count).toBeLessThan(1.1);
    expect(sum / count).toBeGreaterThan(0.3);
    expect(sizes / count).toBeLessThan(1.2);
    expect(sizes / count).toBeGreaterThan(0.3);
  });
});

describe("marks that say too little", () => {
  const photo: Photo = { along: 5, across: 5, degrees: 0, u: 100, v: 1000, fromBelow: false };
  const said = (more: Partial<Frame>) => {
    const map = traceMap(frameOf(photo, more));
    return map.ok ? "" : map.failure;
  };

  test("are refused with what would do", () => {
    const [along, across] = frameOf(photo).distances;
    if (along === undefined || across === undefined) throw new Error("two distances");
    expect(said({ distances: [along] })).toMatch(/one along the front edge and one across/);
    expect(said({ distances: [along, { ...along, millimetres: 241 }] })).toMatch(/run the same way/);
    expect(said({ distances: [along, { ...across, millimetres: 0 }] })).toMatch(/Write both known distances/);
    expect(said({ distances: [along, { ...across, to: across.from }] })).toMatch(/longer one/);
    expect(said({ edge: frameOf(photo).corner })).toMatch(/too near/);
    expect(said({ distances: [along, { ...across, millimetres: 175 }] })).toMatch(/differ by 9\.0 %.*slant/s);
    expect(said({ distances: [along, { ...across, millimetres: 163 }] })).toBe("");
    const line = tracedHole(frameOf(photo), [shot(photo, 10, 10), shot(photo, 20, 10), shot(photo, 30, 10)]);
    expect(line.ok ? "" : line.failure).toMatch(/in a line/);
    const point = tracedHole(frameOf(photo), [shot(photo, 10, 10), shot(photo, 10, 10)]);
    expect(point.ok ? "" : point.failure).toMatch(/rim/);
  });

  test("a third distance that does not agree widens what is said", () => {
    const agrees = { from: shot(photo, 0, 0), to: shot(photo, 200, 150), millimetres: 250 };
    const marks = [shot(photo, 200, 100), shot(photo, 211, 100)] as const;
    const { distances } = frameOf(photo);
    const sure = tracedHole(frameOf(photo, { distances: [...distances, agrees] }), marks);
    const doubtful = tracedHole(frameOf(photo, { distances: [...distances, { ...agrees, millimetres: 253 }] }), marks);
    if (!sure.ok || !doubtful.ok) throw new Error("read");
    expect(doubtful.value.placeMillimetres).toBeGreaterThan(2 * sure.value.placeMillimetres);
  });
});
