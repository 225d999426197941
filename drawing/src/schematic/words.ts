/** What is said of parts and nets: the room kept for it, which depends on structure alone, and the words themselves. */
import { textWidth } from "../text/index.ts";
import type { Line, Look } from "./element.ts";
import type { Said, SaidOfNet, SchematicFacts } from "./facts.ts";
import type { Piece } from "./pieces.ts";

const micro = (value: string): string => value.replace("u", "µ");

/** As written, with the unit that nobody would know otherwise: "10 H", "5mA". */
export function withUnit(value: string, unit: string): string {
  if (value.toUpperCase().endsWith(unit)) return micro(value);
  return `${micro(value)}${/\d$/.test(value) ? "\u202f" : ""}${unit}`;
}

/** The widest that three digits and a unit can be, by unit. */
const WIDEST = {
  Ω: "8.88\u202fMΩ",
  F: "8.88\u202fµF",
  H: "8.88\u202fmH",
  V: "−8.88\u202fV",
  A: "8.88\u202fmA",
} as const;

/** Kinds of parts that have a value of their own, and its unit. */
export const UNIT_OF: Readonly<Record<string, keyof typeof WIDEST>> = {
  resistor: "Ω",
  potentiometer: "Ω",
  capacitor: "F",
  inductor: "H",
  "dc-source": "V",
  regulator: "V",
  "current-sink": "A",
};

/** What a part says whatever its value is. */
export interface PartName {
  readonly id: string;
  readonly name: string;
  /** Types belong to the structure: a drawing with another tube is another drawing. */
  readonly type?: string;
  /** Behind the value: " log". */
  readonly suffix: string;
  /** Under the value: what a jack is for. */
  readonly below: readonly Line[];
  /** Of a pot: what is engraved beside its knob, before where it stands. */
  readonly panel?: string;
}

export function nameOf(piece: Piece): PartName {
  const { id, written } = piece;
  const plain = { id, name: written.id, suffix: "", below: [] };
  switch (written.kind) {
    case "triode":
      return { ...plain, type: `${piece.triode?.type ?? ""}${piece.shared ? " ½" : ""}` };
    case "diode":
      return { ...plain, type: written.type };
    case "follower":
    case "regulator":
      return written.type === undefined ? plain : { ...plain, type: written.type };
    case "potentiometer": {
      const panel = written.label !== undefined && written.label.length <= 8 ? written.label.toUpperCase() : "at";
      const suffix = written.taper === "linear" ? " lin" : ` ${written.taper}`;
      return { ...plain, suffix, panel };
    }
    case "jack":
      return { ...plain, below: [quiet(written.role === "input" ? "in" : "out")] };
    case "switch":
      return { ...plain, below: [quiet(written.closed ? "closed" : "open")] };
    default:
      return plain;
  }
}

const quiet = (text: string): Line => ({ text, role: "quiet" });
const settingLine = (panel: string, setting: Said | undefined): Line => ({
  ...quiet(setting === undefined ? panel : `${panel} ${setting.now}`),
  ...(setting?.live === true ? { role: "live" } : {}),
});

/** What differs from the proven unit is bold where that has room, also where there is none to say what it was. */
function lookOf(text: string, said: Said | undefined, room: string): Pick<Line, "role" | "bold"> {
  if (said?.live !== true && said?.was === undefined) return {};
  const bold = textWidth(text, 1, true) <= textWidth(room, 1);
  return { ...(bold ? { bold } : {}), ...(said.live === true ? { role: "live" } : {}) };
}

const CARRIES: ReadonlySet<string> = new Set(["triode", "follower"]);

/** Room for the designator, the value and what else always stands there. */
export function reserved(piece: Piece, look: Look): readonly Line[] {
  const { name, type, suffix, below, panel } = nameOf(piece);
  const unit = UNIT_OF[piece.written.kind];
  const value = type ?? (unit === undefined ? undefined : `${WIDEST[unit]}${suffix}`);
  const current = look.currents && CARRIES.has(piece.written.kind) ? [quiet(WIDEST.A)] : [];
  return [
    { text: name, bold: true },
    ...(value === undefined ? [] : [{ text: value }]),
    ...below,
    ...(panel === undefined ? [] : [quiet(`${panel} 8.8`)]),
    ...current,
  ];
}

/** Room for what the value or the current was. */
export function reservedMore(piece: Piece, look: Look): readonly Line[] {
  const { kind } = piece.written;
  if (CARRIES.has(kind)) return look.currents ? [quiet(`was ${WIDEST.A}`)] : [];
  const unit = nameOf(piece).type === undefined ? UNIT_OF[kind] : undefined;
  return unit === undefined ? [] : [quiet(`was ${WIDEST[unit]}`)];
}

/** What is said of a part. */
export function partLines(part: PartName, facts: SchematicFacts): readonly Line[] {
  const { id, name, type, suffix, below, panel } = part;
  const value = facts.values[id];
  const setting = facts.settings[id];
  const current = facts.currents[id];
  const first = type ?? (value === undefined ? undefined : `${value.now}${suffix}`);
  const was = value?.was ?? setting?.was ?? current?.was;
  return [
    { text: name, bold: true, ...(value?.live === true || setting?.live === true ? { role: "live" } : {}) },
    ...(first === undefined ? [] : [{ text: first, ...lookOf(first, value, `${WIDEST.Ω}${suffix}`) }]),
    ...below,
    ...(panel === undefined ? [] : [settingLine(panel, setting)]),
    ...(current === undefined ? [] : [{ ...quiet(current.now), ...lookOf(current.now, current, WIDEST.A) }]),
    ...(was === undefined ? [] : [{ text: `was ${was}`, role: "proven" as const }]),
  ];
}

/** Stands before volts that are dangerous to touch; drawn as a bolt. */
export const BOLT = "\u2003";

/** Room for the volts of a net, with the mark of danger before them. */
export const VOLTS_ROOM: Line = { text: `${BOLT}${WIDEST.V}`, bold: true };
export const VOLTS_WAS_ROOM: Line = { text: `was ${WIDEST.V}` };

export function voltsLines(said: SaidOfNet | undefined): readonly Line[] {
  if (said === undefined) return [];
  const { now, was, live, dangerous } = said;
  return [
    {
      text: dangerous === true ? `${BOLT}${now}` : now,
      ...(dangerous === true || live === true ? { bold: true } : {}),
      ...(live === true ? { role: "live" } : {}),
    },
    ...(was === undefined ? [] : [{ text: `was ${was}`, role: "proven" as const }]),
  ];
}
