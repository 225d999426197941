/** What the layout is judged by: clearances as found, distances of the tubes, the heat of the box. */
import {
  boxHeat,
  type ChassisJudged,
  type Finding,
  gapBetween,
  itemName,
  type PlacedBody,
  type PlacedItem,
  type TubeOnPlate,
} from "@platewright/design";
import { itemHeights } from "../chassis/index.ts";
import { figure, plainFigure } from "./figure.ts";
import { lengthFigure } from "./hole-figures.ts";
import type { Content, Figure } from "./letters.ts";
import type { PackInput } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import { after, type Passage, whole } from "./piece.ts";
import { type Column, type Row, table } from "./table.ts";

const LEVELS = { stop: "stop", watch: "watch", ok: "ok" } as const;
const SENSES = { above: "at least", below: "at most", none: "" } as const;

const ofChassis = (findings: readonly Finding[]): readonly Finding[] =>
  findings.filter((one) => one.rule.startsWith("chassis-"));

/** Millimetres to tenths, kelvin and watts to three digits. */
const findingFigure = (of: string, value: number, unit: string): Figure =>
  unit === "mm"
    ? { of, value, unit, text: `${(Math.round(value * 10) / 10).toString().replace("-", "−")}\u202fmm` }
    : plainFigure(of, value, unit);

/** Every finding of the chassis, worst first, with its number and its limit. */
export function clearancePassages({ findings }: PackInput): readonly Passage[] {
  const all = ofChassis(findings);
  if (all.length === 0) return [];
  const row = (one: Finding): Row => ({
    ids: [one.where],
    bold: one.level !== "ok",
    cells: [
      LEVELS[one.level],
      { text: one.title, ids: [`=finding/${one.id}`] },
      one.value === null || one.unit === "" ? "" : findingFigure(`finding-value/${one.id}`, one.value, one.unit),
      one.limit === null || one.unit === ""
        ? ""
        : [
            `${SENSES[one.sense]}${one.sense === "none" ? "" : "\u00a0"}`,
            findingFigure(`finding-limit/${one.id}`, one.limit, one.unit),
          ],
      one.source,
    ],
  });
  return [
    section("Clearances", "worst first; of a rule that nothing breaks, the tightest", 6),
    table(
      [
        { head: "Level" },
        { head: "What", grow: 3 },
        { head: "Is", align: "end" },
        { head: "Wanted", align: "end" },
        { head: "Source", grow: 1, most: 60 },
      ],
      all.map(row),
    ),
  ];
}

const distance = (one: PlacedItem, other: PlacedItem): number =>
  Math.hypot(one.item.x - other.item.x, one.item.y - other.item.y);

export interface TubeDistances {
  readonly tube: TubeOnPlate;
  readonly nearestTube?: { readonly other: TubeOnPlate; readonly centres: number; readonly bulbs: number };
  readonly nearestCan?: { readonly can: PlacedItem; readonly gap: number };
  readonly iron?: { readonly iron: PlacedItem; readonly centres: number };
}

const least = <T>(all: readonly T[], of: (one: T) => number): T | undefined =>
  all.reduce<T | undefined>((best, one) => (best === undefined || of(one) < of(best) ? one : best), undefined);

const IRON: ReadonlySet<PlacedItem["footprint"]["kind"]> = new Set(["transformer", "toroid", "choke"]);

/** The can itself, not its clamp. */
export const canBody = (can: PlacedItem, face: PlacedItem["face"]): PlacedBody | undefined =>
  can.bodies
    .filter((body) => body.face === face)
    .reduce<PlacedBody | undefined>(
      (tallest, one) => (tallest === undefined || one.heightMillimetres > tallest.heightMillimetres ? one : tallest),
      undefined,
    );

/** Of each tube: the tube, the can and the iron that are nearest. */
export function tubeDistances({ tubes, items }: ChassisJudged): readonly TubeDistances[] {
  return tubes.map((tube): TubeDistances => {
    const other = least(
      tubes.filter((one) => one !== tube && one.item.face === tube.item.face),
      (one) => distance(tube.item, one.item),
    );
    const gapTo = (can: PlacedItem) => {
      const body = canBody(can, tube.item.face);
      return body === undefined ? Infinity : gapBetween(tube.bulb.solid, body.solid);
    };
    const cans = items.filter(
      (one) => one.footprint.kind === "can" && one.bodies.some((body) => body.face === tube.item.face),
    );
    const can = least(cans, gapTo);
    const iron = least(
      items.filter((one) => IRON.has(one.footprint.kind)),
      (one) => distance(tube.item, one),
    );
    return {
      tube,
      ...(other === undefined
        ? {}
        : {
            nearestTube: {
              other,
              centres: distance(tube.item, other.item),
              bulbs: distance(tube.item, other.item) / Math.max(tube.bulbMillimetres, other.bulbMillimetres),
            },
          }),
      ...(can === undefined ? {} : { nearestCan: { can, gap: gapTo(can) } }),
      ...(iron === undefined ? {} : { iron: { iron, centres: distance(tube.item, iron) } }),
    };
  });
}

/** Half of the last place that is printed. */
const rounded = (of: string, value: number, places = 1): Figure => ({
  of,
  value,
  unit: "",
  text: value.toFixed(places).replace("-", "−"),
});

