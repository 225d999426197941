/**
 * Every figure in the pack against the engine's own answers at the same revision, solved again here from the document alone;
 * and no number with a unit on any page that is neither such a figure nor written in the design nor named below.
 */
import { readFileSync } from "node:fs";
import {
  conditionOf,
  type Document,
  expectedReadings,
  judgeDesign,
  judgedChassis,
  LAMP_STEPS,
  mainsScales,
  netBands,
  panelOf,
  plainSituations,
  type PriceBook,
  readDesign,
  readShelf,
  rework,
  setPart,
  solveBehindLamp,
  solveDesign,
  type SolvedDesign,
  solveDischarge,
  solveHum,
  studySupply,
  tubeVerdicts,
  USUAL_LAMP_WATTS,
  wireRuns,
  wiringList,
  withMeter,
} from "@platewright/design";
import { describe, expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { flatten } from "../bounds.ts";
import type { Item, TextItem } from "../scene.ts";
import { BENCH_PRACTICE } from "./bench-sheet.ts";
import { type Figure, missingLetters, PAPER_SIZES } from "./letters.ts";
import { packPapers } from "./pack.ts";
import type { PackInput } from "./pack-input.ts";
import { offPage, type PageSize, type Paper } from "./page.ts";
import { priceOfUnit } from "./price-sheet.ts";
import { partsRows } from "./parts-rows.ts";
import { chartOf } from "./test-chart.ts";
import { metalOf } from "./test-metal.ts";

const catalogue = openCatalogue();
const read = <T>(
  answer: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: unknown },
): T => {
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
};
const file = read(readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8")));
const shelf = read(readShelf(readFileSync("examples/hearth/shelf.json", "utf8")));
const {
  format: _,
  invented: __,
  ...prices
} = JSON.parse(readFileSync("examples/hearth/prices.json", "utf8")) as PriceBook & {
  format: string;
  invented: boolean;
};

function inputOf(
  document: Document,
  revision: string,
  more: Partial<PackInput> = {},
  size: PageSize = "A4",
): PackInput {
  const solved = read(solveDesign(document, catalogue));
  const study = read(studySupply(document, catalogue, solved));
  const findings = read(judgeDesign(document, catalogue, solved, { study, fixes: false, footprints }));
  const chassis = judgedChassis({ document, catalogue, footprints, solved });
  return {
    document,
    revision,
    date: "2026-11-25",
    solved,
    study,
    findings,
    ...(chassis === undefined ? {} : { chassis }),
    tubes: tubeVerdicts(document, solved, catalogue, findings),
    catalogue,
    shelf,
    size,
    ...more,
  };
}

const reworked = read(
  rework({
    proven: file.now,
    catalogue,
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how),
    put: new Map([
      ["V1", "12BH7A"],
      ["V3", "6X4"],
    ]),
    shelf,
    types: [],
  }),
).document;

const packs = [
  { name: "as proven", input: inputOf(file.now, "A", { prices }) },
  {
    name: "reworked, on Letter",
    input: inputOf(reworked, "B", { proven: { revision: "A", document: file.now } }, "Letter"),
  },
];

