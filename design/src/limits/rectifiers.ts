/** Findings of the rectifier and the high-tension winding: currents, volts, series resistance, first capacitor. */
import { chartsOf, permittedAmps, type RatedLimit, type RectifierRecord } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import { diffDocuments } from "../document/change.ts";
import type { Finding } from "../findings.ts";
import type { SolvedDesign, SolvedSupply } from "../solved/types.ts";
import { fitRectifier } from "../supply/rectifier-fit.ts";
import { against, finding, unsolved } from "./build.ts";
import { type Limit, ratedLimit, trustOf } from "./judge.ts";
import { heaterOf, type Judged, netVolts, ratingFraction, readWorst } from "./judged.ts";
import { say } from "./say.ts";

const USUAL_CAPACITOR_TOLERANCE = 20;

export function rectifierFindings(judged: Judged): readonly Finding[] {
  const { document, catalogue, nominal } = judged;
  const { supply } = document;
  if (supply === undefined) return [];
  const silicon = siliconFindings(judged);
  if (supply.rectifier.envelope === undefined) return [...silicon, transformerAmps(judged)];
  const envelope = document.envelopes.find((one) => one.id === supply.rectifier.envelope);
  const record = envelope === undefined ? undefined : catalogue.tube(envelope.type)?.rectifier;
  if (envelope === undefined || record === undefined || nominal.supply === undefined)
    return [unsolved("rectifier", supply.rectifier.envelope, "rectifier", "running")];
  const where = `${envelope.id} ${envelope.type}`;
  const winding = supply.transformer.highTension.unloadedRmsVoltsPerHalf;
  const findings: Finding[] = [...silicon];
  const rule = (
    name: string,
    what: string,
    entries: readonly RatedLimit<number>[] | undefined,
    unit: string,
    measure: (supply: SolvedSupply, solved: SolvedDesign) => number,
    state: "running" | "cold" | "both" = "running",
    house = ratingFraction(judged),
  ) => {
    const limit = ratedLimit(entries, winding);
    if (limit === undefined) return;
    const asked = limit.system ?? "unknown";
    const of = (solved: SolvedDesign) => (solved.supply === undefined ? undefined : measure(solved.supply, solved));
    const running = state === "cold" ? undefined : readWorst(judged, asked, "running", of);
    const cold = state === "running" ? undefined : readWorst(judged, asked, "cold", of);
    const reading = running === undefined || (cold !== undefined && cold.value > running.value) ? cold : running;
    if (reading === undefined) return;
    findings.push({
      ...against(judged, { rule: name, where, what, reading, limit, unit, houseFraction: house }),
      where: envelope.id,
      id: `${name}/${envelope.id}`,
    });
  };
  const { limits } = record;
  rule("rectifier-dc", "dc output", limits.dcAmps, "A", (one) => one.loadAmps);
  rule("rectifier-peak", "peak current per plate", limits.peakPlateAmps, "A", (one) => one.rectifier.platePeakAmps);
  rule(
    "rectifier-inverse",
    "peak inverse",
    limits.peakInverseVolts,
    "V",
    (one) => one.rectifier.peakInverseVolts,
    "both",
    0.95,
  );
  rule(
    "rectifier-winding",
    "winding per plate, rms",
    limits.rmsVoltsPerPlate,
    "V",
    (one) => one.unloadedRmsVolts,
    "running",
    1,
  );
  rule(
    "rectifier-heater-cathode",
    "cathode above heater",
    limits.heaterCathodePeakVolts,
    "V",
    (one, solved) => {
      const heater = heaterOf(solved, envelope.id);
      const at = netVolts(solved, supply.rectifier.output) ?? Number.NaN;
      // Ahead of a choke the cathode follows the winding to its crest.
      if (one.choke !== undefined) return one.unloadedRmsVolts * Math.SQRT2 - (heater?.referenceVolts ?? 0);
      return at + one.rectifier.ripplePeakToPeakVolts / 2 - (heater?.referenceVolts ?? 0);
    },
    "both",
  );
  // Resistance per plate and the size of the first capacitor are asked of a capacitor input.
  if (supply.rectifier.choke !== undefined) return [...findings, transformerAmps(judged)];
  findings.push(...chartFindings(judged, record, envelope.id, where));
  const fitted = fitRectifier(document, catalogue);
  const changes = diffDocuments(document, fitted);
  findings.push(...seriesOhms(judged, envelope.id, where), ...firstCapacitor(judged, envelope.id, where));
  findings.push(transformerAmps(judged));
  if (changes.length === 0) return findings;
  const fix = {
    title: changes
      .map(
        (one) =>
          `${one.target.replace(/^.*\[(.*)\]\.value$/, "$1").replace("supply.rectifier.seriesOhms", "series resistor per plate")} ${written(one.before)} → ${written(one.after)}`,
      )
      .join(", "),
    changes,
  };
  // Each finding gets the fix only when what it is about changes.
  const touches = (rule: string) =>
    changes.some((one) => (one.target === "supply.rectifier.seriesOhms") === (rule === "rectifier-series"));
  return findings.map((one) =>
    (one.rule === "rectifier-series" || one.rule === "rectifier-first-capacitor") &&
    one.level !== "ok" &&
    touches(one.rule)
      ? { ...one, title: `${one.title}; ${fix.title}`, fixes: [fix] }
      : one,
  );
}

