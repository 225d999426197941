/**
 * The owner's sheet: cautions, the order of connection, what the unit does, its controls with the mark of unity, and the tubes
 * that may, may with another sound, and must not be fitted.
 */
import {
  bandsOf,
  CAUTION_OWNER,
  CAUTION_TITLE,
  panelOf,
  type Panel,
  type TubeVerdict,
  type SolvedChannel,
} from "@platewright/design";
import { clockPosition } from "@platewright/engine";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { decibelFigure, figure, percentFigure } from "./figure.ts";
import { type Content, contentsOf, type Figure, PAPER_SIZES, runsOf, wrapRuns } from "./letters.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { box, fields, paragraph, section, steps } from "./parts.ts";
import { channelColumns, writeCells } from "./bench-sheet.ts";
import { beside, newPage, figuresOf, lineHeight, lineOfRuns, type Passage, type Piece, space } from "./piece.ts";
import { type Row, table } from "./table.ts";

export function ownerSheet(input: PackInput): Paper {
  const { document, study, solved, catalogue } = input;
  const { supply } = document;
  const panel = panelOf(solved, catalogue);
  const watts = study?.rows.find((row) => row.condition.id === "nominal")?.mainsWatts;
  const frame = frameOf(
    input,
    "Owner's sheet",
    [
      document.name,
      supply === undefined
        ? ""
        : `mains ${supply.mains.volts}\u202fV ${supply.mains.hertz}\u202fHz${watts === undefined ? "" : `, ${Math.round(watts)}\u202fW`}${supply.fuse === undefined ? "" : `; fuse ${1000 * supply.fuse.amps}\u202fmA ${supply.fuse.kind}, ${supply.fuse.breaking} breaking`}`,
    ],
    "Typical figures of this revision; units and tubes stray from them.",
  );
  return layPaper("owner-sheet", textSheet(input), frame, [
    box(CAUTION_TITLE, [CAUTION_OWNER.join(" ")], { sign: true, above: 0 }),
    beside(
      [1, 1.15],
      6,
      [section("Connect and switch on"), steps(connectSteps(input))],
      [section("What it does", "typical, 1\u202fkHz"), whatItDoes(input, panel.ok ? panel.value : undefined)],
    ),
    ...(panel.ok
      ? [
          section("Controls"),
          beside([1.15, 1], 6, dialPassages(input, panel.value), [space(3), ...controlWords(input, panel.value)]),
        ]
      : [paragraph(`Controls: ${panel.failure}`)]),
    section("When something is not right", "common practice; whatever asks for an open case is for a qualified person"),
    table(
      [
        { head: "What is noticed", grow: 0.6 },
        { head: "What to do", grow: 1 },
      ],
      TROUBLES.map(([what, then]) => ({ cells: [what, then] })),
    ),
    newPage,
    section("Which tubes may be fitted", envelopesWords(input)),
    tubeColumns(input.tubes),
    paragraph(
      "Whatever is not listed here must not be fitted: ask first. Tubes of one pair are changed together. Unplug, and let them cool.",
    ),
    section("Care and carriage"),
    paragraph(
      "Dust with a dry cloth only. Ship with the tubes out, each wrapped and labelled by its socket. A tube that rings when it is tapped lightly is due.",
    ),
    section("This unit when it left", "measured by the maker; the figures on the first page are those of the design"),
    fields(["Serial", ...document.envelopes.map((one) => `${one.id} ${one.type}`)]),
    leftTable(input),
    fields([{ name: "Mains", share: 0.7, after: "V" }, "Date", "Measured by", "Signed"]),
  ]);
}

const TROUBLES = [
  [
    "Hum that goes when the source is unplugged",
    "two earths in the system: feed all units from one outlet, try another lead",
  ],
  [
    "Hum or crackle in one channel",
    "change the two tubes of the channels with one another, unplugged and cool; if it moves, the tube is due",
  ],
  ["One channel low or silent", "change the leads first, then the tubes in the same way"],
  [
    "A tube stays dark, a plate glows, a smell",
    "off at once and unplug; it is not switched on again before it was seen",
  ],
  ["The fuse opens", "one new fuse of the same kind; when that opens too, it is for service, never for a larger fuse"],
] as const;