/** The design solved again, each condition cold and from its own start, whatever the pack used. */
function engineOf(input: PackInput) {
  const document = JSON.parse(JSON.stringify(input.document)) as Document;
  const { supply } = document;
  if (supply === undefined) throw new Error("the demo has a supply");
  const nominal = read(solveDesign(document, catalogue));
  const known = new Map<string, SolvedDesign>([["nominal", nominal]]);
  const lamp = new Map<string, number>();
  const situations = plainSituations(document);
  const solvedIn = (id: string): SolvedDesign => {
    const before = known.get(id);
    if (before !== undefined) return before;
    const step = LAMP_STEPS.find((one) => one === id);
    const situation = situations.find((one) => one.id === id) ?? conditionOf(document, id as never);
    const solved =
      step === undefined
        ? read(solveDesign(document, catalogue, { situation, detail: "bias" }))
        : read(solveBehindLamp(document, supply, catalogue, step)).solved;
    if (step !== undefined) lamp.set(id, read(solveBehindLamp(document, supply, catalogue, step)).lampVolts);
    known.set(id, solved);
    return solved;
  };
  const all = () => [...situations.map((one) => one.id), ...LAMP_STEPS].map((id) => solvedIn(id));
  const volts = (id: string, net: string) => solvedIn(id).bias.netVolts.get(net) ?? Number.NaN;
  const channel = (instance: string) => nominal.channels.find((one) => one.instance === instance);
  const level = (instance: string, input: string) =>
    channel(instance)?.levels.find((one) => one.inputVolts === Number(input));
  const heater = (id: string, winding: string) => solvedIn(id).heaters.find((one) => one.winding === winding);
  const hum = read(solveHum(document, supply, catalogue, nominal));
  const cold = (id: string) =>
    id === "discharge"
      ? read(solveDischarge(document, catalogue, solvedIn("cold-mains-high"), ""))
      : read(solveDischarge(document, catalogue, nominal, ""));
  const panel = read(panelOf(nominal, catalogue));
  const study = read(studySupply(document, catalogue));
  const bands = read(netBands(nominal, [...nominal.bias.netVolts.keys()]));
  const rectifier = nominal.supply?.rectifier;
  const winding = supply.transformer.heaters;
  const ohmsBetween = (from: string, to: string): number => byElimination(nominal, from, to);
  const pin = (envelope: string) =>
    nominal.heaters.flatMap((one) => one.envelopes).find((one) => one.envelope === envelope);
  const metal = judgedChassis({ document, catalogue, footprints });
  const runs = metal === undefined ? undefined : wireRuns(metal, wiringList(nominal, new Map()));
  /** The demo's drive is P1 of its channel; the middle of its voicing levels is 1 V. */
  const turned = new Map<string, SolvedDesign>();
  const driven = (instance: string, turn: string) => {
    const at =
      turned.get(turn) ??
      read(solveDesign(setPart(document, ["L", "R"], "P1", { position: Number(turn) }), catalogue, { levels: [1] }));
    turned.set(turn, at);
    return at.channels.find((one) => one.instance === instance)?.levels[0];
  };
  const tagged = (text: string) => text.split("+");
  const rows = () => partsRows({ ...input, document, solved: nominal, study });

  const chart = chartOf({
    document,
    footprints,
    catalogue,
    solved: nominal,
    ...(input.prices === undefined ? {} : { hourly: input.prices.perHour }),
  });

  /** The number that a figure says it is; undefined: nobody knows such a figure. */
  const valueOf = (of: string): number | undefined => {
    const [what = "", a = "", b = "", c = ""] = of.split("/");
    switch (what) {
      case "hole":
      case "new-hole":
      case "carrier":
      case "plate":
      case "flat":
      case "bend":
      case "cut":
      case "apart":
        return metalOf(document, footprints, of) ?? chart(of);
      case "volts":
        return volts(a, b);
      case "meter":
        return read(withMeter(solvedIn(a), b, catalogue));
      case "highest":
        return Math.max(
          ...[...study.solved.values()].map((one) => Math.abs(one.bias.netVolts.get(a) ?? 0)),
          a === "HT" ? Math.SQRT2 * (nominal.supply?.unloadedRmsVolts ?? 0) : 0,
          ...all().map((one) => Math.abs(one.bias.netVolts.get(a) ?? 0)),
        );
      case "band": {
        const band = bands.get(a)?.bandVolts ?? Number.NaN;
        const readings = read(expectedReadings(nominal, new Map(), catalogue));
        const at = readings.find((one) => one.point.places[0]?.net === a)?.volts.nominal ?? Number.NaN;
        return b === "low" ? at - band : at + band;
      }
      case "heater":
        return heater(a, b)?.volts;
      case "heater-band":
        return (
          (heater("nominal", a)?.volts ?? Number.NaN) *
          (1 + ((b === "low" ? -1 : 1) * BENCH_PRACTICE.heaterPercent) / 100)
        );
      case "heater-amps":
        return heater("nominal", a)?.amps;
      case "heater-rated":
        return winding.find((one) => one.id === a)?.ratedAmps;
      case "pin-heater":
        return pin(a)?.volts;
      case "pin-wanted":
        return pin(a)?.wantedVolts;
      case "pin-amps":
        return pin(a)?.amps;
      case "lift":
        return Math.max(...all().map((one) => one.heaters.find((own) => own.winding === a)?.referenceVolts ?? 0));
      case "lamp":
        solvedIn(a);
        return lamp.get(a);
      case "winding":
        return supply.transformer.highTension.unloadedRmsVoltsPerHalf * solvedIn(a).condition.mainsFactor;
      case "rating":
        return Math.min(
          ...nominal.expanded.parts.flatMap(({ written }) =>
            written.kind === "capacitor" && written.volts !== undefined && written.pins.a === supply.rectifier.output
              ? [written.volts]
              : [],
          ),
        );
      case "stop":
        return BENCH_PRACTICE.cathodeTimes * volts("nominal", b);
      case "ohms":
        return ohmsBetween(a, b);
      case "resistor": {
        const part = nominal.expanded.parts.find((one) => one.id === a);
        return part?.electrical.kind === "resistor" ? part.electrical.ohms : undefined;
      }
      case "plateAmps":
        return nominal.bias.triodes.get(a)?.plateAmps;
      case "cathodeAmps": {
        const triode = nominal.bias.triodes.get(a);
        return triode === undefined ? undefined : triode.plateAmps + triode.gridAmps;
      }
      case "ripple":
        return hum.ripple.find((one) => one.net === a)?.voltsRms;
      case "ripple-most":
        return BENCH_PRACTICE.rippleTimes * (hum.ripple.find((one) => one.net === a)?.voltsRms ?? Number.NaN);
      case "fuse":
        return supply.fuse?.amps;
      case "scale": {
        const scale = mainsScales(
          known.has("mains-low")
            ? known
            : new Map([
                ["nominal", nominal],
                ["mains-low", solvedIn("mains-low")],
                ["mains-high", solvedIn("mains-high")],
              ]),
        ).find((one) => one.mainsVolts === Number(b));
        return a === "direct" ? scale?.direct : scale?.heater;
      }
      case "discharge":
      case "dischargeHot":
        return cold(what).seconds;
      case "gain":
        return 20 * Math.log10(channel(a)?.gain ?? Number.NaN);
      case "output":
        return level(a, b)?.outputVolts;
      case "h2":
      case "h3":
        return Math.abs(level(a, b)?.ratios[what === "h2" ? 0 : 1] ?? Number.NaN);
      case "h2-decibels":
      case "h3-decibels":
        return 20 * Math.log10(Math.abs(level(a, b)?.ratios[what === "h2-decibels" ? 0 : 1] ?? Number.NaN));
      case "h2-band":
      case "h3-band": {
        const gain = nominal.laws.get(`${a}.V1a`);
        return what === "h2-band" ? gain?.h2BandDecibels : gain?.h3BandDecibels;
      }
      case "drive-output":
        return driven(a, b)?.outputVolts;
      case "drive-h2":
      case "drive-h3":
        return Math.abs(driven(a, b)?.ratios[what === "drive-h2" ? 0 : 1] ?? Number.NaN);
      case "drive-h2-decibels":
      case "drive-h3-decibels":
        return 20 * Math.log10(Math.abs(driven(a, b)?.ratios[what === "drive-h2-decibels" ? 0 : 1] ?? Number.NaN));
      case "onset":
        return channel(a)?.onset.find((one) => one.inputVolts !== null)?.inputVolts ?? undefined;
      case "low":
        return channel(a)?.minusOneDecibelLow ?? undefined;
      case "high":
        return channel(a)?.minusOneDecibelHigh ?? undefined;
      case "output-ohms":
        return channel(a)?.outputOhms;
      case "hum":
        return hum.lines.find((one) => one.channel === a && one.hertz === Number(b) && one.from === c)?.dbv;
      case "noise":
        return 20 * Math.log10(hum.noise.get(a)?.flat.output.voltsRms ?? Number.NaN);
      case "noise-a":
        return 20 * Math.log10(hum.noise.get(a)?.weighted.output.voltsRms ?? Number.NaN);
      case "crosstalk":
        return hum.crosstalk.find((one) => one.hertz === Number(a))?.decibels;
      case "crosstalk-at":
        return Number(a);
      case "panel": {
        const full = panel.full.channels[0];
        const { [a]: found } = {
          gain: 20 * Math.log10(full?.gain ?? Number.NaN),
          h2: full?.levels[0]?.ratios[0],
          h3: full?.levels[0]?.ratios[1],
          outputOhms: panel.outputOhms,
          unityTurn: panel.unityTurn,
        } as Readonly<Record<string, number | undefined>>;
        return found;
      }
      case "rectifier": {
        const { [a]: found } = {
          dcVolts: rectifier?.dcVolts,
          loadAmps: nominal.supply?.loadAmps,
          ripple: rectifier?.ripplePeakToPeakVolts,
          platePeakAmps: rectifier?.platePeakAmps,
          windingRmsAmps: rectifier?.windingRmsAmps,
          capacitorRmsAmps: rectifier?.capacitorRmsAmps,
          peakInverseVolts: rectifier?.peakInverseVolts,
          sourceOhms: nominal.supply?.sourceOhmsPerPlate,
        } as Readonly<Record<string, number | undefined>>;
        return found;
      }
      case "study":
        return a === "mainsAmps" ? study.mainsAmps : study.suggestedFuseAmps;
      case "mains":
        return a === "volts" ? supply.mains.volts : supply.mains.hertz;
      case "watts": {
        const watts = study.rows.find((row) => row.condition.id === a)?.mainsWatts ?? Number.NaN;
        return watts;
      }
      case "label-watts":
        return Math.ceil(study.rows.find((row) => row.condition.id === a)?.mainsWatts ?? Number.NaN);
      case "stress":
        return study.rows.find((row) => row.condition.id === b)?.parts[a]?.fraction;
      case "count":
        return tagged(a).length === 1 && !a.includes(".")
          ? (rows().find((row) => row.ids.join("+") === a)?.count ?? undefined)
          : new Set(tagged(a).map((id) => bodyOf(document, id))).size;
      case "findings": {
        const again = read(judgeDesign(document, catalogue, nominal, { study, fixes: false, footprints }));
        return again.filter((one) => one.level === a).length;
      }
      case "wire-length":
        return runs?.runs.find((one) => one.id === a)?.lengthMillimetres;
      case "wire-check":
        return runs?.checks.find((one) => one.id.replaceAll("/", " ") === a)?.millimetres ?? undefined;
      case "tube": {
        const verdict = input.tubes.find((one) => one.type === a);
        return b === "gain" ? (verdict?.gainDecibels ?? undefined) : (verdict?.h2Decibels ?? undefined);
      }
      case "price":
      case "price-all": {
        const row = rows().find((one) => one.ids.join("+") === a);
        // Said again, not called: the part, its value, its kind with its rating, its kind.
        const keys =
          row === undefined
            ? []
            : [
                ...row.ids,
                ...[row.value, `${row.kind} ${row.rating}`].map((one) => one.replaceAll("\u202f", " ")),
                row.kind,
              ];
        const each = keys.map((key) => input.prices?.parts[key]).find((one) => one !== undefined);
        return each === undefined ? undefined : what === "price" ? each : each * (row?.count ?? 0);
      }
      case "hours":
        return input.prices?.work[Number(a)]?.hours;
      case "per-hour":
        return input.prices?.perHour;
      case "work":
        return (input.prices?.work[Number(a)]?.hours ?? Number.NaN) * (input.prices?.perHour ?? Number.NaN);
      case "unit":
      case "batch": {
        if (input.prices === undefined) return undefined;
        const price = priceOfUnit(input, input.prices, what === "unit" ? 1 : input.prices.batch);
        const { [a]: found } = price as unknown as Readonly<Record<string, number>>;
        return found;
      }
      default:
        return chart(of);
    }
  };
  return { nominal, valueOf };
}