/** Charts as charts: the dc that each permits at this winding or this efficiency, in the conditions of its system. */
function chartFindings(judged: Judged, record: RectifierRecord, id: string, where: string): readonly Finding[] {
  const rated = judged.document.supply?.transformer.highTension.ratedRmsVoltsPerHalf ?? Number.NaN;
  return chartsOf(record).flatMap((chart) => {
    const [first] = chart.points;
    // One point is the plain maximum; the closed form is the peak rating again. Both are judged above.
    if (first === undefined || chart.points.length < 2 || chart.origin === "closed-form") return [];
    const byWinding = chart.limits === "dc-by-winding";
    const permitted = (solved: SolvedDesign) => {
      const { supply } = solved;
      if (supply === undefined) return undefined;
      const efficiency = supply.rectifier.dcVolts / (Math.SQRT2 * supply.unloadedRmsVolts);
      return permittedAmps(chart, byWinding ? rated * solved.condition.mainsFactor : efficiency)?.amps ?? 0;
    };
    const worst = readWorst(judged, chart.system, "running", (solved) => {
      const amps = permitted(solved);
      return amps === undefined ? undefined : (solved.supply?.loadAmps ?? 0) / amps;
    });
    if (worst === undefined) return [];
    const { value: _point, ...provenance } = first;
    const axis = byWinding ? "winding volts" : "efficiency";
    const found = against(judged, {
      rule: byWinding ? "rectifier-chart-winding" : "rectifier-chart-efficiency",
      where,
      what: `dc against its chart by ${axis}`,
      reading: { ...worst, value: worst.solved.supply?.loadAmps ?? Number.NaN },
      limit: {
        value: permitted(worst.solved) ?? 0,
        trust: trustOf(provenance, chart.system),
        system: chart.system,
        provenance,
      },
      unit: "A",
      houseFraction: ratingFraction(judged),
    });
    return [{ ...found, where: id, id: `${found.rule}/${id}` }];
  });
}

/** Silicon: the mean current of a diode and its inverse volts, mains high and cold, half of the rating kept in hand. */
function siliconFindings(judged: Judged): readonly Finding[] {
  const { supply } = judged.document;
  const silicon = supply?.rectifier.silicon;
  if (supply === undefined || silicon === undefined) return [];
  const { type } = silicon;
  const inverse = worstSupply(judged, (one) => one.rectifier.peakInverseVolts);
  const mean = worstSupply(judged, (one) => one.loadAmps / (supply.rectifier.circuit === "half-wave" ? 1 : 2));
  const rule = (name: string, what: string, reading: ReturnType<typeof worstSupply>, limit: number, unit: string) =>
    against(judged, {
      rule: name,
      where: type,
      what,
      reading,
      limit: { value: limit, trust: "ok", says: "rating of the part" },
      unit,
      houseFraction: SILICON_FRACTION,
    });
  return [
    rule("silicon-inverse", "peak inverse per diode", inverse, silicon.volts, "V"),
    rule("silicon-mean", "mean current per diode", mean, silicon.amps, "A"),
  ];
}

