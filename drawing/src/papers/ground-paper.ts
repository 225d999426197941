/** Ground and heaters: the bus in its order, the one bond to the chassis, the earth, and what the heaters stand at. */
import {
  alikeChannels,
  bondOf,
  endWords,
  groundStations,
  HAZARDOUS_VOLTS,
  type SolvedDesign,
  type WireEnd,
} from "@platewright/design";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { dischargeWords } from "./bench-sheet.ts";
import { figure, meterFigure } from "./figure.ts";
import { type Content, contentsOf, PAPER_SIZES, runsOf, wrapRuns } from "./letters.ts";
import { layPaper, pageRoom, type Paper } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { cautionBox, drawingPart, paragraph, section, steps } from "./parts.ts";
import { beside, group, lineHeight, lineOfRuns, type Passage } from "./piece.ts";
import { type Row, table } from "./table.ts";

/** Common practice: what a breaker between signal ground and chassis is made of. */
export const LOOP_BREAKER = "10\u202fΩ, 100\u202fnF and a 25\u202fA bridge side by side";

export function groundPaper(input: PackInput): Paper {
  const { document, solved } = input;
  const sheet = drawingSheet(input);
  const { width } = pageRoom(sheet);
  const frame = frameOf(input, "Ground and heaters", [
    "one bus in the order of the current, one bond to the chassis, one earth",
    `protective class I; ${document.supply === undefined ? "no supply in the design" : document.supply.transformer.label}`,
  ]);
  return layPaper("ground-and-heaters", sheet, frame, [
    cautionBox(...dischargeWords(input.study)),
    section("Ground bus", "from the left in the order of the current; nothing joins it elsewhere", 1),
    busDrawing(solved, width),
    beside([1, 1.25], 8, [section("Earth and chassis", "", 2), steps(earthSteps(solved))], heaterPassages(input)),
  ]);
}

const BOX = { height: 12.5, gap: 4.5, least: 21 } as const;