/** What it is bought as: gangs of a control that stand on one shaft are one. */
const bodyOf = ({ chassis }: Document, id: string): string =>
  chassis?.items.find(({ what }) => JSON.stringify(what).includes(`"${id}"`))?.id ?? id;

/** Star-mesh elimination, tubes out, controls down: another way than the engine's. */
function byElimination({ expanded }: SolvedDesign, from: string, to: string): number {
  const siemens = new Map<string, number>();
  const key = (a: string, b: string) => [a, b].sort().join("~");
  const add = (a: string, b: string, g: number) => {
    if (a !== b) siemens.set(key(a, b), (siemens.get(key(a, b)) ?? 0) + g);
  };
  for (const { electrical: e } of expanded.parts) {
    if (e.kind === "resistor") add(e.a, e.b, 1 / e.ohms);
    if (e.kind === "inductor") add(e.a, e.b, 1 / e.seriesOhms);
    if (e.kind === "potentiometer") {
      add(e.top, e.wiper, 1 / e.ohms);
      add(e.wiper, e.bottom, 1e3);
    }
  }
  const nets = ["0", ...expanded.nets.filter((net) => net !== "0")];
  for (const gone of nets) {
    if (gone === from || gone === to) continue;
    const arms = nets.flatMap((net) => {
      const g = net === gone ? undefined : siemens.get(key(gone, net));
      siemens.delete(key(gone, net));
      return g === undefined ? [] : [{ net, g }];
    });
    const sum = arms.reduce((total, one) => total + one.g, 0);
    for (const [n, one] of arms.entries())
      for (const other of arms.slice(n + 1)) add(one.net, other.net, (one.g * other.g) / sum);
  }
  return 1 / (siemens.get(key(from, to)) ?? 0);
}

