/** Every question a screen can put to the bench. Sections add theirs here; the page imports this list as a type only. */
import { shellAsks } from "../app/asks.ts";
import { curvesAsks } from "../sections/curves/asks.ts";
import { revisionsAsks } from "../sections/revisions/asks.ts";
import { reworkAsks } from "../sections/rework/asks.ts";
import { shelfAsks } from "../sections/shelf/asks.ts";
import { supplyAsks } from "../sections/supply/asks.ts";
import { voicingAsks } from "../sections/voicing/asks.ts";

export const ASKS = {
  ...curvesAsks,
  ...shellAsks,
  ...reworkAsks,
  ...revisionsAsks,
  ...shelfAsks,
  ...supplyAsks,
  ...voicingAsks,
};

export type Asks = typeof ASKS;
export type AskName = keyof Asks;

type RunOf<K extends AskName> = Asks[K]["run"];
export type ParamsOf<K extends AskName> = Parameters<RunOf<K>>[1];
type Given<R> = R extends Generator<unknown, infer A> ? A : R;
/** The plain data that an ask answers with when all goes well. */
export type ValueOf<K extends AskName> = Extract<Given<ReturnType<RunOf<K>>>, { readonly ok: true }>["value"];