/** Stations of the bus as boxes on a heavy line; each channel on a branch of its own. */
function busDrawing(solved: SolvedDesign, width: number): Passage {
  const stations = groundStations(solved);
  const shared = stations.filter((one) => one.channel === undefined).map((one) => one.end);
  const alike = alikeChannels(solved);
  const trunk: WireEnd[] =
    solved.document.supply === undefined ? shared : [{ item: "T1", at: "HT centre tap" }, ...shared];
  const branches = alike.map((group) => ({
    name: group.length > 1 ? `${group.join(" and ")}, one branch each` : `channel ${group[0] ?? ""}`,
    ends: stations
      .filter((one) => one.channel === group[0])
      .map(
        (one): WireEnd => ({
          item: group.map((instance) => one.end.item.replace(`${group[0] ?? ""}.`, `${instance}.`)).join(", "),
          at: one.end.at,
        }),
      ),
  }));
  const items: Item[] = [];
  const longest = Math.max(1, ...branches.map((one) => one.ends.length));
  const places = trunk.length + longest;
  const step = Math.min(44, (width - 4) / places);
  const boxWidth = step - BOX.gap;
  const rowHeight = BOX.height + 8;
  const axis = (row: number): number => 6 + row * rowHeight + BOX.height / 2;
  const put = (end: WireEnd, place: number, row: number) => {
    const left = place * step;
    const top = axis(row) - BOX.height / 2;
    items.push({
      kind: "rect",
      at: [left, top],
      width: boxWidth,
      height: BOX.height,
      weight: WEIGHTS.light,
      fill: "paper",
    });
    const lines = [
      ...wrapRuns(runsOf(end.item, true), boxWidth - 2, PAPER_SIZES.text),
      ...wrapRuns(runsOf(end.at), boxWidth - 2, PAPER_SIZES.text),
    ].slice(0, 3);
    for (const [n, line] of lines.entries())
      items.push(
        ...lineOfRuns(
          line,
          [left + boxWidth / 2, top + (BOX.height - lines.length * lineHeight()) / 2 + n * lineHeight() + 3.1],
          PAPER_SIZES.text,
          "middle",
        ),
      );
  };
  const bus = (from: Point, to: Point) => items.push({ kind: "line", from, to, weight: WEIGHTS.heavy });
  const trunkEnd = trunk.length * step - BOX.gap;
  bus([0, axis(0)], [trunkEnd, axis(0)]);
  for (const [row, branch] of branches.entries()) {
    const right = (trunk.length + branch.ends.length) * step - BOX.gap;
    const joint = trunkEnd + BOX.gap / 2;
    bus([trunkEnd, axis(0)], [joint, axis(0)]);
    bus([joint, axis(0)], [joint, axis(row)]);
    bus([joint, axis(row)], [right, axis(row)]);
    items.push({
      kind: "text",
      at: [trunk.length * step, axis(row) - BOX.height / 2 - 1.4],
      text: branch.name,
      size: PAPER_SIZES.text,
    });
    for (const [n, end] of branch.ends.entries()) put(end, trunk.length + n, row);
  }
  for (const [n, end] of trunk.entries()) put(end, n, 0);
  // Centre tap, rectifier and first capacitor are one loop.
  if (solved.document.supply !== undefined) {
    const right = 2 * step - BOX.gap + 3.2;
    items.push({
      kind: "rect",
      at: [-1.6, axis(0) - BOX.height / 2 - 2.2],
      width: right,
      height: BOX.height + 4.4,
      weight: WEIGHTS.light,
      dash: "dash",
    });
    const words = "one tight loop; nothing else from here";
    items.push({ kind: "text", at: [0, axis(0) + BOX.height / 2 + 6.2], text: words, size: PAPER_SIZES.text });
  }
  const bond = bondOf(solved);
  const [first] = branches;
  let height = axis(branches.length - 1) + BOX.height / 2 + 4;
  if (bond !== undefined && first !== undefined) {
    const x = (trunk.length + first.ends.length - 1) * step + boxWidth / 2;
    const from = axis(0) + BOX.height / 2;
    const words = `the one bond to the chassis, at ${endWords(bond)}`;
    const y = Math.max(from + 7, axis(branches.length - 1) + BOX.height / 2 + 4);
    items.push({ kind: "line", from: [x, from], to: [x, y], weight: WEIGHTS.heavy });
    for (const n of [0, 1, 2])
      items.push({
        kind: "line",
        from: [x - 4 + 1.4 * n, y + 1.3 * n],
        to: [x + 4 - 1.4 * n, y + 1.3 * n],
        weight: WEIGHTS.body,
      });
    items.push({ kind: "text", at: [x - 6, y + 1.4], text: words, size: PAPER_SIZES.text, anchor: "end", bold: true });
    height = y + 5;
  }
  return drawingPart(
    [group([1.8, 0], items)],
    { width: places * step, height: Math.max(height, axis(0) + BOX.height / 2 + 9) },
    false,
  );
}

function earthSteps(solved: SolvedDesign): readonly Content[] {
  const bond = bondOf(solved);
  return [
    "Inlet's earth to a stud of its own: bare metal, toothed washer, lock nut, crimped eyelet; no other part hangs on this bolt, and its wire is the longest, so that it tears off last.",
    "Every metal part that a hand can touch is joined to the stud by 0.1\u202fΩ or less; paint and anodising are taken off under the washer.",
    [
      "Signal ground meets the chassis at one place: ",
      { text: bond === undefined ? "the input jack" : endWords(bond), bold: true },
      ". Jacks stand insulated from the chassis.",
    ],
    `The design has no loop breaker. Where hum between units asks for one, it stands between the bus and the chassis (${LOOP_BREAKER}; common practice), never in the earth wire, which is never lifted.`,
  ];
}