const PREFIX: Readonly<Record<string, number>> = { k: 1e3, M: 1e6, m: 1e-3, µ: 1e-6, n: 1e-9, p: 1e-12, "": 1 };

/** What is printed, as a number in the figure's unit, with half of its last place. */
function printed({ text, unit }: Figure): { readonly value: number; readonly half: number } | undefined {
  const match = /^([−+]?)(?:×\s)?(\d+(?:\.(\d+))?)\s?(.*)$/u.exec(text);
  if (match === null) return undefined;
  const [, sign = "", digits = "", decimals = "", tail = ""] = match;
  const plain = unit === "%" || unit === "of 10" ? 1 : (PREFIX[tail.slice(0, tail.length - unit.length)] ?? Number.NaN);
  const scale = unit === "%" ? 0.01 : unit === "of 10" ? 0.1 : tail === "" || unit === "" ? 1 : plain;
  // Printed to so many significant digits: a trailing zero may have been dropped.
  const half = 0.5 * 10 ** -decimals.length * scale;
  return { value: (sign === "−" ? -1 : 1) * Number(digits) * scale, half };
}

const textsOf = (paper: Paper): readonly TextItem[] =>
  paper.pages
    .flatMap((page) => flatten(page.items))
    .filter((item): item is Exclude<Item, { kind: "group" }> & TextItem => item.kind === "text");

