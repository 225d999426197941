/** Metal: whether every hole fits what stands in it, and what is left between holes, to the edge and to a bend. */
import type { DocumentHole } from "../document/chassis-schema.ts";
import type { Finding, Fix, Level } from "../findings.ts";
import { list } from "../limits/say.ts";
import { brokenOrTightest, type ChassisJudged, isIron, mm, nameOf, practised, tightest } from "./context.ts";
import {
  type Bounds,
  boundsGap,
  boundsOf,
  depthInside,
  distance,
  gapBetween,
  type Solid,
  solidOf,
} from "./geometry.ts";
import { CARRIER_WORDS, type ChassisHole } from "./holes.ts";
import { existingOutline } from "./match.ts";
import { itemName } from "./placed.ts";
import { bendsOf, plateSolid, toEdges } from "./plate.ts";
import { BEND_THICKNESSES, EDGE_THICKNESSES, HEAVY_TO_EDGE, WEB_LEAST, webWanted } from "./practice.ts";
import { salvageOptions, sizeWords } from "./salvage.ts";

/** One finding per item whose holes want work, one for all that fit. */
export function holeFindings(judged: ChassisJudged): readonly Finding[] {
  const { chassis, holes } = judged;
  const found: Finding[] = holes.refused.map(({ choice, why }) =>
    practised({
      rule: "chassis-salvage",
      where: choice.item ?? choice.hole,
      level: "stop",
      title: `${nameOf(judged, choice.item ?? choice.hole)}: the ${choice.by.replace("-", " ")} on ${choice.hole} cannot be: ${why}`,
      fixes: [{ title: `Decide anew about ${choice.hole}`, changes: [withoutChoice(judged, choice.hole)] }],
    }),
  );
  let fitting = 0;
  let toCut = 0;
  for (const item of judged.items) {
    const { id } = item.item;
    const own = holes.holes.filter((hole) => hole.item === id && hole.in === "plate");
    const wrong = own.filter((hole) => hole.work === "unresolved");
    const small = own.filter((hole) => hole.work === "open-up");
    fitting += own.filter((hole) => hole.work === "done").length;
    toCut += own.filter((hole) => hole.work === "cut").length;
    if (wrong.length > 0) found.push(wrongHole(judged, id, wrong));
    else if (small.length > 0)
      found.push(
        practised({
          rule: "chassis-hole",
          where: id,
          level: "watch",
          title: `${nameOf(judged, id)}: open up ${list(small.map((hole) => `${hole.existing ?? ""} to ${sizeWords(hole.shape)}`))}`,
          condition: "as cut",
        }),
      );
    const carrier = holes.carriers.find((one) => one.item === id);
    if (carrier !== undefined)
      found.push(
        practised({
          rule: "chassis-salvage",
          where: id,
          level: "ok",
          title: `${nameOf(judged, id)} stands on a ${CARRIER_WORDS[carrier.kind]} over ${carrier.hole}, which covers the rim by ${mm(carrier.coversMillimetres)} mm`,
          value: carrier.coversMillimetres,
          limit: 1,
          sense: "above",
        }),
      );
  }
  if (fitting > 0 && !found.some((one) => one.rule === "chassis-hole"))
    found.push(
      practised({
        rule: "chassis-hole",
        where: "chassis",
        level: "ok",
        title: `${fitting} holes fit as they are cut${toCut > 0 ? `, ${toCut} are to be cut` : ""}`,
        condition: "as cut",
      }),
    );
  // Old screw holes of a part whose hole is still undecided may hold its ring.
  const undecided = new Set(holes.holes.flatMap((hole) => (hole.work === "unresolved" ? (hole.item ?? []) : [])));
  const spare = holes.holes.filter((hole) => {
    const serves = chassis.holes.find((one) => one.id === hole.existing)?.serves;
    return hole.work === "spare" && (serves === undefined || !undecided.has(serves));
  });
  if (spare.length > 0)
    found.push(
      practised({
        rule: "chassis-spare",
        where: "chassis",
        level: "watch",
        title: `${list(spare.map((hole) => hole.id))} ${spare.length === 1 ? "serves" : "serve"} nothing: close ${spare.length === 1 ? "it" : "them"}, or use ${spare.length === 1 ? "it" : "them"}; a finger or a tool goes through a hole of ${mm(widest(spare))} mm`,
        condition: "as cut",
        fixes: [plugAll(chassis.salvage, spare)],
      }),
    );
  return found;
}

