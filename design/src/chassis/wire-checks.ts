/**
 * What the ways of the wires are checked for: plate to grid, heaters to grids, mains to signal, what is screened, where stoppers sit.
 *
 * Method  Least distances of ways and pins on the plate. A plate counts against grids of other sockets: within one socket
 *         the pins are where they are. The heaters' pair may come as near to a grid as its own pins are, not nearer.
 * Limits  Common practice. Ways as wire-runs.ts lays them; where a wire really lies, the eye decides. A stopper's place is not on
 *         the plate: it is looked at, not computed.
 */
import { endWords } from "../bench/wiring.ts";
import { type ChassisJudged, mm, nameOf } from "./context.ts";
import { distance } from "./geometry.ts";
import { HEATER_TO_GRID, MAINS_TO_SIGNAL, PLATE_TO_GRID, SCREENED_OVER, STOPPER_TO_PIN } from "./practice.ts";
import { type TubePin, tubePins } from "./wire-pins.ts";
import { routeGap, type Route } from "./wire-routes.ts";
import type { WireRun } from "./wire-runs.ts";

export interface WireCheck {
  readonly id: string;
  /** "V2 pin 1 to V1 pin 2". */
  readonly words: string;
  /** null: the plate does not tell. */
  readonly millimetres: number | null;
  readonly limit: number;
  readonly bound: "at least" | "at most" | "over";
  /** "look": to be looked at where it is made. */
  readonly level: "ok" | "watch" | "look";
  /** Wires that it is about. */
  readonly wires: readonly string[];
}

export function wireChecks(judged: ChassisJudged, runs: readonly WireRun[]): readonly WireCheck[] {
  const grids = tubePins(judged, "grid");
  return [
    ...screened(judged, runs),
    ...stoppers(judged, grids),
    ...plateToGrid(judged, runs, grids),
    ...heaterToGrid(judged, runs, grids),
    ...mainsToSignal(judged, runs),
  ];
}

function screened(judged: ChassisJudged, runs: readonly WireRun[]): readonly WireCheck[] {
  return runs
    .filter((run) => run.screened)
    .map((run) => ({
      id: `screened/${run.id}`,
      words: `${runWords(judged, run)}: screened, at one end`,
      millimetres: run.parts.route,
      limit: SCREENED_OVER,
      bound: "over" as const,
      level: "ok" as const,
      wires: [run.id],
    }));
}

/** A resistor that is all that a grid's net leads to. */
function stoppers({ expanded, items }: ChassisJudged, grids: readonly TubePin[]): readonly WireCheck[] {
  return grids.flatMap(({ net, item, pin }) => {
    const own = (expanded?.parts ?? []).filter(
      (part) => part.kind !== "triode" && Object.values<string>(part.written.pins).includes(net),
    );
    const [only] = own;
    if (own.length !== 1 || only?.kind !== "resistor" || Object.values<string>(only.written.pins).includes("0"))
      return [];
    return [
      {
        id: `stopper/${only.id}`,
        words: `${only.id} body to ${nameOf({ items }, item.item.id)} pin ${pin}`,
        millimetres: null,
        limit: STOPPER_TO_PIN,
        bound: "at most",
        level: "look",
        wires: [],
      },
    ];
  });
}

interface Near {
  readonly words: string;
  readonly millimetres: number;
  readonly wires: readonly string[];
}

const nearest = (all: readonly Near[]): Near | undefined =>
  all.reduce<Near | undefined>(
    (best, one) => (best === undefined || one.millimetres < best.millimetres ? one : best),
    undefined,
  );

interface Reach {
  readonly words: string;
  readonly route: Route;
  readonly sockets: readonly string[];
  readonly wires: readonly string[];
}

/** Pins and the wires that end at them. */
function reachOf(judged: ChassisJudged, pins: readonly TubePin[], runs: readonly WireRun[]): readonly Reach[] {
  return [
    ...pins.map((one) => ({
      words: `${nameOf(judged, one.item.item.id)} pin ${one.pin}`,
      route: [one.place],
      sockets: [one.envelope],
      wires: [],
    })),
    ...runs.flatMap((run): readonly Reach[] => {
      const ends = [run.from, run.to].map((end) => end.near ?? end);
      if (!pins.some((one) => ends.some((end) => end.item === one.envelope && numbers(end.at).includes(one.pin))))
        return [];
      const sockets = ends.map((end) => end.item);
      return [{ words: `the wire ${runWords(judged, run)}`, route: run.route, sockets, wires: [run.id] }];
    }),
  ];
}