describe.each(packs)("$name", ({ input }) => {
  const papers = packPapers(input);
  const engine = engineOf(input);

  test.each(papers.map((paper) => [paper.kind, paper] as const))("%s: every figure is the engine's", (_kind, paper) => {
    for (const figure of paper.figures) {
      const wanted = engine.valueOf(figure.of);
      expect(wanted, `${figure.of} is known to nobody`).toBeTypeOf("number");
      if (wanted === undefined) continue;
      if (figure.value === Infinity) expect(wanted, figure.of).toBe(Infinity);
      else
        expect(
          Math.abs(figure.value - wanted),
          `${figure.of}: ${figure.value}, the engine has ${wanted}`,
        ).toBeLessThanOrEqual(2e-3 * Math.abs(wanted) * (LOOSE.test(figure.of) ? 1 : 1e-3) + 1e-9);
      const shown = printed(figure);
      if (figure.value === Infinity) continue;
      expect(shown, `${figure.of} prints '${figure.text}'`).toBeDefined();
      if (shown === undefined) continue;
      // Three significant digits at the least, or half of the last place.
      const room = Math.max(shown.half, 0.006 * Math.abs(figure.value));
      expect(
        Math.abs(shown.value - figure.value),
        `${figure.of} prints '${figure.text}' for ${figure.value}`,
      ).toBeLessThanOrEqual(room * 1.000001);
    }
  });

  test.each(papers.map((paper) => [paper.kind, paper] as const))(
    "%s: every figure stands on a page as it is printed",
    (_kind, paper) => {
      const texts = textsOf(paper);
      for (const figure of paper.figures)
        expect(
          texts.some((item) => item.ids?.includes(`=${figure.of}`) === true && item.text.includes(figure.text)),
          `${figure.of} '${figure.text}'`,
        ).toBe(true);
    },
  );

  test("no number with a unit stands anywhere that is no figure of the engine's", () => {
    const strays = papers.flatMap((paper) =>
      textsOf(paper)
        .filter((item) => !(item.ids ?? []).some((id) => id.startsWith("=")))
        .flatMap((item) =>
          [...item.text.matchAll(WITH_UNIT)].map(([found]) => ({
            paper: paper.kind,
            found: found.replaceAll("\u202f", " "),
            item,
          })),
        )
        .filter(({ found, item }) => !isKnown(input, engine.nominal, found, item)),
    );
    expect(strays.map(({ paper, found, item }) => `${paper}: ${found} in '${item.text}'`)).toEqual([]);
  });

  test("findings are quoted as they are", () => {
    const titles = new Map(input.findings.map((one) => [one.id, one.title.replace(/\s+/g, " ")]));
    let quoted = 0;
    for (const item of papers.flatMap(textsOf))
      for (const id of item.ids ?? [])
        if (id.startsWith("=finding/")) {
          quoted++;
          expect(titles.get(id.slice("=finding/".length))).toContain(item.text.replace(/\.$/, "").trim());
        }
    expect(quoted).toBeGreaterThan(0);
  });

  test("nothing leaves its page, nothing is below nine points, everything can be printed", () => {
    for (const paper of papers) {
      for (const page of paper.pages) {
        expect(offPage(page)).toEqual([]);
        expect(page.items.length).toBeGreaterThan(5);
      }
      for (const item of textsOf(paper)) {
        expect(item.size).toBeGreaterThanOrEqual(PAPER_SIZES.text - 1e-9);
        expect(missingLetters(item.text), item.text).toEqual([]);
        expect(item.text, "shortened").not.toMatch(/…/);
      }
    }
  });

  test("every page carries design, revision, date and its number", () => {
    for (const paper of papers)
      for (const [n, page] of paper.pages.entries()) {
        const texts = flatten(page.items).flatMap((item) => (item.kind === "text" ? [item.text] : []));
        for (const words of [
          input.document.name,
          `Rev ${input.revision}`,
          "25 Nov 2026",
          `${n + 1} of ${paper.pages.length}`,
          paper.title,
        ])
          expect(texts).toContain(words);
      }
  });

  test("the caution stands on every paper that sends a hand inside, before the first thing to do", () => {
    for (const kind of [
      "wiring",
      "ground-and-heaters",
      "bench-sheet",
      "measurement-sheet",
      "safety-slip",
      "owner-sheet",
    ]) {
      const [first] = papers.find((paper) => paper.kind === kind)?.pages ?? [];
      const texts = flatten(first?.items ?? []).flatMap((item) =>
        item.kind === "text" ? [{ text: item.text, y: item.at[1] }] : [],
      );
      const caution = texts.find((one) => one.text === "Danger: high voltage");
      expect(caution, kind).toBeDefined();
      const step = texts.find((one) => /^(1\u2002|From$|Connect)/.test(one.text));
      if (step !== undefined) expect(caution?.y).toBeLessThan(step.y);
    }
  });
});

