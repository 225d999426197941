/**
 * What the Circuit screen asks. The drawing's places stand on the structure alone and are sent again only when that changes;
 * what is said in them moves with every value in hand; what takes longer follows when the hand has rested.
 */
import {
  type ChannelFigures,
  circuitSwitches,
  type Document,
  type Expanded,
  expand,
  type ExpandedPart,
  findingsOfPart,
  neighbourFigures,
  partRoles,
  partSensitivities,
  plateCurves,
  signalLevels,
  solveDesign,
  type SolvedDesign,
  stageCurves,
  stagesOf,
} from "@platewright/design";
import {
  fittedLayout,
  netsWithVolts,
  schematicFacts,
  type SchematicFacts,
  schematicStructure,
  withProven,
} from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { type PartFacts, partFacts } from "./part-facts.ts";
import { type Step, stepsOf } from "./steps.ts";

/** The drawing's sheet: an instance, and how wide it may be. */
interface Sheet {
  readonly instance: string;
  /** Millimetres. */
  readonly width: number;
}

interface At {
  readonly instance: string;
  readonly levelVolts: number;
}

/** What stands on the kept unit. */
const kept = (bench: Bench) => [bench.kept, bench.input.provenKey];

function expanded(document: Document): Result<Expanded, string> {
  const all = expand(document);
  return all.ok ? all : fail(all.failure.sentence);
}

/** The structure of every instance, or what is wrong with it: what drawings stand on. */
function structureOf(bench: Bench): string {
  const { document } = bench.input;
  const all = expanded(document);
  if (!all.ok) return all.failure;
  return document.instances
    .map(({ id }) =>
      all.value.parts.some((part) => part.instance === id)
        ? schematicStructure(all.value, { channel: id, document, was: bench.input.proven !== undefined })
        : id,
    )
    .join("\n");
}

const solvedOrNot = (answer: Result<SolvedDesign, string>): SolvedDesign | undefined =>
  answer.ok ? answer.value : undefined;

export const circuitAsks = {
  /** Where everything stands, at the largest scale that the width holds. */
  circuitLayout: ask(
    "live",
    (bench, { instance, width }: Sheet) => {
      // The window is not measured yet.
      if (width === 0) return ok(null);
      const { document } = bench.input;
      const all = expanded(document);
      if (!all.ok) return all;
      if (!all.value.parts.some((part) => part.instance === instance)) return fail(`There is no ${instance} here.`);
      const now = solvedOrNot(bench.now());
      const facts = schematicFacts(all.value, now);
      return ok(
        fittedLayout(
          all.value,
          {
            channel: instance,
            document,
            was: bench.input.proven !== undefined,
            ...(now === undefined ? {} : { volts: netsWithVolts(facts) }),
          },
          width,
        ),
      );
    },
    (bench) => [structureOf(bench), bench.input.provenKey],
    true,
  ),
  /** Values, volts and currents of an instance, with those of the proven unit that say something else. */
  circuitFacts: ask("live", (bench, { instance }: { readonly instance: string }) => factsOf(bench, instance)),
  /** The fundamental at nets of a channel for one level at its jack, rms, and as the proven unit has it. */
  circuitSignal: ask("live", (bench, { instance, levelVolts, nets }: At & { readonly nets: readonly string[] }) => {
    if (nets.length === 0) return ok(null);
    const now = bench.now();
    if (!now.ok) return now;
    const levels = signalLevels(now.value, instance, levelVolts, nets);
    if (!levels.ok) return levels;
    const before = bench.input.proven === undefined ? undefined : solvedOrNot(bench.proven());
    const was =
      before === undefined
        ? undefined
        : signalLevels(
            before,
            instance,
            levelVolts,
            nets.filter((net) => before.bias.netVolts.has(net)),
          );
    return ok({
      now: Object.fromEntries(levels.value.netVolts),
      was: was?.ok === true ? Object.fromEntries(was.value.netVolts) : null,
      h2Ratio: levels.value.h2Ratio,
      wasH2Ratio: was?.ok === true ? was.value.h2Ratio : null,
    });
  }),
  /** Every part of an instance: what it does there, its rating, how near it is to that. */
  circuitParts: ask("settled", (bench, { instance }: { readonly instance: string }) => {
    const now = bench.now();
    if (!now.ok) return now;
    const roles = partRoles(now.value);
    const was = new Map((solvedOrNot(bench.proven())?.expanded.parts ?? []).map((part) => [part.id, part]));
    return ok(
      now.value.expanded.parts
        .filter((part) => part.instance === instance)
        .map((part): PartFacts => partFacts(now.value, bench.catalogue, part, roles.get(part.id), was.get(part.id))),
    );
  }),
  /** One part a step up and a step down, each solved whole; what is asked of it in every condition. */
  circuitPart: ask("settled", (bench, params: At & PartAt) => partOf(bench, params)),
  /** What a step of each part moves, first order, the most first. */
  circuitMatters: ask("settled", (bench, { instance, levelVolts }: At) => {
    const now = bench.now();
    if (!now.ok) return now;
    const found = partSensitivities(now.value, { channel: instance, levelVolts, catalogue: bench.catalogue });
    if (!found.ok) return found;
    return ok(
      found.value.rows
        .filter((row) => row.step !== null)
        .slice(0, MATTER)
        .map(({ id, part, instance: owner, label, step }) => ({ id, part, instance: owner, label, step })),
    );
  }),
  /** Ways in which the stages can be built, each as an edit of what is kept. */
  circuitSwitches: ask(
    "settled",
    (bench, { instance }: { readonly instance: string }) => {
      const solved = bench.input.document === bench.kept ? bench.now() : solveKept(bench);
      if (!solved.ok) return solved;
      return ok(
        circuitSwitches({
          solved: solved.value,
          catalogue: bench.catalogue,
          instance,
          ...(bench.input.proven === undefined ? {} : { reference: bench.provenDocument }),
        }),
      );
    },
    kept,
  ),
  /** A section's plate curves, load line and operating point, small. */
  circuitStage: ask("settled", (bench, { triode }: { readonly triode: string }) => stageOf(bench, triode)),
};

