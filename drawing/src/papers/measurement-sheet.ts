/** The measurement sheet: what the unit should measure and what it does, with levels, loads and controls stated. */
import { alikeChannels, bandsOf, driveSteps, type SolvedChannel, type SolvedDesign } from "@platewright/design";
import { clockPosition } from "@platewright/engine";
import { channelColumns, writeCells } from "./bench-sheet.ts";
import { decibelFigure, figure, percentFigure, plainFigure } from "./figure.ts";
import { type Content, contentsOf } from "./letters.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { cautionBox, fields, paragraph, section, steps, tickLine } from "./parts.ts";
import { after, newPage, type Passage } from "./piece.ts";
import { type Cell, type Row, table } from "./table.ts";

/** Common practice. */
export const MEASUREMENT_PRACTICE = {
  channelDecibels: 0.5,
  crosstalkDecibels: -60,
  readableDecibels: -140,
  /** Harmonics under this are no row to fill in. */
  harmonicDecibels: -100,
  gainDecibels: 1,
} as const;

export function measurementSheet(input: PackInput): Paper {
  const { document } = input;
  const { targets } = document;
  const along = drivePassages(input);
  const frame = frameOf(input, "Measurement sheet", [
    `source ${targets.sourceOhms ?? "0"}\u202fΩ, load ${targets.loadOhms} and ${targets.loadFarads}, input in rms`,
    `controls: ${controlWords(input.solved)}`,
  ]);
  return layPaper("measurement-sheet", textSheet(input), frame, [
    fields(["Serial", "Date", ...document.envelopes.map((one) => one.id), { name: "Mains", share: 1, after: "V" }]),
    cautionBox(
      "The output jack moves by volts at switch-on and switch-off: let the output settle and protect the analyser's input before it is connected.",
    ),
    section("Before", "", 1),
    steps([
      "Twenty hours of use before noise is judged; ten minutes warm before anything is read (common practice).",
      "Loop the analyser into itself: its own harmonics at these levels must lie 10\u202fdB or more below what is expected here. They add as vectors and are never subtracted.",
      "Its input may load the unit: the load stated above stands in parallel with it.",
    ]),
    ...signalPassages(input),
    ...along,
    ...noisePassages(input, along.length === 0 ? 3 : 4),
    after(3, fields(["Instrument", "Measured by", "Signed"])),
    tickLine(["Passed", "Passed with remarks", "Not passed"]),
    fields(["Remarks"]),
    fields([""]),
  ]);
}

/** "drive 5 o'clock, level 12 o'clock". */
function controlWords(solved: SolvedDesign): string {
  const [channel] = solved.expanded.channels;
  const words = solved.expanded.parts
    .filter((part) => part.instance === channel?.instance && part.written.kind === "potentiometer")
    .map(
      ({ written }) =>
        `${written.label ?? written.id} ${written.kind === "potentiometer" ? clockPosition(written.position) : ""}`,
    );
  return words.length === 0 ? "none" : words.join(", ");
}

function signalPassages(input: PackInput): readonly Passage[] {
  const { solved } = input;
  const channels = channelColumns(solved);
  const rows: Row[] = [];
  for (const alike of alikeChannels(solved)) {
    const channel = solved.channels.find((one) => one.instance === alike[0]);
    if (channel === undefined) continue;
    rows.push(...channelRows(solved, channel).map((row): Row => ({ cells: [...row, ...writeCells(channels, alike)] })));
  }
  return [
    section("Signal", "1\u202fkHz unless said", 2),
    table(
      [
        { head: "Quantity", grow: 1 },
        { head: "At", grow: 0.6 },
        { head: "Expect", align: "end", bold: true },
        { head: "Band", grow: 0.4 },
        ...channels.columns,
      ],
      rows,
      { rowHeight: 6.2 },
    ),
    paragraph(
      `Band of harmonics: nine tubes of ten, by fit and specimen. Left and right within ${MEASUREMENT_PRACTICE.channelDecibels}\u202fdB of gain (common practice).`,
    ),
  ];
}

const HARMONICS = { 2: "Second harmonic", 3: "Third harmonic" } as const;

/** "1.04 %, −39.6 dBc". */
function harmonicFigures(of: string, at: string, signed: number | undefined): Content {
  const ratio = Math.abs(signed ?? Number.NaN);
  return contentsOf([
    percentFigure(`${of}/${at}`, ratio, ratio < 0.001 ? 4 : ratio < 0.01 ? 3 : 2),
    ", ",
    decibelFigure(`${of}-decibels/${at}`, 20 * Math.log10(ratio), "dBc"),
  ]);
}

/** The voicing's own dial: harmonics along the drive, the input held. */
function drivePassages(input: PackInput): readonly Passage[] {
  const { solved, catalogue, document } = input;
  const { voicingVolts } = document.targets;
  const volts = voicingVolts[Math.floor(voicingVolts.length / 2)];
  const answer = volts === undefined ? undefined : driveSteps(solved, catalogue, volts);
  if (answer === undefined) return [];
  if (!answer.ok) return [section("Harmonics along the drive", "", 3), paragraph(`Not computed: ${answer.failure}`)];
  if (answer.value === undefined) return [];
  const channels = channelColumns(solved);
  const rows: Row[] = [];
  for (const { turn, clock, points } of answer.value.steps)
    for (const alike of alikeChannels(solved)) {
      const [instance = ""] = alike;
      const point = points.get(instance);
      if (point === undefined) continue;
      const add = (what: string, expect: Content) =>
        rows.push({ cells: [what, `drive ${clock}`, expect, ...writeCells(channels, alike)] });
      add("Output", figure(`drive-output/${instance}/${turn}`, point.outputVolts, "V"));
      for (const k of [2, 3] as const) {
        const signed = point.ratios[k - 2] ?? 0;
        if (20 * Math.log10(Math.abs(signed)) >= MEASUREMENT_PRACTICE.harmonicDecibels)
          add(HARMONICS[k], harmonicFigures(`drive-h${k}`, `${instance}/${turn}`, signed));
      }
    }
  return [
    newPage,
    section("Harmonics along the drive", `${volts}\u202fV in, all else as set; bands as above`, 3),
    table(
      [
        { head: "Quantity", grow: 1 },
        { head: "At", grow: 0.6 },
        { head: "Expect", align: "end", bold: true },
        ...channels.columns,
      ],
      rows,
      { rowHeight: 6.2 },
    ),
  ];
}

