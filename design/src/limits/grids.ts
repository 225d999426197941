/** Findings of each grid: its circuit's resistance, onset of grid current, stopper, wiper, and the cold start. */
import { compile, hertz, magnitude, ONSET_AMPS, solveImpedance } from "@platewright/engine";
import type { ExpandedPart, ExpandedTriode } from "../document/expanded.ts";
import type { Finding } from "../findings.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { against, finding, unsolved } from "./build.ts";
import { practice } from "./judge.ts";
import { biasOf, channelOf, type Judged, netVolts, partsOn, readWorst, signalOf, solvedIn } from "./judged.ts";
import { say } from "./say.ts";
import { limitOf } from "./sections.ts";

/** Highest usual grid-circuit resistance where the sheet gives none. */
const USUAL_GRID_OHMS = 1e6;
/** Above this slope a section oscillates where lesser ones never did. */
const STOPPER_SIEMENS = 5e-3;
const LEAST_STOPPER_OHMS = 47;
const MOST_STOPPER_OHMS = 100e3;
/** A grid this far above a cold cathode may arc. */
const COLD_GRID_VOLTS = 5;

export function gridFindings(judged: Judged, triode: ExpandedTriode): readonly Finding[] {
  const stage = stagesOf(judged.nominal).find((one) => one.triode.id === triode.id);
  return [
    gridOhms(judged, triode),
    stage?.role === "follower" ? followerGrid(judged, triode) : onset(judged, triode),
    coldGrid(judged, triode),
    ...stopper(judged, triode),
    ...wiper(judged, triode),
  ];
}

/** dc resistance seen by the grid, tubes cold: leak, stopper, and what they hang on. */
function gridOhms(judged: Judged, triode: ExpandedTriode): Finding {
  const cathodeBias = triode.cathode !== "0";
  const own = limitOf(judged, triode, cathodeBias ? "gridOhmsCathodeBias" : "gridOhmsFixedBias");
  const other = limitOf(judged, triode, cathodeBias ? "gridOhmsFixedBias" : "gridOhmsCathodeBias");
  const limit = own ?? other ?? practice(USUAL_GRID_OHMS, "common practice: at most 1 MΩ");
  const cold = solvedIn(judged, "cold") ?? judged.nominal;
  const value = dcOhms(cold, triode.grid);
  return against(judged, {
    rule: "grid-ohms",
    where: triode.id,
    what: "grid circuit",
    reading: { value, words: cathodeBias ? "dc, cathode bias" : "dc, fixed bias", missing: [] },
    limit,
    unit: "Ω",
    houseFraction: 1,
  });
}

function dcOhms(solved: SolvedDesign, net: string): number {
  if (net === "0") return 0;
  const compiled = compile(solved.parts);
  if (!compiled.ok) return Number.NaN;
  const looking = solveImpedance(compiled.value, solved.bias, { net, hertz: [hertz(0)] });
  const first = looking.ok ? looking.value[0] : undefined;
  return first === undefined ? Number.NaN : magnitude(first);
}

function onset(judged: Judged, triode: ExpandedTriode): Finding {
  const largest = judged.document.targets.largestInputVolts;
  const channel = channelOf(judged.nominal, triode.instance);
  const found = channel?.onset.find(
    (one) => one.triode === triode.id || one.triode === `${channel.sameAs ?? ""}.${triode.part}`,
  );
  if (found === undefined || (found.inputVolts === null && found.searchedTo === 0))
    return unsolved("grid-onset", triode.id, "onset of grid current", "running, mains nominal");
  const beyond = found.inputVolts === null;
  const at = found.inputVolts ?? found.searchedTo;
  return finding({
    rule: "grid-onset",
    where: triode.id,
    level: at < largest ? "stop" : at < 1.15 * largest ? "watch" : "ok",
    title: `${triode.id} draws grid current ${beyond ? `only above ${say(at, "V")}` : `from ${say(at, "V")} rms`} at the input, largest input ${say(largest, "V")}${at < largest ? ": it clips and loads the drive control below it" : at < 1.15 * largest ? ": little room" : ""}`,
    value: at,
    limit: largest,
    unit: "V",
    sense: "above",
    condition: "running, mains nominal, drive as set",
    source: "the document's largest input; onset is 0.3 µA mean",
  });
}

