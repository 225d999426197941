/** Edits of a design as Changes with the words the builder reads in the header and in the history. */
import {
  type Change,
  diffDocuments,
  type Document,
  type DocumentPart,
  expand,
  type PartEdit,
  QUANTITY_OF,
  setPart,
} from "@platewright/design";
import type { Quantity } from "@platewright/engine";

export interface Edit {
  readonly title: string;
  readonly changes: readonly Change[];
}

/** The instances that are edited together with this one: equal channels stay equal unless one is chosen alone. */
export function twinsOf(document: Document, instance: string): readonly string[] {
  const expanded = expand(document);
  if (!expanded.ok) return [instance];
  const { equalTo } = expanded.value;
  const first = equalTo.get(instance) ?? instance;
  const block = document.instances.find((one) => one.id === first)?.block;
  return document.instances
    .filter((one) => one.block === block && (one.id === first || equalTo.get(one.id) === first))
    .map((one) => one.id);
}

/** Sets a part in the instances named (a channel and its twins) as one edit. */
export function partEdit(document: Document, instances: readonly string[], partId: string, edit: PartEdit): Edit {
  const before = partOf(document, instances[0] ?? "", partId);
  const was = before !== undefined && "value" in before ? before.value : undefined;
  const words =
    edit.value !== undefined
      ? `${partId} ${was ?? ""} → ${edit.value}`
      : edit.position !== undefined
        ? `${before?.label ?? partId} to ${(edit.position * 10).toFixed(1)}`
        : edit.tolerancePercent !== undefined
          ? `${partId} ±${edit.tolerancePercent} %`
          : `${partId}: rating ${[edit.watts === undefined ? "" : `${edit.watts} W`, edit.volts === undefined ? "" : `${edit.volts} V`].filter(Boolean).join(", ")}`;
  return { title: words, changes: diffDocuments(document, setPart(document, instances, partId, edit)) };
}

/** A part as it stands in an instance, with what the instance overrides. */
export function partOf(document: Document, instance: string, partId: string): DocumentPart | undefined {
  const owner = document.instances.find((one) => one.id === instance);
  const part = document.blocks[owner?.block ?? ""]?.parts.find((one) => one.id === partId);
  return part === undefined ? undefined : ({ ...part, ...owner?.overrides?.[partId] } as DocumentPart);
}

/** What a part's value is measured in; undefined for a part without one. */
export const quantityOf = (part: DocumentPart): Quantity | undefined => QUANTITY_OF[part.kind];
