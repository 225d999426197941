/** The price sheet: parts, hours, rejects, overhead and margin, for one unit and for each of a batch. */
import type { PriceBook } from "@platewright/design";
import { sumFigure } from "./figure.ts";
import type { Content } from "./letters.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import { partsRows, priceOf } from "./parts-rows.ts";
import { type Cell, type Row, table } from "./table.ts";

/** Hours of one unit as builders report them; for who has none of his own. Common practice. */
const USUAL_HOURS = [
  { what: "design, as far as it changes", hours: "3 to 8", once: true },
  { what: "metal", hours: "3 to 6" },
  { what: "wiring", hours: "10 to 16" },
  { what: "first power", hours: "2 to 3" },
  { what: "measurement", hours: "2 to 3" },
  { what: "burn-in, looked after", hours: "1" },
  { what: "papers", hours: "2" },
  { what: "packing", hours: "1" },
] as const;

export interface Price {
  readonly parts: number;
  readonly priced: number;
  readonly unpriced: readonly string[];
  readonly work: number;
  readonly rejects: number;
  readonly overhead: number;
  readonly cost: number;
  readonly price: number;
}

/** What one unit of a batch costs; work that is done once is shared by the batch. */
export function priceOfUnit(input: PackInput, prices: PriceBook, batch: number): Price {
  const rows = partsRows(input);
  let parts = 0;
  let priced = 0;
  const unpriced: string[] = [];
  for (const row of rows) {
    const each = priceOf(input, row);
    if (each === undefined) unpriced.push(row.ids.join(", "));
    else {
      parts += each * row.count;
      priced += row.count;
    }
  }
  const hours = prices.work.reduce((sum, one) => sum + (one.once === true ? one.hours / batch : one.hours), 0);
  const work = hours * prices.perHour;
  const rejects = (parts * prices.rejectPercent) / 100;
  const overhead = ((parts + rejects + work) * prices.overheadPercent) / 100;
  const cost = parts + rejects + work + overhead;
  return { parts, priced, unpriced, work, rejects, overhead, cost, price: cost / (1 - prices.marginPercent / 100) };
}

export function priceSheet(input: PackInput): Paper {
  const { prices } = input;
  const frame = frameOf(
    input,
    "Price sheet",
    [
      prices === undefined ? "no prices were given: cells to fill in" : `all sums in ${prices.currency}, without tax`,
      "tubes at what they cost to buy again, not at what they did cost",
    ],
    "For the shop alone; not for the owner.",
  );
  return layPaper("price-sheet", textSheet(input), frame, [
    section("Parts of one unit", "", 1),
    partsTable(input),
    section("Work", prices === undefined ? "usual hours are common practice; write your own" : "hours of one unit", 2),
    prices === undefined ? usualWork() : workTable(prices),
    section("Price", prices === undefined ? "" : `one unit, and each of ${prices.batch}`, 3),
    prices === undefined ? emptySums() : sums(input, prices),
    paragraph(
      "Multiples of the parts' cost met in the trade: 3 for a very small maker who sells direct, 5 in a niche or through a channel, 6 with a dealer (common practice). A warranty wants 5 to 10\u202f% of the price put by.",
    ),
  ]);
}

function partsTable(input: PackInput) {
  const rows = partsRows(input).map((row): Row => {
    const each = priceOf(input, row);
    return {
      cells: [
        row.ids.join(", "),
        row.value === "" ? row.what : `${row.value} ${row.rating}`.trim(),
        String(row.count),
        each === undefined ? "" : sumFigure(`price/${row.ids.join("+")}`, each),
        each === undefined ? "" : sumFigure(`price-all/${row.ids.join("+")}`, each * row.count),
        "",
      ],
    };
  });
  return table(
    [
      { head: "Part", grow: 0.6 },
      { head: "What", grow: 1 },
      { head: "Count", align: "end" },
      { head: "Each", align: "end", least: 18, ruled: true },
      { head: "All", align: "end", least: 20, ruled: true },
      { head: "From whom", least: 40, ruled: true },
    ],
    rows,
    { rowHeight: 5 },
  );
}

const usualWork = () =>
  table(
    [
      { head: "Work", grow: 1 },
      { head: "Usual, h", align: "end" },
      { head: "Mine, h", least: 24, ruled: true },
      { head: "By", least: 24, ruled: true },
    ],
    USUAL_HOURS.map((one): Row => ({ cells: [one.what, one.hours, { write: true }, { write: true }] })),
    { rowHeight: 6 },
  );

const workTable = (prices: PriceBook) =>
  table(
    [
      { head: "Work", grow: 1 },
      { head: "Hours", align: "end" },
      { head: "At", align: "end" },
      { head: "Sum", align: "end" },
      { head: "" },
    ],
    prices.work.map(
      (one, n): Row => ({
        cells: [
          one.what,
          sumFigure(`hours/${n}`, one.hours),
          sumFigure("per-hour", prices.perHour),
          sumFigure(`work/${n}`, one.hours * prices.perHour),
          one.once === true ? "once for the batch" : "",
        ],
      }),
    ),
  );

function sums(input: PackInput, prices: PriceBook) {
  const one = priceOfUnit(input, prices, 1);
  const many = priceOfUnit(input, prices, prices.batch);
  const row = (
    what: Content,
    of: keyof Price & ("parts" | "work" | "rejects" | "overhead" | "cost" | "price"),
    bold = false,
  ): Row => ({
    bold,
    cells: [what, sumFigure(`unit/${of}`, one[of]), sumFigure(`batch/${of}`, many[of])],
  });
  const margin = `${prices.marginPercent}\u202f%`;
  const rows: Row[] = [
    row(
      one.unpriced.length === 0 ? "Parts" : `Parts, without ${one.unpriced.length} kinds that have no price`,
      "parts",
    ),
    row(`Rejects, ${prices.rejectPercent}\u202f% of the parts`, "rejects"),
    row("Work", "work"),
    row(`Overhead, ${prices.overheadPercent}\u202f%`, "overhead"),
    row("Cost", "cost", true),
    row(`Price with ${margin} of it as margin`, "price", true),
  ];
  return table(
    [
      { head: "", grow: 1 },
      { head: "One unit", align: "end" },
      { head: `Each of ${prices.batch}`, align: "end" },
    ],
    rows,
  );
}

function emptySums() {
  const write: Cell = { write: true };
  return table(
    [
      { head: "", grow: 1 },
      { head: "One unit", least: 36, ruled: true },
      { head: "Each of ____", least: 36, ruled: true },
    ],
    [
      "Parts",
      "Rejects: a third of tubes bought, a twentieth of the rest",
      "Work",
      "Overhead",
      "Cost",
      "Margin",
      "Price without tax",
      "Tax, carriage, fees",
      "Price",
    ].map((what): Row => ({ cells: [what, write, write] })),
    { rowHeight: 7 },
  );
}
