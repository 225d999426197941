/**
 * The parts a circuit is made of, as plain data. Nets are named; "0" is ground. Values are SI.
 * Any topology of these compiles and solves; nothing here knows what a line stage is.
 */
import type { DiodeLaw, TriodeLaw } from "../tubes/law.ts";
import type { Amps, Farads, Henries, Hertz, Ohms, Volts } from "../units/quantities.ts";

export type Net = string;
export const GROUND: Net = "0";

export type Part =
  | { readonly kind: "resistor"; readonly id: string; readonly a: Net; readonly b: Net; readonly ohms: Ohms }
  | { readonly kind: "capacitor"; readonly id: string; readonly a: Net; readonly b: Net; readonly farads: Farads }
  | {
      readonly kind: "inductor";
      readonly id: string;
      readonly a: Net;
      readonly b: Net;
      readonly henries: Henries;
      readonly seriesOhms: Ohms;
    }
  /** `fraction` is the share of the resistance between bottom and wiper, taper already applied, 0 to 1. */
  | {
      readonly kind: "potentiometer";
      readonly id: string;
      readonly top: Net;
      readonly wiper: Net;
      readonly bottom: Net;
      readonly ohms: Ohms;
      readonly fraction: number;
    }
  | {
      readonly kind: "triode";
      readonly id: string;
      readonly plate: Net;
      readonly grid: Net;
      readonly cathode: Net;
      readonly law: TriodeLaw;
      readonly gridPlateFarads: Farads;
      readonly gridCathodeFarads: Farads;
      readonly plateCathodeFarads: Farads;
    }
  | {
      readonly kind: "diode";
      readonly id: string;
      readonly anode: Net;
      readonly cathode: Net;
      readonly law: DiodeLaw;
    }
  /** Constant volts in series with `seriesOhms` (0 = ideal). */
  | {
      readonly kind: "dc-source";
      readonly id: string;
      readonly plus: Net;
      readonly minus: Net;
      readonly volts: Volts;
      readonly seriesOhms: Ohms;
    }
  /** The signal: amplitude is given to each solve, so that one compiled circuit serves every level. */
  | {
      readonly kind: "ac-source";
      readonly id: string;
      readonly plus: Net;
      readonly minus: Net;
      readonly seriesOhms: Ohms;
      readonly hertz?: Hertz;
    }
  /** Draws `amps` from `from` to `to`, with `parallelOhms` across it (Infinity = ideal). */
  | {
      readonly kind: "current-sink";
      readonly id: string;
      readonly from: Net;
      readonly to: Net;
      readonly amps: Amps;
      readonly parallelOhms: Ohms;
    }
  | { readonly kind: "switch"; readonly id: string; readonly a: Net; readonly b: Net; readonly closed: boolean }
  /** Electrically nothing; it names where a signal enters or leaves. */
  | {
      readonly kind: "jack";
      readonly id: string;
      readonly role: "input" | "output";
      readonly tip: Net;
      readonly sleeve: Net;
    };

export type PartKind = Part["kind"];
export type PartOf<K extends PartKind> = Extract<Part, { readonly kind: K }>;
