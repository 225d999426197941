/**
 * What an owner reads off the panel: the most that the unit gives with both controls fully up, where on the level control
 * output equals input, and the highest output impedance over its travel.
 *
 * Method  The document solved with its controls turned; unity by bisection on the level's share, taper undone.
 * Limits  Of the first channel; the others stand for it where they are equal.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { turnForFraction, wiperFraction } from "../document/parts.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type Control, findControls } from "../voicing/controls.ts";

export interface Panel {
  /** Part ids in the block: "P1". */
  readonly drive?: string;
  readonly level?: string;
  /** Both fully up, at 1 V in. */
  readonly full: SolvedDesign;
  /** Turn of the level (0 to 1) with the drive fully up at which output equals input; left out: out of reach. */
  readonly unityTurn?: number;
  /** Highest over the level's travel, and the turn where it is. */
  readonly outputOhms: number;
  readonly outputOhmsTurn?: number;
}

const UNITY_SHARE = 1e-3;

export function panelOf(solved: SolvedDesign, catalogue: Catalogue): Result<Panel, string> {
  const { document, expanded } = solved;
  const [channel] = expanded.channels;
  if (channel === undefined) return fail("The design has no channel from an input to an output jack.");
  const { drive, level } = findControls(solved, channel.instance);
  const users = (control: Control): readonly string[] => {
    const part = expanded.parts.find((one) => one.id === control.id);
    return document.instances.filter((one) => one.block === part?.block).map((one) => one.id);
  };
  const idOf = (control: Control): string =>
    expanded.parts.find((one) => one.id === control.id)?.written.id ?? control.id;
  const turned = (turn: number, detail: "full" | "brief" = "brief"): Result<SolvedDesign, string> => {
    let set: Document = document;
    if (drive !== undefined) set = setPart(set, users(drive), idOf(drive), { position: 1 });
    if (level !== undefined) set = setPart(set, users(level), idOf(level), { position: turn });
    const answer = solveDesign(set, catalogue, { detail, near: solved, levels: [1] });
    return answer.ok ? ok(answer.value) : fail(answer.failure.sentence);
  };
  const full = turned(1, "full");
  if (!full.ok) return full;
  const named = {
    ...(drive === undefined ? {} : { drive: idOf(drive) }),
    ...(level === undefined ? {} : { level: idOf(level) }),
  };
  const channelOf = (one: SolvedDesign) => one.channels.find((other) => other.instance === channel.instance);
  const [gain, fullOhms] = [channelOf(full.value)?.gain ?? 0, channelOf(full.value)?.outputOhms ?? 0];
  if (level === undefined) return ok({ ...named, full: full.value, outputOhms: fullOhms });
  const unity = gain > 1 ? unityOf(level, gain, turned, (one) => channelOf(one)?.gain ?? 0) : ok(undefined);
  if (!unity.ok) return unity;
  // Highest where both arms of the control with what stands before it are equal.
  const before = fullOhms < level.ohms ? (fullOhms * level.ohms) / (level.ohms - fullOhms) : 0;
  const share = Math.min(1, (level.ohms + before) / (2 * level.ohms));
  const highest = turned(turnForFraction(level.taper, share));
  if (!highest.ok) return highest;
  return ok({
    ...named,
    full: full.value,
    ...(unity.value === undefined ? {} : { unityTurn: unity.value }),
    outputOhms: channelOf(highest.value)?.outputOhms ?? fullOhms,
    outputOhmsTurn: turnForFraction(level.taper, share),
  });
}

function unityOf(
  level: Control,
  fullGain: number,
  turned: (turn: number) => Result<SolvedDesign, string>,
  gainOf: (solved: SolvedDesign) => number,
): Result<number, string> {
  let [low, high] = [0, 1];
  let share = 1 / fullGain;
  for (let n = 0; n < 30; n++) {
    const turn = turnForFraction(level.taper, share);
    const here = turned(turn);
    if (!here.ok) return here;
    const gain = gainOf(here.value);
    if (Math.abs(gain - 1) < UNITY_SHARE) return ok(turn);
    if (gain > 1) high = wiperFraction(level.taper, turn);
    else low = wiperFraction(level.taper, turn);
    const next = share / gain;
    share = next > low && next < high ? next : (low + high) / 2;
  }
  return fail("No position of the level control gives unity gain.");
}
