/** Every question a screen can put to the bench, as types: the page imports no question itself. */
import type { HOME_ASKS } from "./home-asks.ts";
import type { MORE_ASKS } from "./more-asks.ts";

export type Asks = typeof HOME_ASKS & typeof MORE_ASKS;
export type AskName = keyof Asks;

type RunOf<K extends AskName> = Asks[K]["run"];
export type ParamsOf<K extends AskName> = Parameters<RunOf<K>>[1];
type Given<R> = R extends Generator<unknown, infer A> ? A : R;
/** The plain data that an ask answers with when all goes well. */
export type ValueOf<K extends AskName> = Extract<Given<ReturnType<RunOf<K>>>, { readonly ok: true }>["value"];
