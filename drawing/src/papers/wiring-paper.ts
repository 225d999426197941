/**
 * Wiring: for a rework a card for each socket whose wires move, pins from below; then every wire in the order of work, and
 * what carries itself between the places.
 */
import {
  alikeChannels,
  baseFor,
  type CarriedPart,
  endWords,
  type Envelope,
  HAZARDOUS_VOLTS,
  type PinWire,
  roleName,
  type SolvedDesign,
  type Wire,
  type WireEnd,
  type WireMove,
  type WirePurpose,
  wireMoves,
  wireRuns,
  type WireRuns,
  WIRE_RUN_WORDS,
  wiringList,
} from "@platewright/design";
import { dischargeWords } from "./bench-sheet.ts";
import { countFigure, figure, meterFigure, plainFigure } from "./figure.ts";
import { type Content, contentsOf, type Figure } from "./letters.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { box, cautionBox, drawingPart, paragraph, section } from "./parts.ts";
import { beside, newPage, type Passage } from "./piece.ts";
import { type PinArrow, socketDrawing } from "./socket.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";

/** Wire by purpose; common practice, no standard binds the colours inside a unit but that of the earth. */
export const WIRE_PRACTICE: Readonly<
  Record<WirePurpose, { readonly colour: string; readonly awg: number; readonly insulationVolts: number }>
> = {
  earth: { colour: "green-yellow", awg: 18, insulationVolts: 600 },
  mains: { colour: "brown, blue", awg: 18, insulationVolts: 600 },
  heater: { colour: "green, brown", awg: 18, insulationVolts: 300 },
  winding: { colour: "red", awg: 22, insulationVolts: 600 },
  supply: { colour: "red", awg: 22, insulationVolts: 600 },
  ground: { colour: "black", awg: 20, insulationVolts: 300 },
  plate: { colour: "blue", awg: 22, insulationVolts: 600 },
  grid: { colour: "white", awg: 24, insulationVolts: 300 },
  cathode: { colour: "yellow", awg: 22, insulationVolts: 300 },
  signal: { colour: "white", awg: 24, insulationVolts: 300 },
};

/** Conductor of each gauge used, mm². */
const SQUARE_MILLIMETRES: Readonly<Record<number, string>> = {
  16: "1.31",
  18: "0.82",
  20: "0.52",
  22: "0.33",
  24: "0.20",
};

/** Above this a heater's wire is taken thicker. */
const THICK_AMPS = 3;

/** Mains of this many volts and more are wired in brown and blue (IEC 60446, from memory); below in black and white. */
const IEC_VOLTS = 200;

export interface WireRow {
  readonly wires: readonly Wire[];
  readonly from: string;
  readonly to: string;
  readonly channels: readonly string[];
  readonly differs: boolean;
}

/** Wires of equal channels on one row. */
export function wireRows(input: PackInput): readonly WireRow[] {
  const { solved, proven, study } = input;
  const list = wiringList(solved, study?.solved ?? new Map()).wires;
  const alike = alikeChannels(solved);
  const groupOf = (instance: string | undefined) =>
    instance === undefined ? undefined : alike.find((group) => group.includes(instance));
  const before = proven === undefined ? undefined : provenWires(input, solved);
  const rows = new Map<string, Wire[]>();
  for (const wire of list) {
    const group = groupOf(wire.channel);
    const key = group === undefined ? `= ${wire.id}` : `${group.join()} ${wire.purpose} ${canonical(solved, wire)}`;
    rows.set(key, [...(rows.get(key) ?? []), wire]);
  }
  return [...rows.values()].map((wires) => ({
    wires,
    from: joinedEnds(wires.map((one) => one.from)),
    to: joinedEnds(wires.map((one) => one.to)),
    channels: wires.flatMap((one) => one.channel ?? []),
    differs: before !== undefined && wires.some((one) => !before.has(one.id)),
  }));
}

/** The wires of the proven document with the same nets: what is not among them is new. */
function provenWires({ proven, study }: PackInput, solved: SolvedDesign): ReadonlySet<string> {
  if (proven === undefined) return new Set();
  const was: SolvedDesign = { ...solved, document: { ...solved.document, envelopes: proven.document.envelopes } };
  return new Set(wiringList(was, study?.solved ?? new Map()).wires.map((one) => one.id));
}

