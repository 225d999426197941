/** What a schematic says besides its structure: values, currents, volts, as plain words that can be copied. */
import { type Expanded, QUANTITY_OF, type SolvedDesign, valueOf } from "@platewright/design";
import { digits } from "@platewright/engine";
import { printQuantity, THIN } from "../plot/axis.ts";
import { UNIT_OF } from "./words.ts";

/** What a drawing says of one quantity. */
export interface Said {
  readonly now: string;
  /** Of the unit that it is compared with, when that says something else. */
  readonly was?: string;
  /** Moved by what is in hand. */
  readonly live?: boolean;
}

export interface SaidOfNet extends Said {
  /** Dangerous to touch. */
  readonly dangerous?: boolean;
}

export interface SchematicFacts {
  /** By part id. */
  readonly values: Readonly<Record<string, Said>>;
  /** Where knobs stand, 0 to 10, by part id. */
  readonly settings: Readonly<Record<string, Said>>;
  /** Standing plate currents, by triode or follower. */
  readonly currents: Readonly<Record<string, Said>>;
  /** To ground, by net; nets at no dc volts have none. */
  readonly volts: Readonly<Record<string, SaidOfNet>>;
}

/** Below this a node counts as at no dc volts, and none are printed. */
const NOTHING_VOLTS = 0.05;
/** Nodes above it are marked; common practice for dc that can be touched. */
const DANGEROUS_VOLTS = 60;

/** What can be said of a design; without a solve its values alone. */
export function schematicFacts(expanded: Expanded, solved: SolvedDesign | undefined): SchematicFacts {
  const values: Record<string, Said> = {};
  const settings: Record<string, Said> = {};
  for (const { id, written } of expanded.parts) {
    if (written.kind === "potentiometer") settings[id] = { now: digits(10 * written.position, 2) };
    const unit = UNIT_OF[written.kind];
    const quantity = QUANTITY_OF[written.kind];
    if (unit !== undefined && quantity !== undefined && "value" in written)
      values[id] = { now: printQuantity(valueOf(quantity, written.value), unit) };
  }
  const currents: Record<string, Said> = {};
  const volts: Record<string, SaidOfNet> = {};
  for (const [id, { plateAmps }] of solved?.bias.triodes ?? []) currents[id] = { now: printQuantity(plateAmps, "A") };
  for (const [net, value] of solved?.bias.netVolts ?? []) {
    if (net === "0" || Math.abs(value) < NOTHING_VOLTS) continue;
    volts[net] = {
      now: voltsWords(value),
      ...(Math.abs(value) > DANGEROUS_VOLTS ? { dangerous: true } : {}),
    };
  }
  return { values, settings, currents, volts };
}

/** Nets that stand at dc volts: room is kept for them. */
export const netsWithVolts = (facts: SchematicFacts): readonly string[] => Object.keys(facts.volts);

/** Volts as they stand at a node: three digits, never millivolts. */
function voltsWords(value: number): string {
  if (Math.abs(value) >= 0.9995) return printQuantity(value, "V");
  return `${value < 0 ? "−" : ""}${Math.abs(value).toFixed(2)}${THIN}V`;
}

/** The same with what another unit says where it says something else. */
export function withProven(now: SchematicFacts, proven: SchematicFacts): SchematicFacts {
  const was = <T extends Said>(here: Readonly<Record<string, T>>, there: Readonly<Record<string, T>>) =>
    mapped(here, (said, id) => {
      const before = there[id]?.now;
      return before === undefined || before === said.now ? said : { ...said, was: before };
    });
  return {
    values: was(now.values, proven.values),
    settings: was(now.settings, proven.settings),
    currents: was(now.currents, proven.currents),
    volts: was(now.volts, proven.volts),
  };
}

/** The same with everything marked that says something else than before the edit in hand. */
export function withMoved(now: SchematicFacts, kept: SchematicFacts | undefined): SchematicFacts {
  if (kept === undefined) return now;
  const moved = <T extends Said>(here: Readonly<Record<string, T>>, there: Readonly<Record<string, T>>) =>
    mapped(here, (said, id) => (there[id]?.now === said.now ? said : { ...said, live: true }));
  return {
    values: moved(now.values, kept.values),
    settings: moved(now.settings, kept.settings),
    currents: moved(now.currents, kept.currents),
    volts: moved(now.volts, kept.volts),
  };
}

function mapped<T>(record: Readonly<Record<string, T>>, change: (value: T, key: string) => T): Record<string, T> {
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, change(value, key)]));
}
