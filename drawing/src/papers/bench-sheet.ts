/**
 * The bench sheet: what to check before power, the steps of first power behind a lamp, and what a meter should read where,
 * with its band, at today's mains.
 */
import {
  alikeChannels,
  type ExpectedReading,
  expectedReadings,
  mainsScales,
  pinsOf,
  type ProbePlace,
  type SolvedDesign,
  signalEnvelopes,
  type Stage,
  stagesOf,
  type SupplyStudy,
  unpluggedOhms,
  USUAL_LAMP_WATTS,
} from "@platewright/design";
import { bandFigures, factorFigure, figure, meterFigure } from "./figure.ts";
import { boldly, type Content, contentsOf, type Figure } from "./letters.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { cautionBox, fields, paragraph, section, tickLine } from "./parts.ts";
import { after, type Passage } from "./piece.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";

/** Common practice, like all bounds on this sheet that no solve gives. */
export const BENCH_PRACTICE = {
  earthOhms: 0.1,
  insulationOhms: 2e6,
  heaterWindingOhms: 1,
  halvesPercent: 3,
  heaterPercent: 5,
  /** A grid at rest that should stand at ground. */
  gridVolts: 0.02,
  warmMinutes: 10,
  /** Stop when a cathode reads so many times its expected volts. */
  cathodeTimes: 1.5,
  /** Ripple up to so many times the expected one is in band. */
  rippleTimes: 2,
} as const;

const WRITE: Cell = { write: true };

export function benchSheet(input: PackInput): Paper {
  const { document, solved } = input;
  const tubes = document.envelopes.map((one) => one.type).join(", ");
  const mains = document.supply?.mains;
  const frame = frameOf(input, "Bench sheet", [
    `first power and direct volts; ${tubes}`,
    `meter 10\u202fMΩ, black lead on chassis ground${mains === undefined ? "" : `; mains ${mains.volts}\u202fV ${mains.hertz}\u202fHz`}`,
  ]);
  return layPaper("bench-sheet", textSheet(input), frame, [
    fields(["Serial", "Date", ...document.envelopes.map((one) => `${one.id} (${one.type})`)]),
    cautionBox(...dischargeWords(input.study)),
    ...beforePower(input),
    ...lampSteps(input),
    ...testPointTable(input),
    after(
      3,
      fields([
        { name: "Mains today", share: 1, after: "V" },
        { name: "Lamp", share: 0.7, after: "W" },
        "Read by",
        "Signed",
      ]),
    ),
    tickLine(["All in band", "Not passed, see the unit's history"]),
    paragraph(
      `${sectionWords(solved)} ▲ above 60\u202fV, dangerous to touch. Band: nine units of ten, from part tolerances and the spread of tubes at ${solved.document.supply?.mains.volts ?? 0}\u202fV; for another mains use the factors. With the lamp in the lead every reading is low.`,
    ),
  ]);
}

/** "V1a: gain half; V1b: follower half." */
function sectionWords(solved: SolvedDesign): string {
  const words = stagesOf(solved)
    .filter((one) => !solved.expanded.equalTo.has(one.triode.instance))
    .map(({ triode, role }) => {
      const label = solved.expanded.parts.find((part) => part.id === triode.id)?.written.label;
      return `${triode.part}: ${label ?? role}`;
    });
  return words.length === 0 ? "" : `${words.join("; ")}.`;
}

/** What the charge does here, with the caution. */
export function dischargeWords(study: SupplyStudy | undefined): readonly Content[] {
  if (study?.discharge === undefined) return [];
  const { seconds, slowestNet } = study.discharge;
  if (!Number.isFinite(seconds))
    return [[{ text: `Here ${slowestNet} keeps more than 60\u202fV: it must be discharged by hand.`, bold: true }]];
  return [
    [
      { text: "Here: ", bold: true },
      `${slowestNet} stays above 60\u202fV for `,
      boldly(figure("discharge/seconds", seconds, "s", 2)),
      " after switching off with the signal tubes not drawing.",
    ],
  ];
}

/** Names of the channels, one column each. */
export interface ChannelColumns {
  readonly instances: readonly string[];
  readonly columns: readonly Column[];
}

