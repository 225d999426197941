/**
 * How fast emission comes and goes, as a share of the hot tube's current.
 *
 * Law     Nothing until a first time, everything from a last time on, a smooth step between: 3 x² - 2 x³.
 * Sources Directly heated rectifiers 2 to 3 s, indirectly heated tubes 11 to 20 s, a cathode that goes on emitting for
 *         some seconds after its heater is off: common practice, no maker's promise.
 */
import type { Catalogue } from "@platewright/engine";
import type { Document } from "../document/schema.ts";

/** Seconds at which emission begins, and is whole. */
export interface WarmUp {
  readonly from: number;
  readonly to: number;
}

export const DIRECT: WarmUp = { from: 0.5, to: 2.5 };
/** The early rectifier and the late signal tube leave the capacitors highest: that is the pair to judge. */
export const INDIRECT_EARLY: WarmUp = { from: 5, to: 11 };
export const INDIRECT_USUAL: WarmUp = { from: 6, to: 14 };
export const INDIRECT_LATE: WarmUp = { from: 9, to: 20 };
/** After switching off: a cathode holds its heat for a while. */
export const COOLING: WarmUp = { from: 4, to: 18 };

export function share({ from, to }: WarmUp, seconds: number): number {
  const x = Math.min(1, Math.max(0, (seconds - from) / (to - from)));
  return x * x * (3 - 2 * x);
}

/** A rectifier whose cathode is its heater. */
export function isDirectlyHeated(document: Document, catalogue: Catalogue): boolean {
  const envelope = document.envelopes.find((one) => one.id === document.supply?.rectifier.envelope);
  const record = catalogue.tube(envelope?.type ?? "");
  const said = record?.rectifier?.warmUp;
  if (said !== undefined) return said === "direct";
  return (record?.bases ?? []).some((base) =>
    Object.values(base.pins).some((role) => role.kind === "heater-and-cathode"),
  );
}