/** Figures that end in a search or a tolerance of their own. */
const LOOSE =
  /^(discharge|panel|lamp|volts\/lamp|heater\/lamp|winding\/lamp|scale|stress|watts|highest|lift|study|tube|hum|noise|meter|volts|band|stop)/;

const WITH_UNIT =
  /\d+(?:\.\d+)?[\u202f\u00a0 ]?(?:kV|mV|µV|V|mA|µA|A|mW|W|kΩ|MΩ|Ω|µF|nF|pF|kHz|Hz|dBV|dBc|dB|%|s)(?![A-Za-z0-9])/gu;

/** Bounds and constants of the trade that papers state; each stands with its words in the paper's own source. */
const PRACTICE = new Set([
  "60 V",
  "10 MΩ",
  "2 MΩ",
  "1 MΩ",
  "0.1 Ω",
  "1 Ω",
  "5 %",
  "3 %",
  "20 %",
  "10 %",
  "90 %",
  "100 %",
  "500 V",
  "3.5 mA",
  "100 nF",
  "10 Ω",
  "25 A",
  "600 V",
  "300 V",
  "10 dB",
  "0.5 dB",
  "1 dB",
  "60 dB",
  "10 kΩ",
  "60 s",
  "20 Hz",
  "20 kHz",
  "1 kHz",
  "0 V",
  "0 mV",
  "5 mV",
  "0.02 V",
  "1 V",
]);

