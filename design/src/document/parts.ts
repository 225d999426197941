/** One written part to its electrical form: values read, taper applied. Nets are given already expanded. */
import {
  amps,
  farads,
  fail,
  henries,
  kneeLaw,
  ohms,
  ok,
  parseValue,
  type Quantity,
  type Result,
  siliconLaw,
  volts,
} from "@platewright/engine";
import type { PartWithoutLaw } from "./expanded.ts";
import type { DocumentPart } from "./schema.ts";

/** What the value of each kind of part is. */
export const QUANTITY_OF: Readonly<Partial<Record<DocumentPart["kind"], Quantity>>> = {
  resistor: "resistance",
  capacitor: "capacitance",
  inductor: "inductance",
  potentiometer: "resistance",
  regulator: "voltage",
  "dc-source": "voltage",
  "current-sink": "current",
};

/** Share of the track below the wiper at half a turn of a log pot. Makers' sheets say 10 to 20 %; common practice. */
const LOG_AT_HALF = 0.15;

/** Taper: share of the resistance between bottom and wiper at a turn of 0 to 1. An exponential through 0, 15 % and 1. */
export function wiperFraction(taper: "linear" | "log" | "reverse-log", turn: number): number {
  if (taper === "linear") return turn;
  if (taper === "reverse-log") return 1 - wiperFraction("log", 1 - turn);
  const root = 1 / LOG_AT_HALF - 1;
  return (root ** (2 * turn) - 1) / (root * root - 1);
}

/** The inverse: the turn that puts `fraction` below the wiper. */
export function turnForFraction(taper: "linear" | "log" | "reverse-log", fraction: number): number {
  if (taper === "linear") return fraction;
  if (taper === "reverse-log") return 1 - turnForFraction("log", 1 - fraction);
  const root = 1 / LOG_AT_HALF - 1;
  return Math.log(1 + fraction * (root * root - 1)) / (2 * Math.log(root));
}

/** Forward drop of a Zener; ordinary silicon. */
const ZENER_FORWARD_VOLTS = 0.7;
/** Volts over which a channel opens: twice 1.5 kT/q, so that a decade of current takes 92 mV at few microamperes. */
const CHANNEL_WIDTH = 0.08;
/** Slope of the current with drain volts, 1/V; small high-voltage devices, from memory. */
const CHANNEL_LAMBDA = 0.002;
/** Small high-voltage field-effect devices at 25 V and more, from memory. */
const FOLLOWER_FARADS = { gridPlateFarads: 10e-12, gridCathodeFarads: 300e-12, plateCathodeFarads: 40e-12 };

/** Reads the values of a part and ties it to `net(pin)`; the sentence of the first value that is not one otherwise. */
export function electricalPart(
  part: DocumentPart,
  id: string,
  net: (name: string) => string,
): Result<PartWithoutLaw, string> {
  const read = (quantity: Quantity, written: string, allow?: { readonly zero?: boolean }): number => {
    const value = parseValue(quantity, written, allow);
    if (value.ok) return value.value;
    complaint ??= value.failure.sentence;
    return Number.NaN;
  };
  let complaint: string | undefined;
  const electrical = ((): PartWithoutLaw => {
    switch (part.kind) {
      case "resistor":
        return {
          kind: "resistor",
          id,
          a: net(part.pins.a),
          b: net(part.pins.b),
          ohms: ohms(read("resistance", part.value)),
        };
      case "capacitor":
        return {
          kind: "capacitor",
          id,
          a: net(part.pins.a),
          b: net(part.pins.b),
          farads: farads(read("capacitance", part.value)),
        };
      case "inductor":
        return {
          kind: "inductor",
          id,
          a: net(part.pins.a),
          b: net(part.pins.b),
          henries: henries(read("inductance", part.value)),
          seriesOhms: ohms(read("resistance", part.seriesOhms)),
        };
      case "potentiometer":
        return {
          kind: "potentiometer",
          id,
          top: net(part.pins.top),
          wiper: net(part.pins.wiper),
          bottom: net(part.pins.bottom),
          ohms: ohms(read("resistance", part.value)),
          fraction: wiperFraction(part.taper, part.position),
        };
      case "triode":
        return {
          kind: "triode",
          id,
          plate: net(part.pins.plate),
          grid: net(part.pins.grid),
          cathode: net(part.pins.cathode),
        };
      case "diode":
        return { kind: "diode", id, anode: net(part.pins.anode), cathode: net(part.pins.cathode), law: siliconLaw() };
      case "regulator": {
        const zener = part.technology === "zener";
        return {
          kind: "diode",
          id,
          anode: net(zener ? part.pins.cathode : part.pins.anode),
          cathode: net(zener ? part.pins.anode : part.pins.cathode),
          law: kneeLaw(
            read("voltage", part.value),
            read("resistance", part.ohms),
            zener ? ZENER_FORWARD_VOLTS : undefined,
          ),
        };
      }
      case "follower":
        return {
          kind: "triode",
          id,
          grid: net(part.pins.gate),
          plate: net(part.pins.drain),
          cathode: net(part.pins.source),
          // gm = 2 sqrt(K i) of the square law.
          law: {
            space: {
              form: "square",
              K: part.siemens ** 2 / (4 * part.atAmps),
              Vt: part.thresholdVolts,
              width: CHANNEL_WIDTH,
              lambda: CHANNEL_LAMBDA,
            },
            grid: { form: "none" },
          },
          gridPlateFarads: farads(FOLLOWER_FARADS.gridPlateFarads),
          gridCathodeFarads: farads(FOLLOWER_FARADS.gridCathodeFarads),
          plateCathodeFarads: farads(FOLLOWER_FARADS.plateCathodeFarads),
        };
      case "dc-source":
        return {
          kind: "dc-source",
          id,
          plus: net(part.pins.plus),
          minus: net(part.pins.minus),
          volts: volts(read("voltage", part.value, { zero: true })),
          seriesOhms: ohms(part.seriesOhms === undefined ? 0 : read("resistance", part.seriesOhms, { zero: true })),
        };
      case "current-sink":
        return {
          kind: "current-sink",
          id,
          from: net(part.pins.from),
          to: net(part.pins.to),
          amps: amps(read("current", part.value, { zero: true })),
          parallelOhms: ohms(part.parallelOhms === undefined ? Infinity : read("resistance", part.parallelOhms)),
        };
      case "switch":
        return { kind: "switch", id, a: net(part.pins.a), b: net(part.pins.b), closed: part.closed };
      case "jack":
        return { kind: "jack", id, role: part.role, tip: net(part.pins.tip), sleeve: net(part.pins.sleeve) };
    }
  })();
  return complaint === undefined ? ok(electrical) : fail(complaint);
}

/** Ohms, farads and the like of a document's value, for rules and searches that have checked it before. */
export function valueOf(quantity: Quantity, written: string): number {
  const value = parseValue(quantity, written, { zero: true });
  return value.ok ? value.value : Number.NaN;
}
