/**
 * A measured part as a form: the sizes of a footprint that a caliper reads, and the footprint that the filled ones make. Knows no
 * screen.
 *
 * Limits  Holes that are alike are one size and keep their pattern: only its spread is read. Polygons keep their shape.
 */
import type { OwnFootprint } from "@platewright/design";
import type { Footprint, FootprintBody, FootprintHole, FootprintKind, Outline } from "@platewright/engine";
import { mm, type Read, readLength, SMALLEST } from "./read-length.ts";

export interface Measure {
  readonly key: string;
  readonly group: string;
  readonly label: string;
  readonly millimetres: number | undefined;
  readonly least: number;
  readonly optional?: boolean;
}

/** As typed, by key. */
export type Filled = Readonly<Record<string, string>>;

const PURPOSES: { readonly [P in FootprintHole["purpose"]]: string } = {
  body: "hole of the body",
  bush: "hole of the bush",
  screw: "screw hole",
  lug: "hole of the lug",
  wires: "hole for wires",
};

/** Holes of one purpose and shape, by their places in the list. */
function groupsOf(holes: Footprint["holes"]): readonly (readonly number[])[] {
  const groups = new Map<string, number[]>();
  for (const [n, { purpose, shape }] of holes.entries()) {
    const key = JSON.stringify([purpose, shape]);
    groups.set(key, [...(groups.get(key) ?? []), n]);
  }
  return [...groups.values()];
}

const spread = (holes: readonly FootprintHole[], axis: "x" | "y"): number => {
  const all = holes.map((one) => one[axis]);
  return Math.max(...all) - Math.min(...all);
};

export function measuresOf(print: Footprint): readonly Measure[] {
  const holes = groupsOf(print.holes).flatMap((group, g): readonly Measure[] => {
    const alike = group.flatMap((n) => print.holes[n] ?? []);
    const [first] = alike;
    if (first === undefined) return [];
    const many = alike.length > 1;
    const name = many ? `${alike.length} ${PURPOSES[first.purpose].replace("hole", "holes")}` : PURPOSES[first.purpose];
    const at = (key: string, label: string, millimetres: number, least = SMALLEST): Measure => ({
      key: `holes.${g}.${key}`,
      group: name.charAt(0).toUpperCase() + name.slice(1),
      label,
      millimetres,
      least,
    });
    const { shape } = first;
    return [
      ...(shape.kind === "circle"
        ? [at("diameter", "diameter", shape.diameterMillimetres)]
        : [at("width", "width", shape.widthMillimetres), at("height", "depth", shape.heightMillimetres)]),
      at("under", "goes in when smaller by", first.underMillimetres, 0),
      at("over", "covers when larger by", first.overMillimetres, 0),
      ...(["x", "y"] as const).flatMap((axis) => {
        const apart = spread(alike, axis);
        const words = axis === "x" ? "across" : "front to rear";
        if (many) return apart > 0 ? [at(`apart-${axis}`, `centres apart, ${words}`, apart)] : [];
        return first[axis] === 0 ? [] : [at(axis, `off the centre, ${words}`, first[axis], -2000)];
      }),
    ];
  });
  const bodies = (["above", "below"] as const).flatMap((side) =>
    print[side].flatMap(({ what, outline, heightMillimetres }, n): readonly Measure[] => {
      const at = (key: string, label: string, millimetres: number): Measure => ({
        key: `${side}.${n}.${key}`,
        group: `${what.charAt(0).toUpperCase()}${what.slice(1)}, ${side === "above" ? "on its face" : "behind the plate"}`,
        label,
        millimetres,
        least: SMALLEST,
      });
      return [
        ...(outline.kind === "circle"
          ? [at("diameter", "diameter", outline.diameterMillimetres)]
          : outline.kind === "rectangle"
            ? [at("width", "width", outline.widthMillimetres), at("height", "depth", outline.heightMillimetres)]
            : []),
        at("tall", "from the plate", heightMillimetres),
      ];
    }),
  );
  return [
    ...holes,
    ...bodies,
    ...(print.pins === undefined
      ? []
      : [
          {
            key: "pins",
            group: "Pins",
            label: "circle of the pins",
            millimetres: print.pins.circleMillimetres,
            least: SMALLEST,
          },
        ]),
    {
      key: "thickest",
      group: "Plate",
      label: "thickest that it takes",
      millimetres: print.thickestMillimetres,
      least: SMALLEST,
      optional: true,
    },
  ];
}

export const filledFrom = (measures: readonly Measure[]): Filled =>
  Object.fromEntries(measures.map(({ key, millimetres }) => [key, millimetres === undefined ? "" : mm(millimetres)]));