export function channelColumns(solved: SolvedDesign): ChannelColumns {
  const instances = solved.expanded.channels.map((one) => one.instance);
  return {
    instances,
    columns: instances.map((instance): Column => {
      const label = solved.document.instances.find((one) => one.id === instance)?.label ?? instance;
      const bottles = [
        ...new Set(solved.expanded.triodes.filter((one) => one.instance === instance).map((one) => one.envelope)),
      ];
      const head = [label.charAt(0).toUpperCase() + label.slice(1), ...bottles].join(", ");
      return { head, least: 20, most: 26, ruled: true };
    }),
  };
}

/** Cells to write in: one over all channels, or one for each channel that the row is about. */
export function writeCells({ instances }: ChannelColumns, about?: readonly (string | undefined)[]): readonly Cell[] {
  const own = (about ?? []).filter((one) => one !== undefined);
  if (own.length === 0) return instances.map((_, n) => (n === 0 ? { write: true, over: instances.length } : ""));
  return instances.map((instance) => (own.includes(instance) ? WRITE : "–"));
}

/** "V1, V2 pin 9" of places that differ in the bottle alone, else each. */
export function placesWords(places: readonly ProbePlace[]): string {
  const words = [...new Set(places.map((place) => place.words))];
  if (words.length < 2) return words[0] ?? "";
  const pins = words.map((one) => /^(\S+) (pin .+)$/.exec(one));
  const [first] = pins;
  return first !== null && first !== undefined && pins.every((one) => one?.[2] === first[2])
    ? `${pins.map((one) => one?.[1] ?? "").join(", ")} ${first[2] ?? ""}`
    : words.join(" / ");
}

function beforePower(input: PackInput): readonly Passage[] {
  const { solved, document } = input;
  const { expanded } = solved;
  const channels = channelColumns(solved);
  const { supply } = document;
  const output = supply?.rectifier.output;
  const rows: Row[] = [];
  const add = (check: Content, where: Content, expect: Content, about?: readonly (string | undefined)[]) =>
    rows.push({ cells: [{ tick: 1 }, check, where, expect, ...writeCells(channels, about)] });
  const ohmsBetween = (from: string, to = "0"): Figure | undefined => {
    const found = unpluggedOhms(expanded, from, to);
    return found.ok ? figure(`ohms/${from}/${to}`, found.value, "Ω") : undefined;
  };
  add("Earth", "inlet's earth pin to every metal part", `≤\u202f${BENCH_PRACTICE.earthOhms}\u202fΩ`);
  add("Insulation, mains", "live, neutral to earth", "> 2\u202fMΩ");
  if (supply?.fuse !== undefined)
    add("Fuse", `${supply.fuse.kind}, ${supply.fuse.breaking} breaking`, figure("fuse/amps", supply.fuse.amps, "A"));
  const reservoirs = expanded.nets.filter(
    (net) =>
      net !== "0" &&
      expanded.parts.some(
        ({ written }) =>
          written.kind === "capacitor" &&
          written.polarised === true &&
          written.pins.a === net &&
          written.pins.b === "0",
      ) &&
      !expanded.channels.some(({ instance }) => net.startsWith(`${instance}.`)),
  );
  for (const net of reservoirs) {
    const found = ohmsBetween(net);
    const capacitor = expanded.parts.find(
      ({ written }) => written.kind === "capacitor" && written.polarised === true && written.pins.a === net,
    );
    if (found !== undefined) add("No short, rises as it charges", `${capacitor?.id ?? net} plus to ground`, found);
  }
  for (const winding of supply?.transformer.heaters ?? []) {
    const pins = document.envelopes.flatMap((one) => {
      const of = (lead: "a" | "b") =>
        Object.entries(one.wiring)
          .filter(([, wire]) => "winding" in wire && wire.winding === winding.id && wire.lead === lead)
          .map(([pin]) => pin);
      const [a, b] = [of("a"), of("b")];
      return a.length === 0 || b.length === 0 ? [] : [`${one.id} pin ${a.join(" + ")} to ${b.join(" + ")}`];
    });
    add(`Heater winding ${winding.id}`, pins.join("; "), `< ${BENCH_PRACTICE.heaterWindingOhms}\u202fΩ`);
    const lifted = winding.reference === "0" ? undefined : ohmsBetween(winding.reference);
    if (lifted !== undefined) add(`${winding.id} to ground`, "any heater pin to ground", lifted);
  }
  for (const alike of alikeChannels(solved))
    for (const stage of stagesOf(solved).filter((one) => one.triode.instance === alike[0]))
      for (const [electrode, net, against] of electrodes(stage, output)) {
        const found = net === "0" ? undefined : ohmsBetween(net, against.net);
        if (found === undefined) continue;
        const places = alike.map((instance): ProbePlace => {
          const own = net.startsWith(`${stage.triode.instance}.`)
            ? `${instance}${net.slice(stage.triode.instance.length)}`
            : net;
          const bottle = expanded.triodes.find(
            (one) => one.instance === instance && one.part === stage.triode.part,
          )?.envelope;
          return { channel: instance, net: own, words: pinsOf(document, own, bottle)[0] ?? own };
        });
        add(`${stage.triode.part} ${electrode}`, `${placesWords(places)} to ${against.words}`, found, alike);
      }
  const measured = supply?.transformer.measured?.highTension.ohmsPerHalf;
  if (supply !== undefined)
    add(
      "High-tension halves",
      "each end to the centre tap, rectifier out",
      measured === undefined
        ? `equal to ${BENCH_PRACTICE.halvesPercent}\u202f%`
        : figure("winding/ohms", measured, "Ω"),
    );
  add("Polarity of every electrolytic; bolts, swarf, spare wire ends", "by eye, twice", "seen");
  return [
    section("Before power", "unplugged, no tubes fitted, every control fully down; let the meter settle", 1),
    table(
      [
        { head: "" },
        { head: "Check", grow: 1 },
        { head: "Where", grow: 1.4 },
        { head: "Expect", align: "end", bold: true },
        ...channels.columns,
      ],
      rows,
    ),
  ];
}

