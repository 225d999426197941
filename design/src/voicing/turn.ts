/** Where a knob stands, as a builder says it, and what a level means with the drive elsewhere. */
import { fail, ok, type Result } from "@platewright/engine";
import { wiperFraction } from "../document/parts.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { findControls } from "./controls.ts";

const CLOCK = /^(\d{1,2})(?::([0-5]\d))?\s*(o['’]?\s?clock)?$/iu;
const SCALE = /^(\d{1,2}(?:[.,]\d+)?|[.,]\d+)$/u;

/**
 * "7", "6.5", "10" on the panel's scale of 0 to 10, or "3 o'clock", "10:30" on the clock (7 o'clock fully down, 5 o'clock
 * fully up), to a turn of 0 to 1. A number alone is the scale's. What is neither is refused in one sentence.
 */
export function readTurn(text: string): Result<number, string> {
  const written = text.trim();
  const wrong = fail(`"${written}" is no position: write 0 to 10 ("6.5") or the clock ("3 o'clock", "10:30").`);
  if (SCALE.test(written)) {
    const turn = Number(written.replace(",", ".")) / 10;
    return turn <= 1 ? ok(turn) : wrong;
  }
  const [, hours, minutes, word] = CLOCK.exec(written) ?? [];
  if (hours === undefined || (minutes === undefined && word === undefined)) return wrong;
  const hour = Number(hours);
  if (hour < 1 || hour > 12) return wrong;
  // Hours since 7, over the top; 5 to 7 is where a knob does not go.
  const since = (hour + Number(minutes ?? 0) / 60 - 7 + 12) % 12;
  return since <= 10 ? ok(since / 10) : wrong;
}

/**
 * The level at the jack that, with the drive as it stands, brings to the grid what `inputVolts` brought with the drive at
 * `drivePosition`. Without a drive the level itself; a drive fully down has no such level (Infinity).
 */
export function inputAtDrive(
  solved: SolvedDesign,
  instance: string,
  inputVolts: number,
  drivePosition: number,
): number {
  const { drive } = findControls(solved, instance);
  return drive === undefined ? inputVolts : (inputVolts * wiperFraction(drive.taper, drivePosition)) / drive.fraction;
}
