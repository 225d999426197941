/**
 * Findings of a heater winding solved as a network: volts at the pins, the winding's current (rms when it feeds a bridge), cold
 * inrush, bottles that stay dark; with a dropper as the Fix where the pins stand high.
 */
import { ok, partCode, type Result } from "@platewright/engine";
import type { Finding, Fix, Level } from "../findings.ts";
import { finding } from "../limits/build.ts";
import { say } from "../limits/say.ts";
import { directHeaterSentence, solveDirectHeaters } from "./heater-network-direct.ts";
import type { DocumentHeaters, WrittenWinding } from "./heater-network-document.ts";
import { chooseHeaterDropper, type MainsFactors } from "./heater-network-dropper.ts";
import { heaterSentence, type PinVolts, solveHeaterNetwork } from "./heater-network.ts";

/** At nominal mains: 5 % off is watched, 10 % stops. Common practice. */
const PIN_WATCH = 0.05;
const PIN_STOP = 0.1;
/** A winding that would give more than this many times its rating to cold heaters is watched. Common practice: none; a habit. */
const RUSH_WATCH = 5;

interface Solved {
  readonly pins: readonly PinVolts[];
  readonly amps: number;
  readonly rush: readonly [number, number];
}

function solveAt(heaters: DocumentHeaters, mainsFactor: number): Result<Solved, string> {
  const options = { ...heaters.options, mainsFactor };
  if (heaters.direct !== undefined) {
    const solved = solveDirectHeaters(heaters.source, heaters.branches, heaters.direct, options);
    if (!solved.ok) return { ok: false, failure: directHeaterSentence(solved.failure) };
    const { pins, windingRmsAmps, inrush } = solved.value;
    return ok({ pins, amps: windingRmsAmps, rush: inrush.amps });
  }
  const solved = solveHeaterNetwork(heaters.source, heaters.branches, options);
  if (!solved.ok) return { ok: false, failure: heaterSentence(solved.failure) };
  return ok({ pins: solved.value.pins, amps: solved.value.amps, rush: solved.value.inrush.amps });
}

export function heaterNetworkFindings(
  winding: WrittenWinding,
  heaters: DocumentHeaters,
  mains: MainsFactors,
): Result<readonly Finding[], string> {
  const where = winding.id;
  const dark = heaters.dark.map((envelope) =>
    finding({
      rule: "heater-dark",
      where: envelope,
      level: "stop",
      title: `${envelope} hangs on ${where} in no closed way from lead to lead; its heater stays dark`,
      condition: "any",
      source: "the sockets' wiring",
    }),
  );
  if (heaters.branches.length === 0) return ok(dark);
  const low = solveAt(heaters, mains.low);
  if (!low.ok) return low;
  const nominal = solveAt(heaters, mains.nominal);
  if (!nominal.ok) return nominal;
  const high = solveAt(heaters, mains.high);
  if (!high.ok) return high;

  const pins = nominal.value.pins.map((pin, n) => {
    const off = pin.share - 1;
    const level: Level = Math.abs(off) > PIN_STOP ? "stop" : Math.abs(off) > PIN_WATCH ? "watch" : "ok";
    const at = (one: Solved) => say(one.pins[n]?.volts ?? Number.NaN, "V");
    return finding({
      rule: "heater-pins",
      where: pin.id,
      level,
      title: `${pin.id} has ${say(pin.volts, "V")} at its pins, ${(100 * pin.share).toFixed(0)} % of ${say(pin.ratedVolts, "V")} (mains low ${at(low.value)}, high ${at(high.value)})`,
      value: pin.volts,
      limit: pin.ratedVolts,
      unit: "V",
      condition: "running, mains nominal",
      source: "common practice: within 5 %, never beyond 10 %",
      fixes: level !== "ok" && off > 0 ? dropperFix(winding, heaters, nominal.value) : [],
    });
  });
  const share = nominal.value.amps / winding.ratedAmps;
  const current = finding({
    rule: heaters.direct === undefined ? "heater-winding-amps" : "heater-winding-rms",
    where,
    level: share > 1 ? "stop" : share > 0.95 ? "watch" : "ok",
    title: `${where} gives ${say(nominal.value.amps, "A")}${heaters.direct === undefined ? "" : " rms into its bridge"}, ${(100 * share).toFixed(0)} % of ${say(winding.ratedAmps, "A")}`,
    value: nominal.value.amps,
    limit: winding.ratedAmps,
    unit: "A",
    sense: "below",
    condition: "running, mains nominal",
    source: "the transformer's rating",
  });
  const [least, most] = nominal.value.rush;
  const rush = finding({
    rule: "heater-inrush",
    where,
    level: most > RUSH_WATCH * winding.ratedAmps ? "watch" : "ok",
    title: `cold heaters draw ${say(least, "A")} to ${say(most, "A")} from ${where} at switch-on, up to ${(most / winding.ratedAmps).toFixed(1)} times its rating`,
    value: most,
    limit: RUSH_WATCH * winding.ratedAmps,
    unit: "A",
    sense: "below",
    condition: "cold, mains nominal",
    source: "cold heaters 2.7 to 7.2 times lower in resistance: common practice",
  });
  return ok([...dark, ...pins, current, rush]);
}

/** A dropper that brings the highest pin to its volts without putting another more than 5 % low. */
function dropperFix(winding: WrittenWinding, heaters: DocumentHeaters, solved: Solved): readonly Fix[] {
  const [only] = new Set(
    heaters.branches.map((one) => one.heaters.reduce((sum, heater) => sum + heater.ratedVolts, 0)),
  );
  if (heaters.direct !== undefined || only === undefined) return [];
  const { dropOhms: _present, ...rest } = heaters.options;
  const chosen = chooseHeaterDropper(heaters.source, heaters.branches, only, rest);
  if (!chosen.ok) return [];
  const after = chosen.value.network.pins;
  const worse = after.some(
    (pin, n) => Math.abs(pin.share - 1) > Math.max(PIN_WATCH, Math.abs((solved.pins[n]?.share ?? 1) - 1)),
  );
  if (worse) return [];
  const code = partCode(chosen.value.ohmsPerLeg, "resistance");
  return [
    {
      title: `${code} Ω, ${say(chosen.value.ratingWatts, "W")} or more, in each leg of ${winding.id} brings ${after[0]?.id ?? ""} to ${say(after[0]?.volts ?? Number.NaN, "V")}`,
      changes: [
        {
          target: `supply.transformer.heaters[${winding.id}].dropOhmsPerLeg`,
          ...(winding.dropOhmsPerLeg === undefined ? {} : { before: winding.dropOhmsPerLeg }),
          after: code,
        },
      ],
    },
  ];
}
