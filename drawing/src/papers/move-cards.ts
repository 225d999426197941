/** Cards of a rework: for each socket whose wires move its pins from below, each move with a name and a tick. */
import {
  baseFor,
  type Envelope,
  HAZARDOUS_VOLTS,
  type PinWire,
  roleName,
  type SolvedDesign,
  type WireMove,
  wireMoves,
} from "@platewright/design";
import { meterFigure } from "./figure.ts";
import { type Content, contentsOf, type Figure } from "./letters.ts";
import type { PackInput } from "./pack-input.ts";
import { box, drawingPart, paragraph, section } from "./parts.ts";
import { beside, type Passage } from "./piece.ts";
import { type PinArrow, socketDrawing } from "./socket.ts";
import { type Column, type Row, table } from "./table.ts";

export const cardWords = ({ document, proven }: PackInput): string => {
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
function movedSockets({ document, proven }: PackInput): readonly Moved[] {
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

export function moveCards(input: PackInput): readonly Passage[] {
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
