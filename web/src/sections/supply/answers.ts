/** Solved figures as the plain data that the Supply screen shows. */
import {
  conditionRow,
  type Discharge,
  type Hum,
  resolveTransformer,
  type SolvedDesign,
  supplyPower,
  type SupplyStudy,
  windingCircuit,
} from "@platewright/design";
import { type Catalogue, fail, ok } from "@platewright/engine";
import { decimated } from "./decimated.ts";
import { NO_SUPPLY } from "./words.ts";

export interface Load {
  readonly id: string;
  readonly value: number;
  readonly limit: number;
  readonly unit: string;
  /** Of the proven unit, as the same share of its own rating. */
  readonly was: number | null;
}

const LOADS = /^HT\.amps$|^transformer\.voltAmps$/;

const rowOf = (solved: SolvedDesign, catalogue: Catalogue) => {
  const { supply } = solved.document;
  const resolved = supply === undefined ? undefined : resolveTransformer(supply, { circuit: windingCircuit(supply) });
  return conditionRow(solved.document, solved, {
    catalogue,
    ...(resolved?.ok === true ? { transformer: resolved.value } : {}),
  });
};

/** Loads of the windings, where the power goes, and the rectifier's figures, at nominal mains. */
export function nominalOf(solved: SolvedDesign, proven: SolvedDesign | undefined, catalogue: Catalogue) {
  const { supply } = solved.document;
  if (supply === undefined || solved.supply === undefined) return fail(NO_SUPPLY);
  const now = rowOf(solved, catalogue);
  const was = proven === undefined ? undefined : rowOf(proven, catalogue);
  const heaters = new Set(solved.heaters.map((one) => `${one.winding}.amps`));
  const { rectifier, loadAmps, sourceOhmsPerPlate } = solved.supply;
  const figures = {
    dcVolts: rectifier.dcVolts,
    loadAmps,
    rippleVolts: rectifier.ripplePeakToPeakVolts,
    peakAmps: rectifier.platePeakAmps,
    windingAmps: rectifier.windingRmsAmps,
    capacitorAmps: rectifier.capacitorRmsAmps,
    inverseVolts: rectifier.peakInverseVolts,
    conductionDegrees: rectifier.conductionDegrees,
    sourceOhms: sourceOhmsPerPlate,
  };
  return ok({
    loads: Object.entries(now.parts)
      .filter(([id]) => LOADS.test(id) || heaters.has(id))
      .map(([id, { value, limit, unit, fraction: _share }]): Load => {
        const then = was?.parts[id];
        return { id, value, limit, unit, was: then === undefined ? null : then.fraction * limit };
      }),
    power: { ...supplyPower(solved, supply), mainsWatts: now.mainsWatts },
    wasWatts: was?.mainsWatts ?? null,
    figures,
    choke: solved.supply.choke ?? null,
  });
}

const plainRows = (study: SupplyStudy) => study.rows.filter((row) => !row.condition.id.startsWith("lamp-"));

/** By load: the largest of all conditions, and in which. */
export function worstLoads(study: SupplyStudy): readonly { id: string; value: number; condition: string }[] {
  const found = new Map<string, { value: number; condition: string }>();
  for (const { condition, parts } of plainRows(study))
    for (const [id, { value }] of Object.entries(parts))
      if (/\.(amps|voltAmps)$/.test(id) && value > (found.get(id)?.value ?? -Infinity))
        found.set(id, { value, condition: condition.words });
  return [...found].map(([id, one]) => ({ id, ...one }));
}

/** Every rated part of the first of equal channels, as shares of its rating by condition, the worst first. */
export function partRows(study: SupplyStudy) {
  const rows = plainRows(study);
  const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
  const ids = [...new Set(rows.flatMap((row) => Object.keys(row.parts)))].filter(
    (id) => !twins.has(id.slice(0, id.indexOf("."))),
  );
  return ids
    .map((id) => {
      const readings = rows.map((row) => row.parts[id]);
      const rated = readings.find((one) => one !== undefined);
      return {
        id,
        limit: rated?.limit ?? 0,
        unit: rated?.unit ?? "",
        readings: readings.map((one) => (one === undefined ? null : { value: one.value, share: one.fraction })),
        worst: Math.max(0, ...readings.map((one) => one?.fraction ?? 0)),
      };
    })
    .sort((a, b) => b.worst - a.worst);
}

