/** The parts list: what to have in hand, how hard each part works, and what there is to buy. */
import { countFigure, percentFigure, sumFigure } from "./figure.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import { type PartsRow, partsRows, priceOf, toBuy } from "./parts-rows.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";

const HEADS: Readonly<Record<string, string>> = {
  transformer: "Transformer",
  rectifier: "Tubes",
  tube: "Tubes",
  regulator: "Regulators",
  follower: "Field-effect followers",
  diode: "Diodes",
  capacitor: "Capacitors",
  resistor: "Resistors",
  potentiometer: "Controls",
  inductor: "Chokes",
  "current-sink": "Current sinks",
  switch: "Switches and jacks",
  jack: "Switches and jacks",
  fuse: "Fuse and sockets",
  socket: "Fuse and sockets",
};

/** Always forgotten; common practice. */
const SMALL_THINGS = [
  "mains inlet or lead with strain relief",
  "mains switch",
  "earth stud, toothed washer, lock nut, crimped eyelet",
  "tag strips, stand-offs",
  "screws, nuts, washers",
  "grommets, heat-shrink, sleeving",
  "wire by colour, see the wiring list",
  "knobs",
  "feet, rating label, fuse label",
] as const;

export function partsList(input: PackInput): Paper {
  const rows = partsRows(input);
  const buying = rows.filter((row) => toBuy(row) > 0);
  const listed: Row[] = [];
  let head = "";
  for (const row of rows) {
    const own = HEADS[row.kind] ?? row.kind;
    if (own !== head) listed.push({ cells: [own], title: true });
    head = own;
    listed.push(listedRow(input, row));
  }
  const frame = frameOf(input, "Parts list", [
    `${rows.reduce((sum, row) => sum + row.count, 0)} pieces of ${rows.length} kinds${input.shelf === undefined ? "" : `, ${buying.length} kinds to buy`}`,
    input.proven === undefined
      ? "stress: the worst of every condition that was solved"
      : `bold rows differ from Rev ${input.proven.revision}; stress: the worst of every condition`,
  ]);
  return layPaper("parts-list", { ...textSheet(input), landscape: true }, frame, [
    table(
      [
        { head: "Part", most: 40, grow: 0.6 },
        { head: "What", grow: 1 },
        { head: "Value", grow: 0.4 },
        { head: "Tol.", align: "end", optional: true },
        { head: "Rating", grow: 0.4 },
        { head: "Size, mm" },
        { head: "Stress", align: "end" },
        { head: "Worst when", grow: 0.6 },
        { head: "Need", align: "end" },
        { head: input.shelf === undefined ? "Have" : "On hand", align: "end", ruled: true },
        { head: "Buy", align: "end", ruled: true },
        ...(input.prices === undefined ? [] : [{ head: input.prices.currency, align: "end", ruled: true } as const]),
        { head: "" },
      ],
      listed,
    ),
    paragraph(
      "Stress is the share of the rating; it wants to stay at half for the heat of resistors and at 85 to 90\u202f% for the volts of capacitors (common practice). Where no tolerance stands, 5\u202f% of resistors and 20\u202f% of capacitors and controls are reckoned with. Sizes: bodies of the footprints on the plate and of the tubes' sheets; * usual for the rating (common practice). Measure the part in hand.",
    ),
    ...insteadPassage(rows),
    section("Small things", "to count on the chassis and buy with a tenth to spare (common practice)"),
    table(
      Array.from({ length: 3 }, (): readonly Column[] => [
        { head: "" },
        { head: "", grow: 1 },
        { head: "", least: 20 },
      ]).flat(),
      sideBySide(SMALL_THINGS, 3),
    ),
  ]);
}

function listedRow(input: PackInput, row: PartsRow): Row {
  const buy = toBuy(row);
  const shelf = input.shelf !== undefined;
  const price = priceOf(input, row);
  return {
    ids: row.ids,
    bold: row.differs,
    cells: [
      row.ids.join(", "),
      row.what,
      row.value,
      row.tolerance,
      row.rating,
      row.size === undefined ? "" : `${row.size.words}${row.size.usual ? " *" : ""}`,
      row.stress === undefined
        ? "–"
        : percentFigure(`stress/${row.stress.part}/${row.stress.condition}`, row.stress.fraction),
      row.stress !== undefined && row.stress.fraction >= 0.05 ? row.stress.words : "",
      countFigure(`count/${row.ids.join("+")}`, row.count),
      !shelf ? "" : row.onHand === Infinity ? "series" : String(row.onHand),
      shelf ? (buy === 0 ? "–" : String(buy)) : "",
      ...(input.prices === undefined
        ? []
        : [price === undefined ? "" : sumFigure(`price/${row.ids.join("+")}`, price)]),
      { tick: 1 },
    ],
  };
}

function insteadPassage(rows: readonly PartsRow[]) {
  const found = rows.filter((row) => row.instead !== undefined);
  if (found.length === 0) return [];
  return [
    section(
      "Instead",
      "tubes: by the owner's sheet; others: on the shelf, near in value, at least as high in volts; change the design first and see what it does",
    ),
    table(
      [{ head: "Part" }, { head: "Asked for" }, { head: "Would do", grow: 1 }],
      found.map((row) => ({ cells: [row.ids.join(", "), `${row.value} ${row.rating}`, row.instead ?? ""] })),
    ),
  ];
}

/** Lists side by side. */
function sideBySide(list: readonly string[], columns: number): readonly Row[] {
  const rows = Math.ceil(list.length / columns);
  return Array.from({ length: rows }, (_, n): Row => {
    const cells = Array.from({ length: columns }, (__, column): readonly Cell[] => {
      const one = list[n + column * rows];
      return one === undefined ? ["", "", ""] : [{ tick: 1 }, one, ""];
    });
    return { cells: cells.flat() };
  });
}
