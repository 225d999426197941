/**
 * Parts and nets become equations, once per net list. One compiled circuit serves bias, response and harmonics.
 *
 * Law     Nodal: Y(w) v = J, Y(w) = sum of admittances g + jwC + 1/(R + jwL). Tubes and diodes are ports: their currents
 *         are unknowns of the solves, their capacitances belong to Y.
 * Method  Ideal sources and closed switches are eliminated (nets.ts). The sparse elimination program depends on the net
 *         list only and is kept by `revalue`.
 * Limits  Potentiometer ends are held at a millionth of the track, so that a wiper at its end keeps the same pattern.
 *         An ideal current sink gets 1 GΩ across it: a net may hang on it. Regulators that alone hold a net, as in a string
 *         of gas tubes, get 10 MΩ across each: enough to share its volts before they conduct.
 */
import { type SparseProgram, sparseProgram } from "../numerics/sparse-lu.ts";
import { fail, ok, type Result } from "../result.ts";
import type { CompileFailure } from "../solve/answers.ts";
import { compileDiode, type DiodeEvaluator } from "../tubes/diode.ts";
import type { TriodeEvaluator } from "../tubes/law.ts";
import { compileTriode } from "../tubes/triode.ts";
import { checkParts, checkPaths, hangingNets } from "./check.ts";
import { mapNets, type NetMap, pinsOf } from "./nets.ts";
import type { Net, Part } from "./parts.ts";

const POT_END = 1e-6;
const SINK_OHMS = 1e9;
const LEAK = 1e-7;

/** Two-terminal admittance g + jwC between nets a and b (indices of NetMap.nets). */
export interface Element {
  readonly part: string;
  readonly a: number;
  readonly b: number;
  readonly siemens: number;
  readonly farads: number;
  /** For an inductor: 1/(ohms + jw henries) instead. */
  readonly henries: number;
  readonly ohms: number;
}

export interface Source {
  readonly id: string;
  readonly kind: "dc" | "ac";
  readonly plus: Net;
  readonly minus: Net;
  readonly volts: number;
  /** 0: ideal, eliminated by offsets; otherwise its admittance is an Element and it injects volts * siemens. */
  readonly siemens: number;
  readonly ideal: boolean;
}

export type Device =
  | {
      readonly kind: "triode";
      readonly id: string;
      readonly plate: number;
      readonly grid: number;
      readonly cathode: number;
      readonly evaluate: TriodeEvaluator;
      readonly conductsGrid: boolean;
    }
  | {
      readonly kind: "diode";
      readonly id: string;
      readonly anode: number;
      readonly cathode: number;
      readonly evaluate: DiodeEvaluator;
      /** Set for a junction: the volts of one neper of current. Its bias is searched in steps of a few of them. */
      readonly neperVolts?: number;
    };

export interface CompiledCircuit {
  readonly parts: readonly Part[];
  readonly map: NetMap;
  readonly elements: readonly Element[];
  readonly sources: readonly Source[];
  readonly sinks: readonly { readonly from: number; readonly to: number; readonly amps: number }[];
  readonly devices: readonly Device[];
  readonly program: SparseProgram;
  /** Slots of each element in the program: [aa, bb, ab, ba], -1 where a or b is known. */
  readonly elementSlots: Int32Array;
}

/** Compiles any topology of parts; the first thing wrong with it is the answer otherwise. */
export function compile(parts: readonly Part[]): Result<CompiledCircuit, CompileFailure> {
  const complaint = checkParts(parts);
  if (complaint !== undefined) return fail(complaint);
  const mapped = mapNets(parts, sourcesOf(parts));
  if (!mapped.ok) return mapped;
  const path = checkPaths(parts, mapped.value);
  if (path !== undefined) return fail(path);
  return ok(assemble(parts, mapped.value));
}

/**
 * The same net list with other values: keeps net map and elimination program. Falls back to a full compile when the
 * parts, their nets or what is ideal differ.
 */
export function revalue(circuit: CompiledCircuit, parts: readonly Part[]): Result<CompiledCircuit, CompileFailure> {
  if (!sameShape(circuit.parts, parts)) return compile(parts);
  const complaint = checkParts(parts);
  if (complaint !== undefined) return fail(complaint);
  return ok(assemble(parts, circuit.map, circuit));
}

