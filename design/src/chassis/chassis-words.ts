/**
 * What differs between two chassis, in a builder's words: "V3 moved 12 mm to the rear", "H3 opened to 28 mm".
 *
 * Each is told beside the place in the document that a Change of it has, so that it can be taken back alone. Footprints are
 * named by their label when they are given, else by their id without its hyphens.
 */
import type { Footprints, HoleShape } from "@platewright/engine";
import type { Chassis, ChassisItem, ChassisPlate, DocumentHole, SalvageWay } from "../document/chassis-schema.ts";
import { same } from "../document/change.ts";
import { footprintsOf, itemName } from "./placed.ts";

export interface ChassisWords {
  /** "chassis.items[V3]", "chassis.plate", "chassis.holes": where changes of it begin. */
  readonly target: string;
  /** "V3", "plate". */
  readonly where: string;
  readonly sentences: readonly string[];
}

export function chassisWords(
  before: Chassis | undefined,
  after: Chassis | undefined,
  footprints?: Footprints,
): readonly ChassisWords[] {
  if (before === undefined || after === undefined) {
    const words =
      after === undefined ? "no chassis" : `a chassis of ${plateSize(after.plate)} mm ${after.plate.material}`;
    return before === after ? [] : [{ target: "chassis", where: "chassis", sentences: [words] }];
  }
  const label = labels(after, footprints);
  const told: readonly ChassisWords[] = [
    { target: "chassis.plate", where: "plate", sentences: plateChanges(before.plate, after.plate) },
    ...members("items", "parts", before.items, after.items, (was, is) => itemWords(was, is, label)),
    ...members("holes", "holes", before.holes, after.holes, holeWords),
    { target: "chassis.salvage", where: "salvage", sentences: salvageWords(before, after) },
    ...members("tools", "tools", before.tools ?? [], after.tools ?? [], (was, is) =>
      listed(is === undefined ? "no longer there" : was === undefined ? "added" : "changed", was ?? is, toolName),
    ),
    ...members("footprints", "footprints", before.footprints ?? [], after.footprints ?? [], (was, is) =>
      listed(
        is === undefined ? "taken out" : was === undefined ? "entered" : "measured anew",
        was ?? is,
        (one) => one.label,
      ),
    ),
  ];
  return told.filter((one) => one.sentences.length > 0);
}

/** One entry for each member that differs; one for all where members came, went or changed places. */
function members<T extends { readonly id: string }>(
  list: string,
  where: string,
  before: readonly T[],
  after: readonly T[],
  words: (was: T | undefined, is: T | undefined) => readonly string[],
): readonly ChassisWords[] {
  const ids = [...new Set([...before, ...after].map((one) => one.id))];
  const of = (all: readonly T[], id: string) => all.find((one) => one.id === id);
  const told = ids.map((id) => {
    const [was, is] = [of(before, id), of(after, id)];
    const sentences = same(was, is) ? [] : words(was, is);
    return { id, sentences: sentences.length > 0 || same(was, is) ? sentences : [`${id} changed`] };
  });
  const alike = before.length === after.length && before.every((one, i) => one.id === after[i]?.id);
  if (alike) return told.map(({ id, sentences }) => ({ target: `chassis.${list}[${id}]`, where: id, sentences }));
  // Nothing else: they changed places.
  const sentences = told.flatMap((one) => one.sentences);
  return [{ target: `chassis.${list}`, where, sentences: sentences.length === 0 ? ["in another order"] : sentences }];
}

const listed = <T>(words: string, one: T | undefined, name: (one: T) => string): readonly string[] =>
  one === undefined ? [] : [`${name(one)} ${words}`];

const toolName = (tool: NonNullable<Chassis["tools"]>[number]): string =>
  `tool ${tool.name ?? `${tool.kind.replace("-", " ")} ${tool.id}`}`;

const EDGES = ["front", "rear", "left", "right"] as const;

