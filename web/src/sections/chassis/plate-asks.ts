/** What the Chassis screen asks: the plate as it is drawn, what stands on it, its holes with their tools, how it is judged. */
import { chassisFindings, footprintsOf, orderOfWork } from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { itemHeights, type Scene, sideDrawing, type SideFrom } from "@platewright/drawing";
import { footprints } from "@platewright/library";
import { ask } from "../../worker/ask.ts";
import { factsOf } from "./item-facts.ts";
import { drawn, groupsOf, keptPlate, type PlateParams } from "./plate-groups.ts";
import { holeRows } from "./hole-rows.ts";
import { movedItems } from "./layout-edits.ts";
import { mm } from "./read-length.ts";
import { roomFor } from "./room.ts";
import { keptChassis, NO_CHASSIS } from "./kept-chassis.ts";
import { runsOn } from "./wire-runs-on.ts";
import { paperRound, scaleFor } from "./plate-scale.ts";

type None = Record<string, never>;

export const plateAsks = {
  /** The plate as it is kept, drawn from a face at the width it gets. */
  chassisPlate: ask(
    "live",
    (bench, params: PlateParams) => {
      const kept = keptPlate(bench, params);
      if (kept === undefined) return fail(NO_CHASSIS);
      const { judged, groups } = kept;
      const { map, box } = kept.drawing;
      const { plate } = judged.chassis;
      const paper = paperRound(box, map.width, map.height);
      return ok({
        face: params.face,
        scale: map.scale,
        plate: { widthMillimetres: plate.widthMillimetres, depthMillimetres: plate.depthMillimetres },
        /** Where each item is drawn. */
        places: judged.items.map(({ item }) => ({ id: item.id, x: item.x, y: item.y })),
        left: -paper.left,
        top: -paper.top,
        width: map.width + paper.left + paper.right,
        height: map.height + paper.top + paper.bottom,
        groups,
      });
    },
    (bench) => [bench.kept],
    true,
  ),
  /** What of that drawing is another with what is in hand: groups that take the place of those with the same key. */
  chassisMoved: ask("live", (bench, params: PlateParams) => {
    const kept = keptPlate(bench, params);
    const judged = bench.chassis();
    if (kept === undefined || judged === undefined) return fail(NO_CHASSIS);
    if (bench.kept === bench.input.document) return ok({ gone: [], groups: [], places: [] });
    const chosen = movedItems(bench.kept, bench.input.document);
    const ways = params.wires ? runsOn(bench, judged)?.runs : undefined;
    const groups = groupsOf(drawn(judged, params.face, kept.drawing.map.scale, ways, chosen).items, judged);
    const was = new Map(kept.groups.map(({ key, text }) => [key, text]));
    const others = groups.filter(({ key, text }) => was.get(key) !== text);
    const now = new Set(groups.map(({ key }) => key));
    return ok({
      gone: [...was.keys()].filter((key) => !now.has(key)),
      groups: others,
      places: judged.items.filter(({ item }) => chosen.has(item.id)).map(({ item: { id, x, y } }) => ({ id, x, y })),
    });
  }),
  /** The same from a side, with every height. */
  chassisSide: ask("live", (bench, { from, width }: { readonly from: SideFrom; readonly width: number }) => {
    const judged = bench.chassis();
    if (judged === undefined) return fail(NO_CHASSIS);
    const { plate } = judged.chassis;
    const long = from === "front" ? plate.widthMillimetres : plate.depthMillimetres;
    const chosen = movedItems(bench.kept, bench.input.document);
    const drawn = (scale: number) => sideDrawing(judged, { from, scale, chosen });
    // Words at its ends want paper too.
    const first = drawn(scaleFor(long, width));
    const excess = first.box.right - first.box.left - width;
    const { items, box } = excess > 0 ? drawn(scaleFor(long, width - excess)) : first;
    const scene: Scene = {
      units: "mm",
      width: Math.max(width, box.right - box.left),
      height: box.bottom - box.top + 2,
      title: from === "front" ? "The chassis from the front" : "The chassis from the left",
      description: itemHeights(judged)
        .map(
          ({ name, aboveMillimetres, belowMillimetres }) =>
            `${name} ${mm(aboveMillimetres)} mm up, ${mm(belowMillimetres)} mm down`,
        )
        .join("; "),
      items: [{ kind: "group", at: [-box.left, -box.top + 1], items }],
    };
    return ok(scene);
  }),
  /** Everything that stands on it, as it is kept. */
  chassisItems: ask(
    "live",
    (bench, _params: None) => {
      const judged = keptChassis(bench);
      return judged === undefined
        ? fail(NO_CHASSIS)
        : ok({ items: judged.items.map((one) => factsOf(bench.kept, judged, one)), unknown: judged.holes.unknown });
    },
    (bench) => [bench.kept],
    true,
  ),
  /** Every hole, what is to be done first; with what is in hand as soon as the hand rests. */
  chassisHoles: ask("settled", (bench, _params: None) => {
    const judged = bench.chassis();
    return judged === undefined ? fail(NO_CHASSIS) : ok(holeRows(judged));
  }),
  /** The holes that are to be made, in the order of the work. */
  chassisWork: ask("settled", (bench, _params: None) => {
    const judged = bench.chassis();
    return judged === undefined ? fail(NO_CHASSIS) : ok(orderOfWork(judged.chassis, judged.holes));
  }),
  /** Where a part would find room, for what is put on the plate without a hand that says where. */
  chassisRoom: ask("live", (bench, { footprint }: { readonly footprint: string }) => {
    const judged = bench.chassis();
    if (judged === undefined) return fail(NO_CHASSIS);
    const found = footprintsOf(judged.chassis, footprints).footprint(footprint);
    return found === undefined ? fail(`There is no footprint ${footprint}.`) : ok(roomFor(judged, found));
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
