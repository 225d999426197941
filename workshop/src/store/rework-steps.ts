/** A rework's changes as steps, one per thing that is done at the bench, each with a title in the builder's words. */
import {
  applyChanges,
  type Change,
  type Document,
  itemWords,
  movesWords,
  type ReworkAnswer,
  reworkItems,
} from "@platewright/design";
import { footprints } from "@platewright/library";
import type { Move } from "./add-design.ts";
import { judgeHeld } from "./judge.ts";

const MOST_TITLE = 300;

/** What leads from `base` to the reworked document; one step when what lies between is not sound by itself. */
export function reworkMoves(base: Document, answer: Pick<ReworkAnswer, "changes" | "moves">): readonly Move[] {
  const groups = new Map<string, Change[]>();
  for (const change of answer.changes) {
    const thing = thingOf(change.target);
    groups.set(thing, [...(groups.get(thing) ?? []), change]);
  }
  const moves: Move[] = [];
  let held = base;
  for (const [thing, changes] of groups) {
    const next = applyChanges(held, changes);
    if (!next.ok || !judgeHeld("design", next.value).ok) return [{ title: "Rework", changes: answer.changes }];
    moves.push({ title: titleOf(thing, changes, answer.moves, held, next.value).slice(0, MOST_TITLE), changes });
    held = next.value;
  }
  return moves;
}

/** What a change is done to: a bottle with its socket, a part, or a field. */
const thingOf = (target: string): string =>
  /^(?:envelopes\[[^\]]+\]|blocks\.[^[]+\.parts\[[^\]]+\]|instances\[[^\]]+\]\.overrides\.[^.]+)/.exec(target)?.[0] ??
  target;

function titleOf(
  thing: string,
  changes: readonly Change[],
  moves: ReworkAnswer["moves"],
  before: Document,
  after: Document,
): string {
  const envelope = /^envelopes\[(.+)\]$/.exec(thing)?.[1];
  if (envelope !== undefined) {
    const type = changes.find((one) => one.target === `${thing}.type`);
    const wires = moves.find((one) => one.envelope === envelope)?.moves ?? [];
    return [
      type === undefined ? `${envelope} rewired` : `${envelope}: ${written(type.before)} → ${written(type.after)}`,
      ...(wires.length === 0 ? [] : [movesWords(wires)]),
    ].join("; ");
  }
  const part = /^blocks\.(.+)\.parts\[(.+)\]$/.exec(thing);
  if (part === null) return settingWords(before, after);
  return `${part[2] ?? ""} in every ${part[1] ?? ""}: ${changes.map((one) => `${written(one.before)} → ${written(one.after)}`).join(", ")}`;
}

/** What is no tube and no part of every channel: a resistor in each plate lead, a part of one channel, metal. */
const settingWords = (before: Document, after: Document): string =>
  reworkItems(before, after, footprints)
    .map((item) => (item.kind === "supply" ? `${item.what} ${item.before} → ${item.after}` : itemWords(item)))
    .join("; ");

const written = (value: unknown): string =>
  value === undefined ? "none" : typeof value === "string" ? value : (JSON.stringify(value) ?? "none").slice(0, 60);
