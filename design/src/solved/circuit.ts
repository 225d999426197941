/** A document's parts as the engine takes them: laws and capacitances in, signal sources and loads at the jacks. */
import {
  type Capacitances,
  type Catalogue,
  fail,
  farads,
  type LawRecord,
  ohms,
  ok,
  type Part,
  parseValue,
  type Result,
  type TriodeLaw,
} from "@platewright/engine";
import { type Expanded, type ExpandedTriode, isBareTriode } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import type { Condition } from "./types.ts";

/** A section whose capacitances no source gives is solved with these, and a finding says so. */
export const ASSUMED_CAPACITANCES = { gridPlateFarads: 3e-12, gridCathodeFarads: 3e-12, plateCathodeFarads: 1e-12 };

/** A tube that draws nothing: its cathode is cold. Same nets, so the compiled circuit keeps its shape. */
const COLD: TriodeLaw = { space: { form: "three-halves", K: 0, mu: 1, p: 1.5 }, grid: { form: "none" } };

export const sourceId = (instance: string): string => `${instance}.signal`;

export interface CircuitParts {
  readonly parts: readonly Part[];
  /** Law of each triode in use, by triode id. */
  readonly laws: ReadonlyMap<string, LawRecord>;
}

export const lawOf = (catalogue: Catalogue, triode: ExpandedTriode): LawRecord | undefined =>
  catalogue.law(triode.type, triode.section) ?? catalogue.law(triode.type, 1);

export const capacitancesOf = (catalogue: Catalogue, triode: ExpandedTriode): Capacitances | undefined => {
  const known = catalogue.tube(triode.type)?.capacitances ?? [];
  return known[triode.section - 1] ?? known[0];
};

/** Parts for the engine; a sentence when a tube has no law or a target is not a value. */
export function circuitParts(
  document: Document,
  expanded: Expanded,
  catalogue: Catalogue,
  { tubes, absent = [] }: Pick<Condition, "tubes" | "absent">,
): Result<CircuitParts, string> {
  const { targets } = document;
  const sourceOhms = parseValue("resistance", targets.sourceOhms ?? "0", { zero: true });
  const loadOhms = parseValue("resistance", targets.loadOhms);
  const loadFarads = parseValue("capacitance", targets.loadFarads, { zero: true });
  const cableFarads = parseValue("capacitance", targets.cableFarads ?? "0", { zero: true });
  if (!sourceOhms.ok) return fail(`targets.sourceOhms: ${sourceOhms.failure.sentence}`);
  if (!loadOhms.ok) return fail(`targets.loadOhms: ${loadOhms.failure.sentence}`);
  if (!loadFarads.ok) return fail(`targets.loadFarads: ${loadFarads.failure.sentence}`);
  if (!cableFarads.ok) return fail(`targets.cableFarads: ${cableFarads.failure.sentence}`);
  const triodes = new Map(expanded.triodes.map((triode) => [triode.id, triode]));
  const laws = new Map<string, LawRecord>();
  const parts: Part[] = [];
  for (const { electrical } of expanded.parts) {
    if (!isBareTriode(electrical)) {
      parts.push(electrical);
      continue;
    }
    const triode = triodes.get(electrical.id);
    const law = triode === undefined ? undefined : lawOf(catalogue, triode);
    if (triode === undefined || law === undefined)
      return fail(
        `${electrical.id}: the library has no law for ${triode?.type ?? "its tube"}; nothing is solved with it.`,
      );
    laws.set(electrical.id, law);
    const capacitances = capacitancesOf(catalogue, triode) ?? ASSUMED_CAPACITANCES;
    parts.push({
      ...electrical,
      law: tubes === "cold" || absent.includes(triode.envelope) ? COLD : law.law,
      gridPlateFarads: farads(capacitances.gridPlateFarads),
      gridCathodeFarads: farads(capacitances.gridCathodeFarads),
      plateCathodeFarads: farads(capacitances.plateCathodeFarads),
    });
  }
  const acrossOutput = loadFarads.value + cableFarads.value;
  for (const { instance, inputNet, outputNet } of expanded.channels) {
    parts.push({
      kind: "ac-source",
      id: sourceId(instance),
      plus: inputNet,
      minus: "0",
      seriesOhms: ohms(sourceOhms.value),
    });
    parts.push({ kind: "resistor", id: `${instance}.load`, a: outputNet, b: "0", ohms: ohms(loadOhms.value) });
    if (acrossOutput > 0)
      parts.push({
        kind: "capacitor",
        id: `${instance}.load-farads`,
        a: outputNet,
        b: "0",
        farads: farads(acrossOutput),
      });
  }
  return ok({ parts, laws });
}
