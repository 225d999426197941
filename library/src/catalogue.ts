/**
 * The Catalogue over the data files, and over what the user adds: own tubes, own laws, or the copies that a frozen
 * revision keeps. An overlay's record replaces the library's record of the same type whole.
 */
import type { Catalogue, EffectiveLimit, LawRecord, LimitName, SourceDocument, TubeRecord } from "@platewright/engine";
import { DATA_CURVES, DATA_SOURCES, DATA_STAGES, DATA_TUBES } from "./data-files.ts";
import { fittedLaws } from "./laws.ts";
import { nearestTypes, plainName } from "./names.ts";
import { effectiveLimit } from "./ratings.ts";
import { readTube } from "./read-tube.ts";

export interface Overlay {
  readonly tubes?: readonly TubeRecord[];
  readonly laws?: readonly LawRecord[];
  readonly sources?: readonly SourceDocument[];
}

/** What a name stands for: the type whose record answers, and the version whose ratings count. */
interface Meaning {
  readonly type: string;
  readonly variant: string;
}

/** Versions of the library's types: plain name → version, and which version took over from which. */
const VARIANTS = new Map(DATA_TUBES.map((tube) => [tube.type, tube.variants ?? []]));

function meaningsOf(records: readonly TubeRecord[]): ReadonlyMap<string, Meaning> {
  const meanings = new Map<string, Meaning>();
  const learn = (name: string, meaning: Meaning): void => {
    if (!meanings.has(plainName(name))) meanings.set(plainName(name), meaning);
  };
  // Types first, so that no equivalent of one type hides another; versions before equivalents.
  for (const { type } of records) learn(type, { type, variant: type });
  for (const record of records) {
    // A rectifier's record holds the limits of one version, so the others ("5R4GY" beside 5R4GYB) do not stand for it.
    if (record.kind === "triode") {
      for (const version of VARIANTS.get(record.type) ?? [])
        for (const name of [version.name, ...version.names]) learn(name, { type: record.type, variant: version.name });
      for (const { variant } of record.ratings) learn(variant, { type: record.type, variant });
    }
    for (const { name, how } of record.equivalents)
      if (how === "same") learn(name, { type: record.type, variant: record.type });
  }
  return meanings;
}

/** Versions that `variant` superseded, directly or through another. */
function supersededBy(type: string, variant: string): readonly string[] {
  const earlier = (VARIANTS.get(type) ?? []).filter((one) => one.supersededBy === variant).map((one) => one.name);
  return [...earlier, ...earlier.flatMap((name) => supersededBy(type, name))];
}

/** Section 2 of a tube with unlike halves has a law of its own, stored as "6EM7/2". */
const lawKey = (type: string, section: 1 | 2): string => plainName(section === 1 ? type : `${type}2ndsection`);

export function openCatalogue(overlay: Overlay = {}): Catalogue {
  const own = overlay.tubes ?? [];
  const replaced = new Set(own.map((record) => plainName(record.type)));
  const records = [
    ...own,
    ...DATA_TUBES.filter((tube) => !replaced.has(plainName(tube.type))).map((tube) =>
      readTube(tube, DATA_CURVES, DATA_STAGES),
    ),
  ];
  const byType = new Map(records.map((record) => [record.type, record]));
  const meanings = meaningsOf(records);
  const names = records.flatMap((record): (readonly [string, string])[] => [
    [record.type, record.type],
    ...record.equivalents.map(({ name }): readonly [string, string] => [name, record.type]),
  ]);
  const laws = new Map(
    [...fittedLaws, ...(overlay.laws ?? [])].map((law) => {
      const [type = law.type, section] = law.type.split("/");
      return [lawKey(type, section === "2" ? 2 : 1), law] as const;
    }),
  );
  const sources = new Map([...DATA_SOURCES, ...(overlay.sources ?? [])].map((source) => [source.code, source]));

  const meaning = (name: string): Meaning | undefined => meanings.get(plainName(name));
  return {
    types: records.map((record) => record.type),
    tube: (name) => byType.get(meaning(name)?.type ?? ""),
    near: (name) => nearestTypes(name, names),
    law(name, section = 1) {
      const type = meaning(name)?.type;
      if (type === undefined) return undefined;
      return laws.get(lawKey(type, section)) ?? laws.get(lawKey(type, 1));
    },
    limit(name: string, limit: LimitName, variant?: string): EffectiveLimit | undefined {
      const asked = meaning(name);
      const record = asked === undefined ? undefined : byType.get(asked.type);
      if (asked === undefined || record === undefined) return undefined;
      // A variant that is no version of this type ("RCA clear top") says nothing of ratings.
      const named = variant === undefined ? undefined : meaning(variant);
      const counted = named?.type === asked.type ? named.variant : asked.variant;
      return effectiveLimit(record.ratings, limit, counted, supersededBy(asked.type, counted));
    },
    source: (code) => sources.get(code),
  };
}
