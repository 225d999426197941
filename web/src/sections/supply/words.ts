/** How the Supply screen says its numbers and its conditions. */
import type { Document } from "@platewright/design";
import { printValue } from "@platewright/engine";

export const NO_SUPPLY = "This design has no supply of its own: its sources stand in the circuit.";

const HEADS: Readonly<Record<string, string>> = {
  "mains-low": "Mains low",
  nominal: "Nominal",
  "mains-high": "Mains high",
  cold: "Cold",
  "cold-mains-high": "Cold, high",
  pulled: "All pulled",
  "lamp-no-tubes": "Lamp, no tubes",
  "lamp-rectifier": "Lamp, rectifier",
  "lamp-all": "Lamp, all tubes",
};

export const conditionHead = (id: string): string => HEADS[id] ?? id.replace("without-", "No ");

/** As a meter shows it, without its unit. */
export function meter(volts: number): string {
  const size = Math.abs(volts);
  const text = size.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : 2);
  return `${volts < 0 && Number(text) !== 0 ? "−" : ""}${text}`;
}

/** A volt-ampere takes no prefix; all else is printed as the trade prints it. */
export const printed = (value: number, unit: string, significant = 3): string =>
  unit === "VA" ? `${value.toFixed(0)}\u202fVA` : printValue(value, unit, significant);

export const dbv = (value: number): string => `${value.toFixed(0).replace("-", "−")}\u202fdBV`;

export const percent = (share: number): string => `${Math.round(100 * share)}\u202f%`;

/** "39 s", or that it was not reached. */
export const secondsWords = (seconds: number | null): string =>
  seconds === null ? "more than ten minutes" : `${seconds.toFixed(0)}\u202fs`;

/** "R11" where one block alone has it, "PS.R1" where two do: what a builder can find. */
export function partNames({ blocks }: Pick<Document, "blocks">): (id: string) => string {
  const count = new Map<string, number>();
  for (const { parts } of Object.values(blocks)) for (const { id } of parts) count.set(id, (count.get(id) ?? 0) + 1);
  return (id) => ((count.get(plainId(id)) ?? 0) > 1 ? id : plainId(id));
}

/** "V1a" of "L.V1a": equal channels are shown once. */
export const plainId = (id: string): string => id.slice(id.indexOf(".") + 1);
