/** Which channel of a solved design the screen shows, and over which levels. */
import { levelsTowardTheTop, logarithmicLevels, type SolvedDesign } from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";
import type { Bench } from "../../worker/bench.ts";

export interface At {
  readonly channel?: string;
}

const LEAST_GRID_VOLTS = 0.05;
/** Beyond the largest input there is still something to see: where the stage gives out. */
const BEYOND = 2.5;

/** Channels that are no twin of another. */
export function channelsOf(solved: SolvedDesign): readonly string[] {
  return solved.channels.filter((one) => one.sameAs === undefined).map((one) => one.instance);
}

const mostGridVolts = (solved: SolvedDesign): number => solved.document.targets.largestInputVolts * BEYOND;

/** Levels at the grid; they do not move with the drive, so that the picture stands still. */
export const plotLevels = (solved: SolvedDesign, count: number): readonly number[] =>
  logarithmicLevels(LEAST_GRID_VOLTS, mostGridVolts(solved), count);

/** The same range in few levels, most of them where lines bend. */
export const liveLevels = (solved: SolvedDesign, count: number): readonly number[] =>
  levelsTowardTheTop(LEAST_GRID_VOLTS, mostGridVolts(solved), count);

/** The channel asked for, else the first. */
export function channelAt(
  bench: Bench,
  given: string | undefined,
): Result<{ readonly solved: SolvedDesign; readonly instance: string }, string> {
  const now = bench.now();
  if (!now.ok) return now;
  const instance = given ?? channelsOf(now.value)[0];
  return instance === undefined
    ? fail("This design has no channel with an input and an output jack.")
    : ok({ solved: now.value, instance });
}
