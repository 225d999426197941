/** How high every item stands over and under the plate, and whether a tube comes out under the cover. */
import {
  type ChassisJudged,
  itemName,
  type PlacedBody,
  pulledMillimetres,
  type TubeOnPlate,
} from "@platewright/design";

export interface ItemHeight {
  readonly id: string;
  readonly name: string;
  readonly aboveMillimetres: number;
  readonly belowMillimetres: number;
  /** A tube under a cover: clear height that it wants to be pulled, and whether there is as much. */
  readonly pulledMillimetres?: number;
  readonly canBePulled?: boolean;
}

/** Heights of every item over and under the plate. */
export function itemHeights(judged: ChassisJudged): readonly ItemHeight[] {
  const clear = judged.chassis.plate.coverMillimetres;
  const tubes = new Map(judged.tubes.map((tube) => [tube.item.item.id, tube]));
  return judged.items
    .map(({ item }): ItemHeight => {
      const own = judged.bodies.filter((body) => body.item === item.id);
      const most = (face: PlacedBody["face"]) =>
        Math.max(0, ...own.filter((body) => body.face === face).map((body) => body.heightMillimetres));
      const tube = tubes.get(item.id);
      const pulled = tube === undefined || clear === undefined ? undefined : pulledMillimetres(tube);
      return {
        id: item.id,
        name: nameOf(judged, item.id, tube),
        aboveMillimetres: most("top"),
        belowMillimetres: most("under"),
        ...(pulled === undefined || clear === undefined
          ? {}
          : { pulledMillimetres: pulled, canBePulled: pulled <= clear }),
      };
    })
    .sort((one, other) => other.aboveMillimetres - one.aboveMillimetres);
}

function nameOf(judged: ChassisJudged, id: string, tube: TubeOnPlate | undefined): string {
  const item = judged.items.find((one) => one.item.id === id)?.item;
  const name = item === undefined ? id : itemName(item);
  return tube === undefined ? name : `${name} ${tube.type}`;
}
