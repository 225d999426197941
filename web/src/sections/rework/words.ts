/** How the Rework screen says its numbers: values, changes in the unit a builder thinks in, limits, findings. */
import type { DifferenceRow, Finding, Goal, RowLimit } from "@platewright/design";
import { digits, printDecibels, printPercent, printValue } from "@platewright/engine";

const MINUS = "−";

/** True minus signs, and narrow no-break spaces between a number and its unit. */
export const thin = (text: string): string =>
  text
    .replace(/(?<![\w.])-(?=\d)/gu, MINUS)
    .replace(/(?<=[\d–]) (?=[kMmµnp]?(?:Ω|VA|V|A|W|F|H|Hz|dBc|dBV|dB|s|%|S)(?![A-Za-z]))/gu, "\u202f");

/** A number of a row as it is read. */
export function valueWords(value: number | null, unit: string, harmonic = false): string {
  if (value === null) return "–";
  switch (unit) {
    case "dB":
      return thin(printDecibels(value));
    case "dBV":
      return thin(`${value < 0 ? MINUS : ""}${Math.abs(value).toFixed(1)} dBV`);
    case "ratio":
      return thin(printPercent(harmonic ? Math.abs(value) : value, 2));
    case "yes/no":
      return value === 1 ? "yes" : "no";
    case "s":
      return thin(`${digits(value, 2)} s`);
    case "A":
      // Grids that draw nothing to speak of.
      return value !== 0 && Math.abs(value) < 1e-9 ? thin("< 1 nA") : thin(printValue(value, unit));
    default:
      return thin(printValue(value, unit));
  }
}

/** The change in the unit a builder thinks in; empty when there is none to speak of. */
export function changeWords(row: DifferenceRow): string {
  const { proven, now, unit } = row;
  if (proven === null || now === null) return proven === now ? "" : now === null ? "gone" : "new";
  if (row.decibels !== undefined) {
    if (Math.sign(proven) !== Math.sign(now)) return "sign turns";
    return decibelsApart(row.decibels.proven, row.decibels.now);
  }
  if (row.shares !== undefined) {
    const [was, is] = [share(row.shares.proven), share(row.shares.now)];
    return was === is ? "" : thin(`${was} → ${is} %`);
  }
  switch (unit) {
    case "yes/no":
      return proven === now ? "" : "turns over";
    case "dB":
    case "dBV":
      return decibelsApart(proven, now);
    case "ratio":
      return Math.abs(now - proven) < 5e-3 ? "" : thin(`${signed(100 * (now - proven), 0)} %`);
    case "Ω":
    case "Hz":
    case "F":
      return percentApart(proven, now);
    default: {
      const by = now - proven;
      if (unit === "A" && Math.abs(by) < 1e-9) return "";
      if (Math.abs(by) < 5e-4 * Math.max(Math.abs(proven), Math.abs(now))) return "";
      return thin(`${by > 0 ? "+" : ""}${printValue(by, unit, 2)}`);
    }
  }
}

const share = (value: number | null): string => (value === null ? "–" : String(Math.round(100 * value)));
const signed = (value: number, places: number): string =>
  `${value > 0 ? "+" : MINUS}${Math.abs(value).toFixed(places)}`;
const decibelsApart = (was: number | null, is: number | null): string =>
  was === null || is === null || Math.abs(is - was) < 0.05 ? "" : thin(`${signed(is - was, 1)} dB`);
const percentApart = (was: number, is: number): string => {
  const percent = was === 0 ? 0 : 100 * (is / was - 1);
  return Math.abs(percent) < 0.5 ? "" : thin(`${percent > 0 ? "+" : MINUS}${digits(Math.abs(percent), 2)} %`);
};

/** The band of a harmonic: nine units of ten lie between these. */
export function bandWords({ now, decibels }: DifferenceRow): string {
  if (now === null || decibels?.band === undefined) return "";
  const times = 10 ** (decibels.band / 20);
  const ratio = Math.abs(now);
  return thin(`${digits(100 * (ratio / times), 2)} to ${digits(100 * ratio * times, 2)} %`);
}

/** "cold, mains high": a condition without what every reader takes for granted. */
export function shortCondition(condition: string): string {
  const parts = condition.split(", ").filter((one) => !ASSUMED.includes(one));
  const told = parts.length > 1 ? parts.filter((one) => one !== "strong tube") : parts;
  return told.join(", ") || "running";
}

const ASSUMED: readonly string[] = ["running", "mains nominal", "part tolerances", "drive as set"];

/** The limit in the row: its number, and what was judged against it when that is not what the row shows. */
export function limitWords(row: DifferenceRow, limit: RowLimit): string {
  if (limit.value === null) return "none published";
  const value = valueWords(limit.value, row.unit);
  const number = limit.sense === "above" ? `≥ ${value}` : value;
  const same = row.now !== null && Math.abs(limit.judged - row.now) <= 0.01 * Math.abs(row.now);
  if (limit.proven !== undefined && limit.sense === "below") return `${valueWords(limit.proven, row.unit)} → ${value}`;
  return same || Number.isNaN(limit.judged)
    ? number
    : `${number} · ${valueWords(limit.judged, row.unit)} ${shortCondition(limit.condition)}`;
}

/** A finding's sentence without what stands beside it: its condition, and the channel where both are equal. */
export function findingWords({ title, condition, channel }: Finding): {
  readonly head: string;
  readonly remark: string;
} {
  const first = channel?.includes(",") === true ? `${channel.split(", ")[0] ?? ""}.` : "";
  const plain = first === "" ? title : title.replaceAll(first, "");
  const without = plain.replace(`, ${condition}`, "");
  if (without === plain) return { head: thin(plain), remark: "" };
  const at = without.indexOf(": ");
  return at < 0
    ? { head: thin(without), remark: "" }
    : { head: thin(without.slice(0, at)), remark: thin(without.slice(at + 2)) };
}

/** "V1a, V1b": places without the channel where both are equal. */
export const placesWords = (where: readonly string[], channel: string | undefined): string =>
  where.map((one) => (channel?.includes(",") === true ? one.slice(one.indexOf(".") + 1) : one)).join(", ");

/** What is asked of the values, in words: "H2 like proven within 1 dB". */
export function goalWords(goal: Goal): string {
  switch (goal.kind) {
    case "keep-voicing":
      return "keep voicing";
    case "keep-current":
      return "keep current";
    case "move-voicing":
      return `H2 ${(100 * goal.ratio).toPrecision(2)} % at ${goal.inputVolts} V`;
  }
}