const widest = (holes: readonly ChassisHole[]): number =>
  Math.max(
    ...holes.map(({ shape }) =>
      shape.kind === "circle" ? shape.diameterMillimetres : Math.max(shape.widthMillimetres, shape.heightMillimetres),
    ),
  );

function plugAll(before: ChassisJudged["chassis"]["salvage"], spare: readonly ChassisHole[]): Fix {
  const ids = new Set(spare.map((hole) => hole.id));
  const after = [
    ...(before ?? []).filter((one) => !ids.has(one.hole)),
    ...spare.map((hole) => ({ hole: hole.id, by: "blank-plug" })),
  ];
  return {
    title: `Close ${list(spare.map((hole) => hole.id))} with plugs`,
    changes: [{ target: "chassis.salvage", ...(before === undefined ? {} : { before }), after }],
  };
}

function withoutChoice({ chassis }: ChassisJudged, hole: string) {
  const before = chassis.salvage ?? [];
  return { target: "chassis.salvage", before, after: before.filter((one) => one.hole !== hole) };
}

/** Round, and within what the part takes: only its place is wrong. */
const hasSize = ({ shape }: DocumentHole, wanted: ChassisHole): boolean =>
  shape.kind === "circle" &&
  wanted.shape.kind === "circle" &&
  shape.diameterMillimetres >= wanted.shape.diameterMillimetres - wanted.underMillimetres &&
  shape.diameterMillimetres <= wanted.shape.diameterMillimetres + wanted.overMillimetres;

/** The part over the hole that is there. */
function backOver({ chassis }: ChassisJudged, id: string, hole: DocumentHole, wanted: ChassisHole): readonly Fix[] {
  const item = chassis.items.find((one) => one.id === id);
  if (item === undefined) return [];
  const round = (millimetres: number) => Math.round(millimetres * 1000) / 1000;
  const to = { x: round(item.x + hole.x - wanted.x), y: round(item.y + hole.y - wanted.y) };
  return [
    {
      title: `${itemName(item)} over ${hole.id}, to ${mm(to.x)}, ${mm(to.y)}`,
      changes: (["x", "y"] as const).flatMap((axis) =>
        to[axis] === item[axis]
          ? []
          : [{ target: `chassis.items[${id}].${axis}`, before: item[axis], after: to[axis] }],
      ),
    },
  ];
}

function wrongHole(judged: ChassisJudged, id: string, wrong: readonly ChassisHole[]): Finding {
  const { chassis } = judged;
  const [first] = wrong;
  const hole = chassis.holes.find((one) => one.id === first?.existing);
  const rim = wrong.filter((one) => one !== first && one.purpose === "screw");
  const options =
    hole === undefined || judged.fixes === false
      ? undefined
      : salvageOptions({ chassis, library: judged.footprints, found: judged.holes }, hole.id, id);
  const fixes = options?.ok === true ? options.value.flatMap((one) => one.fix ?? []) : [];
  const wanted = first === undefined ? "" : sizeWords(first.shape);
  if (hole !== undefined && first !== undefined && hasSize(hole, first)) {
    const off = distance(hole, first);
    return practised({
      rule: "chassis-hole",
      where: id,
      level: "stop",
      title: `${nameOf(judged, id)}: ${hole.id}, ${sizeWords(hole.shape)}, is ${mm(off)} mm off where the part wants it`,
      value: off,
      condition: "as cut",
      fixes: [...(judged.fixes === false ? [] : backOver(judged, id, hole, first)), ...fixes],
    });
  }
  return practised({
    rule: "chassis-hole",
    where: id,
    level: "stop",
    title: `${nameOf(judged, id)}: ${hole?.id ?? ""} is ${hole === undefined ? "?" : sizeWords(hole.shape)}, the part wants ${wanted}${rim.length > 0 ? `; its screws fall on the rim of ${[...new Set(rim.map((one) => one.existing))].join(", ")}` : ""}`,
    value: hole?.shape.kind === "circle" ? hole.shape.diameterMillimetres : null,
    limit: first?.shape.kind === "circle" ? first.shape.diameterMillimetres + first.overMillimetres : null,
    sense: "below",
    condition: "as cut",
    fixes,
  });
}

