/**
 * The linear network of a circuit seen from pairs of nets, and the same network with some resistors changed.
 *
 * Law     v_r = open_r - sum_p impedance_rp i_p, i_p the current drawn out of terminal p's plus net and back into its
 *         minus net. A changed resistor draws dG v - dI at its own terminal: a change of low rank (Woodbury).
 * Limits  At a frequency only the parts in phase with the source are kept: for networks that are resistive there.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import { fail, ok, type Result } from "../result.ts";
import type { Hertz } from "../units/quantities.ts";
import type { SolveFailure } from "./answers.ts";
import { addCurrent, addSource, factorAt, netVolts, openNetwork, solveInPlace } from "./network.ts";

export interface Terminal {
  readonly plus: Net;
  readonly minus: Net;
}

export interface NetworkSeen {
  readonly count: number;
  /** Volts across each terminal with nothing drawn; per volt of the source at a frequency. */
  readonly open: Float64Array;
  /** [r * count + p]: volts that terminal r loses per ampere drawn at terminal p. */
  readonly impedance: Float64Array;
}

/** All devices taken out; "unknown-name" for a net or source that is not there, "singular" when the network has no answer. */
export function seeNetwork(
  circuit: CompiledCircuit,
  terminals: readonly Terminal[],
  at: "dc" | { readonly source: string; readonly hertz: Hertz },
): Result<NetworkSeen, SolveFailure> {
  const pairs: { readonly plus: number; readonly minus: number }[] = [];
  for (const { plus, minus } of terminals) {
    const a = circuit.map.index.get(plus);
    const b = circuit.map.index.get(minus);
    if (a === undefined || b === undefined) return fail({ kind: "unknown-name", name: a === undefined ? plus : minus });
    pairs.push({ plus: a, minus: b });
  }
  const network = openNetwork(circuit);
  const radians = at === "dc" ? 0 : 2 * Math.PI * at.hertz;
  if (!factorAt(network, radians)) return fail({ kind: "singular", net: circuit.map.nets[1] ?? "0" });
  const { n } = circuit.program;
  const real = new Float64Array(n);
  const imaginary = new Float64Array(n);
  const driving = at === "dc" ? -1 : circuit.sources.findIndex((one) => one.id === at.source && one.kind === "ac");
  if (at !== "dc" && driving < 0) return fail({ kind: "unknown-name", name: at.source });
  const sourceVolts = (s: number): number => (at === "dc" ? (circuit.sources[s]?.volts ?? 0) : s === driving ? 1 : 0);
  for (const s of circuit.sources.keys())
    if (sourceVolts(s) !== 0) addSource(network, s, sourceVolts(s), radians, real, imaginary);
  if (at === "dc") for (const sink of circuit.sinks) addCurrent(network, sink.from, sink.to, sink.amps, real);
  solveInPlace(network, real, imaginary);
  const across = (of: (s: number) => number) => (pair: { plus: number; minus: number }) =>
    netVolts(circuit, pair.plus, real, of) - netVolts(circuit, pair.minus, real, of);
  const open = Float64Array.from(pairs, across(sourceVolts));
  const count = pairs.length;
  const impedance = new Float64Array(count * count);
  const response = across(() => 0);
  for (const [p, { plus, minus }] of pairs.entries()) {
    real.fill(0);
    imaginary.fill(0);
    addCurrent(network, plus, minus, 1, real);
    solveInPlace(network, real, imaginary);
    for (const [r, pair] of pairs.entries()) impedance[r * count + p] = -response(pair);
  }
  return ok({ count, open, impedance });
}

export interface TerminalEdit {
  readonly terminal: number;
  /** Added between the terminal's nets. */
  readonly siemens: number;
  /** Added current that a source delivers there. */
  readonly amps: number;
}

/**
 * The network with conductances and source currents added at terminals, as the first `keep` terminals (all, if not given)
 * see it; undefined where that has no answer.
 */
export function editSeen(
  seen: NetworkSeen,
  edits: readonly TerminalEdit[],
  keep: number = seen.count,
): NetworkSeen | undefined {
  const E = edits.length;
  const { count, open, impedance } = seen;
  // (1 + dG Z_EE) i_E = dG (open_E - Z_E i) - dI: what the additions draw, as a constant and per ampere of every terminal.
  const matrix = new Float64Array(E * E);
  const pivots = new Int32Array(E);
  const at = Int32Array.from(edits, (edit) => edit.terminal);
  for (const [e, { terminal, siemens }] of edits.entries())
    for (let f = 0; f < E; f++)
      matrix[e * E + f] = siemens * (impedance[terminal * count + (at[f] as number)] as number) + (e === f ? 1 : 0);
  if (E > 0 && !luFactor(matrix, E, pivots)) return undefined;
  const drawn = new Float64Array(E);
  const newOpen = open.slice(0, keep);
  const newImpedance = new Float64Array(keep * keep);
  // Column `keep` is the open volts, with the source currents added.
  for (let p = 0; p <= keep; p++) {
    for (let e = 0; e < E; e++) {
      const edit = edits[e] as TerminalEdit;
      const row = edit.terminal;
      drawn[e] =
        p === keep
          ? edit.siemens * (open[row] as number) - edit.amps
          : edit.siemens * (impedance[row * count + p] as number);
    }
    if (E > 0) luSolve(matrix, E, pivots, drawn);
    for (let r = 0; r < keep; r++) {
      let lost = 0;
      for (let e = 0; e < E; e++) lost += (impedance[r * count + (at[e] as number)] as number) * (drawn[e] as number);
      if (p === keep) newOpen[r] = (newOpen[r] as number) - lost;
      else newImpedance[r * keep + p] = (impedance[r * count + p] as number) - lost;
    }
  }
  return { count: keep, open: newOpen, impedance: newImpedance };
}
