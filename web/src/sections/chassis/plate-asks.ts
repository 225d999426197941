/** What the Chassis screen asks: the plate as it is drawn, what stands on it, its holes with their tools, how it is judged. */
import { chassisFindings, type ChassisJudged, type Face, itemName, type PlacedItem } from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { type Item, plateDrawing } from "@platewright/drawing";
import { footprints } from "@platewright/library";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { holeRows } from "./hole-rows.ts";
import { PLATE_MARGINS, scaleFor } from "./plate-scale.ts";

type None = Record<string, never>;

export const NO_CHASSIS = "This design has no chassis yet.";

/** Neighbours in the drawing that belong to one item, as text: the page reads and draws only those that are not as before. */
export interface PlateGroup {
  /** The item; "" for what belongs to none. */
  readonly owner: string;
  readonly text: string;
}

function groupsOf(items: readonly Item[], { holes, items: placed }: ChassisJudged): readonly PlateGroup[] {
  const ownerOf = new Map<string, string>(placed.map(({ item }) => [item.id, item.id]));
  for (const hole of holes.holes) if (hole.item !== undefined) ownerOf.set(hole.id, hole.item);
  const owner = (item: Item): string => (item.ids ?? []).flatMap((id) => ownerOf.get(id) ?? [])[0] ?? "";
  const groups: { owner: string; items: Item[] }[] = [];
  for (const item of items) {
    const last = groups.at(-1);
    if (last?.owner === owner(item)) last.items.push(item);
    else groups.push({ owner: owner(item), items: [item] });
  }
  return groups.map((group) => ({ owner: group.owner, text: JSON.stringify(group.items) }));
}

/** What the page needs to know of an item to choose, move and measure it. */
const factsOf = (bench: Bench, placed: PlacedItem) => {
  const { item, footprint, face, bodies } = placed;
  const { what } = item;
  const tube = "envelope" in what ? bench.input.document.envelopes.find((one) => one.id === what.envelope) : undefined;
  return {
    id: item.id,
    name: itemName(item),
    words: tube === undefined ? footprint.label : `${tube.type}, ${footprint.label}`,
    kind: footprint.kind,
    socket: footprint.socket ?? null,
    x: item.x,
    y: item.y,
    degrees: item.degrees,
    face,
    bodies: bodies.map(({ what: of, face: on, outline, heightMillimetres }) => ({
      what: of,
      face: on,
      outline,
      heightMillimetres,
    })),
  };
};
export type ItemFacts = ReturnType<typeof factsOf>;

export const plateAsks = {
  /** The plate drawn from a face at the width it gets, millimetres of the sheet. */
  chassisPlate: ask("live", (bench, { face, width }: { readonly face: Face; readonly width: number }) => {
    const judged = bench.chassis();
    if (judged === undefined) return fail(NO_CHASSIS);
    const { plate } = judged.chassis;
    const scale = scaleFor(plate.widthMillimetres, width);
    const { items, map } = plateDrawing(judged, { face, scale, bodies: true, names: true });
    return ok({
      face,
      scale,
      plate: { widthMillimetres: plate.widthMillimetres, depthMillimetres: plate.depthMillimetres },
      width: map.width + PLATE_MARGINS.side + PLATE_MARGINS.otherSide,
      height: map.height + PLATE_MARGINS.rear + PLATE_MARGINS.front,
      groups: groupsOf(items, judged),
    });
  }),
  /** Everything that stands on it, in the order of reading: from the rear left to the front right. */
  chassisItems: ask("live", (bench, _params: None) => {
    const judged = bench.chassis();
    if (judged === undefined) return fail(NO_CHASSIS);
    return ok({
      plate: judged.chassis.plate,
      items: judged.items.map((one) => factsOf(bench, one)),
      unknown: judged.holes.unknown,
    });
  }),
  /** Every hole: what is to be done first. */
  chassisHoles: ask("live", (bench, _params: None) => {
    const judged = bench.chassis();
    return judged === undefined ? fail(NO_CHASSIS) : ok(holeRows(judged));
  }),
  /** Findings of the chassis, while something is moved too; no fix is looked for. */
  chassisNow: ask("live", (bench, _params: None) => {
    const { document } = bench.input;
    if (document.chassis === undefined) return fail(NO_CHASSIS);
    const solved = bench.now();
    return ok(
      chassisFindings({
        document,
        footprints,
        catalogue: bench.catalogue,
        fixes: false,
        ...(solved.ok ? { solved: solved.value } : {}),
      }),
    );
  }),
  /** The fixes of each finding, by its id; of the unit as it is kept. */
  chassisFixes: ask(
    "settled",
    (bench, _params: None) => {
      const { document } = bench.input;
      if (document.chassis === undefined) return fail(NO_CHASSIS);
      const solved = bench.now();
      const found = chassisFindings({
        document,
        footprints,
        catalogue: bench.catalogue,
        ...(solved.ok ? { solved: solved.value } : {}),
      });
      return ok(found.flatMap(({ id, fixes }) => (fixes.length === 0 ? [] : [{ id, fixes }])));
    },
    (bench) => [bench.kept],
  ),
};
