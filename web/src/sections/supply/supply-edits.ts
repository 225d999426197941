/** Edits of a supply that are no part of a block: mains, fuse, rectifier, choke, heater windings, iron. One step each. */
import {
  applyChanges,
  chassisAfter,
  diffDocuments,
  type Document,
  type Supply,
  type Transformer,
} from "@platewright/design";
import { parseValue, printValue } from "@platewright/engine";
import type { Edit } from "../../state/edits.ts";

export type HeaterWinding = Transformer["heaters"][number];

/** The edit that makes this supply of the document's own; nothing when it has none. */
export function supplyEdit(document: Document, title: string, change: (supply: Supply) => Supply): Edit {
  const { supply } = document;
  if (supply === undefined) return { title, changes: [] };
  return { title, changes: diffDocuments(document, { ...document, supply: change(supply) }) };
}

/** An entry that is left out where it says nothing. */
const without = <T extends object, K extends keyof T>(value: T, key: K): Omit<T, K> => {
  const { [key]: _gone, ...rest } = value;
  return rest;
};

export function setFuse(document: Document, fuse: NonNullable<Supply["fuse"]>): Edit {
  const before = document.supply?.fuse;
  const words = (one: NonNullable<Supply["fuse"]>) => `${printValue(one.amps, "A")} ${one.kind}`;
  const title = `Fuse ${before === undefined ? "none" : words(before)} → ${words(fuse)}`;
  return supplyEdit(document, title, (supply) => ({ ...supply, fuse }));
}

type MainsField = keyof Supply["mains"];
const MAINS_WORDS: { readonly [F in MainsField]: readonly [string, string] } = {
  volts: ["Mains", "V"],
  hertz: ["Mains", "Hz"],
  lowPercent: ["Mains low", "%"],
  highPercent: ["Mains high", "%"],
};

export function setMains(document: Document, field: MainsField, value: number): Edit {
  const [words, unit] = MAINS_WORDS[field];
  const before = document.supply?.mains[field];
  return supplyEdit(document, `${words} ${before ?? ""} → ${value} ${unit}`, (supply) => ({
    ...supply,
    mains: { ...supply.mains, [field]: value },
  }));
}

/** In each plate lead; nought takes it out. */
export function setSeriesOhms(document: Document, written: string): Edit {
  const before = document.supply?.rectifier.seriesOhms;
  const none = isNought("resistance", written);
  return supplyEdit(document, `In each plate lead ${before ?? "0"} → ${written}`, (supply) => ({
    ...supply,
    rectifier: none ? without(supply.rectifier, "seriesOhms") : { ...supply.rectifier, seriesOhms: written },
  }));
}

const isNought = (quantity: "resistance", written: string): boolean => {
  const read = parseValue(quantity, written, { zero: true });
  return read.ok && read.value === 0;
};

export function setChoke(document: Document, field: "value" | "seriesOhms", written: string): Edit {
  const before = document.supply?.rectifier.choke?.[field];
  const words = field === "value" ? "Choke" : "Choke's copper";
  return supplyEdit(document, `${words} ${before ?? ""} → ${written}`, (supply) =>
    supply.rectifier.choke === undefined
      ? supply
      : { ...supply, rectifier: { ...supply.rectifier, choke: { ...supply.rectifier.choke, [field]: written } } },
  );
}

export function setSilicon(document: Document, silicon: NonNullable<Supply["rectifier"]["silicon"]>): Edit {
  const before = document.supply?.rectifier.silicon;
  const words = (one: typeof silicon) => `${one.type} ${printValue(one.volts, "V")} ${printValue(one.amps, "A")}`;
  return supplyEdit(
    document,
    `Silicon ${before === undefined ? "none" : words(before)} → ${words(silicon)}`,
    (supply) => ({ ...supply, rectifier: { ...supply.rectifier, silicon } }),
  );
}

/** A common diode of the trade: 1000 V, 1 A; from memory, and its findings say what the place wants. */
const COMMON_DIODE = { type: "1N4007", volts: 1000, amps: 1 } as const;

