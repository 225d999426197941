/**
 * What the Curves screen asks. Apart by how often it changes: the section as it stands moves with every value in hand
 * (live, no signal solved but the one swing), the family of curves with the type alone, what the data leaves open only when
 * an edit is kept.
 */
import {
  dissipationLine,
  followLoad,
  followPoint,
  gridCurrentRegion,
  levelAt,
  plateCurves,
  publishedPoints,
  sectionGain,
  slopesAgainstCurrent,
  slopesWithBands,
  type SolvedDesign,
  type Stage,
  type StageCurves,
  stageCurves,
  stagesOf,
  transferCurve,
  undetermined,
} from "@platewright/design";
import { type Catalogue, fail, nearestPreferred, ok, partCode, type Result, type Series } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { type Picture, picturesOf } from "./picture.ts";

interface Of {
  /** Expanded id: "L.V1a"; the first gain stage when left out. */
  readonly triode?: string;
}

/** A current that a drag asks for need not be nearer than this: it is rounded to a preferred value anyhow. */
const DRAG_REACHED = 3e-3;

/** Points of a transfer curve: it is drawn small. */
const TRANSFER_POINTS = 48;

/** Halves of the channels that are no twins of others. */
function sectionsOf(solved: SolvedDesign) {
  const twins = new Set(solved.expanded.equalTo.keys());
  return stagesOf(solved)
    .filter(({ triode }) => !twins.has(triode.instance))
    .map(({ triode, role }) => ({
      id: triode.id,
      name: triode.part,
      role,
      type: triode.type,
      envelope: triode.envelope,
    }));
}

interface At {
  readonly solved: SolvedDesign;
  readonly stage: Stage;
  readonly curves: StageCurves;
}

function sectionAt(bench: Bench, { triode }: Of): Result<At, string> {
  const now = bench.standing();
  if (!now.ok) return now;
  const id = triode ?? sectionsOf(now.value)[0]?.id;
  if (id === undefined) return fail("This design has no tube to draw.");
  return standsAt(now.value, id);
}

function standsAt(solved: SolvedDesign, id: string): Result<At, string> {
  const stage = stagesOf(solved).find((one) => one.triode.id === id);
  if (stage === undefined) return fail(`${id} is no section of this design.`);
  const curves = stageCurves(solved, id);
  return curves.ok ? ok({ solved, stage, curves: curves.value }) : curves;
}

const LIMITS = ["plateVolts", "plateWatts", "cathodeAmps"] as const;

/** A limit with what it is worth and where it stands; null when no source gives one. */
function limitsOf({ triode }: Stage, catalogue: Catalogue) {
  const of = (name: (typeof LIMITS)[number]) => {
    const found = catalogue.limit(triode.type, name, triode.variant);
    if (found === undefined) return null;
    const { value, trust, system, provenance } = found;
    const title = catalogue.source(provenance.source)?.title ?? provenance.source;
    return {
      value,
      trust,
      source: `${provenance.status}, ${title}; ${system === "unknown" ? "rating system not stated" : system}`,
    };
  };
  return { plateVolts: of("plateVolts"), plateWatts: of("plateWatts"), cathodeAmps: of("cathodeAmps") };
}

/** Volts of the section's electrodes to ground, with the pin where a meter finds them. */
function pinsOf(solved: SolvedDesign, { triode }: Stage, catalogue: Catalogue) {
  const base = catalogue.tube(triode.type)?.bases[0];
  return (["plate", "grid", "cathode"] as const).map((electrode) => ({
    electrode,
    pin:
      Object.entries(base?.pins ?? {}).find(
        ([, role]) => role.kind === electrode && role.section === triode.section,
      )?.[0] ?? null,
    volts: triode[electrode] === "0" ? 0 : (solved.bias.netVolts.get(triode[electrode]) ?? 0),
  }));
}