/** What of a section is measured against what: plates against the first capacitor, the rest against ground. */
function electrodes(
  { triode }: Stage,
  output: string | undefined,
): readonly (readonly [string, string, { readonly net: string; readonly words: string }])[] {
  const ground = { net: "0", words: "ground" };
  const plus = output === undefined ? ground : { net: output, words: `${output} (first capacitor plus)` };
  return [
    ["grid", triode.grid, ground],
    ["cathode", triode.cathode, ground],
    ["plate", triode.plate, plus],
  ];
}

function lampSteps(input: PackInput): readonly Passage[] {
  const { study, document, solved } = input;
  const { supply } = document;
  if (study === undefined || supply === undefined) return [];
  const behind = (id: string) => study.solved.get(id);
  const volts = (id: string, net: string): Content =>
    boldly(meterFigure(`volts/${id}/${net}`, behind(id)?.bias.netVolts.get(net) ?? Number.NaN));
  const lampVolts = (id: string): Content => {
    const found = study.lamp.find((one) => one.step === id);
    return found === undefined ? "" : boldly(meterFigure(`lamp/${id}`, found.lampVolts));
  };
  const rectifier = supply.rectifier.envelope;
  const signal = signalEnvelopes(document);
  const { output } = supply.rectifier;
  const rated = lowestRating(solved, output);
  const rows: Row[] = [];
  const add = (what: Content, expect: readonly Content[], stop: Content) =>
    rows.push({
      cells: [{ text: String(rows.length + 1), bold: true }, what, contentsOf(expect), WRITE, stop],
    });
  const ends = document.envelopes
    .filter((one) => one.id === rectifier)
    .flatMap((one) =>
      Object.entries(one.wiring)
        .filter(([, wire]) => "winding" in wire && wire.winding === "HT")
        .map(([pin]) => `${one.id} pin ${pin}`),
    );
  const none = behind("lamp-no-tubes");
  if (none !== undefined && rectifier !== undefined) {
    const factor = none.condition.mainsFactor;
    const perHalf =
      supply.transformer.measured?.highTension.unloadedRmsVoltsPerHalf ??
      supply.transformer.highTension.unloadedRmsVoltsPerHalf;
    add(
      "No tubes. Switch on.",
      [
        "The lamp flashes, then is dark (",
        lampVolts("lamp-no-tubes"),
        " on it). Heaters, ac: ",
        ...none.heaters.flatMap((one, n): readonly Content[] => [
          n > 0 ? ", " : "",
          `${one.winding} `,
          boldly(meterFigure(`heater/lamp-no-tubes/${one.winding}`, one.volts)),
        ]),
        `. High tension, ac: ${ends.join(" and ")} each `,
        boldly(meterFigure("winding/lamp-no-tubes", perHalf * factor)),
        ".",
      ],
      [`The lamp stays bright; the halves differ by more than ${BENCH_PRACTICE.halvesPercent}\u202f%.`],
    );
  }
  const reservoirNets = [output, ...suppliesAfter(solved, output)];
  const list = (id: string, nets: readonly string[]): readonly Content[] =>
    nets.flatMap((net, n): readonly Content[] => [n > 0 ? ", " : "", `${net} `, volts(id, net)]);
  if (behind("lamp-rectifier") !== undefined)
    add(
      rectifier === undefined
        ? "Off, unplug, wait, measure. On, no signal tubes."
        : `Off, unplug, wait, measure. Fit ${rectifier}. On.`,
      [...list("lamp-rectifier", reservoirNets), "; the lamp ", lampVolts("lamp-rectifier"), "."],
      rated === undefined
        ? "Any capacitor warms; the lamp brightens again."
        : [
            `${output} over `,
            figure("rating/lowest", rated, "V"),
            ", the rating of its capacitor; any capacitor warms.",
          ],
    );
  if (behind("lamp-all") !== undefined) {
    const cathodes = cathodeNets(solved);
    add(
      `Off, unplug, wait, measure. Fit ${signal.join(", ")}. On, one minute.`,
      [
        ...list("lamp-all", [output]),
        "; cathodes ",
        ...list("lamp-all", cathodes),
        "; the lamp ",
        lampVolts("lamp-all"),
        ".",
      ],
      [
        "A cathode over ",
        ...cathodes.flatMap((net, n): readonly (string | Figure)[] => [
          n > 0 ? ", " : "",
          `${net} `,
          meterFigure(
            `stop/cathode/${net}`,
            BENCH_PRACTICE.cathodeTimes * (solved.bias.netVolts.get(net) ?? Number.NaN),
          ),
        ]),
        "; a plate glows; a smell.",
      ],
    );
  }
  const high = study.solved.get("mains-high")?.bias.netVolts.get(output);
  add(
    "Off, unplug, wait. Lamp out, mains direct. On.",
    [`${BENCH_PRACTICE.warmMinutes} minutes warm, no signal; then the test points below.`],
    high === undefined
      ? "Anything out of its band by half."
      : [`${output} over `, meterFigure(`volts/mains-high/${output}`, high), " with all tubes warm."],
  );
  const lamp = supply.lamp ?? { watts: USUAL_LAMP_WATTS, volts: supply.mains.volts };
  return [
    section(
      "On the lamp limiter",
      `${lamp.watts}\u202fW ${lamp.volts}\u202fV filament lamp in series with live; a LED lamp does not limit`,
      2,
    ),
    table(
      [
        { head: "" },
        { head: "Do", grow: 1, most: 44 },
        { head: "Expect", grow: 1.7 },
        { head: "Read", least: 20, most: 22, ruled: true },
        { head: "Stop and unplug if", grow: 1, most: 48, ruled: true },
      ],
      rows,
      { rowHeight: 8 },
    ),
  ];
}

