/** A rework's changes as steps, one per thing that is done at the bench, each with a title in the builder's words. */
import { applyChanges, type Change, type Document, movesWords, type ReworkAnswer } from "@platewright/design";
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
    held = next.value;
    moves.push({ title: titleOf(thing, changes, answer.moves).slice(0, MOST_TITLE), changes });
  }
  return moves;
}

/** What a change is done to: a bottle with its socket, a part, or a field. */
const thingOf = (target: string): string =>
  /^(?:envelopes\[[^\]]+\]|blocks\.[^[]+\.parts\[[^\]]+\]|instances\[[^\]]+\]\.overrides\.[^.]+)/.exec(target)?.[0] ??
  target;

function titleOf(thing: string, changes: readonly Change[], moves: ReworkAnswer["moves"]): string {
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
  const name = part === null ? thing : `${part[2] ?? ""} in every ${part[1] ?? ""}`;
  return `${name}: ${changes.map((one) => `${written(one.before)} → ${written(one.after)}`).join(", ")}`;
}

const written = (value: unknown): string =>
  value === undefined ? "none" : typeof value === "string" ? value : (JSON.stringify(value) ?? "none").slice(0, 60);
