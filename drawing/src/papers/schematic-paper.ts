/** The schematic with volts: each different channel and the supply, with what their nets stand at in every condition. */
import { alikeChannels, type Condition } from "@platewright/design";
import { type Item, SIZES } from "../scene.ts";
import { netsWithVolts, type SchematicLayout, schematicFacts, schematicLayout } from "../schematic.ts";
import { slotItems } from "../schematic/slots.ts";
import { figure, meterFigure } from "./figure.ts";
import type { Content } from "./letters.ts";
import { layPaper, pageRoom, type Paper, type Sheet } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { shortCondition } from "./parts-rows.ts";
import { drawingPart, paragraph, section } from "./parts.ts";
import { after, newPage, type Passage } from "./piece.ts";
import { type Column, type Row, table } from "./table.ts";

/** Symbols are made smaller before the sheet grows; text keeps its size. */
const SCALES = [1, 0.9, 0.8, 0.7, 0.6] as const;

export function schematicPaper(input: PackInput): Paper {
  const { solved, document } = input;
  const facts = schematicFacts(solved.expanded, solved);
  const drawn = [
    ...alikeChannels(solved).map((alike) => ({ instance: alike[0] ?? "", alike })),
    ...document.instances
      .filter((one) => !solved.expanded.channels.some((channel) => channel.instance === one.id))
      .map((one) => ({ instance: one.id, alike: [one.id] })),
  ];
  const { sheet, layouts } = laidOut(
    input,
    drawn.map((one) => one.instance),
  );
  const room = pageRoom(sheet);
  const passages = drawn.flatMap(({ instance, alike }, n): readonly Passage[] => {
    const layout = layouts[n] as SchematicLayout;
    const items: readonly Item[] = [
      ...layout.items,
      ...layout.slots.flatMap((slot) => slotItems(slot, facts, SIZES.small)),
    ];
    // An A3 sheet is read from further away: its drawing grows with it.
    const largest = sheet.size === "A3" ? Math.SQRT2 : 1;
    const scale = Math.min(largest, room.width / layout.width, (room.height - 14) / layout.height);
    const label = document.instances.find((one) => one.id === instance)?.label ?? instance;
    return [
      ...(n === 0 ? [] : [newPage]),
      section(
        alike.length > 1 ? `Channels ${alike.join(" and ")}` : label.charAt(0).toUpperCase() + label.slice(1),
        `volts to ground and plate currents, ${solved.condition.words}; a bolt: above 60\u202fV, dangerous to touch`,
      ),
      drawingPart(scaled(items, scale), { width: layout.width * scale, height: layout.height * scale }),
      ...nodeTable(input, instance),
      ...(document.supply !== undefined && touches(input, instance) ? ironTable(input) : []),
    ];
  });
  const frame = frameOf(input, "Schematic", [
    document.envelopes.map((one) => `${one.id} ${one.type}`).join(", "),
    document.supply === undefined
      ? "no supply in the design"
      : `${document.supply.transformer.label}; mains ${document.supply.mains.volts}\u202fV ${document.supply.mains.hertz}\u202fHz`,
  ]);
  return layPaper("schematic", sheet, frame, passages);
}

const layoutOf = (input: PackInput, instance: string, scale: number): SchematicLayout =>
  schematicLayout(input.solved.expanded, {
    channel: instance,
    document: input.document,
    scale,
    volts: netsWithVolts(schematicFacts(input.solved.expanded, input.solved)),
  });

/** Every instance at the largest scale that fits the sheet asked for; on A3 where one would not fit at any. */
function laidOut(
  input: PackInput,
  instances: readonly string[],
): { readonly sheet: Sheet; readonly layouts: readonly SchematicLayout[] } {
  const asked = drawingSheet(input);
  for (const sheet of [asked, { size: "A3", landscape: true } as const]) {
    const { width } = pageRoom(sheet);
    const layouts = instances.map((instance) => {
      for (const scale of SCALES) {
        const layout = layoutOf(input, instance, scale);
        if (layout.width <= width) return layout;
      }
      return undefined;
    });
    if (layouts.every((one) => one !== undefined)) return { sheet, layouts };
  }
  return {
    sheet: { size: "A3", landscape: true },
    layouts: instances.map((instance) => layoutOf(input, instance, SCALES[SCALES.length - 1] ?? 1)),
  };
}

/** A drawing made smaller or larger as a whole; its lines stay as heavy as they are. */
export function scaled(items: readonly Item[], by: number): readonly Item[] {
  if (by === 1) return items;
  const point = ([x, y]: readonly [number, number]): readonly [number, number] => [x * by, y * by];
  return items.map((item): Item => {
    switch (item.kind) {
      case "line":
        return { ...item, from: point(item.from), to: point(item.to) };
      case "polyline":
      case "path":
        return { ...item, points: item.points.map(point) };
      case "rect":
        return { ...item, at: point(item.at), width: item.width * by, height: item.height * by };
      case "circle":
        return { ...item, at: point(item.at), radius: item.radius * by };
      case "text":
        return { ...item, at: point(item.at), size: item.size * by };
      case "group":
        return { ...item, at: point(item.at), items: scaled(item.items, by) };
    }
  });
}