/** Written in the design, a net or a part named in the schematic with what it stands at, or a constant of the trade. */
function isKnown(input: PackInput, nominal: SolvedDesign, found: string, item: TextItem): boolean {
  if (PRACTICE.has(found)) return true;
  // "7A" of 12BH7A.
  if (catalogue.types.some((type) => type.endsWith(found) && item.text.includes(type))) return true;
  const document = JSON.stringify(input.document);
  const number = Number.parseFloat(found);
  if (input.solved.document.supply !== undefined) {
    const { mains, lamp, fuse, transformer } = input.solved.document.supply;
    const own = [
      `${mains.volts} V`,
      `${mains.hertz} Hz`,
      `${lamp?.watts ?? USUAL_LAMP_WATTS} W`,
      `${lamp?.volts ?? mains.volts} V`,
      ...(fuse === undefined ? [] : [`${1000 * fuse.amps} mA`]),
      ...[mains.lowPercent, 0, mains.highPercent].map((one) => `${Math.round(mains.volts * (1 + one / 100))} V`),
      ...mainsScales(input.study?.solved ?? new Map()).map((one) => `${one.mainsVolts} V`),
      ...(input.study === undefined
        ? []
        : [`${Math.round(input.study.rows.find((row) => row.condition.id === "nominal")?.mainsWatts ?? 0)} W`]),
    ];
    if (own.includes(found) || transformer.label.includes(found)) return true;
  }
  const { prices, document: design } = input;
  if (
    prices !== undefined &&
    [prices.rejectPercent, prices.overheadPercent, prices.marginPercent].some((one) => found === `${one} %`)
  )
    return true;
  const hertz = design.supply?.mains.hertz ?? 50;
  // Lines of hum stand at multiples of the mains.
  if (found.endsWith(" Hz") && number % hertz === 0 && number <= 12 * hertz) return true;
  if (found === `${design.supply?.rectifier.seriesOhms ?? ""} Ω`) return true;
  const heat = (nominal.supply?.rectifier.windingRmsAmps ?? 0) ** 2 * Number(design.supply?.rectifier.seriesOhms ?? 0);
  if (item.text.includes("≥") && found.endsWith(" W") && number >= 2 * heat) return true;
  // Why a tube must not go in: what its pin would meet.
  if (
    item.text.endsWith(" V)") &&
    [...nominal.bias.netVolts.values()].some((one) => Math.abs(number - one) <= 0.006 * Math.abs(one))
  )
    return true;
  if (input.document.targets.voicingVolts.some((one) => found === `${one} V`)) return true;
  // A value, a rating or a tolerance as the design has it.
  const wattsOrVolts = new RegExp(`"(?:watts|volts|tolerancePercent|amps)":${number}[,}]`);
  if (/ (?:W|V)$/.test(found) && wattsOrVolts.test(document)) return true;
  for (const id of item.ids ?? []) {
    const net = nominal.bias.netVolts.get(id);
    if (net !== undefined && found.endsWith(" V") && Math.abs(number - Math.abs(net)) <= 0.006 * Math.abs(net) + 0.005)
      return true;
    const triode = nominal.bias.triodes.get(id);
    if (
      triode !== undefined &&
      found.endsWith(" mA") &&
      Math.abs(number / 1000 - triode.plateAmps) <= 0.006 * triode.plateAmps
    )
      return true;
    const part = nominal.expanded.parts.find((one) => one.id === id);
    const e = part?.electrical;
    const value = e === undefined ? undefined : "ohms" in e ? e.ohms : "farads" in e ? e.farads : undefined;
    const unit = /([kMmµnp]?)(Ω|F)$/u.exec(found);
    if (value !== undefined && unit !== null && Math.abs(number * (PREFIX[unit[1] ?? ""] ?? 1) - value) <= 1e-6 * value)
      return true;
  }
  const plain = /^([\d.]+) ?([kMmµnp]?)(?:Ω|F)?$/u.exec(found);
  return plain !== null && document.includes(`"value":"${plain[1] ?? ""}${(plain[2] ?? "").replace("µ", "u")}"`);
}
