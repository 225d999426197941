/** The Changes that lead from one document to a reworked one: values, ratings, overrides, types, sockets, wiring, supply. */
import type { Document } from "./schema.ts";
import type { Change } from "../findings.ts";

/** Changes in document order. Covers what a rework edits; anything else is not looked at. */
export function changesBetween(before: Document, after: Document): readonly Change[] {
  const changes: Change[] = [];
  const compare = (target: string, was: unknown, is: unknown) => {
    if (JSON.stringify(was) === JSON.stringify(is)) return;
    changes.push({
      target,
      ...(was === undefined ? {} : { before: was }),
      ...(is === undefined ? {} : { after: is }),
    });
  };
  for (const [name, block] of Object.entries(after.blocks)) {
    for (const part of block.parts) {
      const old = before.blocks[name]?.parts.find((one) => one.id === part.id);
      if (old === undefined || old === part) continue;
      const place = `blocks.${name}.parts[${part.id}]`;
      for (const field of ["value", "watts", "volts", "position"] as const)
        compare(`${place}.${field}`, fieldOf(old, field), fieldOf(part, field));
    }
  }
  for (const instance of after.instances) {
    const old = before.instances.find((one) => one.id === instance.id);
    compare(`instances[${instance.id}].overrides`, old?.overrides, instance.overrides);
  }
  for (const envelope of after.envelopes) {
    const old = before.envelopes.find((one) => one.id === envelope.id);
    for (const field of ["type", "variant", "socket", "wiring"] as const)
      compare(`envelopes[${envelope.id}].${field}`, old?.[field], envelope[field]);
  }
  compare("supply.transformer", before.supply?.transformer, after.supply?.transformer);
  compare("supply.rectifier.seriesOhms", before.supply?.rectifier.seriesOhms, after.supply?.rectifier.seriesOhms);
  return changes;
}

const fieldOf = (record: object, field: string): unknown => (record as Readonly<Record<string, unknown>>)[field];
