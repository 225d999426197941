/**
 * A tube type in a socket that is already wired: what each pin now gets, whether the heater lights, and the wires to move.
 * The wiring of the document is the truth. Pins are counted clockwise, seen from below.
 */
import type { Base, HeaterOption, PinRole, TubeRecord } from "@platewright/engine";
import type { Envelope, PinWire } from "../document/schema.ts";
import type { Level } from "../findings.ts";
import { worseOf } from "./judge.ts";
import { list, say } from "./say.ts";

export type Wiring = Envelope["wiring"];
export type WireKey = string;

export const wireKey = (wire: PinWire): WireKey =>
  "net" in wire ? `net ${wire.net}` : `winding ${wire.winding} lead ${wire.lead}`;

/** What the circuit wants on the electrodes of each section. A rectifier's plates may be any wire. */
export interface SectionWires {
  readonly plate?: PinWire;
  readonly grid?: PinWire;
  readonly cathode?: PinWire;
}

export interface HeaterWinding {
  readonly id: string;
  readonly volts: number;
}

export interface SocketQuestion {
  readonly record: TubeRecord;
  readonly socket: string;
  readonly wiring: Wiring;
  readonly sections: { readonly [S in 1 | 2]?: SectionWires };
  readonly windings: readonly HeaterWinding[];
  /** DC volts of a net, for the words and for telling a dangerous wire from a harmless one. */
  readonly netVolts?: (net: string) => number | undefined;
}

export interface PinState {
  readonly pin: string;
  readonly role: PinRole;
  readonly wire: PinWire | undefined;
  readonly level: Level;
  /** "pin 9 (heater tap) gets the plate supply (L.p1, 190 V)"; empty when it gets what it should. */
  readonly words: string;
}

/** Take the wire off pin `from` and put it on pin `to`; without `from` a new lead, without `to` off and left off. */
export interface WireMove {
  readonly from?: string;
  readonly to?: string;
  readonly wire: PinWire;
}

export type HeaterOutcome = "right" | "low" | "high" | "dark" | "half lit" | "burns" | "no option" | "unknown";

export interface HeaterState {
  readonly outcome: HeaterOutcome;
  /** Volts across the heater ends (or across one half of a tapped one, scaled to the option it is wired for). */
  readonly volts: number;
  readonly wantedVolts: number;
  readonly words: string;
}

export interface SocketAnswer {
  /** The basing used; undefined when the type does not go into this socket or its pins are not known. */
  readonly base: Base | undefined;
  /** Sockets that the type does go into. */
  readonly sockets: readonly string[];
  readonly pins: readonly PinState[];
  readonly heater: HeaterState;
  readonly moves: readonly WireMove[];
  /** Wiring after the moves; undefined when the type cannot be wired to this winding. */
  readonly rewired: Wiring | undefined;
  readonly level: Level;
}

/** Above this a wire is dangerous to a heater, a grid or a hand; common practice and IEC 61010-1 (from memory): 60 V dc. */
const HIGH_VOLTS = 60;

const byNumber = (one: string, other: string): number => Number(one) - Number(other);

export function roleName(role: PinRole): string {
  switch (role.kind) {
    case "plate":
    case "grid":
    case "cathode":
      return `${role.kind} ${role.section}`;
    case "heater":
      return role.end === "tap" ? "heater tap" : "heater";
    case "heater-and-cathode":
      return "heater and cathode";
    case "internal":
      return "internal connection";
    case "none":
      return "no connection";
    case "shield":
      return "shield";
  }
}

const isHeater = (role: PinRole): role is Extract<PinRole, { kind: "heater" | "heater-and-cathode" }> =>
  role.kind === "heater" || role.kind === "heater-and-cathode";

const isElectrode = (role: PinRole): role is Extract<PinRole, { section: 1 | 2 }> => "section" in role;

/** Base of the type for this socket: the best known one comes first in the record. */
export const baseFor = (record: TubeRecord, socket: string): Base | undefined =>
  record.bases.find((base) => base.socket === socket && Object.keys(base.pins).length > 0);

const heaterPins = (base: Base, end: "a" | "b" | "tap"): readonly string[] =>
  Object.keys(base.pins)
    .filter((pin) => {
      const role = base.pins[pin];
      return role !== undefined && isHeater(role) && role.end === end;
    })
    .sort(byNumber);