/** Room for what this serial number measured, both channels. */
function leftTable({ solved, document }: PackInput): Passage {
  const channels = channelColumns(solved);
  const instances = solved.expanded.channels.map((one) => one.instance);
  const level = document.targets.voicingVolts[Math.floor(document.targets.voicingVolts.length / 2)] ?? 1;
  return table(
    [{ head: "", grow: 1 }, ...channels.columns],
    [
      "Gain, dB",
      `Second harmonic at ${level}\u202fV in`,
      `Third harmonic at ${level}\u202fV in`,
      "Hum and noise, dBV",
    ].map((what) => ({
      cells: [what, ...writeCells(channels, instances)],
    })),
    { rowHeight: 6.2 },
  );
}

/** Until every tube is warm; common practice. */
const WARM_SECONDS = 60;

function connectSteps({ solved }: PackInput): readonly Content[] {
  const jacks = (role: "input" | "output") =>
    solved.expanded.parts
      .filter((part) => part.written.kind === "jack" && part.written.role === role)
      .map((part) => part.id)
      .join(" and ");
  return [
    `Everything off and unplugged. The source to ${jacks("input")}.`,
    `${jacks("output")} to the power amplifier, 10\u202fkΩ or more.`,
    `LEVEL down. This box on; wait ${WARM_SECONDS}\u202fs.`,
    ["The power amplifier ", { text: "last", bold: true }, ". Bring LEVEL up."],
    [
      "Off in reverse: the power amplifier ",
      { text: "first", bold: true },
      ", then this box. Wait half a minute before it is switched on again.",
    ],
  ];
}

function whatItDoes({ solved, document, study }: PackInput, panel: Panel | undefined): Passage {
  const full = panel?.full.channels[0];
  const [channel] = solved.channels;
  const rows: Row[] = [];
  const add = (what: string, value: Content, at: string) => rows.push({ cells: [what, value, at] });
  if (full !== undefined) {
    add("Gain, most", decibelFigure("panel/gain", 20 * Math.log10(full.gain)), "both controls up");
    const level = full.levels[0];
    if (level !== undefined)
      add("Second harmonic", percentFigure("panel/h2", level.ratios[0] ?? Number.NaN, 2), "1\u202fV in, drive up");
    if (level !== undefined)
      add("Third harmonic", percentFigure("panel/h3", level.ratios[1] ?? Number.NaN, 3), "1\u202fV in, drive up");
  }
  const soft = channel === undefined ? undefined : softest(channel);
  if (soft !== undefined)
    add(
      "The same, softer",
      percentFigure(`h2/${channel?.instance ?? ""}/${soft.inputVolts}`, soft.ratios[0] ?? Number.NaN, 2),
      `${soft.inputVolts}\u202fV in`,
    );
  const bands = channel === undefined ? {} : bandsOf(solved, channel.instance);
  if (bands.h2 !== undefined)
    add(
      "Harmonics stray by",
      ["±", decibelFigure(`h2-band/${channel?.instance ?? ""}`, bands.h2)],
      "from tube to tube",
    );
  const onset = channel?.onset.find((one) => one.inputVolts !== null)?.inputVolts;
  if (onset !== undefined && onset !== null)
    add("Largest input", figure(`onset/${channel?.instance ?? ""}`, onset, "V", 2), "drive up, before grid current");
  if (panel !== undefined)
    add("Output impedance", ["under ", figure("panel/outputOhms", panel.outputOhms, "Ω", 2)], "any level");
  add("Polarity", channel?.inverts === true ? "inverted" : "kept", "swap both speaker leads to undo");
  const hum = study?.hum;
  const noise = hum === undefined ? undefined : [...hum.noise.entries()][0];
  const loudest = hum?.lines.toSorted((a, b) => b.dbv - a.dbv)[0];
  if (loudest !== undefined)
    add(
      "Hum",
      decibelFigure(`hum/${loudest.channel}/${loudest.hertz}/${loudest.from}`, loudest.dbv, "dBV", 0),
      `${loudest.hertz}\u202fHz, level at ${hum?.setting.words ?? ""}`,
    );
  if (noise !== undefined)
    add(
      "Noise, A-weighted",
      decibelFigure(`noise-a/${noise[0]}`, 20 * Math.log10(noise[1].weighted.output.voltsRms), "dBV", 0),
      `level at ${hum?.setting.words ?? ""}`,
    );
  add("Load", document.targets.loadOhms, "the figures above");
  return table(
    [
      { head: "", grow: 1 },
      { head: "", align: "end", bold: true },
      { head: "", grow: 0.8 },
    ],
    rows,
  );
}

