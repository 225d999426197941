/** What the Supply screen asks: the chain drawn, every node and part in every condition, time, hum, faults, wishes. */
import {
  bleederFix,
  type ConditionRow,
  type Discharge,
  dropperFix,
  humFix,
  type RatedReading,
  type SupplyStudy,
} from "@platewright/design";
import { schematicScene } from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { mainsCycle } from "./mains-cycle.ts";
import { decimated } from "./decimated.ts";

const NO_SUPPLY = "This design has no supply of its own: its sources stand in the circuit.";

/** The instance that the first capacitor belongs to: the supply's own block. */
export const supplyInstance = (bench: Bench): string =>
  (bench.input.document.supply?.rectifier.firstCapacitor ?? "").split(".")[0] ?? "";

function studied(bench: Bench): Result<SupplyStudy, string> {
  const study = bench.study();
  if (!study.ok) return study;
  return study.value === undefined ? fail(NO_SUPPLY) : ok(study.value);
}

/** As it was, when the proven unit has a supply that could be studied. */
function provenStudied(bench: Bench): SupplyStudy | undefined {
  const study = bench.provenStudy();
  return study.ok ? study.value : undefined;
}

const SHORT: Readonly<Record<string, string>> = {
  "mains-low": "Mains low",
  nominal: "Nominal",
  "mains-high": "Mains high",
  cold: "Cold",
  "cold-mains-high": "Cold, high",
  pulled: "Tubes pulled",
};

export const conditionHead = (id: string): string => SHORT[id] ?? id.replace("without-", "no ");

const plainRows = (study: SupplyStudy): readonly ConditionRow[] =>
  study.rows.filter((row) => !row.condition.id.startsWith("lamp-"));

/** Nets worth a row: the first capacitor, nets shared by channels, and the pins of one of each equal channel. */
function netsShown(study: SupplyStudy): readonly { readonly net: string; readonly words: string }[] {
  const nominal = study.solved.get("nominal");
  if (nominal === undefined) return [];
  const twins = new Set(nominal.expanded.equalTo.keys());
  const first = study.document.supply?.rectifier.output;
  const channels = nominal.expanded.channels.map((one) => one.instance);
  const shared = [...nominal.bias.netVolts.keys()].filter(
    (net) => net !== "0" && !channels.some((one) => net.startsWith(`${one}.`)),
  );
  const pins = nominal.expanded.triodes
    .filter((one) => !twins.has(one.instance))
    .flatMap((one) => [
      { net: one.plate, words: `${one.part} plate` },
      { net: one.cathode, words: `${one.part} cathode` },
    ]);
  const rows = [
    ...(first === undefined ? [] : [{ net: first, words: `${first}, first capacitor` }]),
    ...shared.filter((net) => net !== first).map((net) => ({ net, words: net })),
    ...pins.filter(({ net }) => net !== "0" && !shared.includes(net)),
  ];
  return rows.filter(({ net }, n) => rows.findIndex((one) => one.net === net) === n);
}

const dischargeOf = (one: Discharge | undefined) =>
  one === undefined
    ? undefined
    : {
        seconds: Number.isFinite(one.seconds) ? one.seconds : null,
        fromVolts: one.fromVolts,
        net: one.slowestNet,
        joules: one.joules,
        words: one.words,
        thumpVolts: one.thumpVolts,
      };

/** Of each winding and of the rectifier, now and proven, against its rating: the worst of the conditions that run. */
function loadOf(study: SupplyStudy, proven: SupplyStudy | undefined, id: string): LoadRow | undefined {
  const worst = (of: SupplyStudy | undefined): RatedReading | undefined =>
    plainRows(of ?? ({ rows: [] } as unknown as SupplyStudy))
      .flatMap((row) => (row.parts[id] === undefined ? [] : [row.parts[id]]))
      .sort((a, b) => b.fraction - a.fraction)[0];
  const now = worst(study);
  const was = worst(proven);
  return now === undefined
    ? undefined
    : {
        id,
        value: now.value,
        limit: now.limit,
        unit: now.unit,
        ...(was === undefined ? {} : { proven: (was.value / was.limit) * now.limit }),
      };
}

export interface LoadRow {
  readonly id: string;
  readonly value: number;
  readonly limit: number;
  readonly unit: string;
  /** Of the proven unit, as the same share of its own rating. */
  readonly proven?: number;
}

