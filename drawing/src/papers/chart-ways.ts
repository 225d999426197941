/** What is done about holes that do not fit: rings and plates, opened and closed ones drawn, what was decided, the ways that are open. */
import {
  type Carrier,
  CARRIER_WORDS,
  carrierWords,
  type ChassisJudged,
  outlineOf,
  type SalvageOption,
  salvageOptions,
  sizeWords,
} from "@platewright/design";
import { carrierDrawing, carrierSection, openedDrawing, plugDrawing, type SmallDrawing } from "../chassis/index.ts";
import { countFigure } from "./figure.ts";
import type { PackInput } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import { after, beside, type Passage } from "./piece.ts";
import { atCorner } from "./plate-figure.ts";
import { type Row, table } from "./table.ts";

/** The section and the part to make, side by side. */
export function carrierPassages(judged: ChassisJudged, carrier: Carrier): readonly Passage[] {
  const kind = CARRIER_WORDS[carrier.kind];
  const drawn =
    (make: (width: number) => Parameters<typeof atCorner>[0]): Passage =>
    (width) => {
      const one = atCorner(make(width));
      return [{ height: one.height, items: one.items, figures: [] }];
    };
  const largest =
    carrier.outline.kind === "circle"
      ? carrier.outline.diameterMillimetres
      : carrier.outline.kind === "rectangle"
        ? Math.max(carrier.outline.widthMillimetres, carrier.outline.heightMillimetres)
        : 60;
  const scale = largest <= 45 ? 1.5 : largest <= 70 ? 1 : 0.5;
  return [
    after(
      6,
      section(
        `${kind.charAt(0).toUpperCase()}${kind.slice(1)} of ${carrier.item} on ${carrier.hole}`,
        "cut through at the left; at the right as it is made",
      ),
    ),
    beside(
      [1.2, 1],
      10,
      [drawn((width) => carrierSection(judged, carrier, { width: Math.min(width, 125) }))],
      [drawn((width) => carrierDrawing(carrier, { scale, width: width - 2 }))],
    ),
  ];
}

const SMALL_ABREAST = 3;
const SMALL_WIDE = 70;

/** Holes that are opened or closed, each drawn: what is there and what it is to be. */
export function smallPassages(judged: ChassisJudged): readonly Passage[] {
  const { plate } = judged.chassis;
  const seen = new Set<string>();
  const drawings = judged.holes.holes.flatMap((hole): readonly Passage[] => {
    const there = judged.chassis.holes.find((one) => one.id === hole.existing);
    if (there === undefined || seen.has(there.id)) return [];
    const outline = outlineOf(there.shape, there);
    const title = paragraph({ text: `${there.id}${hole.item === undefined ? "" : ` for ${hole.item}`}`, bold: true });
    const drawn =
      (make: (scale: number) => SmallDrawing, millimetres: number): Passage =>
      (width) => {
        const one = atCorner(make(Math.min(2, (Math.min(width, SMALL_WIDE) - 24) / millimetres)));
        return [...title(width), { height: one.height, items: one.items, figures: [], above: 2 }];
      };
    if (hole.work === "open-up" && hole.shape.kind === "circle") {
      seen.add(there.id);
      return [
        drawn(
          (scale) => openedDrawing(outline, hole.outline, { scale, width: SMALL_WIDE }, [hole.id]),
          hole.shape.diameterMillimetres,
        ),
      ];
    }
    if (hole.work === "close" && there.shape.kind === "circle") {
      const { diameterMillimetres } = there.shape;
      seen.add(there.id);
      return [
        drawn(
          (scale) => plugDrawing(diameterMillimetres, plate, { scale, width: SMALL_WIDE }, [hole.id]),
          diameterMillimetres + 14,
        ),
      ];
    }
    return [];
  });
  if (drawings.length === 0) return [];
  return [
    section("Opened and closed", "dashed: as it is; sizes in mm"),
    ...Array.from({ length: Math.ceil(drawings.length / SMALL_ABREAST) }, (_, n) => {
      const row = drawings.slice(n * SMALL_ABREAST, (n + 1) * SMALL_ABREAST);
      const cells = Array.from({ length: SMALL_ABREAST }, (__, k) => {
        const one = row[k];
        return one === undefined ? [] : [one];
      });
      return beside(
        cells.map(() => 1),
        8,
        ...cells,
      );
    }),
  ];
}