/** Points of a curve: more cannot be seen. */
const POINTS = 240;
/** Nets that never stand above this are no part of the picture. */
const SHOWN_VOLTS = 60;

/** Nets from switching on, the first capacitor's first, and what was assumed of each cathode. */
export function startUpOf(study: SupplyStudy, proven: SupplyStudy | undefined) {
  const cold = study.rows.find((row) => row.condition.id === "cold-mains-high");
  const first = study.document.supply?.rectifier.firstCapacitor ?? "";
  const ratings = Object.entries(cold?.parts ?? {})
    .filter(([, one]) => one.unit === "V" && one.limit > 100)
    .map(([id, one]) => ({ id, volts: one.limit }));
  const rectifier = study.document.supply?.rectifier.envelope;
  const bottles = study.document.envelopes.map((one) => one.id).filter((id) => id !== rectifier);
  return {
    now: curvesOf(study),
    proven: proven === undefined ? null : curvesOf(proven),
    firstRating: ratings.find((one) => one.id === first) ?? null,
    lowestRating: ratings.toSorted((a, b) => a.volts - b.volts)[0] ?? null,
    rectifier: rectifier ?? null,
    bottles,
    rippleVolts: study.solved.get("nominal")?.supply?.rectifier.ripplePeakToPeakVolts ?? 0,
  };
}

function curvesOf(study: SupplyStudy) {
  const { startUp } = study;
  if (startUp === undefined) return null;
  const first = study.document.supply?.rectifier.output ?? "";
  const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
  const keep = decimated([...startUp.seconds], POINTS);
  const nets = [...startUp.netVolts.keys()].filter(
    (net) => !twins.has(net.slice(0, net.indexOf("."))) && (startUp.peaks.get(net)?.volts ?? 0) > SHOWN_VOLTS,
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
    amps: keep.map((n) => startUp.rectifierAmps[n] ?? 0),
    thumpVolts: startUp.thumpVolts,
    rectifier: startUp.rectifierWarmUp,
    tubes: startUp.tubesWarmUp,
  };
}

export function courseOf(one: Discharge | undefined) {
  if (one === undefined) return null;
  const keep = decimated(one.course.seconds, POINTS);
  return {
    seconds: Number.isFinite(one.seconds) ? one.seconds : null,
    fromVolts: one.fromVolts,
    net: one.slowestNet,
    joules: one.joules,
    coulombs: one.coulombs,
    words: one.words,
    thumpVolts: one.thumpVolts,
    course: {
      seconds: keep.map((n) => one.course.seconds[n] ?? 0),
      volts: keep.map((n) => one.course.volts[n] ?? 0),
    },
  };
}

/** Lines, ripple and noise of the first of equal channels. */
export function humOf(study: SupplyStudy, hum: Hum, was: Hum | undefined) {
  const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
  const once = (id: string) => !twins.has(id.slice(0, id.indexOf(".")));
  const noise = (of: Hum) =>
    [...of.noise].map(([channel, one]) => ({
      channel,
      flatDbv: one.flat.output.dbv,
      flatVolts: one.flat.output.voltsRms,
      weightedDbv: one.weighted.output.dbv,
      loudest: one.shares[0]?.part ?? "",
    }));
  return {
    words: hum.setting.words,
    gain: hum.setting.gain,
    lines: hum.lines,
    was: was?.lines ?? [],
    ripple: hum.ripple
      .filter((one) => once(one.net) && one.voltsRms > 1e-5)
      .toSorted((a, b) => b.voltsRms - a.voltsRms),
    capacitors: hum.capacitors.filter((one) => once(one.part) && one.ampsRms > 1e-6),
    crosstalk: hum.crosstalk,
    noise: noise(hum),
    wasNoise: was === undefined ? [] : noise(was),
    assumptions: hum.assumptions,
  };
}