function swingOf({ solved, stage }: At, inputVolts: number) {
  const level = levelAt(solved, stage.triode.instance, inputVolts);
  const swung = level.ok ? stageCurves(solved, stage.triode.id, level.value) : undefined;
  const swing = swung?.ok === true ? swung.value.swing : undefined;
  if (swing === undefined) return null;
  const { plateVolts, plateAmps, gridVolts, lowPlateVolts, highPlateVolts } = swing;
  return { inputVolts, plateVolts, plateAmps, lowPlateVolts, highPlateVolts, peakGridVolts: Math.max(...gridVolts) };
}

function gainOf({ solved, stage }: At): number | null {
  const gain = sectionGain(solved, stage.triode.id);
  return gain.ok ? gain.value : null;
}

/** The part that a drag turns, as it stands in the document. */
function turned(solved: SolvedDesign, id: string | undefined) {
  const part = solved.expanded.parts.find((one) => one.id === id);
  if (id === undefined || part?.electrical.kind !== "resistor") return null;
  const dot = id.indexOf(".");
  return { instance: id.slice(0, dot), part: id.slice(dot + 1), ohms: part.electrical.ohms };
}

/** The same section of the proven unit; null when it has none of that name. */
function provenAt(bench: Bench, id: string): At | null {
  return bench.ofProven(`curves at ${id}`, () => {
    const proven = bench.proven();
    const at = proven.ok ? standsAt(proven.value, id) : undefined;
    return at?.ok === true ? at.value : null;
  });
}

const publishedOf = (catalogue: Catalogue, type: string, law: StageCurves["law"], section: 1 | 2) => {
  const tube = catalogue.tube(type);
  return tube === undefined ? [] : publishedPoints(tube, law, section);
};