/** Rows of what matters most. */
const MATTER = 7;

function solveKept(bench: Bench): Result<SolvedDesign, string> {
  const solved = solveDesign(bench.kept, bench.catalogue, { detail: "bias" });
  return solved.ok ? solved : fail(solved.failure.sentence);
}

export interface FactsAnswer {
  readonly facts: SchematicFacts;
  /** "running, mains nominal"; null: not solved, and why. */
  readonly condition: string | null;
  readonly failure: string | null;
}

function factsOf(bench: Bench, instance: string): Result<FactsAnswer, string> {
  const all = expanded(bench.input.document);
  if (!all.ok) return all;
  const now = bench.now();
  const solved = solvedOrNot(now);
  const own = ofInstance(schematicFacts(all.value, solved), all.value, instance);
  const before = bench.input.proven === undefined ? undefined : solvedOrNot(bench.proven());
  const facts = before === undefined ? own : withProven(own, schematicFacts(before.expanded, before));
  return ok({
    facts,
    condition: solved?.condition.words ?? null,
    failure: now.ok ? null : now.failure,
  });
}

/** Only what the drawing of one instance says: less to copy with every edit. */
function ofInstance(facts: SchematicFacts, { parts }: Expanded, instance: string): SchematicFacts {
  const mine = parts.filter((part) => part.instance === instance);
  const ids = new Set(mine.map(({ id }) => id));
  const nets = new Set(mine.flatMap(({ written }) => Object.values<string>(written.pins)));
  const only = <T>(record: Readonly<Record<string, T>>, wanted: ReadonlySet<string>) =>
    Object.fromEntries(Object.entries(record).filter(([key]) => wanted.has(key)));
  return {
    values: only(facts.values, ids),
    settings: only(facts.settings, ids),
    currents: only(facts.currents, ids),
    volts: only(facts.volts, nets),
  };
}

export interface PartAt {
  /** Expanded id. */
  readonly id: string;
  /** Equal channels all together, or this one alone. */
  readonly instances: readonly string[];
  readonly series: "E12" | "E24";
}

