/** Parts: that each has a footprint, the right one, and that it was measured; that everything of the circuit that is mounted stands somewhere. */
import type { Finding, Fix } from "../findings.ts";
import { list } from "../limits/say.ts";
import { socketWords } from "./chassis-words.ts";
import { type ChassisJudged, mm, nameOf, practised } from "./context.ts";
import { footprintsOf } from "./placed.ts";
import { toolFor } from "./tools.ts";

export function partsFindings(judged: ChassisJudged): readonly Finding[] {
  return [...unknown(judged), ...sockets(judged), ...absent(judged), ...unmeasured(judged), ...tools(judged)];
}

function unknown(judged: ChassisJudged): readonly Finding[] {
  return judged.holes.unknown.map((id) => {
    const item = judged.chassis.items.find((one) => one.id === id);
    return practised({
      rule: "chassis-footprint",
      where: id,
      level: "stop",
      unit: "",
      title: `${id}: there is no footprint ${item?.footprint ?? ""}; measure the part and enter it, or take one of the library`,
      source: "library",
    });
  });
}

/** A socket's footprint takes the socket that the bottle is wired in. */
function sockets(judged: ChassisJudged): readonly Finding[] {
  const all = footprintsOf(judged.chassis, judged.footprints).all;
  return judged.items.flatMap((item) => {
    const { what } = item.item;
    if (!("envelope" in what)) return [];
    const envelope = judged.document.envelopes.find((one) => one.id === what.envelope);
    if (envelope === undefined || item.footprint.socket === envelope.socket) return [];
    const fixes = all
      .filter((one) => one.socket === envelope.socket)
      .map(
        (one): Fix => ({
          title: socketWords(nameOf(judged, item.item.id), one.label),
          changes: [
            {
              target: `chassis.items[${item.item.id}].footprint`,
              before: item.item.footprint,
              after: one.id,
            },
          ],
        }),
      );
    return [
      practised({
        rule: "chassis-socket",
        where: item.item.id,
        level: "stop",
        unit: "",
        title: `${nameOf(judged, item.item.id)} ${envelope.type} wants a ${envelope.socket} socket; the one on the chassis is ${item.footprint.label}`,
        source: "basing of the library",
        fixes,
      }),
    ];
  });
}

/** Bottles, jacks, pots and the transformer that stand nowhere. */
function absent(judged: ChassisJudged): readonly Finding[] {
  const { document, expanded, chassis } = judged;
  const envelopes = new Set(chassis.items.flatMap(({ what }) => ("envelope" in what ? [what.envelope] : [])));
  const parts = new Set(chassis.items.flatMap(({ what }) => ("part" in what ? [what.part, ...(what.also ?? [])] : [])));
  const missing = [
    ...document.envelopes.filter((one) => !envelopes.has(one.id)).map((one) => one.id),
    ...(expanded?.parts ?? [])
      .filter((part) => (part.written.kind === "jack" || part.written.kind === "potentiometer") && !parts.has(part.id))
      .map((part) => part.id),
    ...(document.supply !== undefined && !chassis.items.some(({ what }) => "transformer" in what)
      ? ["the transformer"]
      : []),
  ];
  if (missing.length === 0) return [];
  return [
    practised({
      rule: "chassis-absent",
      where: "chassis",
      level: "watch",
      unit: "",
      title: `not on the plate yet: ${list(missing)}`,
      source: "the circuit",
    }),
  ];
}

/** One finding for all sizes that only memory gives. */
function unmeasured(judged: ChassisJudged): readonly Finding[] {
  const open = judged.items.filter(
    ({ item, footprint }) => item.measured !== true && footprint.provenance.status !== "measured",
  );
  if (open.length === 0) return [];
  const doubtful = open.filter(({ footprint }) => footprint.provenance.confidence === "low");
  return [
    practised({
      rule: "chassis-measure",
      where: "chassis",
      level: "watch",
      unit: "",
      title: `sizes of ${open.length} parts are from memory${doubtful.length > 0 ? `, little trusted those of ${list(doubtful.map(({ item }) => nameOf(judged, item.id)))}` : ""}: measure each part in hand before cutting, and tick it`,
      source: "footprints of the library, from memory",
    }),
  ];
}

/** Holes that no tool of the list makes, and traps of those that do. */
function tools(judged: ChassisJudged): readonly Finding[] {
  const { chassis, holes } = judged;
  if (chassis.tools === undefined) return [];
  const due = holes.holes.filter((hole) => hole.work === "cut" || hole.work === "open-up");
  const without: string[] = [];
  const traps = new Set<string>();
  for (const hole of due) {
    const carrier = holes.carriers.find((one) => one.item === hole.item);
    const thickness = hole.in === "plate" ? chassis.plate.thicknessMillimetres : carrier?.thicknessMillimetres;
    const choice = toolFor(chassis, hole, thickness);
    if (choice.tool === undefined) without.push(hole.label);
    for (const trap of choice.traps) traps.add(trap);
  }
  const found: Finding[] = [];
  if (without.length > 0)
    found.push(
      practised({
        rule: "chassis-tool",
        where: "chassis",
        level: "watch",
        unit: "",
        title: `no tool of the list makes ${list(without)}: order ${without.length === 1 ? "it" : "them"}, or add a tool`,
        source: "tools of the document",
      }),
    );
  if (traps.size > 0)
    found.push(
      practised({
        rule: "chassis-tool-trap",
        where: "chassis",
        level: "watch",
        unit: "",
        title: [...traps].join("; "),
        source: `tools of the document, plate ${mm(chassis.plate.thicknessMillimetres)} mm`,
      }),
    );
  return found;
}
