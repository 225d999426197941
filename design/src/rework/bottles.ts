/** Bottles by their work: those that do the same in equal channels are changed together. */
import type { Catalogue } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";

/** Bottles that do the same work in equal channels go together; the rectifier is a group of its own. */
export interface BottleGroup {
  readonly kind: "signal" | "rectifier";
  readonly envelopes: readonly string[];
  readonly instances: readonly string[];
}

export function bottleGroups(document: Document, expanded: Expanded): readonly BottleGroup[] {
  const byWork = new Map<string, { kind: "signal" | "rectifier"; envelopes: string[]; instances: Set<string> }>();
  for (const envelope of document.envelopes) {
    const triodes = expanded.triodes.filter((triode) => triode.envelope === envelope.id);
    const rectifies = document.supply?.rectifier.envelope === envelope.id;
    if (triodes.length === 0 && !rectifies) continue;
    const blockOf = (instance: string) => document.instances.find((one) => one.id === instance)?.block ?? "";
    const work = rectifies
      ? `rectifier ${envelope.id}`
      : triodes
          .map((t) => `${blockOf(t.instance)}.${t.part}.${t.section}`)
          .sort()
          .join(" ");
    const group = byWork.get(work) ?? {
      kind: rectifies ? ("rectifier" as const) : ("signal" as const),
      envelopes: [],
      instances: new Set<string>(),
    };
    group.envelopes.push(envelope.id);
    for (const triode of triodes) group.instances.add(triode.instance);
    byWork.set(work, group);
  }
  return [...byWork.values()].map((group) => ({ ...group, instances: [...group.instances] }));
}

/** May this type be tried there at all? Double triodes for signal bottles, rectifiers for the rectifier's. */
export function suits(catalogue: Catalogue, type: string, group: BottleGroup): boolean {
  const record = catalogue.tube(type);
  if (record === undefined) return false;
  return group.kind === "rectifier" ? record.kind === "rectifier" : record.kind === "triode" && record.sections === 2;
}
