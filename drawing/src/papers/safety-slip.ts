/** The safety slip of one serial number, and the page that opens its technical file. */
import type { Finding } from "@platewright/design";
import { countFigure, figure, plainFigure } from "./figure.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { box, cautionBox, fields, paragraph, section, tickLine } from "./parts.ts";
import { dischargeWords } from "./bench-sheet.ts";
import { after, type Passage } from "./piece.ts";
import { type Cell, table } from "./table.ts";

/**
 * Bounds of the tests on a finished unit of protective class I: the edition of the standard that applies where the unit is sold
 * goes before them. Sources: guides to in-service testing, quoted: 0.1 Ω and the lead's own at 500 V direct (pat-testing.info,
 * "Electrical tests"), 1 MΩ (rfillumination.com, "Insulation resistance test"); leakage of 3.5 mA from memory.
 */
const SAFETY_BOUNDS = {
  earth: "0.1\u202fΩ",
  insulation: "1\u202fMΩ",
  insulationTest: "500\u202fV",
  leakage: "3.5\u202fmA",
} as const;

const W: Cell = { write: true };

export function safetySlip(input: PackInput): Paper {
  const { document } = input;
  const { supply } = document;
  const frame = frameOf(input, "Safety slip", [
    "the finished unit, protective class I, one for each serial number",
    supply === undefined ? "" : `mains ${supply.mains.volts}\u202fV ${supply.mains.hertz}\u202fHz`,
  ]);
  const rows = [
    [
      "Earth",
      "earth pin to every metal part that can be touched, lead moved",
      `at most ${SAFETY_BOUNDS.earth} and the lead's own`,
    ],
    [
      "Insulation",
      `live and neutral joined, to earth, ${SAFETY_BOUNDS.insulationTest} direct, one minute`,
      `at least ${SAFETY_BOUNDS.insulation}`,
    ],
    ["Leakage", "earth lead, both polarities, warm, at the highest mains", `at most ${SAFETY_BOUNDS.leakage}`],
    ["Signal ground to chassis", "sleeve of every jack to the earth pin, ohms", "as the design has it"],
    [
      "Fuse",
      supply?.fuse === undefined
        ? "as the label says"
        : `${1000 * supply.fuse.amps}\u202fmA ${supply.fuse.kind}, ${supply.fuse.breaking} breaking`,
      "seen, and the label agrees",
    ],
    ["Live, neutral, switch", "the fuse and a pole of the switch are in live", "seen"],
    ["Strain relief", "pulled and twisted", "nothing moves"],
    ["Covers and vents", "no finger and no wire reaches a live part", "seen"],
    ["Marks", "rating, serial, fuse, danger inside", "in place"],
  ] as const;
  return layPaper("safety-slip", textSheet(input), frame, [
    fields(["Serial", "Date", "Standard and edition"]),
    cautionBox(...dischargeWords(input.study)),
    section(
      "Tests",
      "unplugged until leakage; bounds from common in-service rules, the standard that applies goes before them",
      1,
    ),
    table(
      [
        { head: "" },
        { head: "Test" },
        { head: "How", grow: 1 },
        { head: "Bound", grow: 0.8 },
        { head: "Read", least: 26, ruled: true },
      ],
      rows.map(([what, how, bound]) => ({ cells: [{ tick: 1 }, what, how, bound, W] })),
      { rowHeight: 8 },
    ),
    section("Charge", "with the cover off, after one minute running and switched off at the mains plug", 2),
    table(
      [
        { head: "" },
        { head: "Where", grow: 1 },
        { head: "Falls below 60\u202fV after", align: "end", bold: true },
        { head: "Read", least: 26, ruled: true },
      ],
      chargeRows(input),
      { rowHeight: 7 },
    ),
    section("Instruments", "", 3),
    fields(["Earth tester", { name: "calibrated until", share: 0.7 }]),
    fields(["Insulation tester", { name: "calibrated until", share: 0.7 }]),
    fields(["Leakage meter", { name: "calibrated until", share: 0.7 }]),
    after(3, tickLine(["Passed", "Not passed: out of use and labelled so"])),
    fields(["Tested by", "Signed", "Checked by"]),
    paragraph(
      "This slip records what was measured; whether a unit may be sold is for the standard and the law of the country where it is sold.",
    ),
  ]);
}

function chargeRows({ study }: PackInput) {
  const rows = [
    { id: "discharge", words: "tubes not drawing", of: study?.discharge },
    { id: "dischargeHot", words: "switched off while running", of: study?.dischargeHot },
  ];
  return rows.flatMap(({ id, words, of }) =>
    of === undefined
      ? []
      : [
          {
            cells: [
              { tick: 1 } as Cell,
              `${of.slowestNet}, ${words}`,
              Number.isFinite(of.seconds) ? figure(`${id}/seconds`, of.seconds, "s", 2) : "never by itself",
              W,
            ],
          },
        ],
  );
}