const SHOWN: readonly Condition["id"][] = ["mains-low", "nominal", "mains-high", "cold", "cold-mains-high", "pulled"];

/** What every net of an instance stands at in each condition of the supply's study. */
function nodeTable({ study, solved }: PackInput, instance: string): readonly Passage[] {
  const rows = study?.rows.filter((row) => SHOWN.includes(row.condition.id)) ?? [];
  if (rows.length === 0) return [];
  const touched = new Set(
    solved.expanded.parts
      .filter((part) => part.instance === instance)
      .flatMap((part) => Object.values(part.written.pins as Readonly<Record<string, string>>)),
  );
  const highest = (net: string) => Math.max(...rows.map((row) => Math.abs(row.nodes[net]?.volts ?? 0)));
  const standing = (net: string) => rows.map((row) => (row.nodes[net]?.volts ?? 0).toFixed(2)).join(" ");
  const nets = [...touched]
    .filter((net) => net !== "0" && highest(net) >= 0.5)
    .sort((a, b) => highest(b) - highest(a))
    // What stands alike in every condition is one point for a meter.
    .filter((net, n, all) => all.findIndex((other) => standing(other) === standing(net)) === n);
  const listed = nets.map(
    (net): Row => ({
      ids: [net],
      cells: [
        `${net}${highest(net) > 60 ? " ▲" : ""}`,
        ...rows.map((row) => {
          const at = row.nodes[net]?.volts;
          return at === undefined ? "–" : meterFigure(`volts/${row.condition.id}/${net}`, at);
        }),
      ],
    }),
  );
  return [
    after(
      5,
      table(
        [
          { head: "Volts to ground" },
          ...rows.map((row): Column => ({ head: shortCondition(row.condition), align: "end", least: 32 })),
        ],
        listed,
      ),
    ),
    paragraph("▲ above 60\u202fV in one of these conditions. Nets that stand alike are named once."),
  ];
}

/** Is the first capacitor of this instance? */
const touches = ({ document }: PackInput, instance: string): boolean =>
  document.supply?.rectifier.firstCapacitor.startsWith(`${instance}.`) === true;

/** What winding, rectifier and first capacitor do, in the words of the supply's own sheet. */
function ironTable({ solved, study }: PackInput): readonly Passage[] {
  const { supply } = solved;
  if (supply === undefined) return [];
  const { rectifier } = supply;
  const rows: (readonly [string, Content])[] = [
    ["Direct volts at the first capacitor", meterFigure("rectifier/dcVolts", rectifier.dcVolts)],
    ["Direct current drawn", figure("rectifier/loadAmps", supply.loadAmps, "A")],
    ["Ripple there, peak to peak", figure("rectifier/ripple", rectifier.ripplePeakToPeakVolts, "V", 2)],
    ["Peak current of one path", figure("rectifier/platePeakAmps", rectifier.platePeakAmps, "A")],
    ["Rms current in the winding", figure("rectifier/windingRmsAmps", rectifier.windingRmsAmps, "A")],
    ["Ripple current of the first capacitor", figure("rectifier/capacitorRmsAmps", rectifier.capacitorRmsAmps, "A")],
    ["Peak inverse volts", meterFigure("rectifier/peakInverseVolts", rectifier.peakInverseVolts)],
    ["Resistance in series with one path", figure("rectifier/sourceOhms", supply.sourceOhmsPerPlate, "Ω")],
    ...(study === undefined
      ? []
      : ([
          ["Mains current, mains high", figure("study/mainsAmps", study.mainsAmps, "A")],
          ["Slow fuse that suits it", figure("study/fuseAmps", study.suggestedFuseAmps, "A")],
        ] as const)),
    ...solved.heaters.flatMap((one): (readonly [string, Content])[] => [
      [`Heater winding ${one.winding}`, figure(`heater/nominal/${one.winding}`, one.volts, "V")],
      [`Its current`, figure(`heater-amps/${one.winding}`, one.amps, "A")],
    ]),
  ];
  const half = Math.ceil(rows.length / 2);
  return [
    section("Winding and rectifier", "running, mains nominal"),
    table(
      [
        { head: "", grow: 1 },
        { head: "", align: "end", bold: true },
        { head: "", grow: 1 },
        { head: "", align: "end", bold: true },
      ],
      Array.from({ length: half }, (_, n): Row => {
        const [left, right] = [rows[n], rows[n + half]];
        return { cells: [left?.[0] ?? "", left?.[1] ?? "", right?.[0] ?? "", right?.[1] ?? ""] };
      }),
    ),
  ];
}