/** The wire with its channel and its bottles left open. */
function canonical(solved: SolvedDesign, { channel, from, to }: Wire): string {
  const bottles = solved.expanded.triodes.filter((one) => one.instance === channel).map((one) => one.envelope);
  const open = (text: string) => {
    let out = text.replaceAll(`${channel ?? ""}.`, "*.");
    for (const [n, bottle] of [...new Set(bottles)].entries()) out = out.replaceAll(`${bottle} `, `bottle${n} `);
    return out;
  };
  return `${open(endWords(from))} > ${open(endWords(to))}`;
}

/** "V1, V2 pin 9": the same place in several. */
function joinedEnds(ends: readonly WireEnd[]): string {
  const words = [...new Set(ends.map(endWords))];
  const [first] = ends;
  if (words.length === 1 || first === undefined) return words[0] ?? "";
  return ends.every((one) => one.at === first.at)
    ? `${[...new Set(ends.map((one) => one.item))].join(", ")} ${first.at}`.trim()
    : words.join("; ");
}

export function wiringPaper(input: PackInput): Paper {
  const { document, proven } = input;
  const cards = moveCards(input);
  const runs = runsOn(input);
  const frame = frameOf(input, "Wiring", [
    proven === undefined ? document.envelopes.map((one) => `${one.id} ${one.type}`).join(", ") : cardWords(input),
    "pins counted clockwise, seen from below",
  ]);
  return layPaper("wiring", textSheet(input), frame, [
    cautionBox(...dischargeWords(input.study)),
    ...cards,
    ...(cards.length === 0 ? [] : [newPage]),
    ...listPassage(input, runs),
    ...carriedPassage(input),
    ...(runs === undefined ? [] : runPassage(runs)),
  ]);
}

const cardWords = ({ document, proven }: PackInput): string => {
  const changed = document.envelopes.flatMap((is) => {
    const was = proven?.document.envelopes.find((one) => one.id === is.id);
    return was === undefined || was.type === is.type ? [] : [`${is.id} ${was.type} → ${is.type}`];
  });
  return changed.length === 0 ? "no tube changes its type" : `move card ${changed.join(", ")}`;
};

interface Moved {
  readonly envelopes: readonly Envelope[];
  readonly was: Envelope;
  readonly moves: readonly WireMove[];
}

/** Sockets whose wires move, those that move alike together. */
export function movedSockets({ document, proven }: PackInput): readonly Moved[] {
  const groups = new Map<string, Moved>();
  for (const is of document.envelopes) {
    const was = proven?.document.envelopes.find((one) => one.id === is.id);
    if (was === undefined) continue;
    const moves = was.socket === is.socket ? wireMoves(was.wiring, is.wiring) : [];
    if (moves.length === 0 && was.socket === is.socket) continue;
    const key = [
      was.type,
      was.socket,
      is.type,
      is.socket,
      ...moves.map((one) => `${one.from ?? ""}>${one.to ?? ""}`),
    ].join("|");
    const group = groups.get(key) ?? { envelopes: [], was, moves };
    groups.set(key, { ...group, envelopes: [...group.envelopes, is] });
  }
  return [...groups.values()];
}

function moveCards(input: PackInput): readonly Passage[] {
  return movedSockets(input).flatMap((moved) => {
    const [first] = moved.envelopes;
    if (first === undefined) return [];
    return moved.was.socket === first.socket ? [cardOf(input, moved, first)] : newSocket(input, moved, first);
  });
}

function newSocket({ solved, catalogue }: PackInput, { envelopes, was }: Moved, first: Envelope): readonly Passage[] {
  return [
    section(
      `${envelopes.map((one) => one.id).join(", ")}: ${first.socket} socket in place of ${was.socket}`,
      "every wire comes off and goes on anew",
    ),
    (width) => {
      const drawing = socketDrawing(
        first.socket,
        labelsOf(solved, catalogue, first, new Set()),
        [],
        Math.min(width, 120),
      );
      return drawingPart(drawing.items, drawing)(width);
    },
  ];
}

