/** An item's own fields as Changes, and its place and turn as one edit: what "Do…" needs before the section is opened. */
import type { Change, ChassisItem, Document } from "@platewright/design";
import type { Edit } from "../../state/edits.ts";
import { rounded } from "./snap.ts";

export const nameOf = (item: ChassisItem): string => item.label ?? item.id;

export const itemOf = (document: Document, id: string): ChassisItem | undefined =>
  document.chassis?.items.find((one) => one.id === id);

type Own = keyof Pick<
  ChassisItem,
  "x" | "y" | "degrees" | "face" | "footprint" | "label" | "measured" | "booted" | "masked"
>;
export type ItemSet = { readonly [K in Own]?: ChassisItem[K] | undefined };

/** A field that is `undefined` in `set` is taken away; one that stays as it is makes no change. */
export function changesOf(item: ChassisItem, set: ItemSet): readonly Change[] {
  return (Object.keys(set) as Own[]).flatMap((field): readonly Change[] => {
    const [before, after] = [item[field], set[field]];
    if (before === after) return [];
    return [
      {
        target: `chassis.items[${item.id}].${field}`,
        ...(before === undefined ? {} : { before }),
        ...(after === undefined ? {} : { after }),
      },
    ];
  });
}

export const edit = (title: string, changes: readonly Change[]): Edit => ({ title, changes });

/** "V3 to 165, 128", "V3 turned to 90°". */
export function placedAt(
  document: Document,
  id: string,
  to: { readonly x?: number; readonly y?: number; readonly degrees?: number },
): Edit {
  const item = itemOf(document, id);
  if (item === undefined) return edit("", []);
  const [x, y] = [rounded(to.x ?? item.x), rounded(to.y ?? item.y)];
  const degrees = to.degrees === undefined ? item.degrees : turnOf(to.degrees);
  const moved = x !== item.x || y !== item.y || degrees === item.degrees;
  const words = [
    ...(moved ? [`to ${shown(x)}, ${shown(y)}`] : []),
    ...(degrees === item.degrees ? [] : [`turned to ${shown(degrees)}°`]),
  ];
  return edit(`${nameOf(item)} ${words.join(", ")}`, changesOf(item, { x, y, degrees }));
}

export const shown = (millimetres: number): string => String(Math.round(millimetres * 100) / 100).replace("-", "−");

/** From 0 to under 360. */
export const turnOf = (degrees: number): number => rounded(((degrees % 360) + 360) % 360) % 360;