const numbers = (at: string): readonly string[] => at.match(/\d+/g) ?? [];

function plateToGrid(judged: ChassisJudged, runs: readonly WireRun[], grids: readonly TubePin[]): readonly WireCheck[] {
  // A plate on a reservoir has no signal.
  const still = new Set(runs.filter((run) => run.purpose === "supply").map((run) => run.net));
  const plates = tubePins(judged, "plate").filter((one) => !still.has(one.net));
  const near = nearest(
    reachOf(judged, plates, runs).flatMap((plate) =>
      reachOf(judged, grids, runs)
        .filter((grid) => !grid.sockets.some((socket) => plate.sockets.includes(socket)))
        .map((grid) => ({
          words: `${plate.words} to ${grid.words}`,
          millimetres: routeGap(plate.route, grid.route),
          wires: [...plate.wires, ...grid.wires],
        })),
    ),
  );
  return near === undefined ? [] : [above("plate-to-grid", near, PLATE_TO_GRID)];
}

function heaterToGrid(
  judged: ChassisJudged,
  runs: readonly WireRun[],
  grids: readonly TubePin[],
): readonly WireCheck[] {
  const pairs = runs.filter((run) => run.purpose === "heater" && run.twisted);
  const heaters = tubePins(judged, "heater");
  return [...new Set(grids.map((one) => one.envelope))].flatMap((envelope) => {
    const rows = grids
      .filter((one) => one.envelope === envelope)
      .flatMap((grid) =>
        pairs.map((run) => {
          const millimetres = routeGap(run.route, [grid.place]);
          // Its own pins, where it ends at this socket.
          const ends = run.from.item === envelope || run.to.item === envelope;
          const own = ends ? heaters.filter((one) => one.envelope === envelope) : [];
          const limit = Math.min(HEATER_TO_GRID, ...own.map((one) => distance(one.place, grid.place)));
          const words = `heater pair to ${nameOf(judged, grid.item.item.id)} pin ${grid.pin}${limit < HEATER_TO_GRID ? ", as near as its own pins" : ""}`;
          return { near: { words, millimetres, wires: [run.id] }, limit };
        }),
      );
    const [worst] = rows.toSorted((a, b) => a.near.millimetres - a.limit - (b.near.millimetres - b.limit));
    return worst === undefined ? [] : [above(`heater-to-grid/${envelope}`, worst.near, worst.limit)];
  });
}

function mainsToSignal(judged: ChassisJudged, runs: readonly WireRun[]): readonly WireCheck[] {
  const near = nearest(
    runs
      .filter((run) => run.purpose === "mains")
      .flatMap((live) =>
        runs
          .filter((run) => run.purpose === "signal" || run.purpose === "grid")
          .map((quiet) => ({
            words: `mains ${runWords(judged, live)}, signal ${runWords(judged, quiet)}`,
            millimetres: routeGap(live.route, quiet.route),
            wires: [live.id, quiet.id],
          })),
      ),
  );
  return near === undefined ? [] : [above("mains-to-signal", near, MAINS_TO_SIGNAL)];
}

/** A tenth of a micrometre is no fault. */
const HAIR = 1e-4;

const above = (id: string, { words, millimetres, wires }: Near, limit: number): WireCheck => ({
  id,
  words,
  millimetres,
  limit,
  bound: "at least",
  level: millimetres >= limit - HAIR ? "ok" : "watch",
  wires,
});

const runWords = (judged: ChassisJudged, { from, to }: WireRun): string =>
  `${placeWords(judged, from)} to ${placeWords(judged, to)}`;

/** The end as it is named on the plate; of a part that hangs, the part. */
function placeWords({ items }: ChassisJudged, end: WireRun["from"]): string {
  const found = items.find(
    ({ item: { what } }) => "part" in what && (what.part === end.item || what.also?.includes(end.item) === true),
  );
  return found === undefined
    ? end.near === undefined
      ? endWords(end)
      : end.item
    : (found.item.label ?? found.item.id);
}

export const checkWords = ({ millimetres, limit, bound }: WireCheck): string =>
  millimetres === null ? `${bound} ${mm(limit)} mm: look` : `${mm(millimetres)} mm, ${bound} ${mm(limit)}`;