function cardOf(
  { solved, catalogue, document }: PackInput,
  { envelopes, was, moves }: Moved,
  first: Envelope,
): Passage {
  const names = envelopes.map((one) => one.id);
  const touched = new Set(moves.flatMap((one) => [one.from, one.to].filter((pin) => pin !== undefined)));
  const letters = "abcdefghijklmnop";
  const arrows = moves.flatMap((one, n): readonly PinArrow[] =>
    one.from === undefined || one.to === undefined ? [] : [{ from: one.from, to: one.to, name: letters[n] ?? "" }],
  );
  const rows = moves.map(
    (one, n): Row => ({
      cells: [
        { text: letters[n] ?? "", bold: true },
        { text: `${one.from ?? "new"} → ${one.to ?? "off"}`, bold: true },
        wireWords(solved, one.wire),
        ...names.map(() => ({ tick: 1 }) as const),
      ],
    }),
  );
  const tap = moves.find((one) => isHigh(solved, one.wire) && becomesHeater(document, first, one.from));
  const trap: readonly Passage[] =
    tap === undefined || tap.from === undefined
      ? []
      : [
          box(
            "",
            [
              contentsOf([
                { text: `Wire ${letters[moves.indexOf(tap)] ?? ""} left at pin ${tap.from} puts `, bold: true },
                boldFigure(netFigure(solved, tap.wire)),
                { text: " on the heaters. ", bold: true },
                "Check before any tube goes in.",
              ]),
            ],
            { weight: 0.75 },
          ),
        ];
  return beside(
    [1.32, 1],
    5,
    [
      (width) => {
        const drawing = socketDrawing(first.socket, labelsOf(solved, catalogue, first, touched), arrows, width);
        return drawingPart(drawing.items, drawing)(width);
      },
    ],
    [
      section(
        `${was.type} → ${first.type}`,
        `${moves.length} wire${moves.length === 1 ? "" : "s"} of ${names.join(", ")}; lift all first`,
      ),
      table(
        [
          { head: "" },
          { head: "Pin" },
          { head: "Wire", grow: 1 },
          ...names.map((name): Column => ({ head: name, ruled: true })),
        ],
        rows,
        { rowHeight: 8.5 },
      ),
      ...trap,
      paragraph(
        "Afterwards the ohms of the bench sheet, unplugged and with no tube fitted, before anything is switched on.",
      ),
    ],
  );
}

const boldFigure = (content: Figure | string) =>
  typeof content === "string" ? { text: content, bold: true } : { text: content.text, bold: true, figure: content };

const isHigh = (solved: SolvedDesign, wire: PinWire): boolean =>
  "net" in wire && wire.net !== "0" && Math.abs(solved.bias.netVolts.get(wire.net) ?? 0) > HAZARDOUS_VOLTS;

const becomesHeater = (document: PackInput["document"], envelope: Envelope, pin: string | undefined): boolean => {
  const wire = pin === undefined ? undefined : envelope.wiring[pin];
  return (
    wire !== undefined &&
    "winding" in wire &&
    (document.supply?.transformer.heaters ?? []).some((one) => one.id === wire.winding)
  );
};

const netFigure = (solved: SolvedDesign, wire: PinWire): Figure | string =>
  "net" in wire ? meterFigure(`volts/nominal/${wire.net}`, solved.bias.netVolts.get(wire.net) ?? Number.NaN) : "";

/** "L.k2, 75.5 V", "heater lead b". */
function wireWords(solved: SolvedDesign, wire: PinWire): Content {
  if (!("net" in wire))
    return wire.winding === "HT" ? `high tension ${wire.lead}` : `${wire.winding} lead ${wire.lead}`;
  if (wire.net === "0") return "ground";
  return [`${wire.net}, `, meterFigure(`volts/nominal/${wire.net}`, solved.bias.netVolts.get(wire.net) ?? Number.NaN)];
}