export function tubePassages(judged: ChassisJudged): readonly Passage[] {
  const all = tubeDistances(judged);
  if (all.length === 0) return [];
  return [
    section(
      "Tubes and heat",
      "in mm: to the nearest tube from centre to centre, to the nearest can from glass to can",
      4,
    ),
    table(
      [
        { head: "Tube", bold: true, grow: 1 },
        { head: "Bulb Ø", align: "end" },
        { head: "Top", align: "end" },
        { head: "Nearest tube", grow: 1 },
        { head: "Centres", align: "end" },
        { head: "In bulbs", align: "end" },
        { head: "Nearest can", grow: 1 },
        { head: "Gap", align: "end" },
        { head: "Iron", grow: 1 },
        { head: "Centres", align: "end" },
      ],
      all.map(({ tube, nearestTube, nearestCan, iron }): Row => {
        const id = tube.item.item.id;
        return {
          ids: [id],
          cells: [
            `${itemName(tube.item.item)} ${tube.type}${tube.provenance === undefined ? " *" : ""}`,
            lengthFigure(`bulb/${id}`, tube.bulbMillimetres),
            lengthFigure(`bulb-top/${id}`, tube.topMillimetres),
            nearestTube === undefined ? "none" : itemName(nearestTube.other.item.item),
            nearestTube === undefined ? "" : rounded(`tube-to-tube/${id}`, nearestTube.centres),
            nearestTube === undefined ? "" : rounded(`tube-in-bulbs/${id}`, nearestTube.bulbs, 2),
            nearestCan === undefined ? "none" : itemName(nearestCan.can.item),
            nearestCan === undefined ? "" : rounded(`tube-to-can/${id}`, nearestCan.gap),
            iron === undefined ? "none" : itemName(iron.iron.item),
            iron === undefined ? "" : rounded(`tube-to-iron/${id}`, iron.centres),
          ],
        };
      }),
    ),
    ...(all.some((one) => one.tube.provenance === undefined)
      ? [paragraph("* no sheet gives its size; what its socket usually takes is assumed.")]
      : []),
  ];
}

const ABREAST = 3;

/** What stands over and under each face, so many items abreast. */
export function heightPassages(judged: ChassisJudged): readonly Passage[] {
  const heights = itemHeights(judged);
  if (heights.length === 0) return [];
  const rows = Math.ceil(heights.length / ABREAST);
  const stuck = heights.filter((one) => one.canBePulled === false).map((one) => one.name);
  const cells = (one: (typeof heights)[number] | undefined): readonly Content[] =>
    one === undefined
      ? ["", "", ""]
      : [
          one.name,
          one.aboveMillimetres > 0 ? lengthFigure(`height-above/${one.id}`, one.aboveMillimetres) : "",
          one.belowMillimetres > 0 ? lengthFigure(`height-below/${one.id}`, one.belowMillimetres) : "",
        ];
  const columns = Array.from({ length: ABREAST }, (): readonly Column[] => [
    { head: "mm from each face", grow: 1 },
    { head: "above", align: "end" },
    { head: "below", align: "end" },
  ]).flat();
  return [
    after(
      3,
      table(
        columns,
        Array.from(
          { length: rows },
          (_, row): Row => ({
            cells: Array.from({ length: ABREAST }, (__, column) => cells(heights[column * rows + row])).flat(),
          }),
        ),
      ),
    ),
    ...(stuck.length === 0 ? [] : [paragraph(`Cannot be pulled with the cover on: ${stuck.join(", ")}.`)]),
  ];
}

/** Watts against surface and vents. */
export function heatPassages({ document, solved }: PackInput, { chassis }: ChassisJudged): readonly Passage[] {
  if (document.supply === undefined) return [];
  const { plate } = chassis;
  const heat = boxHeat(plate, solved, document.supply);
  const covered = plate.coverMillimetres !== undefined;
  const rows: readonly (readonly [string, Content])[] = [
    ["Everything that becomes heat, running, mains nominal", figure("heat/watts", heat.watts, "W")],
    ["Of it under the plate, in resistors", figure("heat/under", heat.underWatts, "W")],
    [
      covered ? "Counts for the air inside: all of it" : "Counts for the air inside: no cover, the tubes stand free",
      figure("heat/enclosed", heat.enclosedWatts, "W"),
    ],
    ...(covered
      ? ([
          ["Clear height under the cover", findingFigure("heat/cover", plate.coverMillimetres ?? 0, "mm")],
          [
            "Open area of all vents, half of it low and half high",
            findingFigure("heat/vents", (plate.ventSquareMillimetres ?? 0) / 100, "cm²"),
          ],
        ] as const)
      : []),
    ["Air inside warmer than the room by", figure("heat/rise", heat.riseKelvin, "K", 2)],
    ...(heat.ventsWanted === undefined
      ? []
      : ([
          [
            "Open area that would keep the rise wanted",
            findingFigure("heat/vents-wanted", heat.ventsWanted / 100, "cm²"),
          ],
        ] as const)),
  ];
  return [
    section("Heat of the box", "good to a third; coefficients of cabinet makers, quoted", 5),
    (width) => [
      whole(
        table(
          [
            { head: "", grow: 1 },
            { head: "", align: "end", bold: true },
          ],
          rows.map(([what, value]): Row => ({ cells: [what, value] })),
        )(width),
      ),
    ],
  ];
}