interface Metal {
  readonly id: string;
  readonly item: string | undefined;
  readonly made: boolean;
  readonly fixing: boolean;
  /** Its place in the list: pairs are named in that order. */
  readonly order: number;
  readonly solid: Solid;
  readonly bounds: Bounds;
}

/** Every hole that the plate will have: those that are there and stay, those that are to be made. */
function metalOf(judged: ChassisJudged): readonly Metal[] {
  const { chassis, holes } = judged;
  const made = holes.holes.filter((hole) => hole.in === "plate" && (hole.work === "cut" || hole.work === "open-up"));
  const replaced = new Set(made.flatMap((hole) => hole.existing ?? []));
  const servedBy = new Map(
    holes.holes.flatMap((hole) => (hole.existing === undefined ? [] : [[hole.existing, hole] as const])),
  );
  let order = 0;
  const metal = (id: string, item: string | undefined, isMade: boolean, fixing: boolean, solid: Solid): Metal => ({
    order: order++,
    id,
    item,
    made: isMade,
    fixing,
    solid,
    bounds: boundsOf(solid),
  });
  return [
    ...chassis.holes
      .filter((hole) => hole.state === "cut" && !replaced.has(hole.id))
      .map((hole) => {
        const row = servedBy.get(hole.id);
        return metal(
          hole.id,
          row?.item ?? hole.serves,
          false,
          row?.purpose === "fixing",
          solidOf(existingOutline(hole)),
        );
      }),
    ...made.map((hole) => metal(hole.id, hole.item, true, hole.purpose === "fixing", solidOf(hole.outline))),
  ];
}

interface Web {
  readonly one: Metal;
  readonly other: Metal;
  readonly gap: number;
  readonly level: Level;
}

/** Metal between holes. Pairs of one footprint are its maker's; pairs that are both there are only watched. */
export function webFindings(judged: ChassisJudged): readonly Finding[] {
  const wanted = webWanted(judged.chassis.plate.thicknessMillimetres);
  const metal = [...metalOf(judged)].sort((one, other) => one.bounds.left - other.bounds.left);
  const webs: Web[] = [];
  for (const [i, first] of metal.entries())
    for (let j = i + 1; j < metal.length; j++) {
      const second = metal[j] as Metal;
      // Sorted by their left sides: none that follows is nearer.
      if (second.bounds.left - first.bounds.right > 3 * wanted) break;
      if (boundsGap(first.bounds, second.bounds) > 3 * wanted) continue;
      if (first.item !== undefined && first.item === second.item && !first.fixing && !second.fixing) continue;
      const gap = gapBetween(first.solid, second.solid);
      if (gap > 3 * wanted) continue;
      const [one, other] = first.order < second.order ? [first, second] : [second, first];
      webs.push({ one, other, gap, level: webLevel(gap, wanted, !one.made && !other.made) });
    }
  return brokenOrTightest(
    webs,
    (web) => web.level === "ok",
    (web) => web.gap,
  )
    .toSorted((a, b) => a.one.order - b.one.order || a.other.order - b.other.order)
    .map(({ one, other, gap, level }) => {
      const there = !one.made && !other.made;
      const [a, b] = [holeName(judged, one), holeName(judged, other)];
      return practised({
        rule: "chassis-web",
        where: `${one.id}+${other.id}`,
        level,
        title:
          gap < 0
            ? `${a} and ${b} run into each other by ${mm(-gap)} mm`
            : `${mm(gap)} mm of metal between ${a} and ${b}, ${mm(wanted)} mm wanted${there ? "; both are there" : ""}`,
        value: gap,
        limit: there ? WEB_LEAST : wanted,
        sense: "above",
      });
    });
}