export const curvesAsks = {
  curvesSections: ask("live", (bench, _params: Record<string, never>) => {
    const now = bench.standing();
    return now.ok ? ok(sectionsOf(now.value)) : now;
  }),
  /** The section as it stands and swings: what moves while a value is dragged. */
  curvesStage: ask("live", (bench, { triode, inputVolts }: Of & { readonly inputVolts: number }) => {
    const at = sectionAt(bench, triode === undefined ? {} : { triode });
    if (!at.ok) return at;
    const { solved, stage, curves } = at.value;
    const { at: point, dc, ac, type, law } = curves;
    const swing = swingOf(at.value, inputVolts);
    const limits = limitsOf(stage, bench.catalogue);
    const was = bench.ofProven(`curves ${stage.triode.id} ${inputVolts}`, () => {
      const before = provenAt(bench, stage.triode.id);
      if (before === null) return null;
      const pins = pinsOf(before.solved, before.stage, bench.provenCatalogue);
      return {
        point: before.curves.at,
        type: before.curves.type,
        dc: before.curves.dc,
        swing: swingOf(before, inputVolts),
        gain: gainOf(before),
        pins,
        setBy: turned(before.solved, before.stage.cathodeResistors[0]),
      };
    });
    return ok({
      id: stage.triode.id,
      name: stage.triode.part,
      type,
      role: stage.role,
      point,
      dc,
      ac,
      swing,
      gain: gainOf(at.value),
      was,
      limits,
      pins: pinsOf(solved, stage, bench.catalogue),
      setBy: turned(solved, stage.cathodeResistors[0]),
      loadedBy: turned(solved, stage.plateLoad ?? stage.cathodeResistors.at(-1)),
      pictures: picturesOf({
        plateVolts: Math.max(point.plateVolts, was?.point.plateVolts ?? 0),
        plateAmps: Math.max(point.plateAmps, was?.point.plateAmps ?? 0),
        openVolts: [dc.openVolts, ac.openVolts],
        swingAmps: swing?.plateAmps ?? [],
        limitVolts: limits.plateVolts?.value,
        limitAmps: limits.cathodeAmps?.value,
        published: publishedOf(bench.catalogue, type, law, stage.triode.section),
      }),
    });
  }),
  /** The family of curves, the maker's rows over it, limits: they change with type and picture alone, which `key` tells. */
  curvesFamily: ask("settled", (bench, { triode, picture }: Of & { readonly picture: Picture }) => {
    const at = sectionAt(bench, triode === undefined ? {} : { triode });
    if (!at.ok) return at;
    const { stage, curves } = at.value;
    const { type, law } = curves;
    const { section, variant } = stage.triode;
    const key = JSON.stringify([stage.triode.id, type, variant, section, law, picture]);
    // Kept while the proven unit stays, as that is what is drawn behind.
    return bench.ofProven(key, () => {
      const limits = limitsOf(stage, bench.catalogue);
      const before = provenAt(bench, stage.triode.id)?.curves;
      const points = publishedOf(bench.catalogue, type, law, section)
        .map((point, n) => ({
          ...point,
          id: `row-${n}`,
          title: bench.catalogue.source(point.source)?.title ?? point.source,
        }))
        .sort((a, b) => b.gridVolts - a.gridVolts || a.plateVolts - b.plateVolts);
      const inside = points.filter(
        (point) => point.plateVolts <= picture.upToPlateVolts && point.plateAmps <= picture.upToPlateAmps,
      );
      const { upToPlateVolts, upToPlateAmps } = picture;
      return ok({
        key: `${bench.input.provenKey} ${key}`,
        picture,
        type,
        curves: plateCurves({ law, ...picture }),
        provenType: before?.type ?? null,
        provenCurves: before === undefined || before.type === type ? [] : plateCurves({ law: before.law, ...picture }),
        points: inside,
        outside: points.length - inside.length,
        dissipation:
          limits.plateWatts === null
            ? null
            : {
                ...dissipationLine(limits.plateWatts.value, upToPlateVolts, upToPlateAmps),
                watts: limits.plateWatts.value,
              },
        plateVoltsLimit: limits.plateVolts?.value ?? null,
        cathodeAmpsLimit: limits.cathodeAmps?.value ?? null,
        region: gridCurrentRegion(law, upToPlateVolts / 3, upToPlateVolts, upToPlateAmps) ?? null,
      });
    });
  }),
  /** What the rows of this type leave open, and which one reading would help: solved through the circuit, once per edit kept. */
  curvesOpen: ask(
    "settled",
    (bench, { triode, inputVolts }: Of & { readonly inputVolts: number }) => {
      const at = sectionAt(bench, triode === undefined ? {} : { triode });
      if (!at.ok) return at;
      const { solved, stage, curves } = at.value;
      const record = solved.laws.get(stage.triode.id);
      if (record === undefined) return fail("This section has no law.");
      const limits = limitsOf(stage, bench.catalogue);
      const open = undetermined(solved, stage.triode.id, inputVolts, {
        ...(limits.plateWatts === null ? {} : { watts: limits.plateWatts.value }),
        ...(limits.plateVolts === null ? {} : { volts: limits.plateVolts.value }),
      });
      return ok({
        type: curves.type,
        basis: record.basis,
        rows: new Set(record.residuals.map((one) => `${one.source} ${one.row}`)).size,
        worst: worstOf(record.residuals, curves.type, bench.catalogue),
        open: open.ok ? open.value.parameters : [],
        gainDecibels: open.ok ? open.value.gainDecibels : null,
        h2BandDecibels: record.h2BandDecibels,
        strength: record.spread.lnG,
        halves: record.spread.halvesCorrelation,
        gridRule: record.law.grid.form !== "none",
        inputVolts,
      });
    },
    (bench) => [bench.kept, bench.input.provenKey],
  ),
  /** mu, gm and rp against current with what the fit leaves open; and current against grid volts. */
  curvesSlopes: ask("settled", (bench, { triode, upToPlateAmps }: Of & { readonly upToPlateAmps: number }) => {
    const at = sectionAt(bench, triode === undefined ? {} : { triode });
    if (!at.ok) return at;
    const { solved, stage, curves } = at.value;
    const id = stage.triode.id;
    const record = solved.laws.get(id);
    const bias = solved.bias.triodes.get(id);
    if (record === undefined || bias === undefined) return fail("This section has no law to draw.");
    const stands = ({ plateAmps, mu, siemens, plateOhms }: typeof bias) => ({ plateAmps, mu, siemens, plateOhms });
    const transfer = (of: StageCurves) => ({
      ...transferCurve(of, TRANSFER_POINTS),
      at: { gridVolts: of.at.gridVolts, plateAmps: of.at.plateAmps },
    });
    const amps = publishedOf(bench.catalogue, curves.type, curves.law, stage.triode.section).map(
      (point) => point.plateAmps,
    );
    return ok({
      plateVolts: bias.plateVolts,
      now: { ...slopesWithBands(record, bias.plateVolts, upToPlateAmps), at: stands(bias) },
      /** Currents between which rows were published; beyond, the law is on its own. */
      rows: amps.length === 0 ? null : { fromAmps: Math.min(...amps), toAmps: Math.max(...amps) },
      transfer: transfer(curves),
      proven: bench.ofProven(`slopes ${id} ${upToPlateAmps}`, () => {
        const before = provenAt(bench, id);
        const stood = before?.solved.bias.triodes.get(id);
        if (before === null || stood === undefined) return null;
        const { law, at: point } = before.curves;
        return {
          slopes: { ...slopesAgainstCurrent(law, point.plateVolts, upToPlateAmps), at: stands(stood) },
          transfer: transfer(before.curves),
        };
      }),
    });
  }),
  /** The value that brings the section to a current, or its load line to a slope: written as it would be bought. */
  curvesFollow: ask(
    "live",
    (
      bench,
      {
        triode,
        plateAmps,
        loadOhms,
        series,
      }: { readonly triode: string; readonly plateAmps?: number; readonly loadOhms?: number; readonly series: Series },
    ) => {
      const now = bench.standing();
      if (!now.ok) return now;
      const found =
        plateAmps !== undefined
          ? followPoint(now.value, bench.catalogue, triode, { plateAmps }, DRAG_REACHED)
          : loadOhms !== undefined
            ? followLoad(now.value, bench.catalogue, triode, loadOhms, DRAG_REACHED)
            : fail("Neither a current nor a load line was asked for.");
      if (!found.ok) return found;
      const { part, ohms } = found.value;
      const dot = part.indexOf(".");
      return ok({
        instance: part.slice(0, dot),
        part: part.slice(dot + 1),
        value: partCode(nearestPreferred(series, ohms), "resistance"),
        exactOhms: ohms,
      });
    },
  ),
};

