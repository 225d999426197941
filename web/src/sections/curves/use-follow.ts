import { parseValue, type Series } from "@platewright/engine";
import { useMemo, useRef, useState } from "react";
import { stepped } from "../../parts/stepped.ts";
import { partEdit, partOf, twinsOf } from "../../state/edits.ts";
import { useAround } from "../../state/use-session.ts";
import { useDesk } from "../../worker/use-answer.ts";

/** What a drag asks of the section: a plate current, or the slope of its dc load line. */
export type Wish = { readonly plateAmps: number } | { readonly loadOhms: number };

/** The resistor that a handle turns. */
export interface Turned {
  readonly instance: string;
  readonly part: string;
  readonly ohms: number;
}

export interface Following {
  /** The newest wish is answered; those that came in between are not. */
  readonly ask: (wish: Wish, fine: boolean) => void;
  /** One or more steps of the preferred series, without asking for anything. */
  readonly step: (turned: Turned, by: number, fine: boolean) => void;
  /** What is held becomes one step, once the last wish is answered. */
  readonly keep: () => void;
  readonly drop: () => void;
}

const COARSE: Series = "E24";
const FINE: Series = "E96";

/** Holds the part that brings a section where it is wanted. Says why not where it cannot be done. */
export function useFollow(triode: string): Following & { readonly trouble: string | undefined } {
  const desk = useDesk();
  const { session, hands } = useAround();
  const [trouble, setTrouble] = useState<string>();
  const at = useRef<{
    /** Something of ours is in hand, or asked for. */
    active: boolean;
    busy: boolean;
    wish?: { readonly wish: Wish; readonly fine: boolean } | undefined;
    keeping: boolean;
    ohms?: number | undefined;
  }>({ active: false, busy: false, keeping: false });

  const following = useMemo((): Following => {
    const hold = (instance: string, part: string, value: string) => {
      const kept = session.getState().book.value;
      const there = partOf(kept, instance, part);
      if (there === undefined) return;
      // Back where it was: nothing is in hand, but the drag goes on.
      if ("value" in there && there.value === value) {
        hands.drop();
        return;
      }
      const edit = partEdit(kept, twinsOf(kept, instance), part, { value });
      hands.hold(edit.title, edit.changes);
    };
    const end = () => {
      const mine = at.current;
      mine.active = false;
      mine.keeping = false;
      mine.ohms = undefined;
      setTrouble(undefined);
      hands.keepHand();
    };
    const run = () => {
      const mine = at.current;
      const asked = mine.wish;
      if (mine.busy || asked === undefined) return;
      mine.wish = undefined;
      mine.busy = true;
      const params = { triode, series: asked.fine ? FINE : COARSE, ...rounded(asked.wish) };
      void desk.once("curvesFollow", params).then(({ value, failure }) => {
        mine.busy = false;
        if (!mine.active) return;
        setTrouble(failure);
        if (value !== undefined) hold(value.instance, value.part, value.value);
        if (mine.wish !== undefined) run();
        else if (mine.keeping) end();
      });
    };
    return {
      ask: (wish, fine) => {
        at.current.active = true;
        at.current.wish = { wish, fine };
        run();
      },
      step: ({ instance, part, ohms }, by, fine) => {
        const mine = at.current;
        const from = mine.ohms ?? ohms;
        const value = stepped("resistance", from, by, fine ? FINE : COARSE);
        const read = parseValue("resistance", value);
        mine.active = true;
        mine.wish = undefined;
        mine.ohms = read.ok ? read.value : from;
        hold(instance, part, value);
      },
      keep: () => {
        const mine = at.current;
        if (!mine.active) return;
        if (mine.busy || mine.wish !== undefined) mine.keeping = true;
        else end();
      },
      drop: () => {
        const mine = at.current;
        setTrouble(undefined);
        if (!mine.active) return;
        mine.active = false;
        mine.keeping = false;
        mine.wish = undefined;
        mine.ohms = undefined;
        hands.drop();
      },
    };
  }, [desk, hands, session, triode]);
  return useMemo(() => ({ ...following, trouble }), [following, trouble]);
}

/** Four figures are finer than any hand. */
const rounded = (wish: Wish): Wish =>
  "plateAmps" in wish
    ? { plateAmps: Number(wish.plateAmps.toPrecision(4)) }
    : { loadOhms: Number(wish.loadOhms.toPrecision(4)) };