const softest = (channel: SolvedChannel) => channel.levels.toSorted((a, b) => a.inputVolts - b.inputVolts)[0];

const nameOf = (input: PackInput, id: string): string =>
  (
    input.solved.expanded.parts.find((part) => part.written.id === id && part.written.kind === "potentiometer")?.written
      .label ?? id
  ).toUpperCase();

function dialPassages(input: PackInput, { drive, level, unityTurn }: Panel): readonly Passage[] {
  const dials = [
    ...(drive === undefined ? [] : [{ name: nameOf(input, drive), turn: 1, words: "fully up" }]),
    ...(level === undefined
      ? []
      : [
          {
            name: nameOf(input, level),
            turn: unityTurn ?? 1,
            words: unityTurn === undefined ? "fully up" : "pointer at unity",
          },
        ]),
  ];
  return dials.length === 0 ? [] : [(width) => [dialPiece(dials, width)]];
}

function controlWords(input: PackInput, { drive, level, unityTurn }: Panel): readonly Passage[] {
  return [
    ...(drive === undefined
      ? []
      : [
          paragraph([
            { text: `${nameOf(input, drive)} `, bold: true },
            "sets how much the tube colours the sound: twice the drive, twice the second harmonic.",
          ]),
        ]),
    ...(level === undefined
      ? []
      : [
          paragraph([
            { text: `${nameOf(input, level)} `, bold: true },
            drive === undefined ? "sets how loud." : "sets how loud; the colour stays the same at every loudness.",
          ]),
        ]),
    ...(unityTurn === undefined
      ? []
      : [
          paragraph([
            { text: "Unity ", bold: true },
            "stands at ",
            unityFigure(unityTurn),
            ` (${clockPosition(unityTurn)}) with the drive up: out equals in. Drive down and level up by as much: the loudness stays, the colour goes.`,
          ]),
        ]),
  ];
}

/** On a scale of 0 to 10. */
const unityFigure = (turn: number): Figure => ({
  of: "panel/unityTurn",
  value: turn,
  unit: "of 10",
  text: `${(10 * turn).toFixed(1)} of 10`,
});

/** Angle of a knob's turn: 7 o'clock fully down, 5 o'clock fully up; clockwise from straight up. */
const angleOf = (turn: number): number => ((-150 + 300 * turn) * Math.PI) / 180;

function dialPiece(
  dials: readonly { readonly name: string; readonly turn: number; readonly words: string }[],
  width: number,
): Piece {
  const items: Item[] = [];
  const step = Math.min(46, width / dials.length);
  const radius = 9.6;
  for (const [n, dial] of dials.entries()) {
    const middle: Point = [step * (n + 0.5), 17];
    const on = (turn: number, r: number): Point => [
      middle[0] + r * Math.sin(angleOf(turn)),
      middle[1] - r * Math.cos(angleOf(turn)),
    ];
    items.push({ kind: "circle", at: middle, radius, weight: WEIGHTS.body });
    for (let mark = 0; mark <= 10; mark++) {
      const bold = mark % 5 === 0;
      items.push({
        kind: "line",
        from: on(mark / 10, radius + 1),
        to: on(mark / 10, radius + 2.2),
        weight: bold ? WEIGHTS.wire : WEIGHTS.hair,
      });
      const [x, y] = on(mark / 10, radius + 4.8);
      items.push({
        kind: "text",
        at: [x, y + 1.15],
        text: String(mark),
        size: PAPER_SIZES.text,
        anchor: "middle",
        ...(bold ? { bold } : {}),
      });
    }
    items.push({
      kind: "line",
      from: on(dial.turn, radius * 0.45),
      to: on(dial.turn, radius - 0.6),
      weight: WEIGHTS.heavy * 1.6,
    });
    items.push({
      kind: "text",
      at: [middle[0], middle[1] + radius + 9.5],
      text: dial.name,
      size: PAPER_SIZES.value,
      anchor: "middle",
      bold: true,
    });
    items.push({
      kind: "text",
      at: [middle[0], middle[1] + radius + 13.8],
      text: dial.words,
      size: PAPER_SIZES.text,
      anchor: "middle",
    });
  }
  return { height: 17 + radius + 15, items, figures: [] };
}

const envelopesWords = ({ document, solved }: PackInput): string =>
  document.envelopes
    .map((one) => {
      const triode = solved.expanded.triodes.find((other) => other.envelope === one.id);
      const label = document.instances.find((instance) => instance.id === triode?.instance)?.label;
      return `${one.id} ${triode === undefined ? "rectifier" : (label ?? "")}`.trim();
    })
    .join(", ");