/** What is there cannot be made better, only watched. */
function webLevel(gap: number, wanted: number, there: boolean): Level {
  if (gap < WEB_LEAST) return there ? "watch" : "stop";
  return gap < wanted && !there ? "watch" : "ok";
}

const holeName = (judged: ChassisJudged, { id, item }: Metal): string =>
  item === undefined || id.startsWith(`${item}/`) ? id : `${id} (${nameOf(judged, item)})`;

/** Holes to be made: inside the plate, off its edge, off its bends. */
export function edgeFindings(judged: ChassisJudged): readonly Finding[] {
  const { plate } = judged.chassis;
  const outline = plateSolid(plate);
  const wanted = EDGE_THICKNESSES * plate.thicknessMillimetres;
  const bends = bendsOf(plate);
  const [edges, bent]: [Finding[], Finding[]] = [[], []];
  for (const hole of metalOf(judged)) {
    if (!hole.made) continue;
    const name = holeName(judged, hole);
    const depth = depthInside(outline, hole.solid);
    edges.push(
      practised({
        rule: "chassis-edge",
        where: hole.id,
        level: depth < 0 ? "stop" : depth < wanted ? "watch" : "ok",
        title:
          depth < 0
            ? `${name} reaches ${mm(-depth)} mm past the edge of the plate`
            : `${name} stands ${mm(depth)} mm from the edge, ${mm(wanted)} mm wanted`,
        value: depth,
        limit: wanted,
        sense: "above",
      }),
    );
    const far = toEdges(plate, hole.solid);
    for (const { edge, flatFromEdge, insideFace } of bends) {
      const gap = far[edge] - insideFace;
      const least = flatFromEdge - insideFace;
      const clear = BEND_THICKNESSES * plate.thicknessMillimetres + least;
      bent.push(
        practised({
          rule: "chassis-bend",
          where: `${hole.id}+${edge}`,
          level: gap < least ? "stop" : gap < clear ? "watch" : "ok",
          title:
            gap < least
              ? `${name} lies in the bend of the ${edge} edge`
              : `${name} stands ${mm(gap)} mm from the flange at the ${edge} edge, ${mm(clear)} mm wanted: the bend draws it out of round`,
          value: gap,
          limit: clear,
          sense: "above",
        }),
      );
    }
  }
  return [...tightest(edges), ...tightest(bent), ...tightest(heavyToEdge(judged))];
}

function heavyToEdge(judged: ChassisJudged): readonly Finding[] {
  const outline = plateSolid(judged.chassis.plate);
  return judged.items.filter(isIron).map((item) => {
    const depth = Math.min(
      ...item.bodies.filter((body) => body.face === item.face).map((body) => depthInside(outline, body.solid)),
    );
    return practised({
      rule: "chassis-heavy-edge",
      where: item.item.id,
      level: depth < 0 ? "stop" : depth < HEAVY_TO_EDGE ? "watch" : "ok",
      title:
        depth < 0
          ? `${nameOf(judged, item.item.id)} hangs ${mm(-depth)} mm over the edge`
          : `${nameOf(judged, item.item.id)} stands ${mm(depth)} mm from the edge, ${HEAVY_TO_EDGE} mm wanted for what is heavy`,
      value: Number.isFinite(depth) ? depth : null,
      limit: HEAVY_TO_EDGE,
      sense: "above",
    });
  });
}

/** Bushes and clips that the plate is too thick for. */
export function thicknessFindings(judged: ChassisJudged): readonly Finding[] {
  const { thicknessMillimetres } = judged.chassis.plate;
  return tightest(
    judged.items.flatMap((item) => {
      const most = item.footprint.thickestMillimetres;
      if (most === undefined) return [];
      return practised({
        rule: "chassis-bush",
        where: item.item.id,
        level: thicknessMillimetres > most ? "stop" : "ok",
        title: `${nameOf(judged, item.item.id)}: its bush takes ${mm(most)} mm, the plate has ${mm(thicknessMillimetres)} mm`,
        value: thicknessMillimetres,
        limit: most,
        sense: "below",
        source: "footprint; measure the part",
      });
    }),
  );
}