export interface StepAnswer extends Step {
  readonly figures: ChannelFigures | null;
  readonly failure: string | null;
}

function partOf(bench: Bench, { id, instance, instances, series, levelVolts }: At & PartAt) {
  const now = bench.now();
  if (!now.ok) return now;
  const part = now.value.expanded.parts.find((one) => one.id === id);
  if (part === undefined) return fail(`There is no ${id} any more.`);
  const { document } = bench.input;
  // A supply's parts are judged by what they do to the first channel.
  const channel =
    now.value.expanded.channels.find((one) => one.instance === instance) ?? now.value.expanded.channels[0];
  const steps = stepsOf(part, series);
  const near = now.value;
  const figures =
    channel === undefined
      ? undefined
      : neighbourFigures(
          {
            document,
            catalogue: bench.catalogue,
            near,
            channel: channel.instance,
            levelVolts,
            instances,
            part: part.written.id,
          },
          steps.map(({ edit }) => edit),
        );
  return ok({
    id,
    channel: channel?.instance ?? null,
    now: figures?.ok === true ? figures.value.now : null,
    steps: steps.map((step, n): StepAnswer => {
      const after = figures?.ok === true ? figures.value.after[n] : undefined;
      return {
        ...step,
        figures: after?.ok === true ? after.value : null,
        failure: after?.ok === false ? after.failure : null,
      };
    }),
    asked: askedOf(bench, near, part),
  });
}

/** What is asked of a resistor or capacitor in every condition that is solved, worst first. */
function askedOf(bench: Bench, nominal: SolvedDesign, part: ExpandedPart) {
  const study = bench.study();
  const solved = study.ok && study.value !== undefined ? [...study.value.solved.values()] : [nominal];
  const judged = solved.filter(({ condition }) => JUDGED.has(condition.id));
  return findingsOfPart(
    {
      document: bench.input.document,
      catalogue: bench.catalogue,
      nominal,
      conditions: judged.length > 0 ? judged : [nominal],
    },
    part,
  ).map(({ id, rule, level, title, value, limit, unit, condition, source }) => ({
    id,
    rule,
    level,
    title,
    value,
    limit,
    unit,
    condition,
    source,
  }));
}

const JUDGED: ReadonlySet<string> = new Set(["nominal", "mains-low", "mains-high", "cold", "cold-mains-high"]);

/** Points of a small curve. */
const EVERY = 8;

function stageOf(bench: Bench, triode: string) {
  const now = bench.now();
  if (!now.ok) return now;
  const stage = stageCurves(now.value, triode);
  if (!stage.ok) return stage;
  const { at, dc, law, type } = stage.value;
  const before = bench.input.proven === undefined ? undefined : solvedOrNot(bench.proven());
  const was = before?.bias.triodes.get(triode);
  const limit = bench.catalogue.limit(type, "plateWatts");
  const upToPlateVolts = 1.05 * Math.min(Math.max(dc.openVolts, 1.2 * at.plateVolts), 3 * at.plateVolts);
  const upToPlateAmps = 2.2 * at.plateAmps;
  const curves = plateCurves({ law, upToPlateVolts, upToPlateAmps });
  const role = stagesOf(now.value).find((one) => one.triode.id === triode)?.role ?? "gain";
  return ok({
    triode,
    name: triode.slice(triode.indexOf(".") + 1),
    role,
    upToPlateVolts,
    upToPlateAmps,
    curves: curves.map(({ gridVolts, plateVolts, plateAmps }) => ({
      gridVolts,
      plateVolts: plateVolts.filter((_, n) => n % EVERY === 0),
      plateAmps: plateAmps.filter((_, n) => n % EVERY === 0),
    })),
    dc: { openVolts: dc.openVolts, shortAmps: dc.shortAmps },
    at: { plateVolts: at.plateVolts, plateAmps: at.plateAmps },
    was: was === undefined ? null : { plateVolts: was.plateVolts, plateAmps: was.plateAmps },
    limitWatts: limit?.value ?? null,
  });
}
