/** What has to leave the chassis when the circuit has lost a part: an edit of the circuit takes these changes with it. */
import type { ChassisItem } from "../document/chassis-schema.ts";
import type { Document } from "../document/schema.ts";
import type { Change } from "../findings.ts";

/** Changes that take items off whose part, bottle or transformer the document has not; their holes stay and serve nothing. */
export function chassisAfter(document: Document): readonly Change[] {
  const { chassis } = document;
  if (chassis === undefined) return [];
  const parts = new Set(
    document.instances.flatMap((instance) =>
      (Object.hasOwn(document.blocks, instance.block) ? (document.blocks[instance.block]?.parts ?? []) : []).map(
        (part) => `${instance.id}.${part.id}`,
      ),
    ),
  );
  const stays = ({ what }: ChassisItem): boolean => {
    if ("envelope" in what) return document.envelopes.some((one) => one.id === what.envelope);
    if ("part" in what) return [what.part, ...(what.also ?? [])].some((part) => parts.has(part));
    return "fitting" in what || document.supply !== undefined;
  };
  const items = chassis.items.filter(stays).map((item) => {
    const { what } = item;
    if (!("part" in what)) return item;
    const left = [what.part, ...(what.also ?? [])].filter((part) => parts.has(part));
    if (left.length === 1 + (what.also?.length ?? 0)) return item;
    const [part = what.part, ...also] = left;
    return { ...item, what: { part, ...(also.length === 0 ? {} : { also }) } };
  });
  if (items.every((item, i) => item === chassis.items[i]) && items.length === chassis.items.length) return [];
  const ids = new Set(items.map((item) => item.id));
  const holes = chassis.holes.map((hole) => {
    if (hole.serves === undefined || ids.has(hole.serves)) return hole;
    const { serves: _, ...free } = hole;
    return free;
  });
  const salvage = chassis.salvage?.filter((one) => one.item === undefined || ids.has(one.item));
  return [
    { target: "chassis.items", before: chassis.items, after: items },
    ...(holes.every((hole, i) => hole === chassis.holes[i])
      ? []
      : [{ target: "chassis.holes", before: chassis.holes, after: holes }]),
    ...(salvage === undefined || salvage.length === chassis.salvage?.length
      ? []
      : [{ target: "chassis.salvage", before: chassis.salvage, after: salvage }]),
  ];
}
