/**
 * Heaters on rectified dc: winding, bridge, capacitor, and what may be dropped after it.
 *
 * Law     The rectifier's steady state gives dc volts against the current drawn; the heaters draw by their own law at the bus.
 * Method  Newton on the bus volts: the slope of the rectifier's answer and of the heaters is exact.
 * Limits  The heaters count as a constant current to the ripple (their heat does not follow it). At switch-on the mean
 *         current lies between that of no capacitor and that of a full one, with the heaters' cold range.
 * Sources docs/heaters.md. Junction drops are assumed: about 0.9 V (silicon) and 0.4 V (Schottky) at 1 A.
 */
import {
  bridgePath,
  fail,
  ok,
  type RectifierAnswer,
  type RectifierFailure,
  type RectifierLaw,
  rectifierSentence,
  type Result,
  solveRectifier,
} from "@platewright/engine";
import {
  badNetwork,
  COLD_FACTORS,
  coldOhms,
  drawnAt,
  HEATER_EXPONENT,
  type HeaterBranch,
  type HeaterFailure,
  type HeaterNetworkOptions,
  heaterSentence,
  type HeaterSource,
  heatOf,
  type PinVolts,
  pinsAt,
} from "./heater-network.ts";

/** One junction: 0.9 V and 0.4 V at 1 A. */
export const HEATER_BRIDGES: { readonly [K in "silicon" | "schottky"]: RectifierLaw } = {
  silicon: { form: "exponential", Is: 1.5e-8, nVt: 0.05 },
  schottky: { form: "exponential", Is: 1e-6, nVt: 0.029 },
};

export interface DirectHeaters {
  readonly bridge: "silicon" | "schottky";
  readonly farads: number;
  /** After the capacitor. */
  readonly dropOhms?: number;
  readonly hertz: number;
}

export interface DirectHeaterNetwork {
  readonly source: string;
  readonly mainsFactor: number;
  /** DC drawn, and rms in the winding. */
  readonly dcAmps: number;
  readonly windingRmsAmps: number;
  /** rms over dc: 1.6 to 1.8 is common practice for a bridge with a capacitor. */
  readonly rmsOverDc: number;
  readonly capacitorVolts: number;
  readonly ripplePeakToPeakVolts: number;
  readonly capacitorRmsAmps: number;
  readonly busVolts: number;
  readonly pins: readonly PinVolts[];
  readonly heat: {
    readonly heaters: number;
    readonly wire: number;
    readonly dropper: number;
    readonly bridge: number;
    readonly winding: number;
  };
  readonly inrush: { readonly amps: readonly [number, number] };
  readonly rectifier: RectifierAnswer;
  readonly effort: { readonly steps: number };
}

export type DirectHeaterFailure = HeaterFailure | RectifierFailure;

export const directHeaterSentence = (failure: DirectHeaterFailure): string =>
  failure.kind === "load-too-heavy" ||
  (failure.kind === "not-settled" && "residualVolts" in failure) ||
  (failure.kind === "bad-input" && RECTIFIER_FIELDS.has(failure.field))
    ? rectifierSentence(failure as RectifierFailure)
    : heaterSentence(failure as HeaterFailure);
const RECTIFIER_FIELDS: ReadonlySet<string> = new Set(["rmsVolts", "hertz", "firstFarads", "seriesOhms", "load amps"]);

const STEPS = 40;
const SETTLED_VOLTS = 1e-9;

