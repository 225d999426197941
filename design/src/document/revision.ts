/**
 * Revisions: the document with copies of the tube records, laws and limits it was solved with, and the engine's version.
 * A better fit or a corrected limit never alters a revision; what is newer is offered as differences.
 */
import {
  type Catalogue,
  type EffectiveLimit,
  fail,
  type Footprint,
  type Footprints,
  type LawRecord,
  type LimitName,
  ok,
  type Result,
  type TubeRecord,
} from "@platewright/engine";
import { same } from "./change.ts";
import type { DesignFile, Document, Revision } from "./schema.ts";

/** The version that solves; written into every revision. */
export const ENGINE_VERSION = "0.1.0";

const LIMIT_NAMES: readonly LimitName[] = [
  "plateVolts",
  "coldPlateVolts",
  "plateWatts",
  "plateWattsTogether",
  "cathodeAmps",
  "peakCathodeAmps",
  "cathodePositiveDcVolts",
  "cathodePositivePeakVolts",
  "cathodeNegativeDcVolts",
  "cathodeNegativePeakVolts",
  "gridNegativeVolts",
  "gridPositiveVolts",
  "gridOhmsFixedBias",
  "gridOhmsCathodeBias",
  "heaterCathodeOhms",
];

const limitKey = (type: string, name: LimitName, variant?: string): string =>
  `${variant === undefined ? type : `${type}/${variant}`} ${name}`;

/** Copies of everything the library said about the tubes of a document, and of the footprints that stand on its chassis. */
function freeze(document: Document, catalogue: Catalogue, footprints: Footprints | undefined): Revision["frozen"] {
  const tubes: Record<string, TubeRecord> = {};
  const laws: Record<string, LawRecord> = {};
  const limits: Record<string, EffectiveLimit> = {};
  for (const { type, variant } of document.envelopes) {
    const record = catalogue.tube(type);
    // Points and stage rows are what a fit needs, not what a unit needs; the law carries their residuals.
    if (record !== undefined) tubes[type] = { ...record, points: [], coupledStages: [] };
    for (const section of [1, 2] as const) {
      const law = catalogue.law(type, section);
      if (law !== undefined) laws[`${type}/${section}`] = law;
    }
    for (const name of LIMIT_NAMES) {
      const limit = catalogue.limit(type, name, variant);
      if (limit !== undefined) limits[limitKey(type, name, variant)] = limit;
    }
  }
  const standing: Record<string, Footprint> = {};
  for (const item of document.chassis?.items ?? []) {
    const one = footprints?.footprint(item.footprint);
    if (one !== undefined) standing[one.id] = one;
  }
  return plain({
    engineVersion: ENGINE_VERSION,
    tubes,
    laws,
    limits,
    ...(Object.keys(standing).length === 0 ? {} : { footprints: standing }),
  });
}

/** A copy that shares nothing, as it would come back from a file. */
const plain = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

/** Cuts a revision of the working document; refused when the id is taken. */
export function cutRevision(
  file: DesignFile,
  catalogue: Catalogue,
  ask: { readonly id: string; readonly note?: string; readonly cutOn?: string },
  footprints?: Footprints,
): Result<DesignFile, string> {
  if (file.revisions.some((one) => one.id === ask.id))
    return fail(`Revision ${ask.id} exists already; a revision never changes, take another name.`);
  const revision: Revision = { ...ask, document: plain(file.now), frozen: freeze(file.now, catalogue, footprints) };
  return ok({ ...file, revisions: [...file.revisions, revision] });
}

/** Makes a revision the one that all is compared with. */
export function pinProven(file: DesignFile, id: string): Result<DesignFile, string> {
  return file.revisions.some((one) => one.id === id)
    ? ok({ ...file, proven: id })
    : fail(`There is no revision ${id} to pin.`);
}

/** Whether two documents say the same; the order of their fields does not count. */
export const sameDocument = (one: Document, other: Document): boolean => same(one, other);

export const provenRevision = (file: Pick<DesignFile, "revisions" | "proven">): Revision | undefined =>
  file.revisions.find((one) => one.id === file.proven);

/** The catalogue as it was when the revision was cut; types it did not hold are answered by `present`. */
export function frozenCatalogue(revision: Revision, present: Catalogue): Catalogue {
  const { tubes, laws, limits } = revision.frozen;
  const held = (type: string) => Object.hasOwn(tubes, type);
  return {
    ...present,
    tube: (name) => (held(name) ? (tubes[name] as TubeRecord) : present.tube(name)),
    law: (type, section = 1) =>
      held(type) ? (laws[`${type}/${section}`] as LawRecord | undefined) : present.law(type, section),
    limit: (type, name, variant) =>
      held(type) && limits !== undefined
        ? (limits[limitKey(type, name, variant)] as EffectiveLimit | undefined)
        : present.limit(type, name, variant),
  };
}

/** The footprints as they were when the revision was cut; those that it did not hold are answered by `present`. */
export function frozenFootprints(revision: Revision, present: Footprints): Footprints {
  const held = new Map(Object.entries(revision.frozen.footprints ?? {}) as [string, Footprint][]);
  return {
    all: [...held.values(), ...present.all.filter((one) => !held.has(one.id))],
    footprint: (id) => held.get(id) ?? present.footprint(id),
  };
}

export interface NewerData {
  readonly type: string;
  readonly what: "law" | "limit";
  readonly name: string;
  readonly frozen: unknown;
  readonly present: unknown;
}

/** What the library says differently today about the tubes of a revision. */
export function newerData(revision: Revision, present: Catalogue): readonly NewerData[] {
  const then = frozenCatalogue(revision, present);
  const found: NewerData[] = [];
  const seen = new Set<string>();
  for (const { type, variant } of revision.document.envelopes) {
    if (seen.has(`${type} ${variant ?? ""}`)) continue;
    seen.add(`${type} ${variant ?? ""}`);
    for (const section of [1, 2] as const) {
      const [was, is] = [then.law(type, section)?.law, present.law(type, section)?.law];
      if (!same(plain(was ?? null), plain(is ?? null)))
        found.push({ type, what: "law", name: `section ${section}`, frozen: was, present: is });
    }
    for (const name of LIMIT_NAMES) {
      const [was, is] = [then.limit(type, name, variant)?.value, present.limit(type, name, variant)?.value];
      if (was !== is) found.push({ type, what: "limit", name, frozen: was, present: is });
    }
  }
  return found;
}
