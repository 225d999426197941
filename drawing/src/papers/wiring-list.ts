/** Every wire in the order of work, what carries itself between the places, and what the ways of the wires come near to. */
import {
  alikeChannels,
  type CarriedPart,
  endWords,
  type Wire,
  type WirePurpose,
  type WireRuns,
  WIRE_RUN_WORDS,
  wiringList,
} from "@platewright/design";
import { countFigure, figure, meterFigure, plainFigure } from "./figure.ts";
import type { Content, Figure } from "./letters.ts";
import type { PackInput } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import type { Passage } from "./piece.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";
import { wireRows } from "./wire-rows.ts";

/** Wire by purpose; common practice, no standard binds the colours inside a unit but that of the earth. */
const WIRE_PRACTICE: Readonly<
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
export function runPassage({ checks }: WireRuns): readonly Passage[] {
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

export function listPassage(input: PackInput, runs: WireRuns | undefined): readonly Passage[] {
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

export function carriedPassage({ solved, study }: PackInput): readonly Passage[] {
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
