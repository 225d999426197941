/**
 * What changes at a socket when a tube of another basing goes in: pin by pin, the wires to move, and the heater, which
 * is more than a move (two joined pins against a tap become two plain ends).
 * Pins are counted clockwise, seen from below.
 */
import type { Base, HeaterOption, PinRole } from "@platewright/engine";
import { roleWords, sameRole } from "./pins.ts";

export type HeaterWiring = HeaterOption["wiring"];

export interface PinChange {
  readonly pin: string;
  readonly was: PinRole;
  readonly becomes: PinRole;
}

/** Take the wire off pin `from` and put it on pin `to`. */
export interface WireMove {
  readonly from: string;
  readonly to: string;
  readonly role: PinRole;
}

/** Pins on the two leads of the heater winding. */
export interface HeaterLeads {
  readonly wiring: HeaterWiring;
  readonly one: readonly string[];
  readonly two: readonly string[];
}

export interface HeaterRewiring {
  readonly before: HeaterLeads;
  readonly after: HeaterLeads;
  /** "none"; "moves": the wire moves above do it; "rewire": pins have to be joined or parted as well. */
  readonly work: "none" | "moves" | "rewire";
}

export interface PinMoves {
  readonly changes: readonly PinChange[];
  readonly moves: readonly WireMove[];
  /** Undefined when one of the basings has no heater pins of this wiring. */
  readonly heater: HeaterRewiring | undefined;
  /** Roles that are wired now and have no pin on the new tube ("heater tap", "plate 2"). */
  readonly left: readonly WireMove["role"][];
  /** Roles of the new tube that no wire of the old one serves. */
  readonly missing: readonly WireMove["role"][];
}

const NOTHING: PinRole = { kind: "none" };

const numerically = (one: string, other: string): number => Number(one) - Number(other);
const pinsOf = (base: Base): readonly string[] => Object.keys(base.pins).sort(numerically);

const carriesWire = (role: PinRole): boolean =>
  role.kind !== "none" && role.kind !== "internal" && role.kind !== "shield";

function pinsWith(base: Base, wanted: PinRole): readonly string[] {
  return pinsOf(base).filter((pin) => {
    const role = base.pins[pin];
    return role !== undefined && sameRole(role, wanted);
  });
}

const heaterEnd = (base: Base, end: "a" | "b" | "tap"): readonly string[] =>
  pinsOf(base).filter((pin) => {
    const role = base.pins[pin];
    return (role?.kind === "heater" || role?.kind === "heater-and-cathode") && role.end === end;
  });

/** Which pins a wiring puts on which lead; undefined when the basing cannot be wired so. */
export function heaterLeads(base: Base, wiring: HeaterWiring): HeaterLeads | undefined {
  const [a, b, tap] = [heaterEnd(base, "a"), heaterEnd(base, "b"), heaterEnd(base, "tap")];
  if (a.length === 0 || b.length === 0) return undefined;
  if (wiring === "parallel") return tap.length === 0 ? undefined : { wiring, one: [...a, ...b], two: tap };
  return (wiring === "series") === tap.length > 0 ? { wiring, one: a, two: b } : undefined;
}

const samePins = (one: readonly string[], other: readonly string[]): boolean => one.join() === other.join();

/**
 * From one basing to another. `wired` is how the heater is wired now; `wanted` how the new tube's has to be (left out: the
 * same if the new basing can be wired so, else for 6.3 V).
 */
export function pinMoves(from: Base, to: Base, wired?: HeaterWiring, wanted?: HeaterWiring): PinMoves {
  const pins = [...new Set([...pinsOf(from), ...pinsOf(to)])].sort(numerically);
  const changes = pins.flatMap((pin): PinChange[] => {
    const [was, becomes] = [from.pins[pin] ?? NOTHING, to.pins[pin] ?? NOTHING];
    return sameRole(was, becomes) ? [] : [{ pin, was, becomes }];
  });

  const wiredNow = wired ?? (heaterEnd(from, "tap").length > 0 ? "parallel" : "single");
  const before = heaterLeads(from, wiredNow);
  const after =
    wanted === undefined
      ? (heaterLeads(to, wiredNow) ?? heaterLeads(to, "single") ?? heaterLeads(to, "parallel"))
      : heaterLeads(to, wanted);
  const sameWiring = before !== undefined && after !== undefined && before.wiring === after.wiring;
  const usesTap = (leads: HeaterLeads | undefined): boolean => leads?.wiring === "parallel";

  // Electrodes move one by one. Heater ends do so only while the wiring stays what it was; the tap only where it is used.
  const moves: WireMove[] = [];
  const left: PinRole[] = [];
  const seen: PinRole[] = [];
  for (const pin of pinsOf(from)) {
    const role = from.pins[pin] ?? NOTHING;
    const heater = role.kind === "heater" || role.kind === "heater-and-cathode";
    if (!carriesWire(role) || seen.some((one) => sameRole(one, role))) continue;
    seen.push(role);
    if (role.kind === "heater" && (!sameWiring || (role.end === "tap" && !usesTap(before)))) continue;
    const [here, there] = [pinsWith(from, role), pinsWith(to, role)];
    const target = there[0];
    if (target === undefined) {
      if (!heater || !sameWiring) left.push(role);
    } else if (!here.some((one) => there.includes(one))) moves.push({ from: pin, to: target, role });
  }
  const missing = pinsOf(to)
    .map((pin) => to.pins[pin] ?? NOTHING)
    .filter((role, index, all) => all.findIndex((one) => sameRole(one, role)) === index)
    .filter((role) => carriesWire(role) && pinsWith(from, role).length === 0)
    // The heater's leads are told apart, a filament's with them.
    .filter((role) => role.kind !== "heater" && (role.kind !== "heater-and-cathode" || before === undefined));

  const heater: HeaterRewiring | undefined =
    before === undefined || after === undefined
      ? undefined
      : {
          before,
          after,
          work: !sameWiring
            ? "rewire"
            : samePins(before.one, after.one) && samePins(before.two, after.two)
              ? "none"
              : "moves",
        };
  return { changes, moves, heater, left, missing };
}

const join = (pins: readonly string[]): string => pins.join("+");

/** "4+5 against 9" */
export const leadsWords = (leads: HeaterLeads): string => `${join(leads.one)} against ${join(leads.two)}`;

/** "6 → 8 (cathode 1)" */
export const moveWords = (move: WireMove): string => `${move.from} → ${move.to} (${roleWords(move.role)})`;