/** Entries of one column: heads by bottles, then one line for each type or kind of reason. */
interface Entry {
  readonly head?: string;
  readonly content?: Content;
}

function entriesOf(tubes: readonly TubeVerdict[], verdict: TubeVerdict["verdict"]): readonly Entry[] {
  const entries: Entry[] = [];
  const groups = [...new Set(tubes.map((one) => one.envelopes.join(", ")))];
  for (const group of groups) {
    const own = tubes.filter((one) => one.envelopes.join(", ") === group && one.verdict === verdict);
    if (own.length === 0) continue;
    entries.push({ head: group });
    if (verdict === "must-not") entries.push(...forbidden(own));
    else for (const one of own) entries.push({ content: allowed(one) });
  }
  return entries;
}

function allowed(one: TubeVerdict): Content {
  const names = one.names.length === 0 ? "" : ` (also ${one.names.join(", ")})`;
  if (one.verdict === "may") return [{ text: one.type, bold: true }, `${names} ${one.words}`];
  const said: Content[] = [{ text: one.type, bold: true }, names, ": "];
  if (one.gainDecibels !== null) said.push("gain ", signed(`tube/${one.type}/gain`, one.gainDecibels));
  if (one.h2Decibels !== null) said.push(", second harmonic ", signed(`tube/${one.type}/h2`, one.h2Decibels));
  return contentsOf(said);
}

const signed = (of: string, value: number): Figure => {
  const plain = decibelFigure(of, value);
  return value > 0 ? { ...plain, text: `+${plain.text}` } : plain;
};

/** Types with like reasons together; the reason of each kind is said once. */
function forbidden(own: readonly TubeVerdict[]): readonly Entry[] {
  const groups = new Map<string, TubeVerdict[]>();
  for (const one of own) {
    const reason = reasonOf(one);
    groups.set(reason, [...(groups.get(reason) ?? []), one]);
  }
  return [...groups].map(([reason, list]) => ({
    content: [{ text: list.map((one) => one.type).join(", "), bold: true }, ` ${reason}`],
  }));
}

/** What a rule that stops means to who plugs the tube in. */
const STOPPED: Readonly<Record<string, string>> = {
  "grid-onset": "clip: grid current begins below the largest input",
  "plate-watts": "too hot: the plate goes past its limit",
  "plate-watts-together": "too hot: both plates together go past their limit",
  "plate-volts": "too many volts on the plate",
  "plate-volts-cold": "too many volts on the plate while cold",
  "cathode-current": "too much current for the cathode",
  "heater-winding-amps": "more heater current than the transformer gives",
  "output-current": "cut off at the largest input",
};

function reasonOf({ because, words, type, rule }: TubeVerdict): string {
  switch (because) {
    case "socket":
      return "do not fit the socket";
    case "pins":
      // The same pin with the same wire is one reason; what stands on it in which channel is not.
      return `other pins: ${words.replace(/ \([^)]*, ([^)]*)\)/, " ($1)").replace(/; .*$/, "")}`;
    case "unverified":
      return "not verified: a limit in use rests on a doubtful source";
    default:
      return STOPPED[rule ?? ""] ?? words.replaceAll(`${type} `, "").replace(/^[A-Z]+\.\w+ /, "");
  }
}

const COLUMNS = [
  { verdict: "may", head: "May be used", sign: "ok" },
  { verdict: "sounds-different", head: "May be used and changes the sound", sign: "watch" },
  { verdict: "must-not", head: "Must not be used, and why", sign: "stop" },
] as const;

/** Three columns in one frame; each goes on by itself, the row of the longest decides. */
function tubeColumns(tubes: readonly TubeVerdict[]): Passage {
  return (width) => {
    const shares = [0.28, 0.28, 0.44];
    const widths = shares.map((share) => share * width);
    const columns = COLUMNS.map((column, n) => {
      const entries = entriesOf(tubes, column.verdict);
      return entriesPieces(
        entries.length === 0 ? [{ content: "none that was verified" }] : entries,
        (widths[n] ?? 0) - 5,
      );
    });
    const head = headOf(widths);
    const height = Math.max(...columns.map((pieces) => pieces.reduce((sum, one) => sum + one.height, 0))) + 2;
    const items: Item[] = [...head.items];
    let left = 0;
    for (const [n, pieces] of columns.entries()) {
      let top = head.height + 1;
      for (const piece of pieces) {
        items.push({ kind: "group", at: [left + 2.5, top], items: piece.items });
        top += piece.height;
      }
      if (n > 0) items.push({ kind: "line", from: [left, 0], to: [left, head.height + height], weight: WEIGHTS.hair });
      left += widths[n] ?? 0;
    }
    items.push({ kind: "rect", at: [0, 0], width, height: head.height + height, weight: WEIGHTS.light });
    items.push({ kind: "line", from: [0, head.height], to: [width, head.height], weight: WEIGHTS.light });
    return [
      {
        height: head.height + height,
        items,
        figures: columns.flatMap((pieces) => pieces.flatMap((one) => one.figures)),
      },
    ];
  };
}