/** The row that the law misses most, cut-off and bounds apart, with the quantity in words. */
function worstOf(
  residuals: readonly {
    readonly row: string;
    readonly quantity: string;
    readonly published: number;
    readonly predicted: number;
    readonly source: string;
  }[],
  type: string,
  catalogue: Catalogue,
) {
  // At cut-off a share says nothing: a sheet means "next to no current" there, and a maximum is a bound.
  const apart = new Set(
    (catalogue.tube(type)?.points ?? []).flatMap(({ reading, plateVolts, gridVolts }) =>
      reading === "cut-off" || reading === "maximum" ? [`${plateVolts} V, ${gridVolts} V`] : [],
    ),
  );
  const away = ({ published, predicted }: (typeof residuals)[number]) => Math.abs(predicted / published - 1);
  const worst = residuals
    .filter(({ row }) => !apart.has(row))
    .reduce<(typeof residuals)[number] | undefined>(
      (most, one) => (most === undefined || away(one) > away(most) ? one : most),
      undefined,
    );
  return worst === undefined
    ? null
    : {
        row: worst.row,
        quantity: QUANTITY_WORDS[worst.quantity] ?? worst.quantity,
        share: worst.predicted / worst.published - 1,
        title: catalogue.source(worst.source)?.title ?? worst.source,
      };
}

const QUANTITY_WORDS: Readonly<Record<string, string>> = {
  plateAmps: "plate current",
  siemens: "gm",
  plateOhms: "rp",
  mu: "mu",
  gain: "gain",
};