function channelRows(solved: SolvedDesign, channel: SolvedChannel): readonly (readonly Cell[])[] {
  const { instance } = channel;
  const bands = bandsOf(solved, instance);
  const band = (of: "h2" | "h3"): Content => {
    const value = bands[of];
    return value === undefined ? "–" : ["±", decibelFigure(`${of}-band/${instance}`, value)];
  };
  const rows: (readonly Cell[])[] = [
    [
      "Gain",
      "1\u202fV in",
      decibelFigure(`gain/${instance}`, 20 * Math.log10(channel.gain)),
      `±${MEASUREMENT_PRACTICE.gainDecibels}\u202fdB`,
    ],
    ["Polarity", "", channel.inverts ? "inverts" : "as it came in", ""],
  ];
  for (const level of channel.levels) {
    const at = `${level.inputVolts}\u202fV in`;
    rows.push(["Output", at, figure(`output/${instance}/${level.inputVolts}`, level.outputVolts, "V"), ""]);
    for (const k of [2, 3] as const)
      rows.push([
        HARMONICS[k],
        at,
        harmonicFigures(`h${k}`, `${instance}/${level.inputVolts}`, level.ratios[k - 2]),
        band(k === 2 ? "h2" : "h3"),
      ]);
  }
  const [onset] = channel.onset.filter((one) => one.inputVolts !== null);
  if (onset?.inputVolts !== undefined && onset.inputVolts !== null)
    rows.push([
      "Grid current begins",
      "input",
      figure(`onset/${instance}`, onset.inputVolts, "V"),
      "harmonics rise at once above",
    ]);
  if (channel.minusOneDecibelLow !== null)
    rows.push(["Response, low", "−1\u202fdB", plainFigure(`low/${instance}`, channel.minusOneDecibelLow, "Hz", 2), ""]);
  if (channel.minusOneDecibelHigh !== null)
    rows.push(["Response, high", "−1\u202fdB", figure(`high/${instance}`, channel.minusOneDecibelHigh, "Hz", 2), ""]);
  rows.push([
    "Output impedance",
    "loaded by R: R (V0 ÷ V1 − 1)",
    figure(`output-ohms/${instance}`, channel.outputOhms, "Ω"),
    "",
  ]);
  return rows;
}

function noisePassages(input: PackInput, number: number): readonly Passage[] {
  const { study, solved } = input;
  const hum = study?.hum;
  if (hum === undefined) return [];
  const channels = channelColumns(solved);
  const rows: Row[] = [];
  for (const alike of alikeChannels(solved)) {
    const [first = ""] = alike;
    const add = (what: string, at: string, expect: Content, band: string) =>
      rows.push({ cells: [what, at, expect, band, ...writeCells(channels, alike)] });
    const lines = hum.lines.filter((one) => one.channel === first);
    for (const line of lines.toSorted((a, b) => b.voltsRms - a.voltsRms).slice(0, 3))
      add(
        line.from === "ripple" ? "Hum, ripple of the supply" : "Hum, heaters",
        `${line.hertz}\u202fHz`,
        decibelFigure(`hum/${first}/${line.hertz}/${line.from}`, line.dbv, "dBV", 0),
        line.from === "ripple" ? "specimen and layout add to it" : "leakage is assumed, not known",
      );
    const noise = hum.noise.get(first);
    if (noise !== undefined) {
      add(
        "Noise, 20\u202fHz to 20\u202fkHz",
        "input on the source's ohms",
        decibelFigure(`noise/${first}`, 20 * Math.log10(noise.flat.output.voltsRms), "dBV", 0),
        "the tubes' own is assumed",
      );
      add(
        "Noise, A-weighted",
        "the same",
        decibelFigure(`noise-a/${first}`, 20 * Math.log10(noise.weighted.output.voltsRms), "dBV", 0),
        "",
      );
    }
  }
  // What lies under any instrument's own noise is no row to fill in.
  const crosstalk = hum.crosstalk
    .filter((one) => one.decibels > MEASUREMENT_PRACTICE.readableDecibels)
    .map(
      (one): Row => ({
        cells: [
          "Crosstalk through the supply",
          plainFigure(`crosstalk-at/${one.hertz}`, one.hertz, "Hz"),
          decibelFigure(`crosstalk/${one.hertz}`, one.decibels, "dB", 0),
          `layout decides; under ${String(MEASUREMENT_PRACTICE.crosstalkDecibels).replace("-", "−")}\u202fdB`,
          ...writeCells(channels),
        ],
      }),
    );
  return [
    section("Noise and crosstalk", `level at ${hum.setting.words}; no signal`, number),
    table(
      [
        { head: "Quantity", grow: 1 },
        { head: "At", grow: 0.6 },
        { head: "Expect", align: "end", bold: true },
        { head: "Band", grow: 0.5 },
        ...channels.columns,
      ],
      [...rows, ...crosstalk],
      { rowHeight: 6.2 },
    ),
  ];
}
