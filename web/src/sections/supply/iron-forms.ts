/** Readings of a transformer as a form: which fields there are, and what the filled ones make. Knows no screen. */
import type { Transformer } from "@platewright/design";
import { readNumber } from "./read-number.ts";

export interface FormField {
  readonly id: string;
  readonly label: string;
  readonly unit: string;
  readonly required: boolean;
}

/** As typed, by field. */
export type Filled = Readonly<Record<string, string>>;

type Measured = NonNullable<Transformer["measured"]>;
type Unknown = NonNullable<Transformer["unknown"]>;

const field = (id: string, label: string, unit: string, required = false): FormField => ({ id, label, unit, required });

export function measuredFields({ heaters }: Transformer): readonly FormField[] {
  return [
    field("mainsVolts", "Mains while reading", "V", true),
    field("primaryOhms", "Primary, cold", "Ω", true),
    field("ohms", "High tension, one half, cold", "Ω", true),
    field("unloaded", "One half with nothing on it", "V", true),
    field("loadedVolts", "One half loaded", "V"),
    field("loadedAmps", "into a resistor that takes", "A"),
    ...heaters.flatMap(({ id }) => [
      field(`${id}.unloaded`, `${id} with nothing on it`, "V"),
      field(`${id}.ohms`, `${id}, cold`, "Ω"),
      field(`${id}.loadedVolts`, `${id} loaded`, "V"),
      field(`${id}.loadedAmps`, "by", "A"),
    ]),
  ];
}

export const UNKNOWN_FIELDS: readonly FormField[] = [
  field("mainsVolts", "Mains while reading", "V", true),
  field("unloaded", "One half with nothing on it", "V", true),
  field("primaryOhms", "Primary, cold", "Ω"),
  field("ohms", "High tension, one half, cold", "Ω"),
  field("kilograms", "Weight", "kg"),
  field("tongue", "Tongue of the core", "mm"),
  field("stack", "Stack of the core", "mm"),
];

const text = (value: number | undefined): string => (value === undefined ? "" : String(value));

export function fillMeasured(iron: Transformer, mainsVolts: number): Filled {
  const { measured } = iron;
  const filled: Record<string, string> = {
    mainsVolts: text(measured?.mainsVolts ?? mainsVolts),
    primaryOhms: text(measured?.primaryOhms),
    ohms: text(measured?.highTension.ohmsPerHalf),
    unloaded: text(measured?.highTension.unloadedRmsVoltsPerHalf),
    loadedVolts: text(measured?.highTension.loaded?.volts),
    loadedAmps: text(measured?.highTension.loaded?.amps),
  };
  for (const { id } of iron.heaters) {
    const own = measured?.heaters[id];
    filled[`${id}.unloaded`] = text(own?.unloadedVolts);
    filled[`${id}.ohms`] = text(own?.ohms);
    filled[`${id}.loadedVolts`] = text(own?.loaded?.volts);
    filled[`${id}.loadedAmps`] = text(own?.loaded?.amps);
  }
  return filled;
}

export function fillUnknown({ unknown }: Transformer, mainsVolts: number): Filled {
  return {
    mainsVolts: text(unknown?.mainsVolts ?? mainsVolts),
    unloaded: text(unknown?.unloadedRmsVoltsPerHalf),
    primaryOhms: text(unknown?.primaryOhms),
    ohms: text(unknown?.ohmsPerHalf),
    kilograms: text(unknown?.kilograms),
    tongue: text(unknown?.tongueMillimetres),
    stack: text(unknown?.stackMillimetres),
  };
}

type Made<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: string };

interface Numbers {
  readonly at: (id: string) => number | undefined;
  /** The first field that cannot be taken as it is. */
  readonly wrong: string | undefined;
}

function numbersOf(fields: readonly FormField[], filled: Filled): Numbers {
  const values = new Map<string, number>();
  let wrong: string | undefined;
  for (const { id, label, unit, required } of fields) {
    const read = readNumber(
      unit === "A" ? "current" : unit === "Ω" ? "resistance" : "voltage",
      filled[id] ?? "",
      Number.MIN_VALUE,
      Infinity,
      !required,
    );
    if (!read.ok) wrong ??= `${label}: ${read.failure}`;
    else if (read.value !== undefined) values.set(id, read.value);
  }
  return { at: (id) => values.get(id), wrong };
}

function loadedOf(at: Numbers["at"], volts: string, amps: string): Made<{ volts: number; amps: number } | undefined> {
  const [v, i] = [at(volts), at(amps)];
  if (v === undefined && i === undefined) return { ok: true, value: undefined };
  if (v === undefined || i === undefined)
    return { ok: false, failure: "A reading under load needs its volts and its amperes." };
  return { ok: true, value: { volts: v, amps: i } };
}

/** The readings as the document keeps them; a sentence when one is missing or cannot be read. */
export function measuredFrom(iron: Transformer, filled: Filled): Made<Measured> {
  const { at, wrong } = numbersOf(measuredFields(iron), filled);
  if (wrong !== undefined) return { ok: false, failure: wrong };
  const loaded = loadedOf(at, "loadedVolts", "loadedAmps");
  if (!loaded.ok) return loaded;
  const heaters: Measured["heaters"] = {};
  for (const { id } of iron.heaters) {
    const unloadedVolts = at(`${id}.unloaded`);
    const ohms = at(`${id}.ohms`);
    const own = loadedOf(at, `${id}.loadedVolts`, `${id}.loadedAmps`);
    if (!own.ok) return own;
    if (unloadedVolts === undefined) {
      if (ohms !== undefined || own.value !== undefined)
        return { ok: false, failure: `${id}: its volts with nothing on it are wanted too.` };
      continue;
    }
    heaters[id] = {
      unloadedVolts,
      ...(ohms === undefined ? {} : { ohms }),
      ...(own.value === undefined ? {} : { loaded: own.value }),
    };
  }
  return {
    ok: true,
    value: {
      mainsVolts: at("mainsVolts") ?? 0,
      primaryOhms: at("primaryOhms") ?? 0,
      highTension: {
        ohmsPerHalf: at("ohms") ?? 0,
        unloadedRmsVoltsPerHalf: at("unloaded") ?? 0,
        ...(loaded.value === undefined ? {} : { loaded: loaded.value }),
      },
      heaters,
    },
  };
}

/** What could be read off iron of unknown rating. */
export function unknownFrom(filled: Filled): Made<Unknown> {
  const { at, wrong } = numbersOf(UNKNOWN_FIELDS, filled);
  if (wrong !== undefined) return { ok: false, failure: wrong };
  const optional = {
    ohmsPerHalf: at("ohms"),
    primaryOhms: at("primaryOhms"),
    kilograms: at("kilograms"),
    tongueMillimetres: at("tongue"),
    stackMillimetres: at("stack"),
  };
  return {
    ok: true,
    value: {
      mainsVolts: at("mainsVolts") ?? 0,
      unloadedRmsVoltsPerHalf: at("unloaded") ?? 0,
      ...Object.fromEntries(Object.entries(optional).filter(([, value]) => value !== undefined)),
    },
  };
}
