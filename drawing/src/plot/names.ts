import { type Box, boxAround } from "../bounds.ts";
import { type Item, type Point, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import { drawMark, MARK_RADIUS, markPoint, type Runs } from "./curves.ts";
import type { Frame } from "./frame.ts";
import { along, around, atTop, choose, contains, type Obstacles, over, type Place, within } from "./place.ts";
import type { LegendEntry, PanelSpec } from "./spec.ts";
import { spread } from "./spread.ts";
import { COLUMN_GAP, nameRole, type Wish, wishesOf } from "./wishes.ts";

const PITCH = 4.5;
const SIZE = SIZES.small;
const HALF = (CAP_EMS * SIZE) / 2;

export interface Names {
  readonly items: readonly Item[];
  readonly unplaced: readonly LegendEntry[];
}

/** What a panel may use beside and above its rectangle, and which texts stand in the rows below the plot instead. */
export interface Room {
  readonly column: number;
  readonly head: number;
  readonly below: ReadonlySet<string>;
}

/**
 * Names of lines, limits, bands and marks; those of upright bands stand above the panel where they fit. Marks come
 * before names inside the plot: a mark's place is given.
 */
export function drawNames(frame: Frame, panel: PanelSpec, runs: Runs, given: Obstacles, room: Room): Names {
  const { column, head, below } = room;
  const { area } = frame;
  const marks = (panel.marks ?? []).flatMap((mark) => {
    const at = markPoint(frame, mark);
    return at === undefined ? [] : [{ mark, at }];
  });
  const obstacles = { ...given, texts: [...given.texts, ...marks.map(({ at }) => boxAround([at], MARK_RADIUS))] };
  const wishes = wishesOf(frame, panel, runs).filter((wish) => !below.has(wish.text));
  const fits = (wish: Wish) =>
    wish.edge !== undefined && textWidth(wish.text, SIZE, wish.bold) + COLUMN_GAP <= column + 1e-6;
  const beside = drawColumn(area, wishes.filter(fits));
  const items: Item[] = [...beside.items];
  const unplaced: LegendEntry[] = [...beside.unplaced];
  const put = (wish: Wish, place: Place | undefined) => {
    if (place === undefined) {
      unplaced.push(wish);
      return;
    }
    if (place.leader !== undefined) items.push(leader(...place.leader));
    items.push({
      ...words(wish, place.at),
      anchor: place.anchor,
      halo: isOnBand(frame, panel, place.box) ? "band" : "paper",
    });
    obstacles.texts.push(place.box);
  };

  // What is now has the first choice of places.
  const hollowLast = [...marks].sort((a, b) => Number(a.mark.hollow === true) - Number(b.mark.hollow === true));
  for (const { mark, at } of hollowLast) {
    const role = nameRole(mark.role ?? "now");
    const wish: Wish = { text: mark.text, bold: mark.hollow !== true, role, sample: "mark", where: { near: at } };
    if (mark.text !== "" && !below.has(mark.text)) put(wish, choose(wish, around(at), area, obstacles));
  }
  for (const wish of wishes.filter((each) => !fits(each))) {
    const { where } = wish;
    if ("exit" in where) {
      const sky = { ...area, left: area.left - 4, right: area.right + 4, top: area.top - head };
      put(wish, choose(wish, atTop(where.exit, where.row), sky, obstacles));
    } else if ("near" in where) put(wish, choose(wish, around(where.near), area, obstacles));
    else if ("run" in where) put(wish, choose(wish, along(where.run), area, obstacles));
    else {
      const above = where.over
        ? choose(wish, over(where.box), { ...area, top: area.top - head }, obstacles)
        : undefined;
      put(wish, above ?? choose(wish, within(where.box, wish), area, obstacles));
    }
  }
  return { items: [...items, ...marks.flatMap(({ mark, at }) => drawMark(mark, at))], unplaced };
}

/** Names beside the plot, each at the height of what it names or moved and joined to it by a leader. */
function drawColumn(area: Box, wishes: readonly Wish[]): Names {
  const [top, bottom] = [area.top + HALF, area.bottom - HALF];
  const room = 1 + Math.floor((bottom - top) / PITCH);
  const standing = wishes.slice(0, room);
  const edges = standing.map((wish) => wish.edge ?? top);
  const heights = spread(edges, PITCH, top, bottom) ?? edges;
  const x = area.right + COLUMN_GAP;
  return {
    items: standing.flatMap((wish, n): readonly Item[] => {
      const [edge = top, height = top] = [edges[n], heights[n]];
      const name = words(wish, [x, height + HALF]);
      if (Math.abs(height - edge) <= 0.9) return [name];
      return [leader([area.right, edge], [x - 0.5, height]), name];
    }),
    unplaced: wishes.slice(room),
  };
}

const words = (wish: Wish, at: Point): TextItem => ({
  kind: "text",
  at,
  text: wish.text,
  size: SIZE,
  role: wish.role ?? "quiet",
  ...(wish.bold ? { bold: true } : {}),
});

function isOnBand(frame: Frame, panel: PanelSpec, box: Box): boolean {
  return (panel.bands ?? []).some((band) => {
    const ground = frame.stretch(band.along, band.from, band.to, band.side);
    return ground !== undefined && contains(ground, box);
  });
}

const leader = (from: Point, to: Point): Item => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: "quiet" });
