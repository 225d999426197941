/** An item as the page knows it: plain data, both faces. */
import { type ChassisJudged, type Document, type Face, itemName, type PlacedItem } from "@platewright/design";
import type { Outline } from "@platewright/engine";

/** What the page needs to know of an item to choose, move and measure it. */
export const factsOf = (document: Document, judged: ChassisJudged, placed: PlacedItem) => {
  const { item, footprint, face, bodies } = placed;
  const { what } = item;
  const tube = "envelope" in what ? document.envelopes.find((one) => one.id === what.envelope) : undefined;
  const all = [...bodies, ...judged.tubes.filter((one) => one.item === placed).map(({ bulb }) => bulb)];
  const carrier = judged.holes.carriers.find((one) => one.item === item.id);
  const on = (shown: Face): readonly Outline[] => [
    ...all.filter((body) => body.face === shown).map(({ outline }) => outline),
    ...(carrier?.face === shown ? [carrier.outline] : []),
  ];
  const holes = judged.holes.holes.filter((hole) => hole.item === item.id).map(({ outline }) => outline);
  const high = (shown: Face) =>
    all.filter((body) => body.face === shown).reduce((most, body) => Math.max(most, body.heightMillimetres), 0);
  return {
    id: item.id,
    name: itemName(item),
    type: tube?.type ?? null,
    label: footprint.label,
    kind: footprint.kind,
    footprint: footprint.id,
    isSocket: footprint.socket !== undefined,
    x: item.x,
    y: item.y,
    degrees: item.degrees,
    face,
    outlines: { top: on("top"), under: on("under") },
    holes,
    heights: { top: high("top"), under: high("under") },
  };
};
export type ItemFacts = ReturnType<typeof factsOf>;