const BY_WORDS = {
  keep: "kept as it is",
  "open-up": "opened up",
  "adapter-ring": "a ring over it",
  "cover-plate": "a cover plate over it",
  "sub-plate": "a sub-plate over it",
  "blank-plug": "closed with a plug",
  "other-use": "used for something else",
} as const;

/** What was decided about holes that do not fit. */
export function decisionPassages({ chassis, holes }: ChassisJudged): readonly Passage[] {
  const choices = chassis.salvage ?? [];
  if (choices.length === 0) return [];
  return [
    section("Decided", "holes that did not fit what is to stand there"),
    table(
      [
        { head: "Hole", bold: true },
        { head: "Is" },
        { head: "For", optional: true },
        { head: "Decided", grow: 1 },
        { head: "With", grow: 6, optional: true },
      ],
      choices.map((choice): Row => {
        const hole = chassis.holes.find((one) => one.id === choice.hole);
        const carrier = holes.carriers.find((one) => one.hole === choice.hole && one.item === choice.item);
        const refused = holes.refused.find((one) => one.choice === choice);
        return {
          ids: [choice.hole],
          cells: [
            choice.hole,
            hole === undefined ? "" : sizeWords(hole.shape),
            choice.item ?? "",
            BY_WORDS[choice.by],
            refused !== undefined
              ? `Cannot be done: ${refused.why}`
              : carrier === undefined
                ? ""
                : carrierWords(carrier),
          ],
        };
      }),
    ),
  ];
}

/** Ways for each hole in the way of something, a new plate beside them. */
export function wayPassages({ prices }: PackInput, judged: ChassisJudged): readonly Passage[] {
  const open = new Map<string, string | undefined>();
  for (const hole of judged.holes.holes)
    if (hole.work === "unresolved" && hole.existing !== undefined && !open.has(hole.existing))
      open.set(hole.existing, hole.item);
  if (open.size === 0) return [];
  const money = prices === undefined ? "the shop's money" : prices.currency;
  return [
    section(
      "Not decided",
      `the ways, cheapest first; minutes and costs in ${money} are rough, they order the ways and price nothing`,
    ),
    ...[...open].flatMap(([hole, item]): readonly Passage[] => {
      const options = salvageOptions(
        {
          chassis: judged.chassis,
          library: judged.footprints,
          found: judged.holes,
          ...(prices === undefined ? {} : { hourly: prices.perHour }),
        },
        hole,
        item,
      );
      if (!options.ok) return [paragraph(options.failure)];
      const can = options.value.filter((one) => one.obstacle === undefined);
      const cannot = options.value.filter((one) => one.obstacle !== undefined);
      return [
        table(
          [
            { head: `${hole}${item === undefined ? "" : ` for ${item}`}`, bold: true, most: 70 },
            { head: "With", grow: 1 },
            { head: "Minutes", align: "end" },
            { head: "About", align: "end" },
            { head: "Choose", ruled: true },
          ],
          can.map((one): Row => wayRow(one, hole)),
        ),
        ...(cannot.length === 0
          ? []
          : [paragraph(`Not possible: ${cannot.map((one) => `${one.title}: ${one.obstacle ?? ""}`).join(" ")}`)]),
      ];
    }),
  ];
}

const wayRow = (option: SalvageOption, hole: string): Row => ({
  ids: [hole],
  cells: [
    option.title,
    option.words,
    countFigure(`way-minutes/${hole}/${option.by}`, Math.round(option.minutes)),
    countFigure(`way-cost/${hole}/${option.by}`, Math.round(option.cost)),
    { tick: 1 },
  ],
});
