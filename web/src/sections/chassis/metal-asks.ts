/**
 * What the panels of the metal ask of the bench: holes to decide about and the ways for each, the turn of a socket, which tool
 * makes which hole, parts that may be placed. Of the unit as it is kept, so that a list stays while one of its ways is looked at.
 */
import {
  type ChassisJudged,
  footprintsOf,
  holesOf,
  judgedChassis,
  onNewPlate,
  rotationOf,
  type SalvageOption,
  salvageOptions,
  sizeWords,
  toolFor,
  tradeTrap,
  type Turn,
} from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { turnsPicture } from "@platewright/drawing";
import { footprints } from "@platewright/library";
import { ask } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { absentOf, footprintRow } from "./part-rows.ts";
import { salvageCases } from "./salvage-cases.ts";
import { EDGE, sceneOf, wayScenes } from "./way-scenes.ts";

type None = Record<string, never>;

const NO_PLATE = "This design has no plate yet.";

const judgedKept = (bench: Bench): ChassisJudged | undefined =>
  judgedChassis({ document: bench.kept, footprints, catalogue: bench.catalogue, fixes: false });

const kept = (bench: Bench) => [bench.kept];

/** A way with its fix made whole: a new plate has changes too. */
export type Way = SalvageOption;

/** A turn that is better by less is not worth other screw holes. */
const NOTABLY = 0.97;

const turnFacts = ({ wires: _wires, ...turn }: Turn) => turn;

