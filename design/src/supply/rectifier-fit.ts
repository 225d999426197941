/** What another rectifier wants around it: enough resistance in each plate lead, a first capacitor it can charge. */
import { type Catalogue, partCode, preferredBetween } from "@platewright/engine";
import type { Document, ShelfFile } from "../document/schema.ts";
import { valueOf } from "../document/parts.ts";
import { setPart } from "../document/set-part.ts";

/** Electrolytics are judged at their upper tolerance; common practice +20 % when the document does not say. */
const CAPACITOR_TOLERANCE = 0.2;

/** Least resistance per plate at a winding voltage: the sheet's row at or above it, the last row beyond. */
export function leastSeriesOhms(catalogue: Catalogue, type: string, rmsVolts: number): number | undefined {
  const rows = catalogue.tube(type)?.rectifier?.seriesOhms ?? [];
  return (rows.find((row) => row.value.rmsVoltsPerPlate >= rmsVolts * (1 - 1e-9)) ?? rows[rows.length - 1])?.value.ohms;
}

/** The lowest first-capacitor limit that any source gives. */
export function largestFirstFarads(catalogue: Catalogue, type: string): number | undefined {
  const rows = catalogue.tube(type)?.rectifier?.limits.firstCapacitorFarads ?? [];
  return rows.length === 0 ? undefined : Math.min(...rows.map((row) => row.value));
}

/** Sets series resistors and first capacitor so that the fitted rectifier is inside its sheet; unchanged when it is. */
export function fitRectifier(document: Document, catalogue: Catalogue, shelf?: ShelfFile): Document {
  const { supply } = document;
  const envelope = document.envelopes.find((one) => one.id === supply?.rectifier.envelope);
  if (supply === undefined || envelope === undefined) return document;
  let fitted = document;
  const { ohmsPerHalf, ratedRmsVoltsPerHalf } = supply.transformer.highTension;
  const least = leastSeriesOhms(catalogue, envelope.type, ratedRmsVoltsPerHalf);
  const added = valueOf("resistance", supply.rectifier.seriesOhms ?? "0");
  if (least !== undefined && ohmsPerHalf + added < least) {
    const needed = least - ohmsPerHalf;
    const ohms = preferredBetween("E12", needed, needed * 2)[0];
    if (ohms !== undefined)
      fitted = {
        ...fitted,
        supply: { ...supply, rectifier: { ...supply.rectifier, seriesOhms: partCode(ohms, "resistance") } },
      };
  }
  const largest = largestFirstFarads(catalogue, envelope.type);
  const [instanceId, partId] = supply.rectifier.firstCapacitor.split(".");
  const instance = document.instances.find((one) => one.id === instanceId);
  const part = document.blocks[instance?.block ?? ""]?.parts.find((one) => one.id === partId);
  if (largest === undefined || part?.kind !== "capacitor" || instance === undefined) return fitted;
  const farads = valueOf("capacitance", instance.overrides?.[part.id]?.value ?? part.value);
  const tolerance = (part.tolerancePercent ?? 100 * CAPACITOR_TOLERANCE) / 100;
  const most = largest / (1 + tolerance);
  if (farads <= most * (1 + 1e-9)) return fitted;
  const inside = (value: number) => value <= most * (1 + 1e-9);
  const onShelf = (shelf?.capacitors ?? [])
    .filter((one) => one.count > 0 && one.volts >= (part.volts ?? 0))
    .map((one) => valueOf("capacitance", one.value))
    .filter(inside);
  const choices = onShelf.length > 0 ? onShelf : preferredBetween("E12", most / 10, most).filter(inside);
  const best = choices.length === 0 ? undefined : Math.max(...choices);
  if (best === undefined) return fitted;
  return setPart(fitted, [instance.id], part.id, { value: partCode(best, "capacitance") });
}