function labelsOf(
  solved: SolvedDesign,
  catalogue: PackInput["catalogue"],
  envelope: Envelope,
  touched: ReadonlySet<string>,
) {
  const record = catalogue.tube(envelope.type);
  const base = record === undefined ? undefined : baseFor(record, envelope.socket);
  const pins = [...new Set([...Object.keys(base?.pins ?? {}), ...Object.keys(envelope.wiring)])].sort(
    (a, b) => Number(a) - Number(b),
  );
  return pins.map((pin) => {
    const wire = envelope.wiring[pin];
    const role = base?.pins[pin];
    const content = wire === undefined ? "" : wireWords(solved, wire);
    const value =
      typeof content !== "string" && Array.isArray(content) ? (content[1] as Figure | undefined) : undefined;
    return {
      pin,
      heavy: touched.has(pin),
      lines: [
        role === undefined ? "" : roleName(role),
        value === undefined
          ? { text: typeof content === "string" ? content : "" }
          : { text: `${wire !== undefined && "net" in wire ? wire.net : ""} ${value.text}`, ids: [`=${value.of}`] },
      ],
    };
  });
}

/** The wires on the chassis, where the design has one. */
export const runsOn = ({ chassis, solved, study }: PackInput): WireRuns | undefined =>
  chassis === undefined ? undefined : wireRuns(chassis, wiringList(solved, study?.solved ?? new Map()));

/** Lengths to cut, one for each channel where they differ; a star where an end hangs in the wiring. */
function lengthOf(runs: WireRuns | undefined, wires: readonly Wire[]): Content {
  const own = wires.flatMap((wire) => runs?.runs.find((one) => one.id === wire.id) ?? []);
  const alike = own.filter((one, n) => n === 0 || one.lengthMillimetres !== own[0]?.lengthMillimetres);
  return alike.flatMap((run, n): readonly (Figure | string)[] => [
    ...(n === 0 ? [] : [", "]),
    countFigure(`wire-length/${run.id}`, run.lengthMillimetres),
    ...(run.hangs ? ["*"] : []),
  ]);
}

/** What the plate tells of a wire is said as it is; what it does not tell, as the rule. */
function noteOn(runs: WireRuns | undefined, wires: readonly Wire[]): string {
  const [wire] = wires;
  const own = wires.flatMap((one) => runs?.runs.find((run) => run.id === one.id) ?? []);
  if (wire?.purpose !== "signal" || own.length === 0) return wire?.note ?? "";
  const short = wire.note.startsWith("short") ? ["stopper at the pin"] : [];
  return [...(own.some((run) => run.screened) ? ["screened, one end"] : ["plain, under 60\u202fmm"]), ...short].join(
    "; ",
  );
}

/** What comes near to what; what is screened stands in the list. */
function runPassage({ checks }: WireRuns): readonly Passage[] {
  const rows = checks.filter((one) => !one.id.startsWith("screened/"));
  return [
    section("Wire runs", `${WIRE_RUN_WORDS}; least distances, common practice`),
    table(
      [
        { head: "" },
        { head: "What", grow: 1 },
        { head: "mm", align: "end" },
        { head: "Wanted" },
        { head: "", ruled: true },
      ],
      rows.map(
        (check): Row => ({
          bold: check.level === "watch",
          cells: [
            check.level === "watch" ? "move" : check.level,
            check.words,
            check.millimetres === null
              ? ""
              : plainFigure(`wire-check/${check.id.replaceAll("/", " ")}`, check.millimetres, "", 2),
            `${check.bound} ${Math.round(10 * check.limit) / 10}`,
            { tick: 1 },
          ],
        }),
      ),
    ),
  ];
}

