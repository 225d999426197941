/** Bodies: that no two overlap on a face, that a spanner goes round, that a cover goes over and a tube can be pulled. */
import type { Finding, Fix } from "../findings.ts";
import {
  brokenOrTightest,
  type ChassisJudged,
  isIron,
  mm,
  nameOf,
  practised,
  pulledMillimetres,
  tightest,
} from "./context.ts";
import { boundsGap, depthInside, gapBetween, solidOf } from "./geometry.ts";
import { otherFace, type PlacedBody } from "./placed.ts";
import { bendsOf, toEdges } from "./plate.ts";
import { BULB_TO_COVER } from "./practice.ts";

const faceWords = { top: "on top", under: "underneath" } as const;

interface Pair {
  readonly one: PlacedBody;
  readonly other: PlacedBody;
  readonly gap: number;
}

/** Nearest bodies of each two items, on one face; pairs farther apart than `within` are left out. */
export function nearPairs(bodies: readonly PlacedBody[], within: number): readonly Pair[] {
  const sorted = [...bodies].sort((a, b) => a.bounds.left - b.bounds.left);
  const nearest = new Map<string, Pair>();
  for (const [i, one] of sorted.entries())
    for (let j = i + 1; j < sorted.length; j++) {
      const other = sorted[j] as PlacedBody;
      // Sorted by their left sides: none that follows is nearer.
      if (other.bounds.left - one.bounds.right > within) break;
      if (one.item === other.item || one.face !== other.face || boundsGap(one.bounds, other.bounds) > within) continue;
      const gap = gapBetween(one.solid, other.solid);
      if (gap > within) continue;
      const key = one.item < other.item ? `${one.item}+${other.item}` : `${other.item}+${one.item}`;
      const before = nearest.get(key);
      if (before === undefined || gap < before.gap) nearest.set(key, { one, other, gap });
    }
  return [...nearest.values()];
}

/** A hair: bodies that touch do not overlap. */
const HAIR = 1e-6;
const NEAR = 40;

export function overlapFindings(judged: ChassisJudged): readonly Finding[] {
  const pairs = nearPairs(judged.bodies, NEAR);
  return brokenOrTightest(
    pairs,
    (pair) => pair.gap >= -HAIR,
    (pair) => pair.gap,
  ).map(({ one, other, gap }) => {
    const [first, second] = one.item < other.item ? [one, other] : [other, one];
    const names = `${nameOf(judged, first.item)} (${first.what}) and ${nameOf(judged, second.item)} (${second.what})`;
    return practised({
      rule: "chassis-overlap",
      where: `${first.item}+${second.item}`,
      level: gap < -HAIR ? "stop" : "ok",
      title:
        gap < -HAIR
          ? `${names} overlap by ${mm(-gap)} mm ${faceWords[one.face]}`
          : `${names} are the nearest two ${faceWords[one.face]}, ${mm(gap)} mm apart`,
      value: gap,
      limit: 0,
      sense: "above",
      fixes: gap < -HAIR ? apart(judged, first, second, -gap) : [],
    });
  });
}

/** The item without a cut hole of its own moved away along the line between both, to a whole millimetre. */
function apart(judged: ChassisJudged, first: PlacedBody, second: PlacedBody, by: number): readonly Fix[] {
  if (judged.fixes === false) return [];
  const movable = (id: string) =>
    !judged.holes.holes.some((hole) => hole.item === id && hole.existing !== undefined && hole.in === "plate");
  const fixes: Fix[] = [];
  for (const [moved, stays] of [
    [second, first],
    [first, second],
  ] as const) {
    const item = judged.items.find((one) => one.item.id === moved.item);
    const still = judged.items.find((one) => one.item.id === stays.item);
    if (item === undefined || still === undefined || !movable(moved.item)) continue;
    const direction = item.item.x >= still.item.x ? 1 : -1;
    const x = item.item.x + direction * Math.ceil(by + 1);
    const bodies = item.bodies.map((body) => ({ ...body, solid: shifted(body.solid, x - item.item.x) }));
    const others = judged.bodies.filter((body) => body.item !== moved.item);
    const clear = bodies.every((body) =>
      others.every((other) => other.face !== body.face || gapBetween(body.solid, other.solid) >= 0),
    );
    if (clear)
      fixes.push({
        title: `${nameOf(judged, moved.item)} ${mm(Math.abs(x - item.item.x))} mm to the ${direction > 0 ? "right" : "left"}, x ${mm(x)} mm`,
        changes: [{ target: `chassis.items[${moved.item}].x`, before: item.item.x, after: x }],
      });
  }
  return fixes;
}

const shifted = (solid: PlacedBody["solid"], by: number): PlacedBody["solid"] => ({
  ...solid,
  core: solid.core.map(({ x, y }) => ({ x: x + by, y })),
});