/** Nets with a reservoir that no channel owns, after the first. */
const suppliesAfter = (solved: SolvedDesign, output: string): readonly string[] =>
  solved.expanded.nets
    .filter(
      (net) =>
        net !== "0" &&
        net !== output &&
        !solved.expanded.channels.some(({ instance }) => net.startsWith(`${instance}.`)) &&
        Math.abs(solved.bias.netVolts.get(net) ?? 0) > 1,
    )
    .sort((a, b) => (solved.bias.netVolts.get(b) ?? 0) - (solved.bias.netVolts.get(a) ?? 0))
    .slice(0, 3);

const cathodeNets = (solved: SolvedDesign): readonly string[] => [
  ...new Set(
    stagesOf(solved)
      .filter((one) => !solved.expanded.equalTo.has(one.triode.instance) && one.triode.cathode !== "0")
      .map((one) => one.triode.cathode),
  ),
];

/** Lowest rating of the capacitors from a net to ground. */
export function lowestRating(solved: SolvedDesign, net: string): number | undefined {
  const rated = solved.expanded.parts.flatMap(({ written }) =>
    written.kind === "capacitor" && written.volts !== undefined && (written.pins.a === net || written.pins.b === net)
      ? [written.volts]
      : [],
  );
  return rated.length === 0 ? undefined : Math.min(...rated);
}