function assemble(parts: readonly Part[], map: NetMap, before?: CompiledCircuit): CompiledCircuit {
  const net = (name: Net) => map.index.get(name) as number;
  const elements: Element[] = [];
  const add = (part: string, a: Net, b: Net, siemens: number, farads: number) =>
    elements.push({ part, a: net(a), b: net(b), siemens, farads, henries: 0, ohms: 0 });
  const sinks: { from: number; to: number; amps: number }[] = [];
  const devices: Device[] = [];
  const hanging = hangingNets(parts, map);
  for (const [i, part] of parts.entries()) {
    switch (part.kind) {
      case "resistor":
        add(part.id, part.a, part.b, 1 / part.ohms, 0);
        break;
      case "capacitor":
        add(part.id, part.a, part.b, 0, part.farads);
        break;
      case "inductor":
        elements.push({
          part: part.id,
          a: net(part.a),
          b: net(part.b),
          siemens: 0,
          farads: 0,
          henries: part.henries,
          ohms: part.seriesOhms,
        });
        break;
      case "potentiometer": {
        const lower = Math.min(1 - POT_END, Math.max(POT_END, part.fraction));
        add(part.id, part.top, part.wiper, 1 / (part.ohms * (1 - lower)), 0);
        add(part.id, part.wiper, part.bottom, 1 / (part.ohms * lower), 0);
        break;
      }
      case "triode":
        add(part.id, part.grid, part.plate, 0, part.gridPlateFarads);
        add(part.id, part.grid, part.cathode, 0, part.gridCathodeFarads);
        add(part.id, part.plate, part.cathode, 0, part.plateCathodeFarads);
        devices.push(
          reuse(before, parts, i) ?? {
            kind: "triode",
            id: part.id,
            plate: net(part.plate),
            grid: net(part.grid),
            cathode: net(part.cathode),
            evaluate: compileTriode(part.law),
            conductsGrid: part.law.grid.form !== "none",
          },
        );
        break;
      case "diode":
        // The pattern wants the pair even though a diode is not an admittance: its slope is stamped there.
        add(part.id, part.anode, part.cathode, hanging.has(part.anode) || hanging.has(part.cathode) ? LEAK : 0, 0);
        devices.push({
          kind: "diode",
          id: part.id,
          anode: net(part.anode),
          cathode: net(part.cathode),
          evaluate: compileDiode(part.law),
          ...(part.law.form === "exponential" ? { neperVolts: part.law.nVt } : {}),
        });
        break;
      case "dc-source":
      case "ac-source":
        if (part.seriesOhms > 0) add(part.id, part.plus, part.minus, 1 / part.seriesOhms, 0);
        break;
      case "current-sink":
        add(part.id, part.from, part.to, 1 / Math.min(part.parallelOhms, SINK_OHMS), 0);
        sinks.push({ from: net(part.from), to: net(part.to), amps: part.amps });
        break;
      case "switch":
      case "jack":
        break;
    }
  }
  const node = map.node;
  const program =
    before?.program ??
    sparseProgram(
      map.nodes,
      elements.map((e) => [node[e.a] as number, node[e.b] as number] as const).filter(([a, b]) => a >= 0 && b >= 0),
    );
  return {
    parts,
    map,
    elements,
    sources: sourcesOf(parts),
    sinks,
    devices,
    program,
    elementSlots: before?.elementSlots ?? slotsOf(elements, node, program),
  };
}

/** The compiled device of an unchanged law (the same object), so that an edit of a resistor compiles no law again. */
function reuse(before: CompiledCircuit | undefined, parts: readonly Part[], i: number): Device | undefined {
  const now = parts[i];
  const old = before?.parts[i];
  if (now?.kind !== "triode" || old?.kind !== "triode" || old.law !== now.law) return undefined;
  return before?.devices.find((device) => device.id === now.id);
}

function slotsOf(elements: readonly Element[], node: Int32Array, program: SparseProgram): Int32Array {
  const slots = new Int32Array(elements.length * 4).fill(-1);
  for (const [i, e] of elements.entries()) {
    const a = node[e.a] as number;
    const b = node[e.b] as number;
    if (a === b) continue;
    if (a >= 0) slots[4 * i] = program.slot(a, a);
    if (b >= 0) slots[4 * i + 1] = program.slot(b, b);
    if (a >= 0 && b >= 0) {
      slots[4 * i + 2] = program.slot(a, b);
      slots[4 * i + 3] = program.slot(b, a);
    }
  }
  return slots;
}

function sourcesOf(parts: readonly Part[]): readonly Source[] {
  const sources: Source[] = [];
  for (const part of parts) {
    if (part.kind !== "dc-source" && part.kind !== "ac-source") continue;
    sources.push({
      id: part.id,
      kind: part.kind === "dc-source" ? "dc" : "ac",
      plus: part.plus,
      minus: part.minus,
      volts: part.kind === "dc-source" ? part.volts : 0,
      siemens: part.seriesOhms > 0 ? 1 / part.seriesOhms : 0,
      ideal: part.seriesOhms === 0,
    });
  }
  return sources;
}

function sameShape(a: readonly Part[], b: readonly Part[]): boolean {
  if (a.length !== b.length) return false;
  return a.every((part, i) => shapeOf(part) === shapeOf(b[i] as Part));
}

function shapeOf(part: Part): string {
  const nets = pinsOf(part)
    .map(([, net]) => net)
    .join("|");
  if (part.kind === "switch") return `${part.kind}|${part.id}|${nets}|${part.closed}`;
  if (part.kind === "dc-source" || part.kind === "ac-source")
    return `${part.kind}|${part.id}|${nets}|${part.seriesOhms === 0}`;
  return `${part.kind}|${part.id}|${nets}`;
}