function heaterPassages(input: PackInput): readonly Passage[] {
  const { document, solved, findings, study } = input;
  const windings = document.supply?.transformer.heaters ?? [];
  if (windings.length === 0) return [];
  const rows = windings.flatMap((winding): readonly Row[] => {
    const heater = solved.heaters.find((one) => one.winding === winding.id);
    if (heater === undefined) return [];
    return [
      {
        cells: [
          winding.id,
          figure(`heater-amps/${winding.id}`, heater.amps, "A"),
          figure(`heater-rated/${winding.id}`, winding.ratedAmps, "A"),
          figure(`heater/nominal/${winding.id}`, heater.volts, "V"),
          heater.envelopes.map((one) => one.envelope).join(", "),
          winding.reference === "0" ? "ground" : winding.reference,
          winding.reference === "0"
            ? "0\u202fV"
            : meterFigure(`volts/nominal/${winding.reference}`, heater.referenceVolts),
          reference(winding.referredBy),
        ],
      },
    ];
  });
  const pins = windings.flatMap((winding) =>
    document.envelopes.flatMap((envelope): readonly Row[] => {
      const of = (lead: "a" | "b") =>
        Object.entries(envelope.wiring)
          .filter(([, wire]) => "winding" in wire && wire.winding === winding.id && wire.lead === lead)
          .map(([pin]) => pin)
          .join(" + ");
      const own = solved.heaters
        .find((one) => one.winding === winding.id)
        ?.envelopes.find((one) => one.envelope === envelope.id);
      if (own === undefined) return [];
      return [
        {
          cells: [
            envelope.id,
            envelope.type,
            winding.id,
            `pin ${of("a")}`,
            `pin ${of("b")}`,
            figure(`pin-heater/${envelope.id}`, own.volts, "V"),
            figure(`pin-wanted/${envelope.id}`, own.wantedVolts, "V"),
            figure(`pin-amps/${envelope.id}`, own.amps, "A"),
          ],
        },
      ];
    }),
  );
  const elevation = findings.filter((one) => one.rule.startsWith("elevation"));
  const lifted = solved.heaters.filter(
    (one) => one.referenceVolts > HAZARDOUS_VOLTS || highestLift(input, one.winding) > HAZARDOUS_VOLTS,
  );
  return [
    section("Heaters", "running, mains nominal; twisted, in the corner of the chassis", 3),
    table(
      [
        { head: "Winding" },
        { head: "Drawn", align: "end" },
        { head: "Rated", align: "end" },
        { head: "Volts", align: "end" },
        { head: "Serves", grow: 1 },
        { head: "Centre on" },
        { head: "at", align: "end" },
        { head: "made by", grow: 1 },
      ],
      rows,
    ),
    table(
      [
        { head: "Tube" },
        { head: "Type" },
        { head: "Winding" },
        { head: "Lead a", grow: 1 },
        { head: "Lead b", grow: 1 },
        { head: "Gets", align: "end" },
        { head: "Wants", align: "end" },
        { head: "Draws", align: "end" },
      ],
      pins,
    ),
    ...elevation.map((one) => paragraph([{ text: one.title, ids: [`=finding/${one.id}`] }, "."])),
    ...(lifted.length === 0 || study === undefined
      ? []
      : [
          paragraph(
            contentsOf([
              { text: "The heaters are lifted: ", bold: true },
              ...lifted.flatMap((one, n): readonly Content[] => [
                n > 0 ? ", " : "",
                `${one.winding} stands up to `,
                meterFigure(`lift/${one.winding}`, highestLift(input, one.winding)),
              ]),
              " over ground while the tubes are cold. Treat heater wires as dangerous.",
            ]),
          ),
        ]),
  ];
}

/** Highest volts of a winding's reference in any condition. */
function highestLift({ study, solved }: PackInput, winding: string): number {
  const all = [solved, ...(study?.solved.values() ?? [])];
  return Math.max(...all.map((one) => one.heaters.find((heater) => heater.winding === winding)?.referenceVolts ?? 0));
}

function reference(how: "centre-tap" | "two-resistors" | "hum-pot" | "one-end" | undefined): string {
  switch (how) {
    case "two-resistors":
      return "two resistors across the winding";
    case "hum-pot":
      return "hum pot across the winding";
    case "one-end":
      return "one end tied";
    default:
      return "its centre tap";
  }
}