/** Spikes on the mains reach a silicon diode unhindered: common practice is twice the inverse volts. */
const SILICON_FRACTION = 0.75;

function worstSupply(judged: Judged, measure: (supply: SolvedSupply) => number) {
  let worst = { value: Number.NaN, words: "not solved", missing: [] as readonly string[] };
  for (const { supply, condition } of [judged.nominal, ...judged.conditions]) {
    const value = supply === undefined ? Number.NaN : measure(supply);
    if (!(value <= worst.value)) worst = { value, words: condition.words, missing: [] };
  }
  return worst;
}

function seriesOhms(judged: Judged, id: string, where: string): readonly Finding[] {
  const { document, catalogue, nominal } = judged;
  const { supply } = document;
  const envelope = document.envelopes.find((one) => one.id === id);
  const record = catalogue.tube(envelope?.type ?? "")?.rectifier;
  const rows = record?.seriesOhms ?? [];
  if (supply === undefined || record === undefined || rows.length === 0 || nominal.supply === undefined) return [];
  const volts = supply.transformer.highTension.ratedRmsVoltsPerHalf;
  const row = rows.find((one) => one.value.rmsVoltsPerPlate >= volts * (1 - 1e-9)) ?? rows[rows.length - 1];
  if (row === undefined) return [];
  const { value, ...provenance } = row;
  const limit: Limit = {
    value: value.ohms,
    trust: trustOf(provenance, record.ratingSystem),
    system: record.ratingSystem,
    provenance,
  };
  const found = against(judged, {
    rule: "rectifier-series",
    where,
    what: "resistance per plate",
    reading: { value: nominal.supply.sourceOhmsPerPlate, words: `at ${say(volts, "V")} per plate`, missing: [] },
    limit,
    unit: "Ω",
    houseFraction: 1,
    sense: "above",
  });
  return [{ ...found, where: id, id: `rectifier-series/${id}` }];
}

function firstCapacitor(judged: Judged, id: string, where: string): readonly Finding[] {
  const { document, catalogue, nominal } = judged;
  const envelope = document.envelopes.find((one) => one.id === id);
  const record = catalogue.tube(envelope?.type ?? "")?.rectifier;
  const limit = ratedLimit(
    record?.limits.firstCapacitorFarads,
    document.supply?.transformer.highTension.unloadedRmsVoltsPerHalf ?? 0,
  );
  const part = nominal.expanded.parts.find((one) => one.id === document.supply?.rectifier.firstCapacitor);
  if (limit === undefined || part?.written.kind !== "capacitor") return [];
  const tolerance = part.written.tolerancePercent ?? USUAL_CAPACITOR_TOLERANCE;
  const value = valueOf("capacitance", part.written.value) * (1 + tolerance / 100);
  const found = against(judged, {
    rule: "rectifier-first-capacitor",
    where,
    what: `first capacitor ${part.written.value} + ${tolerance} %`,
    reading: { value, words: "at its upper tolerance", missing: [] },
    limit,
    unit: "F",
    houseFraction: 1,
  });
  return [{ ...found, where: id, id: `rectifier-first-capacitor/${id}` }];
}

function transformerAmps(judged: Judged): Finding {
  const rated = judged.document.supply?.transformer.highTension.ratedAmps ?? Number.NaN;
  const drawn = judged.nominal.supply?.loadAmps ?? Number.NaN;
  return finding({
    rule: "transformer-amps",
    where: "HT",
    level: !(drawn <= rated) ? "stop" : drawn > 0.9 * rated ? "watch" : "ok",
    title: `the high-tension winding gives ${say(drawn, "A")} dc of ${say(rated, "A")}`,
    value: drawn,
    limit: rated,
    unit: "A",
    sense: "below",
    condition: "running, mains nominal",
    source: "the transformer's rating, read as dc behind a capacitor",
  });
}

const written = (value: unknown): string => (typeof value === "string" ? value : "none");
