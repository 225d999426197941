/** One step of a part, and its tolerance, in the values that the engine's sensitivities are given for. */
import {
  type LawRecord,
  nearestPreferred,
  type PartSensitivity,
  partCode,
  type Series,
  stepPreferred,
} from "@platewright/engine";
import type { ExpandedPart } from "../document/expanded.ts";
import { wiperFraction } from "../document/parts.ts";
import type { PartEdit } from "../document/set-part.ts";

export interface PartStep {
  /** What is stepped: "fraction" of a potentiometer is what a turn of its knob moves. */
  readonly value: keyof PartSensitivity;
  readonly from: number;
  readonly to: number;
  /** Series of the step; a turn of a tenth for a potentiometer, a tenth for a value without a series. */
  readonly by: Series | "tenth of a turn" | "tenth";
  /** The edit that makes the step in the document; not for values without a series. */
  readonly edit?: PartEdit;
}

/** Knob of a potentiometer. */
const TURN = 0.1;

/** One preferred value up in the series that the part's value belongs to: E12 where it is in it, else E24. */
function preferredStep(value: "ohms" | "farads" | "henries", from: number): PartStep {
  const by: Series = isIn("E12", from) ? "E12" : "E24";
  const nearest = nearestPreferred(by, from);
  const to = nearest > from * (1 + 1e-6) ? nearest : stepPreferred(by, from, 1);
  return { value, from, to, by, edit: { value: partCode(to, QUANTITY[value]) } };
}

const QUANTITY = { ohms: "resistance", farads: "capacitance", henries: "inductance" } as const;

const isIn = (series: Series, value: number): boolean => Math.abs(nearestPreferred(series, value) / value - 1) < 1e-6;

/** The step of a part; undefined where there is none: tubes, diodes, switches, jacks, a pot turned fully down. */
export function stepOf(part: ExpandedPart): PartStep | undefined {
  const { electrical, written } = part;
  switch (electrical.kind) {
    case "resistor":
      return preferredStep("ohms", electrical.ohms);
    case "capacitor":
      return preferredStep("farads", electrical.farads);
    case "inductor":
      return preferredStep("henries", electrical.henries);
    case "potentiometer": {
      if (written.kind !== "potentiometer" || electrical.fraction <= 0) return undefined;
      // Up where there is room, else down.
      const turn = written.position + (written.position + TURN <= 1 ? TURN : -TURN);
      return {
        value: "fraction",
        from: electrical.fraction,
        to: wiperFraction(written.taper, turn),
        edit: { position: Number(turn.toFixed(6)) },
        by: "tenth of a turn",
      };
    }
    case "diode":
      if (electrical.law.form !== "knee") return undefined;
      return { value: "volts", from: electrical.law.volts, to: 1.1 * electrical.law.volts, by: "tenth" };
    case "dc-source":
      return electrical.volts === 0
        ? undefined
        : { value: "volts", from: electrical.volts, to: 1.1 * electrical.volts, by: "tenth" };
    case "current-sink":
      return electrical.amps === 0
        ? undefined
        : { value: "amps", from: electrical.amps, to: 1.1 * electrical.amps, by: "tenth" };
    default:
      return undefined;
  }
}

export interface PartTolerance {
  readonly percent: number | null;
  readonly assumed: boolean;
  /** Values that move independently, each by so many nepers (contact volts: volts). */
  readonly spans: readonly { readonly value: keyof PartSensitivity; readonly nepers: number }[];
}

/** Where the document gives none: common practice for the kinds sold today. */
const USUAL_PERCENT = {
  resistor: 5,
  capacitor: 20,
  inductor: 20,
  potentiometer: 20,
  diode: 5,
  "dc-source": undefined,
  "current-sink": undefined,
} as const;

const VALUE = {
  resistor: "ohms",
  capacitor: "farads",
  inductor: "henries",
  potentiometer: "ohms",
  diode: "volts",
  "dc-source": "volts",
  "current-sink": "amps",
} as const;

/** The tolerance of a part; of a tube one standard deviation of its law's spread. undefined: none is known. */
export function toleranceOf(part: ExpandedPart, law: LawRecord | undefined): PartTolerance | undefined {
  const { electrical, written } = part;
  switch (electrical.kind) {
    case "triode":
      if (law === undefined) return undefined;
      return {
        percent: null,
        assumed: false,
        spans: [
          { value: "G", nepers: law.spread.lnG },
          { value: "mu", nepers: law.spread.lnMu },
          { value: "contactVolts", nepers: law.spread.contactVolts },
        ],
      };
    case "resistor":
    case "capacitor":
    case "inductor":
    case "potentiometer":
    case "diode":
    case "dc-source":
    case "current-sink": {
      if (electrical.kind === "diode" && electrical.law.form !== "knee") return undefined;
      const percent = written.tolerancePercent ?? USUAL_PERCENT[electrical.kind];
      if (percent === undefined) return undefined;
      return {
        percent,
        assumed: written.tolerancePercent === undefined,
        spans: [{ value: VALUE[electrical.kind], nepers: percent / 100 }],
      };
    }
    default:
      return undefined;
  }
}