/** Room round nuts, and bodies that meet a flange which is bent down. */
export function roomFindings(judged: ChassisJudged): readonly Finding[] {
  const { plate } = judged.chassis;
  const found: Finding[] = [];
  for (const item of judged.items) {
    const { wrench } = item.footprint;
    const { id, x, y } = item.item;
    if (wrench !== undefined) {
      const face = wrench.side === "above" ? item.face : otherFace(item.face);
      const room = solidOf({ kind: "circle", x, y, diameterMillimetres: wrench.diameterMillimetres });
      for (const body of judged.bodies) {
        if (body.item === id || body.face !== face) continue;
        const gap = gapBetween(room, body.solid);
        if (gap > 0) continue;
        found.push(
          practised({
            rule: "chassis-wrench",
            where: `${id}+${body.item}`,
            level: "watch",
            title: `no spanner goes round the nut of ${nameOf(judged, id)} ${faceWords[face]}: ${nameOf(judged, body.item)} (${body.what}) is ${mm(-gap)} mm inside its ${mm(wrench.diameterMillimetres)} mm; fit it first`,
            value: wrench.diameterMillimetres / 2 + gap,
            limit: wrench.diameterMillimetres / 2,
            sense: "above",
          }),
        );
        break;
      }
    }
    const flange = bendsOf(plate);
    for (const body of item.bodies) {
      if (body.face !== "under") continue;
      const far = toEdges(plate, body.solid);
      const hit = flange.find(({ edge, flatFromEdge }) => far[edge] < flatFromEdge);
      if (hit === undefined) continue;
      found.push(
        practised({
          rule: "chassis-flange",
          where: `${id}+${hit.edge}`,
          level: "stop",
          title: `${nameOf(judged, id)} (${body.what}) meets the flange at the ${hit.edge} edge underneath, ${mm(hit.flatFromEdge - far[hit.edge])} mm too far out`,
          value: far[hit.edge],
          limit: hit.flatFromEdge,
          sense: "above",
        }),
      );
      break;
    }
  }
  return found;
}

/** A part that hangs over the edge of the plate is stopped; a plug that does is not. */
export function outsideFindings(judged: ChassisJudged): readonly Finding[] {
  const { widthMillimetres, depthMillimetres } = judged.chassis.plate;
  const plate = solidOf({
    kind: "rectangle",
    x: widthMillimetres / 2,
    y: depthMillimetres / 2,
    widthMillimetres,
    heightMillimetres: depthMillimetres,
  });
  return judged.items.flatMap((item) => {
    if (isIron(item)) return [];
    const out = item.bodies
      .filter((body) => body.what !== "plug")
      .map((body) => ({ body, depth: depthInside(plate, body.solid) }))
      .reduce((least, one) => (one.depth < least.depth ? one : least), { body: undefined, depth: 0 } as {
        body: PlacedBody | undefined;
        depth: number;
      });
    return out.body === undefined
      ? []
      : [
          practised({
            rule: "chassis-outside",
            where: item.item.id,
            level: "stop",
            title: `${nameOf(judged, item.item.id)} (${out.body.what}) reaches ${mm(-out.depth)} mm past the edge of the plate`,
            value: out.depth,
            limit: 0,
            sense: "above",
          }),
        ];
  });
}

/** Heights under a cover: nothing touches it, and tubes come out with it on. */
export function coverFindings(judged: ChassisJudged): readonly Finding[] {
  const { coverMillimetres: clear } = judged.chassis.plate;
  if (clear === undefined) return [];
  const found: Finding[] = judged.tubes.map((tube) => {
    const touches = tube.topMillimetres + BULB_TO_COVER;
    const pulled = pulledMillimetres(tube);
    const hits = clear < tube.topMillimetres;
    return practised({
      rule: "chassis-cover",
      where: tube.envelope,
      level: hits ? "stop" : clear < touches || clear < pulled ? "watch" : "ok",
      title: hits
        ? `${tube.envelope} ${tube.type} stands ${mm(tube.topMillimetres)} mm high, the cover has ${mm(clear)} mm`
        : clear < touches
          ? `${tube.envelope} ${tube.type} comes within ${mm(clear - tube.topMillimetres)} mm of the cover, ${BULB_TO_COVER} mm wanted for air`
          : clear < pulled
            ? `${tube.envelope} ${tube.type} cannot be pulled with the cover on: ${mm(pulled)} mm wanted, there are ${mm(clear)} mm; say in the owner's sheet that the cover comes off, by whom`
            : `${tube.envelope} ${tube.type} can be pulled with the cover on: ${mm(pulled)} mm of ${mm(clear)} mm`,
      value: hits ? tube.topMillimetres : pulled,
      limit: clear,
      sense: "below",
      source:
        tube.provenance === undefined
          ? "common practice; no sheet gives the tube's size"
          : "common practice; the tube's sheet",
    });
  });
  for (const body of judged.bodies)
    if (body.face === "top" && body.what !== "plug" && body.what !== "bulb" && body.heightMillimetres > clear)
      found.push(
        practised({
          rule: "chassis-cover",
          where: body.item,
          level: "stop",
          title: `${nameOf(judged, body.item)} (${body.what}) stands ${mm(body.heightMillimetres)} mm high, the cover has ${mm(clear)} mm`,
          value: body.heightMillimetres,
          limit: clear,
          sense: "below",
        }),
      );
  return tightest(found);
}