function followerGrid(judged: Judged, triode: ExpandedTriode): Finding {
  const cycle = signalOf(judged.nominal, triode);
  if (cycle === undefined) return unsolved("follower-grid", triode.id, "follower grid current", "at the largest input");
  const draws = cycle.meanGridAmps > ONSET_AMPS;
  return finding({
    rule: "follower-grid",
    where: triode.id,
    level: draws ? "stop" : "ok",
    title: `${triode.id} follower grid ${draws ? `draws ${say(cycle.meanGridAmps, "A")} mean and loads the stage before it` : `stays quiet, highest ${say(cycle.peakGridVolts, "V")} to its cathode`} at the largest input`,
    value: cycle.meanGridAmps,
    limit: ONSET_AMPS,
    unit: "A",
    sense: "below",
    condition: "largest input, mains nominal",
    source: "onset is 0.3 µA mean; common practice: a follower's grid draws none",
  });
}

/** Cold start: the cathode has not risen yet, the grid may stand at B+ through a plate load. */
function coldGrid(judged: Judged, triode: ExpandedTriode): Finding {
  const positive = limitOf(judged, triode, "gridPositiveVolts");
  const limit = positive ?? practice(COLD_GRID_VOLTS, "common practice: a cold grid stays within 5 V of its cathode");
  const reading = readWorst(judged, limit.system ?? "absolute", "cold", (solved) => {
    const grid = netVolts(solved, triode.grid);
    const cathode = netVolts(solved, triode.cathode);
    return grid === undefined || cathode === undefined ? undefined : grid - cathode;
  });
  if (reading === undefined) return unsolved("cold-grid", triode.id, "grid to cathode", "cold");
  const found = against(judged, {
    rule: "cold-grid",
    where: triode.id,
    what: "grid to cathode",
    reading: { ...reading, value: Math.max(0, reading.value) },
    limit,
    unit: "V",
    houseFraction: 1,
  });
  return found.level === "stop"
    ? {
        ...found,
        title: `${found.title}; put a diode from grid to cathode, its cathode to the tube's cathode, and a resistor in the grid lead`,
      }
    : found;
}

/** The one resistor between grid pin and the rest, when there is nothing else on the pin. */
function stopperOf(judged: Judged, triode: ExpandedTriode): number | undefined {
  const around = partsOn(judged.nominal, triode.grid).filter((part) => part.id !== triode.id);
  const [only] = around;
  if (around.length !== 1 || only?.electrical.kind !== "resistor") return undefined;
  const { ohms } = only.electrical;
  return ohms >= LEAST_STOPPER_OHMS && ohms <= MOST_STOPPER_OHMS ? ohms : undefined;
}

function stopper(judged: Judged, triode: ExpandedTriode): readonly Finding[] {
  const slope = biasOf(judged.nominal, triode)?.siemens;
  const fitted = stopperOf(judged, triode);
  if (slope === undefined || slope <= STOPPER_SIEMENS) return [];
  return [
    finding({
      rule: "grid-stopper",
      where: triode.id,
      level: fitted === undefined ? "watch" : "ok",
      title: `${triode.id} runs at ${(1000 * slope).toFixed(1)} mA/V ${fitted === undefined ? "without a grid stopper: put 220 Ω to 1 kΩ at the pin" : `with a ${say(fitted, "Ω")} stopper`}`,
      value: slope,
      limit: STOPPER_SIEMENS,
      unit: "S",
      sense: "none",
      condition: "running, mains nominal",
      source: "common practice: stoppers from 5 mA/V up",
    }),
  ];
}

/** With every wiper lifted off its track, does the grid still have a dc path? */
function wiper(judged: Judged, triode: ExpandedTriode): readonly Finding[] {
  const parts = judged.nominal.expanded.parts;
  if (!parts.some((part) => part.electrical.kind === "potentiometer")) return [];
  if (reachesGround(parts, triode.grid, true)) return [];
  if (!reachesGround(parts, triode.grid, false)) return [];
  return [
    finding({
      rule: "grid-on-wiper",
      where: triode.id,
      level: "watch",
      title: `${triode.id}: its grid hangs on a wiper alone; add 1 MΩ from the grid side to ground, a lifting wiper leaves it floating`,
      condition: "any",
      source: "common practice",
    }),
  ];
}

function reachesGround(parts: readonly ExpandedPart[], from: string, wipersLifted: boolean): boolean {
  const reached = new Set([from]);
  for (let grew = true; grew; ) {
    grew = false;
    const join = (a: string, b: string) => {
      if (reached.has(a) === reached.has(b)) return;
      reached.add(a).add(b);
      grew = true;
    };
    for (const { electrical: e } of parts) {
      if (e.kind === "resistor" || e.kind === "inductor") join(e.a, e.b);
      else if (e.kind === "switch" && e.closed) join(e.a, e.b);
      else if (e.kind === "potentiometer") {
        join(e.top, e.bottom);
        if (!wipersLifted) join(e.wiper, e.bottom);
      } else if (e.kind === "dc-source") join(e.plus, e.minus);
    }
  }
  return reached.has("0");
}