export function technicalFile(input: PackInput): Paper {
  const { document, study } = input;
  const { supply } = document;
  const high = study?.rows.find((row) => row.condition.id === "mains-high");
  const nominal = study?.rows.find((row) => row.condition.id === "nominal");
  const frame = frameOf(input, "Technical file", [
    "opens the folder of one design",
    document.note?.slice(0, 120) ?? "",
  ]);
  const label: Passage =
    supply === undefined
      ? paragraph("The design has no supply: no rating label.")
      : box(
          document.name,
          [
            [
              plainFigure("mains/volts", supply.mains.volts, "V"),
              " ~  ",
              plainFigure("mains/hertz", supply.mains.hertz, "Hz"),
              "  ",
              ...(high === undefined ? [] : [figure("label-watts/mains-high", Math.ceil(high.mainsWatts), "W", 3)]),
              "   protective class I, earth needed",
            ],
            supply.fuse === undefined
              ? "Fuse: not named in the design"
              : [
                  "Fuse ",
                  figure("fuse/amps", supply.fuse.amps, "A"),
                  ` ${supply.fuse.kind}, ${supply.fuse.breaking} breaking; replace by the same type only`,
                ],
            `Revision ${input.revision}`,
          ],
          { sign: true },
        );
  return layPaper("technical-file", textSheet(input), frame, [
    section("Rating label", "on the back; watts with the mains high, rounded up", 1),
    label,
    fields(["Serial", "Made in", "in the year"]),
    section("Input", "measured at the mains plug, warm, no signal", 2),
    table(
      [
        { head: "" },
        { head: "At", grow: 1 },
        { head: "Expect", align: "end", bold: true },
        { head: "Read, W", least: 28, ruled: true },
        { head: "Read, mA", least: 28, ruled: true },
      ],
      [nominal, high].flatMap((row) =>
        row === undefined
          ? []
          : [
              {
                cells: [
                  { tick: 1 } as Cell,
                  row.condition.words,
                  figure(`watts/${row.condition.id}`, row.mainsWatts, "W", 2),
                  W,
                  W,
                ],
              },
            ],
      ),
      { rowHeight: 7 },
    ),
    ...limitsPassage(input),
    section("Documents in the file", "tick what is there", 4),
    table(
      [{ head: "" }, { head: "", grow: 1 }, { head: "" }, { head: "", grow: 1 }],
      [
        ["schematic with volts", "parts list with ratings and stress"],
        ["wiring list, ground and heaters", "hole chart and drawings of the chassis"],
        ["bench sheet, measurement sheet", "safety slips by serial number"],
        ["owner's sheet, label drawings", "findings of this revision, with sources"],
        ["sheets of safety parts: inlet, fuse, switch, transformer", "risk assessment"],
        ["emission and immunity test, or reasoned judgement", "substances and end of life"],
      ].map(([left = "", right = ""]) => ({ cells: [{ tick: 1 }, left, { tick: 1 }, right] })),
    ),
    section("Declaration", "to fill in; which acts apply is for the country where it is sold", 5),
    fields(["Maker, address"]),
    fields(["Declares that", { name: "serial numbers", share: 0.8 }]),
    tickLine(["low voltage", "electromagnetic compatibility", "hazardous substances", "waste equipment", "other:"]),
    fields(["Standards and editions"]),
    fields([""]),
    fields(["Place, date", "Name", "Signed"]),
    paragraph(
      "The figures of this file are computed from the design at this revision; they advise and do not certify. Audio equipment: the family of IEC 62368-1 (from memory); ask which edition is in force.",
    ),
  ]);
}

/** Worst findings shown. */
const SHOWN = 6;

/** How the revision stands against its limits, the worst by name. */
function limitsPassage({ findings }: PackInput): readonly Passage[] {
  const of = (level: "stop" | "watch" | "ok") => findings.filter((one) => one.level === level);
  const nearest = (list: readonly Finding[]) => list.toSorted((a, b) => shareOf(b) - shareOf(a));
  const worst = [...nearest(of("stop")), ...nearest(of("watch"))].slice(0, SHOWN);
  return [
    section("Limits", "every rule at this revision; what is not ok, worst first", 3),
    paragraph([
      countFigure("findings/stop", of("stop").length),
      " stop, ",
      countFigure("findings/watch", of("watch").length),
      " watch, ",
      countFigure("findings/ok", of("ok").length),
      " ok.",
    ]),
    table(
      [{ head: "" }, { head: "", grow: 1 }],
      worst.map((one) => ({
        cells: [
          { text: one.level, bold: true },
          { text: one.title, ids: [`=finding/${one.id}`] },
        ],
      })),
    ),
  ];
}

/** How much of its limit a finding takes. */
function shareOf({ value, limit, sense }: Finding): number {
  if (value === null || limit === null || value === 0) return 0;
  return sense === "above" ? limit / value : value / limit;
}
