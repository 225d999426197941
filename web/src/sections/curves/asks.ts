/** What the Curves screen asks: the family of a tube, what the circuit makes of it, slopes, transfer, what to turn. */
import {
  dissipationLine,
  followCurrent,
  followLoad,
  gridCurrentRegion,
  plateCurves,
  publishedPoints,
  slopesWithBands,
  slopesAgainstCurrent,
  type SolvedDesign,
  stageCurves,
  stagesOf,
  transferCurve,
} from "@platewright/design";
import { type Catalogue, fail, nearestPreferred, ok, partCode, type Result, type Series } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { levelAt } from "../voicing/asks.ts";

interface Of {
  /** Expanded id: "L.V1a"; the first gain stage when left out. */
  readonly triode?: string;
}

export interface Picture {
  readonly upToPlateVolts: number;
  readonly upToPlateAmps: number;
}

/** Halves of the channels that are no twins of others, gain stages first. */
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

function sectionAt(bench: Bench, { triode }: Of): Result<{ solved: SolvedDesign; id: string }, string> {
  const now = bench.now();
  if (!now.ok) return now;
  const id = triode ?? sectionsOf(now.value)[0]?.id;
  return id === undefined ? fail("This design has no tube to draw.") : ok({ solved: now.value, id });
}

const roundUp = (value: number): number => {
  const decade = 10 ** Math.floor(Math.log10(value));
  return ([1, 1.5, 2, 3, 4, 5, 6, 8, 10].find((step) => step * decade >= value * 0.999) ?? 10) * decade;
};

/** Everything but the section itself: its limits and its maker's rows. */
function knownOf(solved: SolvedDesign, id: string, catalogue: Catalogue) {
  const section = solved.expanded.triodes.find((one) => one.id === id);
  const limit = (name: "plateWatts" | "plateVolts" | "cathodeAmps") => {
    const found = section === undefined ? undefined : catalogue.limit(section.type, name, section.variant);
    return found === undefined
      ? null
      : {
          value: found.value,
          trust: found.trust,
          source: catalogue.source(found.provenance.source)?.title ?? found.provenance.source,
        };
  };
  return { section, watts: limit("plateWatts"), volts: limit("plateVolts"), amps: limit("cathodeAmps") };
}