export const metalAsks = {
  /** Every hole that somebody has to decide about, or did. */
  chassisSalvage: ask(
    "settled",
    (bench, _params: None) => {
      const judged = judgedKept(bench);
      return judged === undefined ? fail(NO_PLATE) : ok(salvageCases(judged));
    },
    kept,
  ),
  /** Every way for a hole, cheapest first, with its drawing. */
  chassisWays: ask(
    "settled",
    (
      bench,
      { hole, item, hourly }: { readonly hole: string; readonly item: string | null; readonly hourly: number },
    ) => {
      const judged = judgedKept(bench);
      if (judged === undefined) return fail(NO_PLATE);
      const ways = salvageOptions(
        { chassis: judged.chassis, library: footprints, hourly, found: judged.holes },
        hole,
        item ?? undefined,
      );
      if (!ways.ok) return ways;
      const fresh = onNewPlate(judged.chassis);
      return ok(
        ways.value.map(
          (way): Way => (way.by === "new-plate" ? { ...way, fix: { title: way.title, changes: fresh } } : way),
        ),
      );
    },
    kept,
  ),
  /** A way as it is made, drawn at the width it gets, millimetres. */
  chassisWayDrawn: ask(
    "settled",
    (
      bench,
      {
        hole,
        item,
        by,
        width,
      }: { readonly hole: string; readonly item: string | null; readonly by: Way["by"]; readonly width: number },
    ) => {
      const judged = judgedKept(bench);
      if (judged === undefined) return fail(NO_PLATE);
      const ways = salvageOptions(
        { chassis: judged.chassis, library: footprints, found: judged.holes },
        hole,
        item ?? undefined,
      );
      if (!ways.ok) return ways;
      const way = ways.value.find((one) => one.by === by);
      return way === undefined || way.obstacle !== undefined
        ? ok({ cut: null, above: null })
        : ok(wayScenes(judged, way, width));
    },
    kept,
  ),
  /** How a socket is turned now and how it would be better; null for what is no wired socket. */
  chassisTurn: ask(
    "settled",
    (bench, { item }: { readonly item: string }) => {
      const judged = judgedKept(bench);
      if (judged === undefined) return fail(NO_PLATE);
      const placed = judged.items.find((one) => one.item.id === item);
      const rotation = placed === undefined ? undefined : rotationOf(judged, placed);
      if (placed === undefined || rotation === undefined) return ok(null);
      const best = rotation.turns[0];
      return ok({
        item,
        label: placed.footprint.label,
        now: turnFacts(rotation.now),
        best: best === undefined ? null : turnFacts(best),
        bestAsCut: rotation.bestAsCut === undefined ? null : turnFacts(rotation.bestAsCut),
        turns: rotation.turns.map(turnFacts),
      });
    },
    kept,
  ),
  /** The same drawn from below, now beside better, at the width it gets in millimetres. */
  chassisTurnDrawn: ask(
    "settled",
    (bench, { item, width }: { readonly item: string; readonly width: number }) => {
      const judged = judgedKept(bench);
      const placed = judged?.items.find((one) => one.item.id === item);
      const rotation = judged === undefined || placed === undefined ? undefined : rotationOf(judged, placed);
      if (placed === undefined || rotation === undefined) return ok(null);
      const drawing = turnsPicture(rotation, placed, { width: width - 2 * EDGE });
      return ok(
        sceneOf(
          drawing,
          `${item} from below, now and better turned`,
          "Heater and grid wires as straight lines to where they go.",
        ),
      );
    },
    kept,
  ),
  /** Sockets whose wires are known, with what they cross. */
  chassisSockets: ask(
    "settled",
    (bench, _params: None) => {
      const judged = judgedKept(bench);
      if (judged === undefined) return fail(NO_PLATE);
      return ok(
        judged.items.flatMap((placed) => {
          const rotation = rotationOf(judged, placed);
          const best = rotation?.bestAsCut ?? rotation?.turns[0];
          return rotation === undefined || best === undefined
            ? []
            : [
                {
                  item: placed.item.id,
                  crossings: rotation.now.crossings,
                  better: best.score < NOTABLY * rotation.now.score,
                },
              ];
        }),
      );
    },
    kept,
  ),
  /** The tool of every hole that is to be made, traps of what the list names, holes that none of it makes. */
  chassisTools: ask("settled", (bench, _params: None) => {
    const { chassis } = bench.input.document;
    if (chassis === undefined) return fail(NO_PLATE);
    const found = holesOf(chassis, footprints);
    const due = found.holes.filter((hole) => hole.work === "cut" || hole.work === "open-up");
    const choices = due.map((hole) => {
      const carrier = found.carriers.find((one) => one.item === hole.item);
      const thickness = hole.in === "plate" ? chassis.plate.thicknessMillimetres : carrier?.thicknessMillimetres;
      const choice = toolFor(chassis, hole, thickness);
      return {
        hole: hole.id,
        label: `${hole.label}, ${sizeWords(hole.shape)}`,
        words: choice.words,
        tool: choice.tool?.id ?? null,
        traps: choice.traps,
      };
    });
    return ok({
      due: due.length,
      without: choices.filter((one) => one.tool === null).map(({ hole, label, words }) => ({ hole, label, words })),
      used: choices.flatMap(({ hole, label, tool, words }) => (tool === null ? [] : [{ hole, label, tool, words }])),
      traps: [...new Set(choices.flatMap((one) => one.traps))],
      names: (chassis.tools ?? []).flatMap((tool) => {
        const cuts = tool.cutsMillimetres;
        const trap = tradeTrap(tool, "from" in cuts ? cuts.to : (cuts[0] ?? 0));
        return trap === undefined ? [] : [{ tool: tool.id, trap }];
      }),
    });
  }),
  /** Footprints by kind, the builder's own first, and what of the circuit stands nowhere. */
  chassisParts: ask(
    "settled",
    (bench, _params: None) => {
      const judged = judgedKept(bench);
      const library = judged === undefined ? footprints : footprintsOf(judged.chassis, footprints);
      const own = new Set((judged?.chassis.footprints ?? []).map((one) => one.id));
      const rows = library.all.map((one) => footprintRow(one, own.has(one.id)));
      return ok({ footprints: rows, absent: judged === undefined ? [] : absentOf(judged, library.all) });
    },
    kept,
  ),
  /** A footprint whole, to be measured after. */
  chassisFootprint: ask(
    "settled",
    (bench, { id }: { readonly id: string }) => {
      const { chassis } = bench.kept;
      const found = (chassis === undefined ? footprints : footprintsOf(chassis, footprints)).footprint(id);
      return found === undefined ? fail(`There is no footprint ${id}.`) : ok(found);
    },
    kept,
  ),
};