function entriesPieces(entries: readonly Entry[], width: number): readonly Piece[] {
  return entries.map((entry): Piece => {
    const lines = wrapRuns(
      runsOf(entry.head ?? entry.content ?? "", entry.head !== undefined),
      width,
      PAPER_SIZES.text,
    );
    const height = lines.length * lineHeight() + 1.6;
    const items: Item[] = lines.flatMap((line, n) => lineOfRuns(line, [0, n * lineHeight() + 4], PAPER_SIZES.text));
    items.push({
      kind: "line",
      from: [0, height - 0.1],
      to: [width, height - 0.1],
      weight: entry.head === undefined ? WEIGHTS.hair : WEIGHTS.light,
    });
    return { height, items, figures: lines.flatMap(figuresOf) };
  });
}

/** Heads with their sign: ring, half-filled triangle, octagon with a bar; the last on a hatch. */
function headOf(widths: readonly number[]): { readonly items: readonly Item[]; readonly height: number } {
  const height = 11;
  const items: Item[] = [];
  let left = 0;
  for (const [n, column] of COLUMNS.entries()) {
    const width = widths[n] ?? 0;
    if (column.sign === "stop") items.push(...hatch(left, width, height));
    const lines = wrapRuns(runsOf(column.head, true), width - 11, PAPER_SIZES.value);
    if (column.sign === "stop")
      items.push({
        kind: "rect",
        at: [left + 2, 1.8],
        width: Math.min(width - 4, 58),
        height: height - 3.6,
        weight: 0,
        fill: "paper",
      });
    items.push(...signItems(column.sign, [left + 5, height / 2]));
    for (const [k, line] of lines.entries())
      items.push(
        ...lineOfRuns(
          line,
          [left + 9, height / 2 + 1.3 + (k - (lines.length - 1) / 2) * lineHeight(PAPER_SIZES.value)],
          PAPER_SIZES.value,
        ),
      );
    left += width;
  }
  return { items, height };
}

function signItems(sign: "ok" | "watch" | "stop", [x, y]: Point): readonly Item[] {
  const r = 2;
  switch (sign) {
    case "ok":
      return [{ kind: "circle", at: [x, y], radius: r - 0.3, weight: WEIGHTS.body }];
    case "watch":
      return [
        {
          kind: "path",
          points: [
            [x, y - r],
            [x + r, y + r * 0.8],
            [x, y + r * 0.8],
          ],
          weight: 0,
          fill: "ink",
        },
        {
          kind: "path",
          points: [
            [x, y - r],
            [x + r, y + r * 0.8],
            [x - r, y + r * 0.8],
          ],
          weight: WEIGHTS.light,
        },
      ];
    case "stop": {
      const corners = Array.from(
        { length: 8 },
        (_, n): Point => [
          x + r * 1.08 * Math.cos((n + 0.5) * (Math.PI / 4)),
          y + r * 1.08 * Math.sin((n + 0.5) * (Math.PI / 4)),
        ],
      );
      return [
        { kind: "path", points: corners, weight: 0, fill: "ink" },
        { kind: "rect", at: [x - 1.2, y - 0.4], width: 2.4, height: 0.8, weight: 0, fill: "paper" },
      ];
    }
  }
}

/** Lines at 45°, cut at the edges of the field. */
function hatch(left: number, width: number, height: number): readonly Item[] {
  const items: Item[] = [];
  for (let n = -height; n < width; n += 2.2) {
    const from = Math.max(0, n);
    const to = Math.min(width, n + height);
    if (to <= from) continue;
    items.push({
      kind: "line",
      from: [left + from, height - (from - n)],
      to: [left + to, height - (to - n)],
      weight: WEIGHTS.hair,
    });
  }
  return items;
}
