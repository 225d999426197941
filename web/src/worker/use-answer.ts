import { createContext, useContext, useEffect, useMemo } from "react";
import { useStore } from "zustand";
import type { AskName, ParamsOf, ValueOf } from "./asks.ts";
import { type Desk, keyOf, type Told } from "./desk.ts";

export const DeskContext = createContext<Desk | undefined>(undefined);

export function useDesk(): Desk {
  const desk = useContext(DeskContext);
  if (desk === undefined) throw new Error("no desk around this screen");
  return desk;
}

const NOTHING: Told<never> = { fresh: false };

/**
 * The newest answer to an ask, for as long as the screen stands. While an edit is being solved the last answer stays,
 * with `fresh` false, so that nothing blinks. `params` are plain data; the same data is the same ask.
 */
export function useAnswer<K extends AskName>(
  name: K,
  params: ParamsOf<K>,
): Told<ValueOf<K>> & { readonly key: string } {
  const desk = useDesk();
  const key = keyOf(name, params);
  useEffect(() => desk.ask(key), [desk, key]);
  const told = useStore(desk.answers, (state) => state.held.get(key)?.told) ?? NOTHING;
  return useMemo(() => ({ ...(told as Told<ValueOf<K>>), key }), [told, key]);
}
