/** Findings of the output: current into the stated load, and slew into load and cable at 20 kHz. */
import type { Finding } from "../findings.ts";
import { valueOf } from "../document/parts.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedChannel } from "../solved/types.ts";
import { finding, unsolved } from "./build.ts";
import { biasOf, type Judged, signalOf } from "./judged.ts";
import { percent, say } from "./say.ts";

/** The last section keeps this share of its current at the largest input. */
const LEAST_SHARE = 0.1;
const WATCH_SHARE = 0.25;
const AUDIO_TOP_HERTZ = 20_000;
/** Standing current over what 20 kHz at the largest output asks. */
const SLEW_MARGIN = 1.5;

export function outputFindings(judged: Judged, channel: SolvedChannel): readonly Finding[] {
  const stages = stagesOf(judged.nominal).filter((stage) => stage.triode.instance === channel.instance);
  const last = stages.find((stage) => stage.role === "follower") ?? stages[stages.length - 1];
  if (last === undefined) return [];
  const bias = biasOf(judged.nominal, last.triode);
  const cycle = signalOf(judged.nominal, last.triode);
  const where = last.triode.id;
  if (bias === undefined || cycle === undefined)
    return [unsolved("output-current", where, "output current", "at the largest input")];
  const share = cycle.minimumPlateAmps / bias.plateAmps;
  const { targets } = judged.document;
  const loadOhms = valueOf("resistance", targets.loadOhms);
  const farads = valueOf("capacitance", targets.loadFarads) + valueOf("capacitance", targets.cableFarads ?? "0");
  const peak = channel.largest.outputVolts * Math.SQRT2;
  const wanted = peak * Math.hypot(1 / loadOhms, 2 * Math.PI * AUDIO_TOP_HERTZ * farads);
  const room = bias.plateAmps / (SLEW_MARGIN * wanted);
  return [
    finding({
      rule: "output-current",
      where,
      level: share < LEAST_SHARE ? "stop" : share < WATCH_SHARE ? "watch" : "ok",
      title: `${where} swings down to ${say(cycle.minimumPlateAmps, "A")}, ${percent(share, 1)} of its ${say(bias.plateAmps, "A")}, at the largest input into ${targets.loadOhms}${share < LEAST_SHARE ? ": it cuts off" : ""}`,
      value: share,
      limit: LEAST_SHARE,
      unit: "ratio",
      sense: "above",
      condition: "largest input, mains nominal",
      source: "common practice: the output section keeps a tenth of its current",
    }),
    finding({
      rule: "output-slew",
      where,
      level: room < 1 ? "watch" : "ok",
      title: `${say(channel.largest.outputVolts, "V")} rms at 20 kHz into ${targets.loadOhms} and ${say(farads, "F")} asks ${say(wanted, "A")} peak; ${where} stands at ${say(bias.plateAmps, "A")}`,
      value: wanted,
      limit: bias.plateAmps / SLEW_MARGIN,
      unit: "A",
      sense: "below",
      condition: "largest input at 20 kHz, mains nominal",
      source: "common practice: standing current at least 1.5 times the peak asked",
    }),
  ];
}
