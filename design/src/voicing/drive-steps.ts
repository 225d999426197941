/**
 * Harmonics at some positions of the drive, the input held: what a measurement sheet is filled in beside.
 *
 * Method  The whole document solved with the drive turned in every channel that has its block; level and all else stay as set.
 * Limits  The drive of the first channel; a channel whose block is another keeps its own position.
 */
import { type Catalogue, clockPosition, fail, ok, type Result } from "@platewright/engine";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import type { LevelPoint, SolvedDesign } from "../solved/types.ts";
import { findControls } from "./controls.ts";

export interface DriveStep {
  /** 0 fully down, 1 fully up. */
  readonly turn: number;
  /** "3 o'clock". */
  readonly clock: string;
  /** By channel. */
  readonly points: ReadonlyMap<string, LevelPoint>;
}

export interface DriveSteps {
  /** The part in its block: "P1". */
  readonly drive: string;
  readonly inputVolts: number;
  readonly steps: readonly DriveStep[];
}

/** From noon to fully up, where a drive is used. */
export const DRIVE_TURNS = [0.5, 0.7, 0.8, 0.9, 1] as const;

/** undefined: no channel has a drive. */
export function driveSteps(
  solved: SolvedDesign,
  catalogue: Catalogue,
  inputVolts: number,
  turns: readonly number[] = DRIVE_TURNS,
): Result<DriveSteps | undefined, string> {
  const { document, expanded } = solved;
  const [channel] = expanded.channels;
  const control = channel === undefined ? undefined : findControls(solved, channel.instance).drive;
  const part = expanded.parts.find((one) => one.id === control?.id);
  if (part === undefined) return ok(undefined);
  const users = document.instances.filter((one) => one.block === part.block).map((one) => one.id);
  const steps: DriveStep[] = [];
  for (const turn of turns) {
    const turned = setPart(document, users, part.written.id, { position: turn });
    const answer = solveDesign(turned, catalogue, { detail: "levels", levels: [inputVolts], near: solved });
    if (!answer.ok) return fail(answer.failure.sentence);
    const points = answer.value.channels.flatMap((one) =>
      one.levels[0] === undefined ? [] : [[one.instance, one.levels[0]] as const],
    );
    steps.push({ turn, clock: clockPosition(turn), points: new Map(points) });
  }
  return ok({ drive: part.written.id, inputVolts, steps });
}