function describeWire(question: SocketQuestion, wire: PinWire): string {
  if (!("net" in wire)) {
    const lights = question.windings.some((one) => one.id === wire.winding);
    return lights ? `heater lead ${wire.lead}` : `high-tension lead ${wire.winding} ${wire.lead}`;
  }
  if (wire.net === "0") return "ground";
  const at = question.netVolts?.(wire.net);
  const owner = ([1, 2] as const)
    .flatMap((section) =>
      (["plate", "grid", "cathode"] as const).map((kind) => ({
        section,
        kind,
        wire: question.sections[section]?.[kind],
      })),
    )
    .find((one) => one.wire !== undefined && wireKey(one.wire) === wireKey(wire));
  const name =
    owner === undefined
      ? "the wire"
      : owner.kind === "plate"
        ? `plate supply ${owner.section}`
        : `the ${owner.kind} ${owner.section} wire`;
  return `${name} (${wire.net}${at === undefined ? "" : `, ${say(at, "V")}`})`;
}

/** True for plate supplies and anything else that is not known to be low. */
function isHigh(question: SocketQuestion, wire: PinWire): boolean {
  if (!("net" in wire)) return !question.windings.some((one) => one.id === wire.winding);
  if (wire.net === "0") return false;
  const at = question.netVolts?.(wire.net);
  return at === undefined || !(Math.abs(at) < HIGH_VOLTS);
}

const isHeaterLead = (question: SocketQuestion, wire: PinWire): boolean =>
  !("net" in wire) && question.windings.some((one) => one.id === wire.winding);

function judgePin(question: SocketQuestion, pin: string, role: PinRole): PinState {
  const wire = question.wiring[pin];
  const state = (level: Level, words = ""): PinState => ({ pin, role, wire, level, words });
  const gets = (): string =>
    `pin ${pin} (${roleName(role)}) gets ${wire === undefined ? "nothing" : describeWire(question, wire)}`;
  if (isElectrode(role)) {
    const wires = question.sections[role.section];
    const wanted = wires?.[role.kind];
    if (wanted === undefined) {
      if (wire === undefined || wireKey(wire) === "net 0") return state("ok");
      return isHigh(question, wire) || isHeaterLead(question, wire)
        ? state("stop", `${gets()}, though that section is not used`)
        : state("watch", `${gets()}, though that section is not used`);
    }
    if (wire === undefined) return state("stop", `${gets()}; it wants ${describeWire(question, wanted)}`);
    return wireKey(wire) === wireKey(wanted) ? state("ok") : state("stop", gets());
  }
  if (isHeater(role)) {
    // Whether the leads light it is judged over all heater pins together.
    if (wire === undefined || isHeaterLead(question, wire)) return state("ok");
    return state("stop", gets());
  }
  if (wire === undefined) return state("ok");
  if (role.kind === "none") return state("ok");
  if (wireKey(wire) === "net 0")
    return role.kind === "shield" ? state("ok") : state("watch", `${gets()}; leave it free`);
  if (role.kind === "internal") return state("stop", `${gets()}; an internal connection must stay free`);
  return state(isHigh(question, wire) ? "stop" : "watch", `${gets()}; a shield wants ground or nothing`);
}

/** Volts of a heater pin about the winding's centre; undefined when no heater lead reaches it. */
function leadVolts(question: SocketQuestion, pins: readonly string[]): number | undefined {
  for (const pin of pins) {
    const wire = question.wiring[pin];
    if (wire === undefined || "net" in wire) continue;
    const winding = question.windings.find((one) => one.id === wire.winding);
    if (winding !== undefined) return wire.lead === "a" ? winding.volts / 2 : -winding.volts / 2;
  }
  return undefined;
}