export function solveDirectHeaters(
  source: HeaterSource,
  branches: readonly HeaterBranch[],
  direct: DirectHeaters,
  options: HeaterNetworkOptions = {},
): Result<DirectHeaterNetwork, DirectHeaterFailure> {
  const bad = badNetwork(source, branches, options);
  if (bad !== undefined) return fail(bad);
  const after = (direct.dropOhms ?? 0) + (options.wireOhms ?? 0);
  if (!(after >= 0 && after < Infinity))
    return fail({ kind: "bad-input", field: "dropper's ohms", given: after, need: "finite and not negative" });
  const exponent = options.exponent ?? HEATER_EXPONENT;
  const mainsFactor = options.mainsFactor ?? 1;
  const rmsVolts = source.unloadedVolts * mainsFactor;
  const seriesOhms = source.ohms + (options.dropOhms ?? 0);
  const law = bridgePath(HEATER_BRIDGES[direct.bridge]);
  let start: Float64Array | undefined;
  const rectify = (amps: number) => {
    const answer = solveRectifier(
      { rmsVolts, hertz: direct.hertz, seriesOhms, firstFarads: direct.farads, circuit: "bridge", law, load: { amps } },
      start === undefined ? {} : { start },
    );
    if (answer.ok) start = answer.value.start;
    return answer;
  };
  // From below: at few volts the heaters draw little and the rectifier always answers.
  let bus = rmsVolts * 0.4;
  let answer: RectifierAnswer | undefined;
  for (let steps = 1; steps <= STEPS; steps++) {
    const drawn = drawnAt(branches, bus, exponent);
    const rectified = rectify(drawn.amps);
    if (!rectified.ok) {
      if (answer === undefined || steps === STEPS) return rectified;
      bus *= 0.8;
      continue;
    }
    answer = rectified.value;
    const residual = answer.dcVolts - after * drawn.amps - bus;
    if (Math.abs(residual) <= SETTLED_VOLTS * rmsVolts)
      return ok(directAnswer(source, branches, { direct, options, exponent, mainsFactor, bus, answer, after, steps }));
    const slope = (answer.slopeOhms - after) * drawn.slope - 1;
    bus = Math.min(rmsVolts * Math.SQRT2, Math.max(bus * 0.3, bus - residual / slope));
  }
  return fail({ kind: "not-settled", steps: STEPS });
}

interface Settled {
  readonly direct: DirectHeaters;
  readonly options: HeaterNetworkOptions;
  readonly exponent: number;
  readonly mainsFactor: number;
  readonly bus: number;
  readonly answer: RectifierAnswer;
  readonly after: number;
  readonly steps: number;
}

function directAnswer(source: HeaterSource, branches: readonly HeaterBranch[], at: Settled): DirectHeaterNetwork {
  const { amps } = drawnAt(branches, at.bus, at.exponent);
  const pins = pinsAt(branches, at.bus, at.exponent);
  const own = heatOf(branches, pins);
  const shared = at.options.wireOhms ?? 0;
  const [warm, cold] = at.options.coldFactors ?? COLD_FACTORS;
  const rms = source.unloadedVolts * at.mainsFactor;
  const through = (factor: number) => source.ohms + (at.options.dropOhms ?? 0) + at.after + coldOhms(branches, factor);
  return {
    source: source.id,
    mainsFactor: at.mainsFactor,
    dcAmps: amps,
    windingRmsAmps: at.answer.windingRmsAmps,
    rmsOverDc: at.answer.windingRmsAmps / amps,
    capacitorVolts: at.answer.dcVolts,
    ripplePeakToPeakVolts: at.answer.ripplePeakToPeakVolts,
    capacitorRmsAmps: at.answer.capacitorRmsAmps,
    busVolts: at.bus,
    pins,
    heat: {
      heaters: own.heaters,
      wire: own.wire + amps * amps * shared,
      dropper: amps * amps * (at.direct.dropOhms ?? 0) + at.answer.windingRmsAmps ** 2 * (at.options.dropOhms ?? 0),
      bridge: at.answer.rectifierWatts * 2,
      winding: at.answer.windingRmsAmps ** 2 * source.ohms,
    },
    inrush: { amps: [((2 * Math.SQRT2) / Math.PI) * (rms / through(warm)), (Math.SQRT2 * rms) / through(cold)] },
    rectifier: at.answer,
    effort: { steps: at.steps },
  };
}