function testPointTable(input: PackInput): readonly Passage[] {
  const { solved, study, catalogue, document } = input;
  const channels = channelColumns(solved);
  const answer = expectedReadings(solved, study?.solved ?? new Map(), catalogue);
  if (!answer.ok) return [section("Test points", "", 3), paragraph(`Not computed: ${answer.failure}`)];
  const mains = document.supply?.mains;
  const rows: Row[] = [];
  const numbers = new Map<string, number>();
  const add = (id: string, cells: readonly Cell[], write: readonly Cell[]) => {
    numbers.set(id, rows.length + 1);
    rows.push({ cells: [String(rows.length + 1), ...cells, ...write] });
  };
  for (const heater of solved.heaters) {
    const of = (id: "mains-low" | "mains-high") =>
      study?.solved.get(id)?.heaters.find((one) => one.winding === heater.winding)?.volts;
    const share = BENCH_PRACTICE.heaterPercent / 100;
    const where = document.envelopes.find((one) =>
      Object.values(one.wiring).some((wire) => "winding" in wire && wire.winding === heater.winding),
    );
    const pin = (lead: "a" | "b") =>
      Object.entries(where?.wiring ?? {}).find(
        ([, wire]) => "winding" in wire && wire.winding === heater.winding && wire.lead === lead,
      )?.[0] ?? "";
    add(
      `heater ${heater.winding}`,
      [
        `Heater ${heater.winding}, ac`,
        `${where?.id ?? ""} pin ${pin("a")} to pin ${pin("b")}`,
        optional(of("mains-low"), (at) => meterFigure(`heater/mains-low/${heater.winding}`, at)),
        boldly(meterFigure(`heater/nominal/${heater.winding}`, heater.volts)),
        optional(of("mains-high"), (at) => meterFigure(`heater/mains-high/${heater.winding}`, at)),
        bandFigures(`heater-band/${heater.winding}`, heater.volts * (1 - share), heater.volts * (1 + share)),
      ],
      writeCells(channels),
    );
  }
  for (const reading of answer.value) addReading(reading);
  function addReading({ point, volts, bandVolts, meterCounts }: ExpectedReading) {
    const [place] = point.places;
    if (place === undefined) return;
    const at = volts.nominal ?? Number.NaN;
    const dangerous = Math.abs(at) > 60 ? " ▲" : "";
    const path = meterCounts ? "meter" : "volts";
    add(
      place.net,
      [
        `${point.words.charAt(0).toUpperCase()}${point.words.slice(1)}${dangerous}`,
        `${placesWords(point.places)}${meterCounts ? ", meter on it" : ""}`,
        optional(volts["mains-low"], (v) => meterFigure(`${path}/mains-low/${place.net}`, v)),
        boldly(meterFigure(`${path}/nominal/${place.net}`, at)),
        optional(volts["mains-high"], (v) => meterFigure(`${path}/mains-high/${place.net}`, v)),
        point.kind === "grid" && Math.abs(at) < BENCH_PRACTICE.gridVolts
          ? `±${BENCH_PRACTICE.gridVolts}\u202fV`
          : bandFigures(`band/${place.net}`, at - bandVolts, at + bandVolts),
      ],
      writeCells(
        channels,
        point.places.map((one) => one.channel),
      ),
    );
  }
  for (const row of workedOut(solved, numbers)) add(row.id, row.cells, writeCells(channels, row.about));
  for (const row of signalless(input)) add(row.id, row.cells, writeCells(channels, row.about));
  const head = (id: "mains-low" | "nominal" | "mains-high") => {
    const factor = id === "nominal" ? 1 : (study?.solved.get(id)?.condition.mainsFactor ?? 1);
    return mains === undefined ? "Expect" : `${Math.round(mains.volts * factor)}\u202fV`;
  };
  const scales = study === undefined ? [] : mainsScales(study.solved);
  return [
    section(
      "Test points",
      `direct volts to chassis ground unless said; lamp out, ${BENCH_PRACTICE.warmMinutes} minutes warm, no signal`,
      3,
    ),
    table(
      [
        { head: "" },
        { head: "Point", grow: 1 },
        { head: "Where", grow: 1.3 },
        { head: head("mains-low"), align: "end" },
        { head: head("nominal"), align: "end" },
        { head: head("mains-high"), align: "end" },
        { head: `Band at ${head("nominal")}`, align: "end" },
        ...channels.columns,
      ],
      rows,
      { rowHeight: 6.4 },
    ),
    ...(scales.length === 0
      ? []
      : [
          after(
            3,
            table(
              [
                { head: "Mains today" },
                ...scales.map((one): Column => ({ head: `${one.mainsVolts}\u202fV`, align: "end" as const, grow: 1 })),
              ],
              [
                {
                  cells: [
                    "direct volts",
                    ...scales.map((one) => factorFigure(`scale/direct/${one.mainsVolts}`, one.direct)),
                  ],
                },
                {
                  cells: [
                    "heaters",
                    ...scales.map((one) => factorFigure(`scale/heater/${one.mainsVolts}`, one.heater)),
                  ],
                },
              ],
            ),
          ),
        ]),
  ];
}

