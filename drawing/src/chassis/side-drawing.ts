/**
 * The chassis from the front or from the left: the plate as a section with its flanges, bodies and bulbs above and below it with
 * their heights, the line of the cover, and what a tube wants to be pulled.
 *
 * Method  What is nearer covers what is farther; names where nothing nearer covers them. Under the drawing every height again.
 */
import { type ChassisJudged, pulledMillimetres } from "@platewright/design";
import { type Box, itemBox } from "../bounds.ts";
import { type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth, wrap } from "../text/index.ts";
import { arrowHead } from "./dimension.ts";
import { type ItemHeight, itemHeights } from "./item-heights.ts";
import { merged, type Ordinate, ordinateWords, upEdge } from "./ordinates.ts";
import { hatch } from "./shapes.ts";
import type { SideLook } from "./side-look.ts";
import { nameItems, type Seen, shapeFor } from "./side-names.ts";

export interface SideDrawing {
  /** From the upper left corner of the plate's section. */
  readonly items: readonly Item[];
  readonly box: Box;
  readonly unplaced: readonly string[];
  /** Every height that is drawn, highest first. */
  readonly heights: readonly ItemHeight[];
}

export function sideDrawing(judged: ChassisJudged, look: SideLook): SideDrawing {
  const { scale, from } = look;
  const { plate } = judged.chassis;
  const long = (from === "front" ? plate.widthMillimetres : plate.depthMillimetres) * scale;
  const thick = plate.thicknessMillimetres * scale;
  const seen = judged.bodies
    .map((body): Seen => {
      const { left, right, front, rear } = body.bounds;
      return from === "front"
        ? { body, left: left * scale, right: right * scale, depth: front }
        : { body, left: long - rear * scale, right: long - front * scale, depth: left };
    })
    .sort((one, other) => other.depth - one.depth);
  const heights = itemHeights(judged);
  const roleOf = (id: string): Role | undefined => (look.chosen?.has(id) === true ? "live" : undefined);
  const bodies = seen.map((one) => bodyItem(one, scale, thick, roleOf(one.body.item)));
  const cover = coverItems(judged, look, long);
  const ordinates = heightOrdinates(judged, heights, scale, thick, long);
  const names = nameItems(judged, seen, look, { long, thick, roleOf, cover });
  const drawn: readonly Item[] = [
    ...ordinates.guides,
    ...behindItems(judged, look, long, thick),
    ...bodies,
    ...sectionItems(judged, look, long, thick),
    ...cover,
    ...pullItems(judged, look),
    ...names.items,
    ...ordinates.items,
  ];
  const box = itemBox({ kind: "group", at: [0, 0], items: drawn });
  const ends = endWords(judged, look, long, box);
  const whole = itemBox({ kind: "group", at: [0, 0], items: [...drawn, ...ends] });
  const items = [...drawn, ...ends, ...legendItems(heights, look, whole, long, roleOf)];
  return { items, box: itemBox({ kind: "group", at: [0, 0], items }), unplaced: names.unplaced, heights };
}

function bodyItem(seen: Seen, scale: number, thick: number, role: Role | undefined): Item {
  const shape = shapeFor(seen, scale, thick);
  const points = shape.kind === "polygon" ? shape.points : [];
  const { body } = seen;
  const own = role === undefined ? {} : { role };
  // A plug comes and goes.
  return body.what === "plug"
    ? { kind: "path", points, weight: WEIGHTS.hair, dash: "dash", ids: [body.item], ...own }
    : { kind: "path", points, weight: WEIGHTS.light, fill: "paper", ids: [body.item], ...own };
}

