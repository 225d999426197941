/** Sets a value of one part, in the block or in some of its instances. */
import type { Document, DocumentPart } from "./schema.ts";

export type PartEdit = {
  readonly value?: string;
  readonly watts?: number;
  readonly volts?: number;
  readonly position?: number;
  readonly tolerancePercent?: number;
};

/**
 * Sets fields of one part of a block in the instances named. When that is every instance of the block, the block itself
 * changes; otherwise those instances get an override.
 */
export function setPart(document: Document, instances: readonly string[], partId: string, edit: PartEdit): Document {
  const owner = document.instances.find((instance) => instance.id === instances[0]);
  if (owner === undefined) return document;
  const users = document.instances.filter((instance) => instance.block === owner.block);
  const all = users.every((instance) => instances.includes(instance.id));
  if (!all) {
    return {
      ...document,
      instances: document.instances.map((instance) =>
        instances.includes(instance.id)
          ? {
              ...instance,
              overrides: { ...instance.overrides, [partId]: { ...instance.overrides?.[partId], ...edit } },
            }
          : instance,
      ),
    };
  }
  const block = document.blocks[owner.block];
  if (block === undefined) return document;
  return {
    ...document,
    blocks: {
      ...document.blocks,
      [owner.block]: {
        ...block,
        parts: block.parts.map((part) => (part.id === partId ? ({ ...part, ...edit } as DocumentPart) : part)),
      },
    },
  };
}
