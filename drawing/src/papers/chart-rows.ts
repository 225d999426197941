/** Holes of a chassis in the order of the hole chart, numbered as on its drawing: what is to be done first, what is there after it. */
import {
  CARRIER_WORDS,
  type ChassisHole,
  type ChassisJudged,
  type PlacedItem,
  toolFor,
  type ToolChoice,
} from "@platewright/design";
import { holeFigures, lengthFigure } from "./hole-figures.ts";
import type { Content, Figure } from "./letters.ts";
import type { Column, Row } from "./table.ts";

export interface ChartHole {
  readonly number: number;
  readonly hole: ChassisHole;
  /** To be made, opened or closed at this revision. */
  readonly due: boolean;
  readonly tool?: ToolChoice;
}

export interface ChartGroup {
  readonly title: string;
  readonly holes: readonly ChartHole[];
}

export const isDue = ({ work }: Pick<ChassisHole, "work">): boolean =>
  work === "cut" || work === "open-up" || work === "close";

/** To be done in the plate, to be done in what lies over it, not decided, there. */
export function chartGroups(judged: ChassisJudged): readonly ChartGroup[] {
  const { holes, carriers } = judged.holes;
  const inPlate = holes.filter((hole) => hole.in === "plate");
  const groups = [
    { title: "To do in the plate", holes: inPlate.filter(isDue) },
    ...carriers.map((carrier) => ({
      title: `To do in the ${CARRIER_WORDS[carrier.kind]} of ${carrier.item}; x and y as it lies on the plate`,
      holes: holes.filter((hole) => hole.in === carrier.kind && hole.item === carrier.item),
    })),
    {
      title: "Not decided: do not cut before a way is chosen",
      holes: inPlate.filter((hole) => hole.work === "unresolved"),
    },
    { title: "There and right: check, do not cut", holes: inPlate.filter((hole) => hole.work === "done") },
    { title: "There and of no use", holes: inPlate.filter((hole) => hole.work === "spare") },
  ].filter((group) => group.holes.length > 0);
  let number = 0;
  return groups.map(({ title, holes: own }) => ({
    title,
    holes: own.map((hole): ChartHole => {
      number++;
      const tool = hole.work === "cut" || hole.work === "open-up" ? chosenTool(judged, hole) : undefined;
      return { number, hole, due: isDue(hole), ...(tool === undefined ? {} : { tool }) };
    }),
  }));
}

/** The tool for a hole; a ring's own thickness counts for its holes. */
export function chosenTool(judged: ChassisJudged, hole: ChassisHole): ToolChoice {
  const carrier = judged.holes.carriers.find((one) => one.kind === hole.in && one.item === hole.item);
  return toolFor(judged.chassis, hole, carrier?.thicknessMillimetres);
}

export const INCH = 25.4;

/** Three places, as an inch rule and a caliper are read. */
const inches = (of: string, millimetres: number): Figure => {
  const value = millimetres / INCH;
  return { of, value, unit: "", text: value.toFixed(3).replace("-", "−") };
};

/** Tenths of a millimetre, always shown. */
const tenths = (of: string, value: number): Figure => {
  const shown = lengthFigure(of, value);
  return shown.text.includes(".") ? shown : { ...shown, text: `${shown.text}.0` };
};

const signed = (of: string, value: number): Figure => {
  const size = lengthFigure(of, Math.abs(value)).text;
  return { of, value, unit: "", text: value === 0 ? "0" : `${value < 0 ? "−" : "+"}${size}` };
};

export const CHART_COLUMNS: readonly Column[] = [
  { head: "No", align: "end", bold: true },
  { head: "Hole" },
  { head: "x mm", align: "end" },
  { head: "y mm", align: "end" },
  { head: "Size mm", align: "end" },
  { head: "Limits", align: "end", optional: true },
  { head: "x in", align: "end" },
  { head: "y in", align: "end" },
  { head: "Size in", align: "end" },
  { head: "Tool", grow: 1, least: 30 },
  { head: "Pilot mm", align: "end", optional: true },
  { head: "Key", optional: true },
  { head: "Done", ruled: true },
];

export function chartRow(judged: ChassisJudged, { number, hole, due, tool }: ChartHole): Row {
  const { id } = hole;
  return {
    ids: [id],
    bold: due,
    cells: [
      String(number),
      nameOf(hole),
      tenths(`hole/x/${id}`, hole.x),
      tenths(`hole/y/${id}`, hole.y),
      sizeCell(hole),
      due && hole.work !== "close"
        ? [signed(`hole/under/${id}`, -hole.underMillimetres), " ", signed(`hole/over/${id}`, hole.overMillimetres)]
        : "",
      inches(`hole/x-inch/${id}`, hole.x),
      inches(`hole/y-inch/${id}`, hole.y),
      inchSize(hole),
      toolCell(hole, tool),
      pilotCell(hole, tool),
      keyWords(judged, hole),
      { tick: 1 },
    ],
  };
}

/** "H3a  V3 screw a"; a part's hole that is not there yet has its own name alone. */
const nameOf = ({ existing, label }: ChassisHole): string =>
  existing === undefined || existing === label ? label : `${existing}\u2002${label}`;

function sizeCell(hole: ChassisHole): Content {
  const { figures } = holeFigures(hole);
  const [first, second] = figures;
  if (first === undefined) return "";
  if (second === undefined) return ["Ø\u202f", tenths(first.of, first.value)];
  const corner = hole.shape.kind === "rectangle" ? (hole.shape.cornerMillimetres ?? 0) : 0;
  return [
    first,
    "\u202f×\u202f",
    second,
    ...(corner > 0 ? [", R\u202f", lengthFigure(`hole/corner/${hole.id}`, corner)] : []),
  ];
}

function inchSize({ id, shape }: ChassisHole): Content {
  return shape.kind === "circle"
    ? inches(`hole/diameter-inch/${id}`, shape.diameterMillimetres)
    : [
        inches(`hole/width-inch/${id}`, shape.widthMillimetres),
        "\u202f×\u202f",
        inches(`hole/height-inch/${id}`, shape.heightMillimetres),
      ];
}

function toolCell(hole: ChassisHole, tool: ToolChoice | undefined): Content {
  switch (hole.work) {
    case "done":
      return "there";
    case "spare":
      return "stays open; close it or use it";
    case "close":
      return "plug";
    case "unresolved":
      return `${hole.existing ?? "what is there"} is in the way`;
    case "open-up":
      return `open up: ${tool?.words ?? ""}`;
    default:
      return `${tool?.words ?? ""}${hole.purpose === "fixing" ? "; mark it through what lies over it" : ""}`;
  }
}

function pilotCell({ id }: ChassisHole, tool: ToolChoice | undefined): Content {
  const pilots = tool?.pilotsMillimetres ?? [];
  if (pilots.length === 0) return "";
  return pilots.flatMap((pilot, n) => [...(n === 0 ? [] : [", "]), lengthFigure(`pilot/${n}/${id}`, pilot)]);
}

const SIDES: Readonly<Record<number, string>> = { 0: "front", 90: "right", 180: "rear", 270: "left" };

/** Where a socket's key points, seen from above. */
export function keyWords(judged: ChassisJudged, hole: ChassisHole): string {
  const item: PlacedItem | undefined = judged.items.find((one) => one.item.id === hole.item);
  if (item?.footprint.pins === undefined || (hole.purpose !== "body" && hole.purpose !== "bush")) return "";
  const degrees = ((item.item.degrees % 360) + 360) % 360;
  return SIDES[degrees] ?? `${Math.round(degrees)}° from front, counter-clockwise`;
}
