/** A transformer resolved: the shape that every way of knowing one ends in. */
import type { Supply, Transformer } from "../document/schema.ts";
import type { Estimate } from "./transformer-estimates.ts";
import type { Range, RectifierKind } from "./transformer-practice.ts";

export type KnownBy = "label" | "measured" | "unknown";

/** dc ohms of each winding on the bench, and the volts it has with nothing connected, at the document's mains. */
export interface TransformerCopper {
  readonly primary: { readonly ohms: number; readonly volts: number };
  readonly half: { readonly ohms: number; readonly volts: number };
  readonly heaters: { readonly [id: string]: { readonly ohms: number; readonly volts: number } };
  /** Whether the primary's share was read or is taken as usual for iron of this size. */
  readonly from: "readings" | "usual shares";
}

export interface TransformerRanges {
  /** DC that the high tension may give. */
  readonly ratedAmps: Range;
  readonly ohmsPerHalf: Range;
  readonly unloadedRmsVoltsPerHalf: Range;
  readonly voltAmps: Range;
}

export interface ResolvedTransformer {
  /** The same shape as in the document, at its mains; `ratedAmps` is dc after a capacitor input, the careful end. */
  readonly transformer: Transformer;
  readonly knownBy: KnownBy;
  readonly circuit: RectifierKind;
  readonly ranges: TransformerRanges;
  readonly copper: TransformerCopper;
  /** Mains of the document over the tap in use. */
  readonly mainsOverTap: number;
  readonly estimates: readonly Estimate[];
  /** Not to be sold with: unknown iron whose insulation is not tested or whose rating is not established. */
  readonly saleStop: boolean;
  readonly notes: readonly string[];
}

export type TransformerSetting = Pick<Supply, "mains" | "transformer">;

export const heaterVoltAmpsOf = (heaters: Transformer["heaters"]): number =>
  heaters.reduce((sum, one) => sum + one.ratedVolts * one.ratedAmps, 0);
