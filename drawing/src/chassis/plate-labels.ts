/** What is written on the plate: names of items, holes that are wrong or belong to none, carriers, marks of holes. */
import { CARRIER_WORDS, type ChassisHole, itemName, outlineOf, type PlacedItem, sizeWords } from "@platewright/design";
import { boxAround } from "../bounds.ts";
import type { Label, LabelWord } from "./labels.ts";
import { mainHole, type PlateParts } from "./plate-parts.ts";
import { boundsBox, outlineBox, shapeBox, shapeOf, unionOf } from "./shapes.ts";

export const plateLabels = (parts: PlateParts): readonly Label[] => [
  ...(parts.look.names === true
    ? [
        ...parts.judged.items.map((item) => nameLabel(parts, item)),
        ...unknownLabels(parts),
        ...firstOfEach(parts.judged.holes.holes).flatMap((hole) => holeLabel(parts, hole)),
        ...carrierLabels(parts),
      ]
    : []),
  ...markLabels(parts),
];

const tubeOf = ({ judged }: PlateParts, { item }: PlacedItem): string | undefined => {
  const { what } = item;
  return "envelope" in what ? judged.document.envelopes.find((one) => one.id === what.envelope)?.type : undefined;
};

function nameLabel(parts: PlateParts, placed: PlacedItem): Label {
  const { look, map, holesOfItem, bodiesOfItem, roleOf } = parts;
  const { item } = placed;
  const role = roleOf([item.id]);
  const name: LabelWord = { text: itemName(item), bold: true, ...(role === undefined ? {} : { role }) };
  const type = tubeOf(parts, placed);
  const main = mainHole(parts, placed);
  const bodies = look.bodies === true ? (bodiesOfItem.get(item.id) ?? []) : [];
  const mainShape = main === undefined ? undefined : shapeOf(main.outline, map);
  const target = mainShape ??
    (bodies[0] === undefined ? undefined : shapeOf(bodies[0].outline, map)) ?? {
      kind: "circle",
      at: map.toSheet(item),
      radius: 1,
    };
  const all = [
    ...(holesOfItem.get(item.id) ?? []).map((hole) => outlineBox(hole.outline, map)),
    ...bodies.map((body) => boundsBox(body.bounds, map)),
  ];
  return {
    ids: [item.id],
    owner: item.id,
    words: type === undefined ? [name] : [name, { text: type, role: role ?? "quiet" }],
    ...(type === undefined ? {} : { shorter: [name], rest: [{ text: type, role: role ?? "quiet" }] }),
    inside: [
      ...(main === undefined || mainShape === undefined
        ? []
        : [{ box: shapeBox(mainShape), shape: () => mainShape, hole: main.id }]),
      ...bodies.map((body) => ({ box: boundsBox(body.bounds, map), shape: () => shapeOf(body.outline, map) })),
    ],
    beside: [shapeBox(target), ...(all.length > 1 ? [unionOf(all)] : [])],
    target,
  };
}

function unknownLabels({ judged, map, roleOf }: PlateParts): readonly Label[] {
  return judged.chassis.items
    .filter((item) => judged.holes.unknown.includes(item.id))
    .map((item) => {
      const box = boxAround([map.toSheet(item)], 3);
      return {
        ids: [item.id],
        owner: item.id,
        words: [{ text: itemName(item), bold: true, role: roleOf([item.id]) ?? "stop" }],
        inside: [],
        beside: [box],
        target: { kind: "circle", at: map.toSheet(item), radius: 3 },
      } as const;
    });
}

/** A hole may be in the way of several; it is said of the first. */
const firstOfEach = (holes: readonly ChassisHole[]): readonly ChassisHole[] => {
  const seen = new Set<string>();
  return holes.filter((hole) => {
    if (hole.work !== "unresolved" || hole.existing === undefined) return true;
    if (seen.has(hole.existing)) return false;
    seen.add(hole.existing);
    return true;
  });
};

/** "H3 is 22 mm, wanted 16 mm" or "H1 is off its place" of a hole in the way; its id of one that belongs to none. */
function holeLabel({ judged, map, roleOf }: PlateParts, hole: ChassisHole): readonly Label[] {
  const there = judged.chassis.holes.find((one) => one.id === hole.existing);
  const role = roleOf([hole.id]);
  const sizes = there === undefined ? undefined : [sizeWords(there.shape), sizeWords(hole.shape)];
  const wrong = sizes?.[0] === sizes?.[1] ? "is off its place" : `is ${sizes?.[0]}, wanted ${sizes?.[1]}`;
  const words: readonly LabelWord[] =
    hole.work === "unresolved" && there !== undefined
      ? [{ text: `${there.id} ${wrong}`, role: role ?? "stop" }]
      : hole.purpose === "none"
        ? [{ text: hole.id, role: role ?? "quiet" }]
        : [];
  if (words.length === 0) return [];
  const outline = hole.work === "unresolved" && there !== undefined ? outlineOf(there.shape, there) : hole.outline;
  const target = shapeOf(outline, map);
  return [
    {
      ids: [hole.id],
      owner: hole.item ?? hole.id,
      words,
      ...(hole.work === "unresolved" && there !== undefined
        ? { shorter: [{ text: `${there.id} wrong`, role: role ?? "stop" }] }
        : {}),
      inside: [],
      beside: [shapeBox(target)],
      target,
    },
  ];
}

function carrierLabels({ judged, look, map, roleOf }: PlateParts): readonly Label[] {
  return judged.holes.carriers.map((carrier) => {
    const target = shapeOf(carrier.outline, map);
    const { outline } = carrier;
    const size =
      outline.kind === "circle"
        ? ` Ø\u202f${outline.diameterMillimetres}`
        : outline.kind === "rectangle"
          ? ` ${outline.widthMillimetres} × ${outline.heightMillimetres}`
          : "";
    const far = carrier.face === look.face ? "" : carrier.face === "top" ? " above" : " below";
    const role = roleOf([carrier.item, carrier.hole]);
    return {
      ids: [carrier.item],
      owner: carrier.item,
      words: [{ text: `${CARRIER_WORDS[carrier.kind]}${size}${far}`, role: role ?? "quiet" }],
      shorter: [{ text: CARRIER_WORDS[carrier.kind], role: role ?? "quiet" }],
      inside: [],
      beside: [shapeBox(target)],
      target,
    };
  });
}

function markLabels({ judged, look, map, roleOf }: PlateParts): readonly Label[] {
  const { marks } = look;
  if (marks === undefined) return [];
  return judged.holes.holes.flatMap((hole): readonly Label[] => {
    const text = marks.get(hole.id);
    if (text === undefined) return [];
    const target = shapeOf(hole.outline, map);
    const due = hole.work === "cut" || hole.work === "open-up";
    const role = roleOf([hole.id]);
    return [
      {
        ids: [hole.id],
        owner: hole.item ?? hole.id,
        words: [{ text, ...(due ? { bold: true } : {}), ...(role === undefined ? {} : { role }) }],
        inside: [{ box: shapeBox(target), shape: () => target, hole: hole.id }],
        beside: [shapeBox(target)],
        target,
      },
    ];
  });
}
