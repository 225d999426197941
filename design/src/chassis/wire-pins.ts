/** Pins of tubes on the plate by what they are in the circuit. */
import type { Place } from "@platewright/engine";
import type { ChassisJudged } from "./context.ts";
import { pinPlace, type PlacedItem } from "./placed.ts";

export interface TubePin {
  readonly item: PlacedItem;
  readonly envelope: string;
  readonly pin: string;
  /** Of a heater: the winding. */
  readonly net: string;
  readonly place: Place;
}

/** Every pin that is wired to a grid or a plate of its own bottle, or to a heaters' winding. */
export function tubePins(
  { document, expanded, items }: ChassisJudged,
  what: "grid" | "plate" | "heater",
): readonly TubePin[] {
  const heaters = new Set((document.supply?.transformer.heaters ?? []).map((one) => one.id));
  return items.flatMap((item) => {
    const { what: of } = item.item;
    if (!("envelope" in of)) return [];
    const envelope = document.envelopes.find((one) => one.id === of.envelope);
    const triodes = (expanded?.triodes ?? []).filter((one) => one.envelope === of.envelope);
    const nets = what === "heater" ? heaters : new Set(triodes.map((one) => one[what]));
    return Object.entries(envelope?.wiring ?? {}).flatMap(([pin, wire]): readonly TubePin[] => {
      const place = pinPlace(item, Number(pin));
      const net =
        "net" in wire ? (what === "heater" ? undefined : wire.net) : what === "heater" ? wire.winding : undefined;
      return net !== undefined && nets.has(net) && place !== undefined
        ? [{ item, envelope: of.envelope, pin, net, place }]
        : [];
    });
  });
}
