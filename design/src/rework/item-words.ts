/** How what differs is spoken of: fields of parts and settings of the document. */
import { clockPosition, printValue, type Quantity } from "@platewright/engine";
import { QUANTITY_OF, valueOf } from "../document/parts.ts";
import type { DocumentPart } from "../document/schema.ts";

export type Fields = Readonly<Record<string, unknown>>;

export const FIELD_NAMES: Readonly<Record<string, string>> = {
  watts: "rating",
  volts: "rating",
  tolerancePercent: "tolerance",
  pins: "wires",
};

/** Settings that are not parts: where they stand and what they are. */
export const SETTING_NAMES: Readonly<Record<string, readonly [where: string, what: string]>> = {
  "supply.rectifier.seriesOhms": ["rectifier", "resistor in each plate lead"],
  "supply.rectifier.envelope": ["rectifier", "its bottle"],
  "supply.rectifier.circuit": ["rectifier", "circuit"],
  "supply.rectifier.silicon": ["rectifier", "silicon diodes"],
  "supply.rectifier.choke": ["rectifier", "input choke"],
  "supply.rectifier.output": ["rectifier", "where it feeds"],
  "supply.rectifier.firstCapacitor": ["rectifier", "first capacitor"],
  "supply.transformer": ["transformer", "power transformer"],
  "supply.mains": ["mains", "volts and hertz"],
  "supply.fuse": ["mains fuse", "in the live lead"],
  "supply.lamp": ["bench lamp", "in the mains lead"],
  supply: ["supply", "the whole of it"],
  envelopes: ["bottles", "how many"],
  targets: ["targets", "what the unit is asked"],
  houseRules: ["house rules", "what the house asks"],
  name: ["design", "name"],
  note: ["design", "note"],
};

const UNITS: Readonly<Partial<Record<Quantity, string>>> = {
  resistance: "Ω",
  capacitance: "F",
  inductance: "H",
  voltage: "V",
  current: "A",
};

/** A field of a part as it is spoken of. */
export function fieldWords(part: Fields, field: string): string {
  const value = part[field];
  if (value === undefined) return "none";
  switch (field) {
    case "value": {
      const quantity = QUANTITY_OF[part.kind as DocumentPart["kind"]];
      return quantity === undefined ? plain(value) : printValue(valueOf(quantity, plain(value)), UNITS[quantity] ?? "");
    }
    case "position":
      return clockPosition(Number(value));
    case "closed":
      return value === true ? "closed" : "open";
    case "watts":
      return `${plain(value)} W`;
    case "volts":
      return `${plain(value)} V`;
    case "tolerancePercent":
      return `${plain(value)} %`;
    default:
      return brief(value);
  }
}

/** "highTension.ratedAmps" → "high tension rated amps". */
export const spoken = (keys: readonly string[]): string =>
  keys.map((key) => key.replace(/([a-z])([A-Z])/g, "$1 $2").toLowerCase()).join(" ");

/** A value of any setting, in a few words. */
export function brief(value: unknown, bucket = ""): string {
  if (value === undefined || value === null) return "none";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (bucket === "supply.rectifier.seriesOhms") return printValue(valueOf("resistance", plain(value)), "Ω");
  if (typeof value === "string" || typeof value === "number") return plain(value).slice(0, 60);
  if (Array.isArray(value)) return `${value.length} of them`;
  const { label, type } = value as Fields;
  return typeof label === "string" ? label : typeof type === "string" ? type : "changed";
}

const plain = (value: unknown): string =>
  typeof value === "string" || typeof value === "number" || typeof value === "boolean" ? String(value) : "";