/** The plate and the flanges that are cut, hatched. */
function sectionItems(judged: ChassisJudged, { scale, from }: SideLook, long: number, thick: number): readonly Item[] {
  const { plate } = judged.chassis;
  const bends = (plate.bends ?? []).filter(({ edge }) =>
    from === "front" ? edge === "left" || edge === "right" : edge === "front" || edge === "rear",
  );
  const rect = (left: number, top: number, right: number, bottom: number): readonly Point[] => [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
  const flat = rect(0, 0, long, thick);
  const pieces = [
    flat,
    ...bends.map(({ edge, flangeMillimetres }) => {
      const down = flangeMillimetres * scale;
      const atLeft = from === "front" ? edge === "left" : edge === "rear";
      return atLeft ? rect(0, thick, thick, down) : rect(long - thick, thick, long, down);
    }),
  ];
  if (thick < 0.9) return pieces.map((points) => ({ kind: "path", points, weight: 0, fill: "ink" }));
  return [
    ...pieces.map((points): Item => ({ kind: "path", points, weight: 0, fill: "paper" })),
    ...pieces.flatMap((points) =>
      hatch({ kind: "polygon", points }, [], 1.3).map(
        ([start, end]): Item => ({ kind: "line", from: start, to: end, weight: WEIGHTS.hair, role: "quiet" }),
      ),
    ),
    ...pieces.map((points): Item => ({ kind: "path", points, weight: WEIGHTS.light })),
  ];
}

/** Flanges that are seen flat: behind what stands under the plate. */
function behindItems(judged: ChassisJudged, { scale, from }: SideLook, long: number, thick: number): readonly Item[] {
  const far = (judged.chassis.plate.bends ?? []).filter(({ edge }) =>
    from === "front" ? edge === "rear" : edge === "right",
  );
  return far.map(({ flangeMillimetres }) => ({
    kind: "rect",
    at: [0, thick],
    width: long,
    height: Math.max(0, flangeMillimetres * scale - thick),
    weight: WEIGHTS.hair,
    role: "quiet",
  }));
}

function coverItems(judged: ChassisJudged, { scale }: SideLook, long: number): readonly Item[] {
  const clear = judged.chassis.plate.coverMillimetres;
  if (clear === undefined) return [];
  const top = -clear * scale;
  return [
    {
      kind: "polyline",
      points: [
        [0, 0],
        [0, top],
        [long, top],
        [long, 0],
      ],
      weight: WEIGHTS.body,
      dash: "dash",
    },
    {
      kind: "text",
      at: [long, top - 1.4],
      text: `cover, ${ordinateWords(clear)}\u202fmm clear`,
      size: SIZES.small,
      anchor: "end",
      bold: true,
    },
  ];
}

/** How high each tube goes to come out: an arrow, with a bar where the cover stops it. */
function pullItems(judged: ChassisJudged, { scale, from }: SideLook): readonly Item[] {
  const { plate } = judged.chassis;
  const clear = plate.coverMillimetres;
  if (clear === undefined) return [];
  return judged.tubes
    .filter((tube) => tube.item.face === "top")
    .flatMap((tube): readonly Item[] => {
      const { x, y } = tube.item.item;
      const at = (from === "front" ? x : plate.depthMillimetres - y) * scale;
      const [low, high] = [-tube.topMillimetres * scale, -pulledMillimetres(tube) * scale];
      const stuck = pulledMillimetres(tube) > clear;
      const role: Role = stuck ? "ink" : "quiet";
      const ids = [tube.item.item.id];
      return [
        { kind: "line", from: [at, low], to: [at, high], weight: stuck ? WEIGHTS.body : WEIGHTS.light, role, ids },
        arrowHead([at, high], [0, -1], ids, role),
        ...(stuck
          ? [
              {
                kind: "line",
                from: [at - 2.2, -clear * scale],
                to: [at + 2.2, -clear * scale],
                weight: WEIGHTS.heavy,
                role,
                ids,
              } as const,
            ]
          : []),
      ];
    });
}

/** Heights at the left end: zero is the face of the plate. */
function heightOrdinates(
  judged: ChassisJudged,
  heights: readonly ItemHeight[],
  scale: number,
  thick: number,
  long: number,
): { readonly items: readonly Item[]; readonly guides: readonly Item[] } {
  const above = heights.filter((one) => one.aboveMillimetres > 0);
  const below = heights.filter((one) => one.belowMillimetres > 0);
  const flange = Math.max(0, ...(judged.chassis.plate.bends ?? []).map((bend) => bend.flangeMillimetres));
  const up = above.map(
    (one): Ordinate => ({ value: one.aboveMillimetres, at: -one.aboveMillimetres * scale, ids: [one.id] }),
  );
  const down: readonly Ordinate[] = [
    ...below.map(
      (one): Ordinate => ({ value: one.belowMillimetres, at: thick + one.belowMillimetres * scale, ids: [one.id] }),
    ),
    ...(flange > 0 ? [{ value: flange, at: flange * scale, ids: [] }] : []),
  ];
  const room = 8;
  const top = -Math.max(0, ...above.map((one) => one.aboveMillimetres)) * scale;
  const bottom = thick + Math.max(flange, 0, ...below.map((one) => one.belowMillimetres)) * scale;
  const upper = upEdge(merged(up), { at: -1, way: -1, from: top - room, to: -0.6 });
  const lower = upEdge(merged(down), { at: -1, way: -1, from: thick + 0.6, to: bottom + room });
  const guide = (y: number): Item => ({
    kind: "line",
    from: [-1, y],
    to: [long, y],
    weight: WEIGHTS.hair,
    dash: "dot",
    role: "rule",
  });
  return {
    items: [...upper.items, ...lower.items],
    guides: [...new Set([...up, ...down].map((one) => one.at))].map(guide),
  };
}

function endWords(judged: ChassisJudged, { from }: SideLook, long: number, box: Box): readonly Item[] {
  const [left, right] = from === "front" ? ["left", "right"] : ["rear", "front"];
  const bends = judged.chassis.plate.bends ?? [];
  const y = box.bottom + 4.4;
  const word = (text: string, x: number, anchor: "start" | "middle" | "end", row = 0): Item => ({
    kind: "text",
    at: [x, y + row * LINE],
    text,
    size: SIZES.small,
    anchor,
    role: "quiet",
  });
  const middle = `seen from the ${from}; heights in mm from each face${bends.length > 0 ? ", flanges from the top" : ""}`;
  const width = (text: string) => textWidth(text, SIZES.small);
  // Between the words at both ends where there is room, else under them.
  const free = long - 2 * Math.max(width(left ?? ""), width(right ?? "")) - 4;
  const lines = width(middle) <= free ? [middle] : wrap(middle, Math.max(long, 60), SIZES.small);
  return [
    word(left ?? "", 0, "start"),
    word(right ?? "", long, "end"),
    ...lines.map((text, n) => word(text, long / 2, "middle", width(middle) <= free ? 0 : n + 1)),
  ];
}

const LINE = 4.6;

/** Every item with what stands over and under the plate, in columns. */
function legendItems(
  heights: readonly ItemHeight[],
  { legend }: SideLook,
  box: Box,
  long: number,
  roleOf: (id: string) => Role | undefined,
): readonly Item[] {
  if (legend === false || heights.length === 0) return [];
  const words = heights.map((one) => ({
    id: one.id,
    name: one.name,
    size: [
      ...(one.aboveMillimetres > 0 ? [`${ordinateWords(one.aboveMillimetres)} above`] : []),
      ...(one.belowMillimetres > 0 ? [`${ordinateWords(one.belowMillimetres)} below`] : []),
    ].join(", "),
    note: one.canBePulled === false ? "cannot be pulled with the cover on" : "",
  }));
  const name = Math.max(...words.map((one) => textWidth(one.name, SIZES.small, true))) + 2;
  const widest = name + Math.max(...words.map((one) => textWidth(one.size, SIZES.small))) + 6;
  const wide = Math.max(long, 120);
  const columns = Math.max(1, Math.min(4, Math.floor((wide + 6) / widest)));
  const rows = Math.ceil(words.length / columns);
  const top = box.bottom + 6.5;
  const stuck = words.filter((one) => one.note !== "");
  return [
    ...words.flatMap(({ id, name: text, size }, n): readonly Item[] => {
      const x = Math.floor(n / rows) * Math.max(widest, wide / columns);
      const y = top + (n % rows) * LINE;
      const role = roleOf(id);
      const own = role === undefined ? {} : { role };
      return [
        { kind: "text", at: [x, y], text, size: SIZES.small, bold: true, ids: [id], ...own },
        { kind: "text", at: [x + name, y], text: size, size: SIZES.small, ids: [id], ...own },
      ];
    }),
    ...stuck.map(
      ({ id, name: text, note }, n): Item => ({
        kind: "text",
        at: [0, top + (rows + n) * LINE + 1],
        text: `${text} ${note}`,
        size: SIZES.small,
        bold: true,
        ids: [id],
      }),
    ),
  ];
}