/** Heater volts through the pins as wired. A tapped heater is judged by its halves: both must get half of the series volts. */
export function heaterState(question: SocketQuestion, base: Base): HeaterState {
  const options = question.record.heaters;
  const tapPins = heaterPins(base, "tap");
  const [a, b] = [leadVolts(question, heaterPins(base, "a")), leadVolts(question, heaterPins(base, "b"))];
  const wantedOption =
    tapPins.length > 0
      ? (options.find((one) => one.wiring === "series") ?? options.find((one) => one.wiring === "parallel"))
      : (options.find((one) => one.wiring === "single") ?? options[0]);
  if (wantedOption === undefined)
    return { outcome: "unknown", volts: Number.NaN, wantedVolts: Number.NaN, words: "its heater volts are not known" };
  let halves: readonly [number, number];
  let wantedHalf: number;
  let scale = 1;
  if (tapPins.length > 0) {
    wantedHalf = wantedOption.wiring === "series" ? wantedOption.volts / 2 : wantedOption.volts;
    const tap = leadVolts(question, tapPins);
    if (tap === undefined) {
      const each = a === undefined || b === undefined ? 0 : Math.abs(a - b) / 2;
      halves = [each, each];
      scale = 2;
    } else halves = [a === undefined ? 0 : Math.abs(a - tap), b === undefined ? 0 : Math.abs(b - tap)];
  } else {
    wantedHalf = wantedOption.volts;
    const across = a === undefined || b === undefined ? 0 : Math.abs(a - b);
    halves = [across, across];
  }
  const [least, most] = [Math.min(...halves) / wantedHalf, Math.max(...halves) / wantedHalf];
  const volts = Math.max(...halves) * scale;
  const wantedVolts = wantedHalf * scale;
  const answer = (outcome: HeaterOutcome, words: string): HeaterState => ({ outcome, volts, wantedVolts, words });
  if (most < 0.05) return answer("dark", "the heater stays dark: its ends are not across the winding");
  if (most > 1.5)
    return answer("burns", `the heater burns: ${say(volts, "V")} where it wants ${say(wantedVolts, "V")}`);
  if (most < 0.7)
    return answer("dark", `the heater hardly glows: ${say(volts, "V")} where it wants ${say(wantedVolts, "V")}`);
  if (least < 0.5) return answer("half lit", "only one half of the heater is lit");
  if (least < 0.9) return answer("low", `heater ${say(volts, "V")} where it wants ${say(wantedVolts, "V")}`);
  if (most > 1.1) return answer("high", `heater ${say(volts, "V")} where it wants ${say(wantedVolts, "V")}`);
  return answer("right", "");
}

/** The heater option that this winding can light, nearest in volts and within a fifth. */
export function heaterOptionFor(record: TubeRecord, windingVolts: number): HeaterOption | undefined {
  const off = (one: HeaterOption): number => Math.abs(one.volts / windingVolts - 1);
  const [best] = [...record.heaters].filter((one) => off(one) < 0.2).sort((one, other) => off(one) - off(other));
  return best;
}

function heaterAssignments(
  base: Base,
  option: HeaterOption,
  winding: string,
): readonly (readonly (readonly [string, PinWire])[])[] {
  const [a, b, tap] = [heaterPins(base, "a"), heaterPins(base, "b"), heaterPins(base, "tap")];
  return (["a", "b"] as const).map((first) => {
    const [x, y]: readonly [PinWire, PinWire] = [
      { winding, lead: first },
      { winding, lead: first === "a" ? "b" : "a" },
    ];
    const on = (pins: readonly string[], wire: PinWire): readonly (readonly [string, PinWire])[] =>
      pins.map((pin) => [pin, wire] as const);
    return option.wiring === "parallel" ? [...on([...a, ...b], x), ...on(tap, y)] : [...on(a, x), ...on(b, y)];
  });
}

/** The wiring this type wants: circuit on the electrodes, winding on the heater, ground kept on a shield that has it. */
export function wantedWiring(question: SocketQuestion, base: Base): Wiring | undefined {
  const windingNow = Object.values(question.wiring)
    .map((wire) => ("winding" in wire ? question.windings.find((one) => one.id === wire.winding) : undefined))
    .find((one) => one !== undefined);
  const winding = windingNow ?? question.windings[0];
  const electrodes: (readonly [string, PinWire])[] = [];
  for (const pin of Object.keys(base.pins).sort(byNumber)) {
    const role = base.pins[pin];
    if (role === undefined) continue;
    // A heater that is its own cathode stands at B+ and cannot hang on the winding of the signal tubes.
    if (role.kind === "heater-and-cathode") return undefined;
    if (isElectrode(role)) {
      const wire = question.sections[role.section]?.[role.kind];
      if (wire !== undefined) electrodes.push([pin, wire]);
    } else if (role.kind === "shield") {
      const now = question.wiring[pin];
      if (now !== undefined && wireKey(now) === "net 0") electrodes.push([pin, now]);
    }
  }
  const option = winding === undefined ? undefined : heaterOptionFor(question.record, winding.volts);
  if (winding === undefined || option === undefined) return undefined;
  const kept = (pairs: readonly (readonly [string, PinWire])[]): number =>
    pairs.filter(([pin, wire]) => {
      const now = question.wiring[pin];
      return now !== undefined && wireKey(now) === wireKey(wire);
    }).length;
  const [best] = [...heaterAssignments(base, option, winding.id)].sort((one, other) => kept(other) - kept(one));
  return Object.fromEntries([...electrodes, ...(best ?? [])].sort(([one], [other]) => byNumber(one, other)));
}