/** The footprint with the sizes that were typed; the first that is wrong says so. */
export function measured(
  print: Footprint,
  filled: Filled,
  named: { readonly id: string; readonly label: string; readonly note: string },
): Read<OwnFootprint> {
  if (!/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/.test(named.id))
    return {
      ok: false,
      failure: "Short name: letters, digits, _ . - and at most 40 of them, the first a letter or digit.",
    };
  if (named.label.trim() === "") return { ok: false, failure: "Write what the part is called." };
  const measures = measuresOf(print);
  const values = new Map<string, number | undefined>();
  for (const { key, group, label, millimetres, least, optional } of measures) {
    const text = filled[key] ?? "";
    if (text.trim() === "" && optional === true) {
      values.set(key, undefined);
      continue;
    }
    // What was not touched keeps its digits.
    if (millimetres !== undefined && text === mm(millimetres)) {
      values.set(key, millimetres);
      continue;
    }
    const most = key.endsWith(".under") || key.endsWith(".over") ? 20 : key === "thickest" ? 50 : 2000;
    const read = readLength(text, least, most, { negative: least < 0 });
    if (!read.ok) return { ok: false, failure: `${group}, ${label}: ${read.failure}` };
    values.set(key, read.value);
  }
  const holes = [...print.holes];
  for (const [g, group] of groupsOf(print.holes).entries()) {
    const alike = group.flatMap((n) => print.holes[n] ?? []);
    for (const n of group) {
      const hole = print.holes[n];
      if (hole !== undefined) holes[n] = sized(hole, alike, (key) => values.get(`holes.${g}.${key}`));
    }
  }
  const side = (of: "above" | "below"): OwnFootprint["above"] =>
    print[of].map((body, n) => bodySized(body, (key) => values.get(`${of}.${n}.${key}`)));
  const { provenance: _, thickestMillimetres: __, ...kept } = print;
  const thickest = values.get("thickest");
  const pins = values.get("pins");
  return {
    ok: true,
    value: {
      ...(kept as Omit<OwnFootprint, "thickestMillimetres">),
      id: named.id,
      label: named.label.trim(),
      holes: holes as OwnFootprint["holes"],
      above: side("above"),
      below: side("below"),
      ...(print.pins === undefined || pins === undefined ? {} : { pins: { ...print.pins, circleMillimetres: pins } }),
      ...(thickest === undefined ? {} : { thickestMillimetres: thickest }),
      ...(named.note.trim() === "" ? {} : { note: named.note.trim() }),
    },
  };
}

type ValueOf = (key: string) => number | undefined;

function sized(hole: FootprintHole, alike: readonly FootprintHole[], value: ValueOf): FootprintHole {
  const { shape } = hole;
  const along = (axis: "x" | "y"): number => {
    if (alike.length === 1) return value(axis) ?? hole[axis];
    const apart = value(`apart-${axis}`);
    const was = spread(alike, axis);
    if (apart === undefined || was === 0) return hole[axis];
    const middle = Math.min(...alike.map((one) => one[axis])) + was / 2;
    return middle + ((hole[axis] - middle) * apart) / was;
  };
  return {
    ...hole,
    x: along("x"),
    y: along("y"),
    shape:
      shape.kind === "circle"
        ? { kind: "circle", diameterMillimetres: value("diameter") ?? shape.diameterMillimetres }
        : rectangle(shape, value),
    underMillimetres: value("under") ?? hole.underMillimetres,
    overMillimetres: value("over") ?? hole.overMillimetres,
  };
}

/** A corner that was larger than half of what it is now becomes half of it. */
function rectangle<R extends Extract<Outline | FootprintHole["shape"], { readonly kind: "rectangle" }>>(
  shape: R,
  value: ValueOf,
): R {
  const [wide, deep] = [value("width") ?? shape.widthMillimetres, value("height") ?? shape.heightMillimetres];
  return {
    ...shape,
    widthMillimetres: wide,
    heightMillimetres: deep,
    ...(shape.cornerMillimetres === undefined
      ? {}
      : { cornerMillimetres: Math.min(shape.cornerMillimetres, wide / 2, deep / 2) }),
  };
}

function bodySized(body: FootprintBody, value: ValueOf): OwnFootprint["above"][number] {
  const { outline } = body;
  return {
    what: body.what,
    outline: (outline.kind === "circle"
      ? { ...outline, diameterMillimetres: value("diameter") ?? outline.diameterMillimetres }
      : outline.kind === "rectangle"
        ? rectangle(outline, value)
        : outline) as OwnFootprint["above"][number]["outline"],
    heightMillimetres: value("tall") ?? body.heightMillimetres,
  };
}

/** A round part that goes through one hole, to be filled in. */
export const roundPart = (kind: FootprintKind): Footprint => {
  const round = (diameterMillimetres: number): Outline => ({ kind: "circle", x: 0, y: 0, diameterMillimetres });
  return {
    id: "",
    label: "",
    kind,
    holes: [
      {
        id: "body",
        x: 0,
        y: 0,
        shape: { kind: "circle", diameterMillimetres: 10 },
        underMillimetres: 0,
        overMillimetres: 0.5,
        purpose: "body",
      },
    ],
    above: [{ what: "flange", outline: round(14), heightMillimetres: 3 }],
    below: [{ what: "body", outline: round(12), heightMillimetres: 25 }],
    provenance: { status: "measured", source: "document" },
  };
};
