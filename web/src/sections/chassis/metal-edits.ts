/**
 * Edits of the plate, its holes, tools, parts and measured footprints as Changes with the words the builder reads. Each is
 * checked by the document's meaning before it is offered: what would not be read again is never kept.
 */
import {
  applyChanges,
  type Chassis,
  type ChassisItem,
  type ChassisPlate,
  type ChassisTool,
  chassisMeaning,
  depthInside,
  diffDocuments,
  type Document,
  type DocumentHole,
  outlineOf,
  type OwnFootprint,
  plateOutline,
  type SalvageChoice,
  solidOf,
} from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";
import type { Edit } from "../../state/edits.ts";
import { mm } from "./read-length.ts";

export type Checked = Result<Edit, string>;

/** The edit that makes this chassis of the document's own; a sentence when the document would not be read again. */
export function chassisEdit(document: Document, title: string, change: (chassis: Chassis) => Chassis): Checked {
  const { chassis } = document;
  if (chassis === undefined) return fail("There is no plate yet; begin one first.");
  return checked(document, { ...document, chassis: change(chassis) }, title);
}

/** As many as the document's schema reads again. */
const MOST = [
  ["holes", 500],
  ["items", 300],
  ["tools", 100],
  ["footprints", 100],
] as const;
const COUNTED = { holes: "holes", items: "parts", tools: "tools", footprints: "measured parts" } as const;

function checked(before: Document, after: Document, title: string): Checked {
  for (const [key, most] of MOST)
    if ((after.chassis?.[key]?.length ?? 0) > most)
      return fail(`A plate has at most ${most} ${COUNTED[key]}; take some out first.`);
  const wrong = chassisMeaning(after);
  return wrong === undefined ? ok({ title, changes: diffDocuments(before, after) }) : fail(spoken(wrong.sentence));
}

/** Changes that something else made, a way of the salvage for one, held to the same. */
export function checkedChanges(document: Document, edit: Edit): Checked {
  const after = applyChanges(document, edit.changes);
  if (!after.ok) return fail(after.failure.sentence);
  const wrong = chassisMeaning(after.value);
  return wrong === undefined ? ok(edit) : fail(spoken(wrong.sentence));
}

/** "chassis.holes[H3].shape: ..." as a builder says it: "H3: ...". */
export function spoken(sentence: string): string {
  const [, place = "", says = sentence] = /^(chassis[^:]*): (.*)$/s.exec(sentence) ?? [];
  const named = /\[([^\]]+)\]/.exec(place)?.[1];
  return named === undefined ? `${says.charAt(0).toUpperCase()}${says.slice(1)}` : `${named}: ${says}`;
}

/** The same without an entry. */
export function without<T extends object, K extends keyof T>(value: T, ...keys: readonly K[]): Omit<T, K> {
  const left: Partial<T> = { ...value };
  for (const key of keys) delete left[key];
  return left as Omit<T, K>;
}

/** "H16" after "H15a": one more than the highest number in use. */
export function freshId(letter: string, taken: readonly { readonly id: string }[]): string {
  const numbers = taken.flatMap(({ id }) => {
    const found = new RegExp(`^${letter}(\\d+)`).exec(id);
    return found === null ? [] : [Number(found[1])];
  });
  return `${letter}${Math.max(0, ...numbers) + 1}`;
}

/** "EARTH", then "EARTH-2". */
export function freshName(wanted: string, taken: readonly { readonly id: string }[]): string {
  const ids = new Set(taken.map(({ id }) => id));
  if (!ids.has(wanted)) return wanted;
  let n = 2;
  while (ids.has(`${wanted}-${n}`)) n++;
  return `${wanted}-${n}`;
}

/* Plate */

const BEGUN: ChassisPlate = {
  widthMillimetres: 300,
  depthMillimetres: 180,
  thicknessMillimetres: 2,
  material: "aluminium",
};

export function beginPlate(document: Document, plate: ChassisPlate = BEGUN): Checked {
  if (document.chassis !== undefined) return fail("There is a plate already.");
  return checked(
    document,
    { ...document, chassis: { plate, items: [], holes: [] } },
    `Begin a plate, ${mm(plate.widthMillimetres)} × ${mm(plate.depthMillimetres)} × ${mm(plate.thicknessMillimetres)} mm`,
  );
}

export const setPlate = (document: Document, title: string, plate: ChassisPlate): Checked =>
  chassisEdit(document, title, (chassis) => ({ ...chassis, plate }));

const HAIR = 1e-3;

/** Holes that would reach past this plate. */
export function holesPast(chassis: Chassis, plate: ChassisPlate): readonly DocumentHole[] {
  const most = Math.min(plate.widthMillimetres, plate.depthMillimetres) / 2;
  const cornerRadiusMillimetres = Math.min(plate.cornerRadiusMillimetres ?? 0, most);
  const solid = solidOf(plateOutline({ ...plate, cornerRadiusMillimetres }));
  return chassis.holes.filter((hole) => depthInside(solid, solidOf(outlineOf(hole.shape, hole))) < -HAIR);
}

/** Parts whose place would not be on this plate; they may stand there, and a finding says so. */
export const itemsPast = (chassis: Chassis, plate: ChassisPlate): readonly ChassisItem[] =>
  chassis.items.filter(({ x, y }) => x < 0 || y < 0 || x > plate.widthMillimetres || y > plate.depthMillimetres);

