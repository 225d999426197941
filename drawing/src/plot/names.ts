import { type Box, textBox } from "../bounds.ts";
import { type Item, type Point, type Role, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import { drawMark, markPoint, type Run, type Runs } from "./curves.ts";
import type { Frame } from "./frame.ts";
import { rightAxis } from "./frame.ts";
import { limitEnds } from "./ground.ts";
import { type Obstacles, type Placed, placeAlong, placeNear, spread } from "./labels.ts";
import type { LegendEntry, PanelSpec, PlotLine } from "./spec.ts";

/** Pitch of names in a column, and the gap between the plot and the column, in millimetres. */
const PITCH = 4.5;
const GAP = 2;
const SIZE = SIZES.small;
const CENTRE = (CAP_EMS * SIZE) / 2;

/** Something that wants a name in the plot, beside it, or else in the row below. */
interface Wish {
  readonly text: string;
  readonly bold: boolean;
  readonly role: Role;
  readonly sample: LegendEntry["sample"];
  /** Height at the right edge, for the column; none when it does not reach that edge. */
  readonly edge?: number;
  readonly run?: Run;
  readonly line?: PlotLine;
}

export const lineName = (line: PlotLine) => (line.ending === undefined ? line.label : `${line.label} ${line.ending}`);
const nameRole = (role: Role | undefined): Role =>
  role === "proven" ? "proven" : role === "now" ? "ink" : (role ?? "quiet");

/** Widest name that wants to stand beside the panel; 0 with an axis on the right, where names stand in the plot. */
export function columnWidth(panel: PanelSpec, widest: number): number {
  if (rightAxis(panel) !== undefined) return 0;
  const names = [
    ...panel.lines.map((line) => textWidth(lineName(line), SIZE, line.role === "now")),
    ...(panel.limits ?? []).filter((l) => l.along === "y").map((l) => textWidth(l.words, SIZE)),
  ];
  return Math.max(0, ...names.map((width) => width + GAP).filter((width) => width <= widest));
}

export interface Names {
  readonly items: readonly Item[];
  readonly unplaced: readonly LegendEntry[];
}

/** Names of lines, limits, bands and marks. Those whose key is in `legend` stand below the plot and are left out. */
export function drawNames(
  frame: Frame,
  panel: PanelSpec,
  runs: Runs,
  segments: Obstacles["segments"],
  column: number,
  legend: ReadonlySet<string>,
): Names {
  const { area } = frame;
  const obstacles: Obstacles = { texts: [], segments: [...segments] };
  const items: Item[] = [];
  const unplaced: LegendEntry[] = [];
  const put = (text: TextItem) => {
    items.push(text);
    obstacles.texts.push(textBox(text));
  };
  const refuse = ({ text, sample, role, line }: Wish) =>
    unplaced.push({ text, sample, role, ...(line?.dash === undefined ? {} : { dash: line.dash }) });

  const wishes = wishesOf(frame, panel, runs).filter((wish) => !legend.has(wish.text));
  const fits = (wish: Wish) => wish.edge !== undefined && textWidth(wish.text, SIZE, wish.bold) + GAP <= column + 1e-6;
  const beside = wishes.filter(fits);
  const room = Math.max(0, 1 + Math.floor((area.bottom - area.top - 2 * CENTRE) / PITCH));
  beside.slice(room).forEach(refuse);
  const standing = beside.slice(0, room);
  const heights = spread(
    standing.map((wish) => wish.edge as number),
    PITCH,
    area.top + CENTRE,
    area.bottom - CENTRE,
  );
  standing.forEach((wish, n) => {
    const y = (heights?.[n] ?? area.top) as number;
    const x = area.right + GAP;
    if (Math.abs(y - (wish.edge as number)) > 0.9)
      items.push({
        kind: "line",
        from: [area.right, wish.edge as number],
        to: [x - 0.4, y],
        weight: WEIGHTS.hair,
        role: "rule",
      });
    put(text(wish.text, [x, y + CENTRE], wish.role, wish.bold));
  });

  // Marks come before names inside the plot: their place is given, a name's is not.
  const points = (panel.marks ?? []).flatMap((mark) => {
    const at = markPoint(frame, mark);
    return at === undefined ? [] : [{ mark, at }];
  });
  for (const {
    at: [x, y],
  } of points)
    obstacles.texts.push({ left: x - 1.2, right: x + 1.2, top: y - 1.2, bottom: y + 1.2 });
  for (const { mark, at } of points) {
    const role = mark.role ?? "now";
    const wish: Wish = { text: mark.text, bold: mark.hollow !== true, role: nameRole(role), sample: "mark" };
    const place = legend.has(mark.text) ? undefined : placeNear(at, mark.text, SIZE, wish.bold, area, obstacles);
    if (place === undefined) {
      if (!legend.has(mark.text)) refuse(wish);
    } else {
      if (place.distance > 4) items.push(leader(at, place));
      put({ ...text(mark.text, place.at, wish.role, wish.bold), anchor: place.anchor, halo: true });
    }
    items.push(drawMark(mark, at));
  }

  for (const wish of wishes.filter((each) => !fits(each))) {
    const place =
      wish.run === undefined ? undefined : placeAlong(wish.run, wish.text, SIZE, wish.bold, area, obstacles);
    if (place === undefined) refuse(wish);
    else put({ ...text(wish.text, place.at, wish.role, wish.bold), anchor: place.anchor, halo: true });
  }
  return { items, unplaced };
}

function wishesOf(frame: Frame, panel: PanelSpec, runs: Runs): readonly Wish[] {
  const { area } = frame;
  const limits = (panel.limits ?? []).flatMap((limit): readonly Wish[] => {
    const run = limitEnds(frame, limit);
    const shown =
      limit.along === "x"
        ? run[0][0] >= area.left && run[0][0] <= area.right
        : run[0][1] >= area.top && run[0][1] <= area.bottom;
    const edge = limit.along === "y" ? { edge: run[0][1] } : {};
    const wish: Wish = {
      text: limit.words,
      bold: false,
      role: nameRole(limit.role ?? "quiet"),
      sample: "limit",
      run: limit.along === "x" ? [...run].reverse() : run,
    };
    return shown ? [{ ...wish, ...edge }] : [];
  });
  const lines = [...runs].flatMap(([line, parts]): readonly Wish[] => {
    const run = parts.reduce<Run | undefined>(
      (longest, part) => (longest === undefined || extent(part) > extent(longest) ? part : longest),
      undefined,
    );
    const end = parts.at(-1)?.at(-1);
    if (run === undefined || end === undefined) return [];
    const reaches = end[0] >= area.right - 0.5;
    return [
      {
        text: lineName(line),
        bold: line.role === "now",
        role: nameRole(line.role),
        sample: "line",
        run,
        line,
        ...(reaches ? { edge: end[1] } : {}),
      },
    ];
  });
  const bands = (panel.bands ?? []).flatMap((band): readonly Wish[] => {
    const box = band.label === undefined ? undefined : frame.stretch(band.along, band.from, band.to, band.side);
    if (box === undefined || band.label === undefined) return [];
    const middle = (box.left + box.right) / 2;
    return [
      {
        text: band.label,
        bold: false,
        role: "faint",
        sample: "band",
        run: [
          [middle, box.bottom],
          [middle, box.top + 5.5],
        ],
      },
    ];
  });
  return [...limits, ...lines, ...bands];
}

const extent = (run: Run) => (run.at(-1)?.[0] ?? 0) - (run[0]?.[0] ?? 0);

const text = (words: string, at: Point, role: Role, bold: boolean): TextItem => ({
  kind: "text",
  at,
  text: words,
  size: SIZE,
  role,
  ...(bold ? { bold } : {}),
});

/** From the mark to the nearest edge of its words. */
function leader([x, y]: Point, { box }: Placed): Item {
  const to: Point = [Math.min(Math.max(x, box.left), box.right), Math.min(Math.max(y, box.top), box.bottom)];
  return { kind: "line", from: [x, y], to, weight: WEIGHTS.hair, role: "quiet" };
}
