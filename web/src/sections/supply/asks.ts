/** What the Supply screen asks: the chain, every node and part in every condition, windings, time, hum, faults, wishes, iron. */
import {
  bleederFix,
  dropperFix,
  FAULT_ADVICE,
  heaterPlaces,
  humFix,
  mainsCycle,
  type NodeRow,
  nodeTable,
  readTransformerLabel,
  solveHum,
  type SolvedDesign,
  type StudyStage,
  type SupplyStudy,
  supplyChain,
  transformerFromLabel,
  transformerSentence,
  windingCircuit,
} from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";
import { ask, type Progress } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { courseOf, humOf, nominalOf, partRows, startUpOf, worstLoads } from "./answers.ts";
import { conditionHead, NO_SUPPLY } from "./words.ts";

type None = Record<string, never>;

/** The study so far as a stage needs it. */
function* studied(bench: Bench, stage: StudyStage): Generator<Progress<never>, Result<SupplyStudy, string>> {
  const study = yield* bench.studying(stage);
  if (!study.ok) return study;
  return study.value === undefined ? fail(NO_SUPPLY) : ok(study.value);
}

/** As it was, when the proven unit has a supply that could be studied. */
function provenStudied(bench: Bench): SupplyStudy | undefined {
  const study = bench.provenStudy();
  return study.ok ? study.value : undefined;
}

const solvedOrNothing = (answer: Result<SolvedDesign, string>): SolvedDesign | undefined =>
  answer.ok ? answer.value : undefined;