/** Moves that turn one wiring into the other: wire by wire, from the pins it leaves to the pins it joins. */
export function wireMoves(before: Wiring, after: Wiring): readonly WireMove[] {
  const byWire = new Map<WireKey, { wire: PinWire; leaves: string[]; joins: string[] }>();
  const entry = (wire: PinWire): { wire: PinWire; leaves: string[]; joins: string[] } => {
    const key = wireKey(wire);
    const known = byWire.get(key) ?? { wire, leaves: [], joins: [] };
    byWire.set(key, known);
    return known;
  };
  for (const pin of Object.keys({ ...before, ...after }).sort(byNumber)) {
    const [was, becomes] = [before[pin], after[pin]];
    if (was !== undefined && becomes !== undefined && wireKey(was) === wireKey(becomes)) continue;
    if (was !== undefined) entry(was).leaves.push(pin);
    if (becomes !== undefined) entry(becomes).joins.push(pin);
  }
  const moves: WireMove[] = [];
  for (const { wire, leaves, joins } of byWire.values())
    for (let i = 0; i < Math.max(leaves.length, joins.length); i++) {
      const [from, to] = [leaves[i], joins[i]];
      moves.push({ ...(from === undefined ? {} : { from }), ...(to === undefined ? {} : { to }), wire });
    }
  return moves.sort((one, other) => byNumber(one.from ?? "99", other.from ?? "99"));
}

export function moveWords(move: WireMove): string {
  const wire =
    "net" in move.wire ? (move.wire.net === "0" ? "ground" : move.wire.net) : `heater lead ${move.wire.lead}`;
  if (move.from === undefined) return `${wire} also to ${move.to ?? "?"}`;
  return move.to === undefined ? `${wire} off ${move.from}` : `${move.from} → ${move.to} (${wire})`;
}

/** "move 6 → 8 (L.k1), 8 → 9 (heater lead b) and 9 → 6 (L.p1), pins seen from below" */
export const movesWords = (moves: readonly WireMove[]): string =>
  `move ${list(moves.map(moveWords))}, pins seen from below`;

export function checkSocket(question: SocketQuestion): SocketAnswer {
  const sockets = [...new Set(question.record.bases.map((one) => one.socket))];
  const base = baseFor(question.record, question.socket);
  if (base === undefined) {
    const heater: HeaterState = { outcome: "unknown", volts: Number.NaN, wantedVolts: Number.NaN, words: "" };
    const [other] = question.record.bases.filter((one) => Object.keys(one.pins).length > 0);
    const rewired =
      other === undefined || sockets.includes(question.socket) ? undefined : wantedWiring(question, other);
    return { base, sockets, pins: [], heater, moves: [], rewired, level: "stop" };
  }
  const used = new Set([...Object.keys(base.pins), ...Object.keys(question.wiring)]);
  const pins = [...used].sort(byNumber).map((pin) => judgePin(question, pin, base.pins[pin] ?? { kind: "none" }));
  const heater = heaterState(question, base);
  const rewired = wantedWiring(question, base);
  const right = heater.outcome === "right";
  const level = pins.reduce<Level>((worst, one) => worseOf(worst, one.level), right ? "ok" : "watch");
  const bad = heater.outcome === "dark" || heater.outcome === "burns" || heater.outcome === "half lit";
  return {
    base,
    sockets,
    pins,
    heater,
    moves: rewired === undefined ? [] : wireMoves(question.wiring, rewired),
    rewired,
    level: bad ? "stop" : level,
  };
}
