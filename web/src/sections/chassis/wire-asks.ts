/** What the Chassis screen asks about wires: their ways and checks, and what comes to each pin of a socket seen from below. */
import { endWords } from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";
import { NO_CHASSIS } from "./kept-chassis.ts";
import { pinsScene } from "./pins-scene.ts";
import { listOf, runsOn } from "./wire-runs-on.ts";

type None = Record<string, never>;

const NOT_SOLVED = "The circuit could not be solved, so its wires are not known.";

export const wireAsks = {
  /** What the ways of the wires are checked for, and lengths to cut. */
  chassisWires: ask("settled", (bench, _params: None) => {
    const judged = bench.chassis();
    if (judged === undefined) return fail(NO_CHASSIS);
    const runs = runsOn(bench, judged);
    if (runs === undefined) return fail(NOT_SOLVED);
    return ok({
      checks: runs.checks.map(({ id, words, millimetres, limit, bound, level }) => ({
        id,
        words,
        millimetres,
        limit,
        bound,
        level,
      })),
      runs: runs.runs.map((run) => ({
        id: run.id,
        purpose: run.purpose,
        from: endWords(run.from),
        to: endWords(run.to),
        lengthMillimetres: run.lengthMillimetres,
        twisted: run.twisted,
        screened: run.screened,
        hangs: run.hangs,
      })),
      missing: runs.missing,
    });
  }),
  /** A socket from below as it is turned on the plate, with what comes to each pin; null for what is no wired socket. */
  chassisPins: ask("settled", (bench, { item, width }: { readonly item: string; readonly width: number }) => {
    const judged = bench.chassis();
    const placed = judged?.items.find((one) => one.item.id === item);
    if (placed === undefined || width <= 0) return ok(null);
    const { what } = placed.item;
    if (!("envelope" in what) || placed.footprint.pins === undefined) return ok(null);
    const envelope = bench.input.document.envelopes.find((one) => one.id === what.envelope);
    const base = bench.catalogue
      .tube(envelope?.type ?? "")
      ?.bases.find((one) => one.socket === envelope?.socket && Object.keys(one.pins).length > 0);
    if (envelope === undefined || base === undefined) return ok(null);
    return ok(pinsScene({ placed, envelope, pins: base.pins, list: listOf(bench), width }));
  }),
};