export const supplyAsks = {
  /** The chain from the mains to the tubes, running at nominal mains, now and proven. */
  supplyChain: ask("live", (bench, _params: None) => {
    const now = bench.now();
    if (!now.ok) return now;
    const chain = supplyChain(now.value);
    const proven = solvedOrNothing(bench.proven());
    return chain === undefined
      ? fail(NO_SUPPLY)
      : ok({ now: chain, was: proven === undefined ? null : (supplyChain(proven) ?? null) });
  }),
  /** The same in another condition. */
  supplyChainIn: ask("settled", function* (bench, { condition }: { readonly condition: string }) {
    const study = yield* studied(bench, condition.startsWith("lamp-") ? "lamp" : "conditions");
    if (!study.ok) return study;
    const here = study.value.solved.get(condition);
    const chain = here === undefined ? undefined : supplyChain(here, study.value.solved.get("nominal"));
    if (chain === undefined) return fail("This condition could not be solved, so nothing is shown for it.");
    const proven = provenStudied(bench);
    const then = proven?.solved.get(condition);
    return ok({
      now: chain,
      was: then === undefined ? null : (supplyChain(then, proven?.solved.get("nominal")) ?? null),
    });
  }),
  /** Loads, rectifier and power at nominal mains: quick, for a value that is being dragged. */
  supplyNominal: ask("live", (bench, _params: None) => {
    const now = bench.now();
    return now.ok ? nominalOf(now.value, solvedOrNothing(bench.proven()), bench.catalogue) : now;
  }),
  /** Nodes and rated parts in every condition. */
  supplyNodes: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "conditions");
    if (!study.ok) return study;
    const { conditions, rows } = nodeTable(study.value, bench.catalogue);
    const proven = provenStudied(bench);
    const was = proven === undefined ? undefined : nodeTable(proven, bench.provenCatalogue);
    const at = was?.conditions.findIndex((one) => one.id === "nominal") ?? -1;
    return ok({
      conditions: conditions.map(({ id, words }) => ({
        id,
        words,
        head: conditionHead(id),
        mainsWatts: study.value.rows.find((row) => row.condition.id === id)?.mainsWatts ?? 0,
      })),
      rows,
      /** Volts of the proven unit, nominal, by row. */
      was: wasVolts(was?.rows ?? [], at, proven?.solved.get("nominal")),
      parts: partRows(study.value),
      /** Parts with a value of their own, as against windings and bottles. */
      editable: (study.value.solved.get("nominal")?.expanded.parts ?? [])
        .filter((part) => part.kind === "resistor" || part.kind === "capacitor")
        .map((part) => part.id),
      unsolved: study.value.unsolved,
    });
  }),
  /** The worst of the conditions for each winding and the whole, and what they mean for fuse and copper. */
  supplyLoads: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "conditions");
    if (!study.ok) return study;
    const { mainsAmps, suggestedFuseAmps, copper } = study.value;
    const after = yield* studied(bench, "discharge");
    const surgeAmps = after.ok ? (after.value.surgeAmps ?? null) : null;
    return ok({
      worst: worstLoads(study.value),
      mainsAmps,
      suggestedFuseAmps,
      surgeAmps,
      copper: copper ?? null,
    });
  }),
  /** Volts at the pins in each condition of the mains; inrush; where each winding's reference stands in its window. */
  supplyHeaters: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "conditions");
    if (!study.ok) return study;
    const [now, conditions] = [bench.now(), bench.conditions()];
    if (!now.ok) return now;
    if (!conditions.ok) return conditions;
    const { document } = bench.input;
    const judged = { document, catalogue: bench.catalogue, nominal: now.value, conditions: conditions.value };
    return ok({
      conditions: (["mains-low", "nominal", "mains-high", "pulled"] as const).flatMap((id) => {
        const solved = study.value.solved.get(id);
        return solved === undefined ? [] : [{ id, head: conditionHead(id), windings: solved.heaters }];
      }),
      places: heaterPlaces(judged).map((one) => ({
        ...one,
        sources: [one.setLow, one.setHigh].map((edge) =>
          edge === undefined ? null : (bench.catalogue.source(edge.source)?.title ?? edge.source),
        ),
      })),
      was: provenStudied(bench)?.solved.get("nominal")?.heaters ?? [],
    });
  }),
  /** Volts from switching on with mains high, now and proven. */
  supplyStartUp: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "start-up");
    return study.ok ? ok(startUpOf(study.value, provenStudied(bench))) : study;
  }),
  /** One mains cycle at the first capacitor, nominal, now and proven. */
  supplyCycle: ask("settled", (bench, _params: None) => {
    const now = bench.now();
    if (!now.ok) return now;
    const proven = solvedOrNothing(bench.proven());
    const cycle = mainsCycle(now.value, bench.catalogue);
    const was = proven === undefined ? undefined : mainsCycle(proven, bench.provenCatalogue);
    return cycle.ok ? ok({ now: cycle.value, was: was?.ok === true ? was.value : null }) : cycle;
  }),
  /** Until no net stands above 60 V, from cold and from running. */
  supplyOff: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "discharge");
    if (!study.ok) return study;
    const proven = provenStudied(bench);
    return ok({
      cold: courseOf(study.value.discharge),
      hot: courseOf(study.value.dischargeHot),
      was: courseOf(proven?.discharge),
    });
  }),
  /** Hum lines, ripple, crosstalk and noise, with the level control at unity or as it is set. */
  supplyHum: ask("settled", function* (bench, { level }: { readonly level: "unity" | "as set" }) {
    const study = yield* studied(bench, "hum");
    if (!study.ok) return study;
    const proven = provenStudied(bench);
    const at = (of: SupplyStudy, catalogue: Bench["catalogue"]): Result<NonNullable<SupplyStudy["hum"]>, string> => {
      const nominal = of.solved.get("nominal");
      if (level === "unity" && of.hum !== undefined) return ok(of.hum);
      if (nominal === undefined || of.document.supply === undefined) return fail(NO_SUPPLY);
      return solveHum(of.document, of.document.supply, catalogue, nominal, { level });
    };
    const now = at(study.value, bench.catalogue);
    if (!now.ok) return now;
    const was = proven === undefined ? undefined : at(proven, bench.provenCatalogue);
    return ok(humOf(study.value, now.value, was?.ok === true ? was.value : undefined));
  }),
  /** First power behind a lamp: what the meter should read at each step. */
  supplyLamp: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "lamp");
    if (!study.ok) return study;
    const { rows, lamp } = study.value;
    const table = nodeTable(study.value, bench.catalogue);
    const nominal = study.value.solved.get("nominal");
    return ok({
      nodes: table.rows
        .filter((row) => row.kind !== "heater-cathode")
        .map((row) => {
          const net = netOf(row, nominal);
          return {
            id: row.id,
            words: row.words,
            volts: lamp.map((step) => rows.find((one) => one.condition.id === step.step)?.nodes[net]?.volts ?? null),
          };
        }),
      steps: lamp.map((step) => ({
        id: step.step,
        lampVolts: step.lampVolts,
        mainsAmps: step.mainsAmps,
        mainsWatts: rows.find((one) => one.condition.id === step.step)?.mainsWatts ?? 0,
      })),
    });
  }),
  /** Single faults, one after the other. */
  supplyFaults: ask("long", function* (bench, _params: None) {
    const study = yield* studied(bench, "faults");
    if (!study.ok) return study;
    return ok(
      study.value.faults.map(({ fault, burns, mainsAmps, fuse, outputVolts, unsolved }) => ({
        id: fault.id,
        words: fault.words,
        kind: fault.kind,
        advice: FAULT_ADVICE[fault.kind],
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
    "long",
    function* (bench, { what, value }: { readonly what: string; readonly value: number }) {
      const study = yield* studied(bench, "conditions");
      if (!study.ok) return study;
      const { catalogue } = bench;
      const { document } = study.value;
      const nominal = study.value.solved.get("nominal");
      const cold = study.value.solved.get("cold-mains-high");
      if (nominal === undefined || cold === undefined)
        return fail("The unit could not be solved, so no value is tried.");
      const fix =
        what === "hum"
          ? humFix(document, catalogue, nominal, value)
          : what === "discharge"
            ? bleederFix(document, catalogue, cold, value)
            : dropperFix(document, catalogue, nominal, what, value);
      return fix === undefined ? fail("No single preferred value does it.") : ok(fix);
    },
    (bench) => [bench.kept, bench.input.provenKey],
  ),
  /** The transformer as it is known: ranges, what was assumed, what is wanting. */
  supplyIron: ask("settled", function* (bench, _params: None) {
    const study = yield* studied(bench, "conditions");
    if (!study.ok) return study;
    const { transformer, copper, unsolved } = study.value;
    const wrong = unsolved.find((one) => one.words === "transformer")?.sentence;
    if (transformer === undefined) return fail(wrong ?? "The transformer could not be made out.");
    const { highTension } = transformer.transformer;
    return ok({
      knownBy: transformer.knownBy,
      ranges: transformer.ranges,
      highTension,
      estimates: transformer.estimates,
      copperFrom: transformer.copper.from,
      saleStop: transformer.saleStop,
      notes: transformer.notes,
      copper: copper ?? null,
    });
  }),
  /** A label read: the transformer that it would put in, with what is assumed. */
  supplyLabel: ask("live", ({ input: { document } }, { label }: { readonly label: string }) => {
    const { supply } = document;
    if (supply === undefined) return fail(NO_SUPPLY);
    const read = readTransformerLabel(label);
    if (!read.ok) return fail(transformerSentence(read.failure));
    const made = transformerFromLabel(read.value, {
      mainsVolts: supply.mains.volts,
      circuit: windingCircuit(supply),
    });
    return made.ok ? ok(made.value) : fail(transformerSentence(made.failure));
  }),
};

/** The net whose volts a row is about. */
function netOf(row: { readonly id: string; readonly kind: string }, nominal: SolvedDesign | undefined): string {
  const triode = nominal?.expanded.triodes.find((one) => row.id.startsWith(`${one.id}/`));
  return triode === undefined ? row.id : row.kind === "plate" ? triode.plate : triode.cathode;
}

/** Nominal volts of the proven unit by row; rows of its equal channels, which it shows once, under their own names too. */
function wasVolts(
  rows: readonly NodeRow[],
  at: number,
  proven: SolvedDesign | undefined,
): Readonly<Record<string, number | null>> {
  const twins = [...(proven?.expanded.equalTo ?? [])];
  return Object.fromEntries(
    rows.flatMap((row) => {
      const volts = row.readings[at]?.volts ?? null;
      const [instance = "", rest] = row.id.split(/\.(.*)/s);
      const others = rest === undefined ? [] : twins.filter(([, first]) => first === instance);
      return [[row.id, volts], ...others.map(([twin]) => [`${twin}.${rest}`, volts])];
    }),
  );
}