function plateChanges(was: ChassisPlate, is: ChassisPlate): readonly string[] {
  const size = ({ widthMillimetres: width, depthMillimetres: depth }: ChassisPlate) => `${mm(width)} × ${mm(depth)}`;
  const from = (words: string, before: string, after: string): readonly string[] =>
    before === after ? [] : [`${words} ${before} → ${after}`];
  const bent = (plate: ChassisPlate, edge: (typeof EDGES)[number]) => plate.bends?.find((one) => one.edge === edge);
  return [
    ...from("plate", mm(was.thicknessMillimetres), mm(is.thicknessMillimetres)).map((one) => `${one} mm`),
    ...from("plate", size(was), size(is)).map((one) => `${one} mm`),
    ...from("plate", was.material, is.material),
    ...from("finish", finish(was), finish(is)),
    ...from("corners of radius", mm(was.cornerRadiusMillimetres ?? 0), mm(is.cornerRadiusMillimetres ?? 0)).map(
      (one) => `${one} mm`,
    ),
    ...EDGES.flatMap((edge) => {
      const [before, after] = [bent(was, edge), bent(is, edge)];
      if (same(before, after)) return [];
      return after === undefined
        ? [`${edge} edge no longer bent`]
        : [
            `${edge} edge bent down ${mm(after.flangeMillimetres)} mm, inside radius ${mm(after.insideRadiusMillimetres)} mm`,
          ];
    }),
    ...(was.coverMillimetres === is.coverMillimetres
      ? []
      : [is.coverMillimetres === undefined ? "no cover" : `cover ${mm(is.coverMillimetres)} mm above the plate`]),
    ...from("vents", mm((was.ventSquareMillimetres ?? 0) / 100), mm((is.ventSquareMillimetres ?? 0) / 100)).map(
      (one) => `${one} cm²`,
    ),
  ];
}

const plateSize = (plate: ChassisPlate): string =>
  `${mm(plate.widthMillimetres)} × ${mm(plate.depthMillimetres)} × ${mm(plate.thicknessMillimetres)}`;

const finish = ({ finish: one }: ChassisPlate): string => (one ?? "bare").replace("-", " ");

type Label = (footprint: string) => string;

const labels =
  (chassis: Chassis, library: Footprints | undefined): Label =>
  (id) => {
    const own = chassis.footprints?.find((one) => one.id === id)?.label;
    const known = own ?? (library === undefined ? undefined : footprintsOf(chassis, library).footprint(id)?.label);
    return known ?? id.replaceAll("-", " ").replace(/^(\d) pin/, "$1-pin");
  };

function itemWords(was: ChassisItem | undefined, is: ChassisItem | undefined, label: Label): readonly string[] {
  if (is === undefined) return was === undefined ? [] : [`${itemName(was)} taken off the plate`];
  const name = itemName(is);
  if (was === undefined) return [`${name} put on at ${placeWords(is)}: ${label(is.footprint)}`];
  const flag = (field: "measured" | "booted" | "masked", yes: string, no: string) =>
    (was[field] === true) === (is[field] === true) ? [] : [`${name} ${is[field] === true ? yes : no}`];
  return [
    ...(itemName(was) === name ? [] : [`${itemName(was)} is called ${name}`]),
    ...(was.footprint === is.footprint
      ? []
      : ["envelope" in is.what ? socketWords(name, label(is.footprint)) : `${name}: ${label(is.footprint)}`]),
    ...movedWords(name, was, is),
    ...(was.degrees === is.degrees ? [] : [`${name} turned to ${mm(is.degrees)}°`]),
    ...((was.face ?? "top") === (is.face ?? "top")
      ? []
      : [`${name} mounted on the ${is.face === "under" ? "underside" : "top"}`]),
    ...(same(was.what, is.what) ? [] : [`${name} stands for ${whatWords(is)}`]),
    ...flag("measured", "measured in hand", "no longer said to be measured"),
    ...flag("booted", "has its insulating boots", "without its boots"),
    ...flag("masked", "masked from the coat", "no longer masked"),
  ];
}

/** "socket of V3: 7-pin, saddle, from above". */
export const socketWords = (name: string, label: string): string =>
  `socket of ${name}: ${label.replace(/( miniature)? socket\b/, "")}`;

const whatWords = ({ what }: ChassisItem): string =>
  "envelope" in what
    ? what.envelope
    : "part" in what
      ? [what.part, ...(what.also ?? [])].join(", ")
      : "transformer" in what
        ? "the transformer"
        : what.fitting.replaceAll("-", " ");