const optional = (value: number | undefined, of: (value: number) => Figure): Content =>
  value === undefined ? "–" : of(value);

interface WorkedRow {
  readonly id: string;
  readonly cells: readonly Cell[];
  readonly about: readonly string[];
}

/** Currents from what was read: two ways that must agree. */
function workedOut(solved: SolvedDesign, numbers: ReadonlyMap<string, number>): readonly WorkedRow[] {
  const ohmsOf = (id: string) => {
    const part = solved.expanded.parts.find((one) => one.id === id);
    return part?.electrical.kind === "resistor" ? part.electrical : undefined;
  };
  return alikeChannels(solved).flatMap((alike) =>
    stagesOf(solved)
      .filter((one) => one.triode.instance === alike[0])
      .flatMap((stage): readonly WorkedRow[] => {
        const { triode } = stage;
        const amps = solved.bias.triodes.get(triode.id);
        if (amps === undefined) return [];
        const rows: WorkedRow[] = [];
        const add = (what: string, resistor: string | undefined, part: "plateAmps" | "cathodeAmps") => {
          const found = resistor === undefined ? undefined : ohmsOf(resistor);
          if (found === undefined) return;
          const [high, low] = [numbers.get(found.a), found.b === "0" ? 0 : numbers.get(found.b)];
          if (high === undefined || low === undefined) return;
          const name = found.id.slice(triode.instance.length + 1);
          rows.push({
            id: `${part} ${triode.id}`,
            cells: [
              `${triode.part} ${what}`,
              [
                low === 0 ? `point ${high} ÷ ${name} ` : `points (${high} − ${low}) ÷ ${name} `,
                figure(`resistor/${found.id}`, found.ohms, "Ω"),
              ],
              "",
              boldly(
                figure(
                  `${part}/${triode.id}`,
                  part === "plateAmps" ? amps.plateAmps : amps.plateAmps + amps.gridAmps,
                  "A",
                ),
              ),
              "",
              "agree to 5\u202f%",
            ],
            about: alike,
          });
        };
        add("plate current", stage.plateLoad, "plateAmps");
        add("cathode current", stage.cathodeResistors[0], "cathodeAmps");
        return rows;
      }),
  );
}

/** Ripple and what stands at the jack. */
function signalless({ solved, study }: PackInput): readonly WorkedRow[] {
  const rows: WorkedRow[] = [];
  for (const alike of alikeChannels(solved)) {
    const [first] = alike;
    const ripple = study?.hum?.ripple.find(
      (one) =>
        one.net.startsWith(`${first ?? ""}.`) &&
        stagesOf(solved).some((stage) => stage.role === "follower" && stage.triode.plate === one.net),
    );
    if (ripple !== undefined)
      rows.push({
        id: `ripple ${ripple.net}`,
        cells: [
          "Ripple on B+, ac",
          `${ripple.net}, ac range`,
          "",
          boldly(figure(`ripple/${ripple.net}`, ripple.voltsRms, "V", 2)),
          "",
          ["under ", figure(`ripple-most/${ripple.net}`, BENCH_PRACTICE.rippleTimes * ripple.voltsRms, "V", 2)],
        ],
        about: alike,
      });
    rows.push({
      id: `output ${first ?? ""}`,
      cells: ["Output, after a minute", "tip to sleeve", "", { text: "0\u202fmV", bold: true }, "", "±5\u202fmV"],
      about: alike,
    });
  }
  return rows;
}