export const supplyAsks = {
  /** The chain from transformer to B+ with its volts, at the size it gets on the sheet (millimetres). */
  supplyChain: ask("live", (bench, { width, height }: { readonly width: number; readonly height: number }) => {
    const now = bench.now();
    if (!now.ok) return now;
    if (bench.input.document.supply === undefined) return fail(NO_SUPPLY);
    return ok(
      schematicScene(now.value.expanded, {
        solved: now.value,
        channel: supplyInstance(bench),
        title: "Supply",
        width,
        height,
      }),
    );
  }),
  /** Volts of the nets, loading of rectifier and windings, nominal mains: quick, for a value that is being dragged. */
  supplyNominal: ask("live", (bench, _params: Record<string, never>) => {
    const [now, proven] = [bench.now(), bench.proven()];
    if (!now.ok) return now;
    const { supply } = now.value;
    if (supply === undefined) return fail(NO_SUPPLY);
    const was = proven.ok ? proven.value.supply : undefined;
    return ok({
      volts: [...now.value.bias.netVolts].filter(([net]) => !net.includes(".")),
      was: proven.ok ? [...proven.value.bias.netVolts].filter(([net]) => !net.includes(".")) : [],
      loadAmps: supply.loadAmps,
      wasLoadAmps: was?.loadAmps ?? null,
      dcVolts: supply.rectifier.dcVolts,
      rippleVolts: supply.rectifier.ripplePeakToPeakVolts,
      peakAmps: supply.rectifier.platePeakAmps,
      windingAmps: supply.rectifier.windingRmsAmps,
      capacitorAmps: supply.rectifier.capacitorRmsAmps,
      inverseVolts: supply.rectifier.peakInverseVolts,
      sourceOhms: supply.sourceOhmsPerPlate,
    });
  }),
  /** Nodes and rated parts in every condition. */
  supplyConditions: ask("settled", (bench, _params: Record<string, never>) => {
    const study = studied(bench);
    if (!study.ok) return study;
    const rows = plainRows(study.value);
    const twins = new Set(study.value.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
    const ids = [...new Set(rows.flatMap((row) => Object.keys(row.parts)))].filter(
      (id) => !twins.has(id.slice(0, id.indexOf("."))),
    );
    const provenNominal = provenStudied(bench)?.rows.find((row) => row.condition.id === "nominal");
    return ok({
      conditions: rows.map(({ condition, mainsWatts }) => ({
        id: condition.id,
        head: conditionHead(condition.id),
        words: condition.words,
        mainsWatts,
      })),
      nodes: netsShown(study.value).map(({ net, words }) => ({
        net,
        words,
        volts: rows.map((row) => row.nodes[net]?.volts ?? null),
        was: provenNominal?.nodes[net]?.volts ?? null,
      })),
      parts: ids
        .map((id) => {
          const readings = rows.map((row) => row.parts[id]);
          const rated = readings.find((one) => one !== undefined);
          return {
            id,
            limit: rated?.limit ?? 0,
            unit: rated?.unit ?? "",
            shares: readings.map((one) => one?.fraction ?? null),
            worst: Math.max(0, ...readings.map((one) => one?.fraction ?? 0)),
          };
        })
        .sort((a, b) => b.worst - a.worst),
      unsolved: study.value.unsolved,
    });
  }),
  /** Windings, heaters, fuse, discharge, hum and noise: everything that is not a table of conditions. */
  supplyFigures: ask("settled", (bench, _params: Record<string, never>) => {
    const study = studied(bench);
    if (!study.ok) return study;
    const { value } = study;
    const proven = provenStudied(bench);
    const nominal = value.solved.get("nominal");
    const loads = [
      "HT.amps",
      "transformer.voltAmps",
      ...(nominal?.heaters ?? []).map((one) => `${one.winding}.amps`),
      ...["dcAmps", "peakAmps", "inverseVolts"].map(
        (name) => `${value.document.supply?.rectifier.envelope ?? ""}.${name}`,
      ),
    ].flatMap((id) => loadOf(value, proven, id) ?? []);
    const heaters = (["mains-low", "nominal", "mains-high", "pulled"] as const).flatMap((id) => {
      const solved = value.solved.get(id);
      return solved === undefined ? [] : [{ head: conditionHead(id), windings: solved.heaters }];
    });
    return ok({
      loads,
      heaters,
      mainsAmps: value.mainsAmps,
      suggestedFuseAmps: value.suggestedFuseAmps,
      surgeAmps: value.surgeAmps ?? null,
      copper: value.copper ?? null,
      notes: value.transformer?.notes ?? [],
      discharge: dischargeOf(value.discharge) ?? null,
      dischargeHot: dischargeOf(value.dischargeHot) ?? null,
      provenDischarge: dischargeOf(proven?.discharge) ?? null,
      hum:
        value.hum === undefined
          ? null
          : {
              words: value.hum.setting.words,
              gain: value.hum.setting.gain,
              lines: value.hum.lines.filter((line) => line.dbv > -140),
              was: (proven?.hum?.lines ?? []).filter((line) => line.dbv > -140),
              ripple: value.hum.ripple.filter((one) => one.voltsRms > 1e-5),
              crosstalk: value.hum.crosstalk,
              noise: [...value.hum.noise].map(([channel, one]) => ({
                channel,
                flatDbv: one.flat.output.dbv,
                weightedDbv: one.weighted.output.dbv,
                loudest: one.shares[0]?.part ?? "",
              })),
              assumptions: value.hum.assumptions,
            },
      lamp: value.lamp.map((step) => {
        const row = value.rows.find((one) => one.condition.id === step.step);
        return {
          words: row?.condition.words ?? step.step,
          lampVolts: step.lampVolts,
          mainsAmps: step.mainsAmps,
          nodes: netsShown(value)
            .filter(({ net }) => !net.includes("."))
            .map(({ net }) => ({ net, volts: row?.nodes[net]?.volts ?? null })),
        };
      }),
      lampWatts: value.document.supply?.lamp?.watts ?? 60,
    });
  }),
  /** Volts from switching on with mains high, now and proven. */
  supplyStartUp: ask("settled", (bench, _params: Record<string, never>) => {
    const study = studied(bench);
    if (!study.ok) return study;
    const curves = (of: SupplyStudy | undefined) => {
      const { startUp } = of ?? {};
      if (of === undefined || startUp === undefined) return null;
      const first = of.document.supply?.rectifier.output ?? "";
      const keep = decimated([...startUp.seconds], POINTS);
      const nets = [...startUp.netVolts.keys()].filter(
        (net) => !net.includes(".") && (startUp.peaks.get(net)?.volts ?? 0) > 60,
      );
      return {
        seconds: keep.map((n) => startUp.seconds[n] ?? 0),
        nets: nets
          .sort((a, b) => Number(b === first) - Number(a === first))
          .map((net) => ({
            net,
            volts: keep.map((n) => startUp.netVolts.get(net)?.[n] ?? 0),
            peak: startUp.peaks.get(net) ?? { volts: 0, seconds: 0 },
          })),
        thumpVolts: startUp.thumpVolts,
        rectifier: startUp.rectifierWarmUp,
        tubes: startUp.tubesWarmUp,
      };
    };
    const cold = study.value.rows.find((row) => row.condition.id === "cold-mains-high");
    const ratings = Object.values(cold?.parts ?? {}).filter((one) => one.unit === "V" && one.value > 100);
    return ok({
      now: curves(study.value),
      proven: curves(provenStudied(bench)),
      lowestRatingVolts: ratings.length === 0 ? null : Math.min(...ratings.map((one) => one.limit)),
    });
  }),
  /** One mains cycle at the first capacitor, nominal. */
  supplyCycle: ask("settled", (bench, _params: Record<string, never>) => {
    const now = bench.now();
    return now.ok ? mainsCycle(now.value, bench.catalogue) : now;
  }),
  supplyFaults: ask("long", (bench, _params: Record<string, never>) => {
    const study = studied(bench);
    if (!study.ok) return study;
    return ok(
      study.value.faults.map(({ fault, burns, mainsAmps, fuse, outputVolts, unsolved }) => ({
        id: fault.id,
        words: fault.words,
        burns,
        mainsAmps,
        fuse,
        outputVolts,
        unsolved: unsolved ?? null,
      })),
    );
  }),
  /** The change that answers a wish, checked by solving it: volts at a net, hum, seconds to 60 V. */
  supplyWish: ask(
    "settled",
    (
      { catalogue, input: { document }, ...bench },
      { what, value }: { readonly what: string; readonly value: number },
    ) => {
      const study = bench.study();
      if (!study.ok) return study;
      const nominal = study.value?.solved.get("nominal");
      const cold = study.value?.solved.get("cold-mains-high");
      if (nominal === undefined || cold === undefined) return fail(NO_SUPPLY);
      const fix =
        what === "hum"
          ? humFix(document, catalogue, nominal, value)
          : what === "discharge"
            ? bleederFix(document, catalogue, cold, value)
            : dropperFix(document, catalogue, nominal, what, value);
      return fix === undefined ? fail("No single preferred value does it.") : ok(fix);
    },
  ),
};

/** Points of a curve: more cannot be seen. */
const POINTS = 240;