export const curvesAsks = {
  curvesSections: ask("live", (bench, _params: Record<string, never>) => {
    const now = bench.now();
    return now.ok ? ok(sectionsOf(now.value)) : now;
  }),
  /** The section as it stands and swings: what moves while a value is dragged. */
  curvesStage: ask("live", (bench, { triode, inputVolts }: Of & { readonly inputVolts: number }) => {
    const at = sectionAt(bench, triode === undefined ? {} : { triode });
    if (!at.ok) return at;
    const { solved, id } = at.value;
    const instance = id.slice(0, id.indexOf("."));
    const level = levelAt(solved, instance, inputVolts);
    const stage = stageCurves(solved, id, level.ok ? level.value : undefined);
    if (!stage.ok) return stage;
    const was = bench.ofProven(`stage ${id} ${inputVolts}`, () => {
      const proven = bench.proven();
      if (!proven.ok) return null;
      const then = levelAt(proven.value, instance, inputVolts);
      const before = stageCurves(proven.value, id, then.ok ? then.value : undefined);
      return before.ok
        ? { at: before.value.at, type: before.value.type, swing: ends(before.value.swing), dc: before.value.dc }
        : null;
    });
    const { at: point, dc, ac, swing, type } = stage.value;
    const known = knownOf(solved, id, bench.catalogue);
    const section = solved.expanded.triodes.find((one) => one.id === id);
    const roles = stagesOf(solved).find((one) => one.triode.id === id);
    const net = (name: string | undefined) =>
      name === undefined || name === "0" ? 0 : (solved.bias.netVolts.get(name) ?? 0);
    return ok({
      id,
      name: section?.part ?? id,
      type,
      role: roles?.role ?? "gain",
      point,
      dc,
      ac,
      swing:
        swing === undefined ? null : { ...endsOf(swing), plateVolts: swing.plateVolts, plateAmps: swing.plateAmps },
      was,
      known: { watts: known.watts, volts: known.volts, amps: known.amps },
      pins: { plate: net(section?.plate), cathode: net(section?.cathode) },
      setBy: roles?.cathodeResistors[0] ?? null,
      loadedBy: roles?.plateLoad ?? roles?.cathodeResistors.at(-1) ?? null,
      picture: {
        upToPlateVolts: roundUp(1.12 * Math.max(dc.openVolts, ac.openVolts, known.volts?.value ?? 0)),
        upToPlateAmps: roundUp(Math.max(2.6 * point.plateAmps, 1.1 * Math.max(...(swing?.plateAmps ?? [0])))),
      },
    });
  }),
  /** The family of curves, the maker's rows over it, limits: they change with the type alone. */
  curvesFamily: ask(
    "settled",
    (bench, { triode, picture }: Of & { readonly picture: Picture }) => {
      const at = sectionAt(bench, triode === undefined ? {} : { triode });
      if (!at.ok) return at;
      const { solved, id } = at.value;
      const section = solved.expanded.triodes.find((one) => one.id === id);
      const record = solved.laws.get(id);
      const tube = section === undefined ? undefined : bench.catalogue.tube(section.type);
      if (section === undefined || record === undefined || tube === undefined)
        return fail("This section has no law to draw.");
      const known = knownOf(solved, id, bench.catalogue);
      const was = bench.proven();
      const before = was.ok ? was.value.laws.get(id) : undefined;
      const beforeType = was.ok ? was.value.expanded.triodes.find((one) => one.id === id)?.type : undefined;
      const points = publishedPoints(tube, record.law, section.section).map((point, n) => ({
        ...point,
        id: `row-${n}`,
        title: bench.catalogue.source(point.source)?.title ?? point.source,
      }));
      const inside = points.filter(
        (point) => point.plateVolts <= picture.upToPlateVolts && point.plateAmps <= picture.upToPlateAmps,
      );
      const region = gridCurrentRegion(
        record.law,
        solved.bias.triodes.get(id)?.plateVolts ?? picture.upToPlateVolts / 2,
        picture.upToPlateVolts,
        picture.upToPlateAmps,
      );
      return ok({
        type: section.type,
        provenType: beforeType ?? null,
        curves: plateCurves({ law: record.law, ...picture }),
        provenCurves:
          before === undefined || beforeType === section.type ? [] : plateCurves({ law: before.law, ...picture }),
        points: inside,
        outside: points.length - inside.length,
        dissipation:
          known.watts === null
            ? null
            : {
                ...dissipationLine(known.watts.value, picture.upToPlateVolts, picture.upToPlateAmps),
                watts: known.watts.value,
              },
        plateVoltsLimit: known.volts?.value ?? null,
        region: region ?? null,
        law: {
          basis: record.basis,
          open: record.parameters.filter((one) => !one.determined).map((one) => one.name),
          h2BandDecibels: record.h2BandDecibels,
          worst: worstOf(record.residuals),
          rows: record.residuals.length,
          halves: record.spread.halvesCorrelation,
          strength: record.spread.lnG,
        },
      });
    },
    (bench) => [bench.kept.envelopes, bench.input.provenKey],
  ),
  /** mu, gm and rp against current with what the fit leaves open; and current against grid volts. */
  curvesSlopes: ask("settled", (bench, { triode, upToPlateAmps }: Of & { readonly upToPlateAmps: number }) => {
    const at = sectionAt(bench, triode === undefined ? {} : { triode });
    if (!at.ok) return at;
    const { solved, id } = at.value;
    const record = solved.laws.get(id);
    const bias = solved.bias.triodes.get(id);
    const stage = stageCurves(solved, id);
    if (record === undefined || bias === undefined) return fail("This section has no law to draw.");
    if (!stage.ok) return stage;
    const proven = bench.proven();
    const before = proven.ok ? proven.value.laws.get(id) : undefined;
    const was = proven.ok ? proven.value.bias.triodes.get(id) : undefined;
    const stand = ({ plateAmps, mu, siemens, plateOhms }: typeof bias) => ({ plateAmps, mu, siemens, plateOhms });
    const wasStage = proven.ok ? stageCurves(proven.value, id) : undefined;
    const transfer = (of: ReturnType<typeof stageCurves> | undefined) =>
      of?.ok === true
        ? { ...transferCurve(of.value), at: { gridVolts: of.value.at.gridVolts, plateAmps: of.value.at.plateAmps } }
        : null;
    return ok({
      plateVolts: bias.plateVolts,
      now: { ...slopesWithBands(record, bias.plateVolts, upToPlateAmps), at: stand(bias) },
      proven:
        before === undefined || was === undefined
          ? null
          : { ...slopesAgainstCurrent(before.law, was.plateVolts, upToPlateAmps), at: stand(was) },
      transfer: transfer(stage),
      provenTransfer: transfer(wasStage),
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
      const now = bench.now();
      if (!now.ok) return now;
      const stage = stageCurves(now.value, triode);
      if (!stage.ok) return stage;
      const found =
        plateAmps !== undefined
          ? followCurrent(now.value, bench.catalogue, triode, plateAmps)
          : followLoad(now.value, triode, stage.value.dc.ohms, loadOhms ?? stage.value.dc.ohms);
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

interface Ends {
  readonly inputVolts: number;
  readonly lowPlateVolts: number;
  readonly highPlateVolts: number;
  readonly peakGridVolts: number;
}

interface Swung {
  readonly inputVolts: number;
  readonly lowPlateVolts: number;
  readonly highPlateVolts: number;
  readonly gridVolts: readonly number[];
}

const endsOf = ({ inputVolts, lowPlateVolts, highPlateVolts, gridVolts }: Swung): Ends => ({
  inputVolts,
  lowPlateVolts,
  highPlateVolts,
  peakGridVolts: Math.max(...gridVolts),
});

const ends = (swing: Swung | undefined): Ends | null => (swing === undefined ? null : endsOf(swing));

function worstOf(
  residuals: readonly { readonly row: string; readonly published: number; readonly predicted: number }[],
) {
  const away = ({ published, predicted }: (typeof residuals)[number]) => Math.abs(predicted / published - 1);
  const worst = residuals.reduce<(typeof residuals)[number] | undefined>(
    (most, one) => (most === undefined || away(one) > away(most) ? one : most),
    undefined,
  );
  return worst === undefined ? null : { row: worst.row, share: away(worst) };
}