/** Silicon in the place of the rectifier tube: its bottle leaves the circuit, the heater and the chassis. */
export function siliconForTube(document: Document): Edit {
  const { supply } = document;
  const envelope = supply?.rectifier.envelope;
  const silicon = supply?.rectifier.silicon ?? COMMON_DIODE;
  const title = `${envelope ?? "Rectifier"} → ${silicon.type}, silicon`;
  if (supply === undefined || envelope === undefined) return { title, changes: [] };
  const circuit = supply.rectifier.circuit === "hybrid-bridge" ? "bridge" : supply.rectifier.circuit;
  const now: Document = {
    ...document,
    envelopes: document.envelopes.filter((one) => one.id !== envelope),
    supply: {
      ...supply,
      rectifier: {
        ...without(supply.rectifier, "envelope"),
        silicon,
        ...(circuit === undefined ? {} : { circuit }),
      },
    },
  };
  const cleared = applyChanges(now, chassisAfter(now));
  return { title, changes: diffDocuments(document, cleared.ok ? cleared.value : now) };
}

type Circuit = NonNullable<Supply["rectifier"]["circuit"]>;
const CIRCUIT_WORDS: { readonly [C in Circuit]: string } = {
  "full-wave": "full wave from a centre tap",
  "half-wave": "half wave",
  bridge: "bridge",
  "hybrid-bridge": "tube over a silicon half bridge",
};
export const circuitWords = (circuit: Circuit): string => CIRCUIT_WORDS[circuit];

/** Circuits that can be made with what is named: a bridge of silicon alone, a hybrid of tube and silicon. */
export function circuitsFor({ rectifier }: Supply): readonly Circuit[] {
  const tube = rectifier.envelope !== undefined;
  const silicon = rectifier.silicon !== undefined;
  return [
    "full-wave",
    "half-wave",
    ...(silicon && !tube ? (["bridge"] as const) : []),
    ...(silicon && tube ? (["hybrid-bridge"] as const) : []),
  ];
}

export function setCircuit(document: Document, circuit: Circuit): Edit {
  const before = document.supply?.rectifier.circuit ?? "full-wave";
  return supplyEdit(document, `Rectifier ${circuitWords(before)} → ${circuitWords(circuit)}`, (supply) => ({
    ...supply,
    rectifier: { ...supply.rectifier, circuit },
  }));
}

/** One heater winding of the iron. */
export function setHeater(
  document: Document,
  id: string,
  words: string,
  change: (winding: HeaterWinding) => HeaterWinding,
): Edit {
  return supplyEdit(document, `${id}: ${words}`, (supply) => ({
    ...supply,
    transformer: {
      ...supply.transformer,
      heaters: supply.transformer.heaters.map((one) => (one.id === id ? change(one) : one)),
    },
  }));
}

export function setDropper(document: Document, id: string, written: string): Edit {
  const before = document.supply?.transformer.heaters.find((one) => one.id === id)?.dropOhmsPerLeg;
  const none = isNought("resistance", written);
  return setHeater(document, id, `dropper in each leg ${before ?? "0"} → ${written}`, (winding) =>
    none ? without(winding, "dropOhmsPerLeg") : { ...winding, dropOhmsPerLeg: written },
  );
}

export function setTap(document: Document, usedTapVolts: number): Edit {
  return supplyEdit(document, `Mains on the ${usedTapVolts} V tap`, (supply) => {
    const { primary } = supply.transformer;
    return primary === undefined
      ? supply
      : { ...supply, transformer: { ...supply.transformer, primary: { ...primary, usedTapVolts } } };
  });
}

/** What is known of the iron: by its label alone, by readings, or hardly at all. */
export function setIron(document: Document, title: string, change: (iron: Transformer) => Transformer): Edit {
  return supplyEdit(document, title, (supply) => ({ ...supply, transformer: change(supply.transformer) }));
}

/**
 * Another label: its windings in the place of the ones there, which keep their names and what they are referred to. Readings
 * of the iron before it say nothing of this one. Undefined when it has fewer heater windings than are wired.
 */
export function fitLabel(document: Document, made: Transformer): Edit | undefined {
  const { supply } = document;
  if (supply === undefined || made.heaters.length < supply.transformer.heaters.length) return undefined;
  const heaters = made.heaters.map((winding, n) => {
    const fitted = supply.transformer.heaters[n];
    return fitted === undefined ? winding : { ...winding, id: fitted.id, reference: fitted.reference };
  });
  return setIron(document, `Transformer ${made.label}`, () => ({ ...made, heaters }));
}

export const dropMeasured = (iron: Transformer): Transformer => without(iron, "measured");
export const dropUnknown = (iron: Transformer): Transformer => without(iron, "unknown");
