/**
 * The conditions of the supply's study, beyond those that ratings are judged in: bottles out of their sockets, and the
 * bench lamp in the mains lead.
 *
 * Law     Lamp: volts V across it pass I = Ir (V / Vr)^0.55 (tungsten; common practice). What the primary draws at a mains
 *         factor f is heat and load of that factor over f times the mains; lamp and primary share the mains in phase.
 * Method  Secant on f, the design solved at each; the last solve is the answer.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import type { Document, Supply } from "../document/schema.ts";
import { conditionOf } from "../solved/conditions.ts";
import { type DesignFailure, solveDesign } from "../solved/solve.ts";
import type { Condition, SolvedDesign } from "../solved/types.ts";
import { primaryWatts } from "./power.ts";

/** Common practice for a small unit on its first power. */
export const USUAL_LAMP_WATTS = 60;
/** Current of a tungsten lamp against its volts; common practice 0.5 to 0.6. */
const LAMP_EXPONENT = 0.55;
const LAMP_SOLVES = 30;
const LAMP_SETTLED = 1e-3;

/** Bottles that take part in the signal, that is, all but the rectifier. */
export function signalEnvelopes(document: Document): readonly string[] {
  const rectifier = document.supply?.rectifier.envelope;
  return document.envelopes.map((one) => one.id).filter((id) => id !== rectifier);
}

/** Every condition that needs no search, in the order in which it is printed. */
export function plainSituations(document: Document): readonly Condition[] {
  const signal = signalEnvelopes(document);
  const highest = conditionOf(document, "mains-high").mainsFactor;
  return [
    ...(["mains-low", "nominal", "mains-high", "cold", "cold-mains-high"] as const).map((id) =>
      conditionOf(document, id),
    ),
    {
      id: "pulled",
      words: "signal tubes out of their sockets, mains high",
      mainsFactor: highest,
      tubes: "cold",
      absent: signal,
    },
    ...signal.map(
      (envelope): Condition => ({
        id: `without-${envelope}`,
        words: `${envelope} out of its socket, mains nominal`,
        mainsFactor: 1,
        tubes: "running",
        absent: [envelope],
      }),
    ),
  ];
}

export type LampStep = "lamp-no-tubes" | "lamp-rectifier" | "lamp-all";

/** The three steps of first power behind a lamp, in order. */
export const LAMP_STEPS: readonly LampStep[] = ["lamp-no-tubes", "lamp-rectifier", "lamp-all"];

const LAMP_WORDS: { readonly [S in LampStep]: string } = {
  "lamp-no-tubes": "behind the lamp, no tubes",
  "lamp-rectifier": "behind the lamp, rectifier only",
  "lamp-all": "behind the lamp, all tubes",
};

export interface LampAnswer {
  readonly solved: SolvedDesign;
  readonly lampVolts: number;
  readonly mainsAmps: number;
}

/** Solves one step behind the lamp. Nothing rectifies without its tube: the high tension is then not there at all. */
export function solveBehindLamp(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  step: LampStep,
  near?: SolvedDesign,
): Result<LampAnswer, DesignFailure> {
  const lamp = supply.lamp ?? { watts: USUAL_LAMP_WATTS, volts: supply.mains.volts };
  const ratedAmps = lamp.watts / lamp.volts;
  const mainsVolts = supply.mains.volts;
  const signal = signalEnvelopes(document);
  const rectifier = supply.rectifier.envelope;
  const absent =
    step === "lamp-all"
      ? []
      : step === "lamp-rectifier"
        ? signal
        : [...signal, ...(rectifier === undefined ? [] : [rectifier])];
  const at = (factor: number): Result<LampAnswer & { readonly miss: number }, DesignFailure> => {
    const situation: Condition = {
      id: step,
      words: LAMP_WORDS[step],
      mainsFactor: factor,
      tubes: step === "lamp-all" ? "running" : "cold",
      absent,
    };
    const solved = solveDesign(document, catalogue, {
      situation,
      detail: "bias",
      ...(near === undefined ? {} : { near }),
    });
    if (!solved.ok) return solved;
    const primaryVolts = factor * mainsVolts;
    const mainsAmps = primaryWatts(solved.value, supply) / primaryVolts;
    const lampVolts = lamp.volts * (mainsAmps / ratedAmps) ** (1 / LAMP_EXPONENT);
    return ok({ solved: solved.value, lampVolts, mainsAmps, miss: lampVolts + primaryVolts - mainsVolts });
  };
  // Higher factor: more volts across both. One crossing; the secant is kept inside the bracket that it closes.
  let low = { factor: 0, miss: -mainsVolts };
  let high = { factor: 1, miss: Number.NaN };
  let factor = 0.9;
  for (let n = 0; n < LAMP_SOLVES; n++) {
    const here = at(factor);
    if (!here.ok) return here;
    const { miss } = here.value;
    if (Math.abs(miss) < LAMP_SETTLED * mainsVolts) return ok(here.value);
    if (miss > 0) high = { factor, miss };
    else low = { factor, miss };
    const secant = low.factor - (low.miss * (high.factor - low.factor)) / (high.miss - low.miss);
    // Every third step halves, so that a bent curve cannot hold one end.
    factor = n % 3 === 2 || !(secant > low.factor && secant < high.factor) ? (low.factor + high.factor) / 2 : secant;
  }
  return fail({
    sentence: `${LAMP_WORDS[step]}: the share of lamp and primary did not settle; nothing is shown for it.`,
  });
}