/** The plate as it is wanted, without the holes that would reach past it. */
export const setPlateWithout = (
  document: Document,
  title: string,
  plate: ChassisPlate,
  gone: readonly DocumentHole[],
): Checked => chassisEdit(document, title, (chassis) => withoutHoles({ ...chassis, plate }, gone));

/* Holes */

export function withoutHoles(chassis: Chassis, gone: readonly Pick<DocumentHole, "id">[]): Chassis {
  const ids = new Set(gone.map((one) => one.id));
  return {
    ...withSalvage(chassis, (one) => !ids.has(one.hole)),
    holes: chassis.holes.filter((hole) => !ids.has(hole.id)),
  };
}

/** Decisions that still stand; the list goes with its last. */
function withSalvage(chassis: Chassis, stays: (one: SalvageChoice) => boolean): Chassis {
  const left = (chassis.salvage ?? []).filter(stays);
  return left.length === 0 ? (without(chassis, "salvage") as Chassis) : { ...chassis, salvage: left };
}

export const shapeWords = (shape: DocumentHole["shape"]): string =>
  shape.kind === "circle"
    ? `Ø ${mm(shape.diameterMillimetres)} mm`
    : `${mm(shape.widthMillimetres)} × ${mm(shape.heightMillimetres)} mm`;

export const addHole = (document: Document, hole: DocumentHole): Checked =>
  chassisEdit(document, `Hole ${hole.id}, ${shapeWords(hole.shape)}, at ${mm(hole.x)}, ${mm(hole.y)}`, (chassis) => ({
    ...chassis,
    holes: [...chassis.holes, hole],
  }));

/** Several at once, from a photo or an outline; ids are given here. */
export const addHoles = (document: Document, title: string, holes: readonly Omit<DocumentHole, "id">[]): Checked =>
  chassisEdit(document, title, (chassis) => ({
    ...chassis,
    holes: holes.reduce<readonly DocumentHole[]>(
      (all, hole) => [...all, { id: freshId("H", all), ...hole }],
      chassis.holes,
    ) as DocumentHole[],
  }));

export const setHole = (document: Document, title: string, hole: DocumentHole): Checked =>
  chassisEdit(document, title, (chassis) => ({
    ...chassis,
    holes: chassis.holes.map((one) => (one.id === hole.id ? hole : one)),
  }));

export const removeHole = (document: Document, id: string): Checked =>
  chassisEdit(document, `Take hole ${id} out of the list`, (chassis) => withoutHoles(chassis, [{ id }]));

/** What was decided for a hole is open again. */
export const decideAgain = (document: Document, hole: string): Checked =>
  chassisEdit(document, `Decide again about ${hole}`, (chassis) => ({
    ...withSalvage(chassis, (one) => one.hole !== hole),
  }));

/* Tools */

export const setTools = (document: Document, title: string, tools: readonly ChassisTool[]): Checked =>
  chassisEdit(document, title, (chassis) =>
    tools.length === 0 ? (without(chassis, "tools") as Chassis) : { ...chassis, tools: [...tools] },
  );

/* Parts */

export const addItem = (document: Document, item: ChassisItem, words: string): Checked =>
  chassisEdit(document, `${item.id} on the plate: ${words}`, (chassis) => ({
    ...chassis,
    items: [...chassis.items, item],
  }));

/** A fitting in a hole that is there and serves nothing: the hole is its own from then on, whatever was decided. */
export const fitInto = (document: Document, hole: DocumentHole, item: ChassisItem, words: string): Checked =>
  chassisEdit(document, `${item.id} in ${hole.id}: ${words}`, (chassis) => ({
    ...withSalvage(chassis, (one) => one.hole !== hole.id),
    items: [...chassis.items, item],
    holes: chassis.holes.map((one) => (one.id === hole.id ? { ...one, serves: item.id } : one)),
  }));

/** Its holes stay and serve nothing; what was decided for it goes. */
export const removeItem = (document: Document, id: string): Checked =>
  chassisEdit(document, `${id} off the plate`, (chassis) => ({
    ...withSalvage(chassis, (one) => one.item !== id),
    items: chassis.items.filter((one) => one.id !== id),
    holes: chassis.holes.map((hole) => (hole.serves === id ? (without(hole, "serves") as DocumentHole) : hole)),
  }));

/** A fitting is named by its footprint; any other item keeps what it is. */
export const refitted = (item: ChassisItem, footprint: string): ChassisItem => ({
  ...(without(item, "measured") as ChassisItem),
  footprint,
  ...("fitting" in item.what ? { what: { fitting: footprint } } : {}),
});

/* Measured footprints */

/** A measured part: it goes before one of the library with the same id. `item` takes it at once. */
export const keepFootprint = (document: Document, footprint: OwnFootprint, item?: string): Checked =>
  chassisEdit(document, `Measured: ${footprint.label}`, (chassis) => {
    const own = chassis.footprints ?? [];
    return {
      ...chassis,
      footprints: own.some((one) => one.id === footprint.id)
        ? own.map((one) => (one.id === footprint.id ? footprint : one))
        : [...own, footprint],
      items: chassis.items.map((one) => (one.id === item ? { ...refitted(one, footprint.id), measured: true } : one)),
    };
  });

export const dropFootprint = (document: Document, id: string): Checked =>
  chassisEdit(document, `Measured ${id} out of the list`, (chassis) => {
    const footprints = (chassis.footprints ?? []).filter((one) => one.id !== id);
    return footprints.length === 0 ? (without(chassis, "footprints") as Chassis) : { ...chassis, footprints };
  });