/** "V3 moved 12 mm to the rear and 3 mm to the left". */
function movedWords(
  name: string,
  was: { readonly x: number; readonly y: number },
  is: { readonly x: number; readonly y: number },
): readonly string[] {
  const way = (by: number, more: string, less: string): readonly string[] =>
    by === 0 ? [] : [`${mm(Math.abs(by))} mm to the ${by > 0 ? more : less}`];
  const ways = [...way(hundredths(is.x - was.x), "right", "left"), ...way(hundredths(is.y - was.y), "rear", "front")];
  return ways.length === 0 ? [] : [`${name} moved ${ways.join(" and ")}`];
}

function holeWords(was: DocumentHole | undefined, is: DocumentHole | undefined): readonly string[] {
  if (is === undefined) return was === undefined ? [] : [`hole ${was.id} taken out`];
  if (was === undefined)
    return [
      `hole ${is.id} ${is.state === "cut" ? "entered" : "planned"}: ${shapeWords(is.shape)} at ${placeWords(is)}`,
    ];
  return [
    ...(same(was.shape, is.shape)
      ? []
      : [
          isOpened(was.shape, is.shape)
            ? `${is.id} opened to ${sizeWords(is.shape)}`
            : `${is.id} ${shapeWords(was.shape)} → ${shapeWords(is.shape)}`,
        ]),
    ...movedWords(is.id, was, is),
    ...(was.state === is.state ? [] : [is.state === "cut" ? `${is.id} is cut` : `${is.id} is planned, not cut`]),
    ...(was.serves === is.serves
      ? []
      : [is.serves === undefined ? `${is.id} meant for nothing in particular` : `${is.id} meant for ${is.serves}`]),
    ...(was.note === is.note ? [] : [is.note === undefined ? `note on ${is.id} taken away` : `note on ${is.id}`]),
  ];
}

const sizeWords = (shape: HoleShape): string =>
  shape.kind === "circle"
    ? `${mm(shape.diameterMillimetres)} mm`
    : `${mm(shape.widthMillimetres)} × ${mm(shape.heightMillimetres)} mm`;

const shapeWords = (shape: HoleShape): string =>
  shape.kind === "circle"
    ? `Ø ${sizeWords(shape)}`
    : `${sizeWords(shape)}${shape.degrees === undefined || shape.degrees === 0 ? "" : ` at ${mm(shape.degrees)}°`}`;

/** The new shape holds the old one, where both are alike and not turned otherwise. */
function isOpened(was: HoleShape, is: HoleShape): boolean {
  if (was.kind === "circle") return is.kind === "circle" && is.diameterMillimetres > was.diameterMillimetres;
  return (
    is.kind === "rectangle" &&
    (is.degrees ?? 0) === (was.degrees ?? 0) &&
    is.widthMillimetres >= was.widthMillimetres &&
    is.heightMillimetres >= was.heightMillimetres &&
    (is.cornerMillimetres ?? 0) <= (was.cornerMillimetres ?? 0)
  );
}

const WAYS: { readonly [W in SalvageWay]: (hole: string, of: string) => string } = {
  keep: (hole, of) => `${hole} kept${of}`,
  "open-up": (hole, of) => `${hole} to be opened up${of}`,
  "adapter-ring": (hole, of) => `ring on ${hole}${of}`,
  "cover-plate": (hole, of) => `cover plate over ${hole}${of}`,
  "sub-plate": (hole, of) => `sub-plate over ${hole}${of}`,
  "blank-plug": (hole) => `plug in ${hole}`,
  "other-use": (hole, of) => `${hole} put to another use${of}`,
};

function salvageWords(before: Chassis, after: Chassis): readonly string[] {
  const [was, is] = [before.salvage ?? [], after.salvage ?? []];
  const has = (all: typeof is, one: (typeof is)[number]) => all.some((other) => same(other, one));
  const name = (id: string) => {
    const found = after.items.find((one) => one.id === id);
    return found === undefined ? id : itemName(found);
  };
  return [
    ...is
      .filter((one) => !has(was, one))
      .map(({ hole, item, by }) => WAYS[by](hole, item === undefined ? "" : ` for ${name(item)}`)),
    ...was
      .filter((one) => !is.some((other) => other.hole === one.hole))
      .map(({ hole }) => `nothing decided about ${hole} any more`),
  ];
}

const placeWords = ({ x, y }: { readonly x: number; readonly y: number }): string => `${mm(x)}, ${mm(y)} mm`;

const hundredths = (value: number): number => Math.round(100 * value) / 100;
const mm = (value: number): string => String(hundredths(value)).replace("-", "−");