function listPassage(input: PackInput, runs: WireRuns | undefined): readonly Passage[] {
  const { document, solved } = input;
  const rows = wireRows(input);
  const instances = solved.expanded.channels.map((one) => one.instance);
  const national = (document.supply?.mains.volts ?? IEC_VOLTS) >= IEC_VOLTS;
  const listed = rows.map(({ wires, from, to, channels, differs }, n): Row => {
    const [wire] = wires;
    if (wire === undefined) return { cells: [] };
    const look = WIRE_PRACTICE[wire.purpose];
    const awg = wire.purpose === "heater" && (wire.amps ?? 0) > THICK_AMPS ? 16 : look.awg;
    const volts = Math.max(...wires.map((one) => one.volts ?? 0));
    const shown = wires.find((one) => one.volts === volts);
    return {
      bold: differs,
      cells: [
        String(n + 1),
        from,
        to,
        colourOf(wire, look.colour, national),
        `${awg}, ${SQUARE_MILLIMETRES[awg] ?? ""}`,
        `${volts > 50 || wire.purpose === "mains" ? 600 : look.insulationVolts}\u202fV`,
        volts > 0.5 && shown !== undefined
          ? meterFigure(`highest/${shown.net}`, volts)
          : wire.amps === undefined
            ? ""
            : figure(`heater-amps/${wire.net}`, wire.amps, "A"),
        lengthOf(runs, wires),
        noteOn(runs, wires),
        ...instances.map((instance, k): Cell => {
          if (channels.length === 0) return k === 0 ? { tick: 1, over: instances.length } : "";
          return channels.includes(instance) ? { tick: 1 } : "";
        }),
      ],
    };
  });
  return [
    section(
      "Wiring list",
      `in the order of work${input.proven === undefined ? "" : `; bold rows differ from Rev ${input.proven.revision}`}; mark each wire here and on the schematic`,
    ),
    table(
      [
        { head: "" },
        { head: "From", grow: 1 },
        { head: "To", grow: 1 },
        { head: "Colour" },
        { head: "AWG, mm²" },
        { head: "Insul.", align: "end" },
        { head: "At most", align: "end" },
        { head: "mm", align: "end", least: 10, ruled: true },
        { head: "Note", grow: 0.4, most: 33 },
        ...instances.map((instance): Column => ({ head: instance, ruled: true })),
      ],
      listed,
    ),
    paragraph(
      `Colours, gauges and the order of the bus are common practice; green-yellow is for the earth alone. ${lengthWords(runs)} One tick where both channels share a wire.`,
    ),
  ];
}

const lengthWords = (runs: WireRuns | undefined): string =>
  runs === undefined
    ? "Lengths: measured, with 20\u202fmm for the ends."
    : `Lengths to cut: ${WIRE_RUN_WORDS}. In them: the way on the plate, a tenth more for a twisted pair, down to the plate and up again, 20\u202fmm for the ends. * An end hangs in the wiring: good to some 20\u202fmm.${runs.missing.length === 0 ? "" : ` No length: what it goes to has no place on the plate.`}`;

function colourOf(wire: Wire, colour: string, national: boolean): string {
  if (wire.purpose === "mains")
    return /neutral|primary 2/.test(`${endWords(wire.from)} ${endWords(wire.to)}`)
      ? national
        ? "blue"
        : "white"
      : national
        ? "brown"
        : "black";
  // The two leads of a winding, and its reference.
  if (wire.purpose === "heater") return colour.split(", ")[wire.twisted || wire.amps === undefined ? 0 : 1] ?? colour;
  return colour;
}

function carriedPassage({ solved, study }: PackInput): readonly Passage[] {
  const { carried } = wiringList(solved, study?.solved ?? new Map());
  const alike = alikeChannels(solved);
  const rows = new Map<string, { readonly part: CarriedPart; readonly ids: string[] }>();
  for (const one of carried) {
    const [instance = ""] = one.id.split(".");
    const group = alike.find((channels) => channels.includes(instance));
    const key = group === undefined ? one.id : `${group.join()} ${one.id.slice(instance.length)}`;
    const row = rows.get(key) ?? { part: one, ids: [] };
    row.ids.push(one.id);
    rows.set(key, row);
  }
  const written = (id: string) => solved.expanded.parts.find((one) => one.id === id)?.written;
  const of = (text: string, ids: readonly string[]): string =>
    ids.length > 1
      ? text.replace(/\b[A-Za-z0-9]+\.(?=\w)/g, "").replace(/^ground of .*/, "the channel's ground")
      : text;
  return [
    section("Parts that carry themselves", "between which places; the first channel is named, the others follow"),
    table(
      [
        { head: "Part" },
        { head: "" },
        { head: "From", grow: 1 },
        { head: "To", grow: 1 },
        { head: "What", grow: 1.4 },
        { head: "" },
      ],
      [...rows.values()].map(({ part, ids }): Row => {
        const own = written(part.id);
        return {
          ids,
          cells: [
            ids.join(", "),
            own !== undefined && "value" in own ? own.value.replace("u", "µ") : "",
            of(part.from, ids),
            of(part.to, ids),
            own?.label ?? "",
            { tick: Math.max(1, ids.length) },
          ],
        };
      }),
    ),
  ];
}
