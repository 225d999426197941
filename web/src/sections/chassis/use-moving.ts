import { useCallback, useEffect, useMemo, useRef } from "react";
import { useAround } from "../../state/use-session.ts";
import { movedBy } from "./layout-edits.ts";
import { placedAt } from "./place-edit.ts";

/** Keys that follow each other within this are one step. */
const REST_MILLISECONDS = 700;

export interface Moving {
  /** To a place, in hand. */
  readonly to: (id: string, place: { readonly x: number; readonly y: number }) => void;
  /** Several by the same way from where they are kept, in hand. */
  readonly by: (ids: readonly string[], dx: number, dy: number) => void;
  /** From where it is in hand by a step of a key; kept when the keys have rested. */
  readonly nudge: (ids: readonly string[], dx: number, dy: number) => void;
  readonly turn: (id: string, degrees: number) => void;
  /** What is in hand of it becomes one step. */
  readonly keep: () => void;
  readonly drop: () => void;
  readonly isInHand: () => boolean;
}

/** Items that are moved on the plate: one drag, or one run of keys, is one step. */
export function useMoving(): Moving {
  const { session, hands } = useAround();
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const waiting = useRef(false);
  const end = useCallback(
    (how: "keep" | "drop") => {
      clearTimeout(timer.current);
      if (!waiting.current) return;
      waiting.current = false;
      if (how === "keep") hands.keepHand();
      else hands.drop();
    },
    [hands],
  );
  useEffect(() => () => end("keep"), [end]);
  return useMemo((): Moving => {
    const kept = () => session.getState().book.value;
    const now = (id: string) => {
      const { hand } = session.getState();
      const item = kept().chassis?.items.find((one) => one.id === id);
      if (item === undefined || hand === undefined || hand.preview === true) return item;
      const set = (field: string) =>
        hand.changes.find(({ target }) => target === `chassis.items[${id}].${field}`)?.after;
      const number = (field: "x" | "y" | "degrees") => {
        const value = set(field);
        return typeof value === "number" ? value : item[field];
      };
      return { ...item, x: number("x"), y: number("y"), degrees: number("degrees") };
    };
    const hold = ({ title, changes }: ReturnType<typeof placedAt>) => {
      waiting.current = true;
      hands.hold(title, changes);
    };
    const rest = () => {
      clearTimeout(timer.current);
      timer.current = setTimeout(() => end("keep"), REST_MILLISECONDS);
    };
    return {
      to: (id, place) => {
        clearTimeout(timer.current);
        hold(placedAt(kept(), id, place));
      },
      by: (ids, dx, dy) => {
        clearTimeout(timer.current);
        hold(movedBy(kept(), ids, dx, dy));
      },
      nudge: (ids, dx, dy) => {
        const [first] = ids;
        const item = first === undefined ? undefined : now(first);
        const was = kept().chassis?.items.find((one) => one.id === first);
        if (first === undefined || item === undefined || was === undefined) return;
        if (ids.length === 1) hold(placedAt(kept(), first, { ...item, x: item.x + dx, y: item.y + dy }));
        else hold(movedBy(kept(), ids, item.x - was.x + dx, item.y - was.y + dy));
        rest();
      },
      turn: (id, degrees) => {
        const item = now(id);
        if (item === undefined) return;
        hold(placedAt(kept(), id, { ...item, degrees: item.degrees + degrees }));
        rest();
      },
      keep: () => end("keep"),
      drop: () => end("drop"),
      isInHand: () => waiting.current,
    };
  }, [session, hands, end]);
}
