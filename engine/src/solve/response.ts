/**
 * Small-signal response and impedance of a biased circuit at any frequency.
 *
 * Law     Y(w) v = J with every tube and diode stamped as its slopes at bias and its capacitances; Miller's effect is
 *         not added, it falls out.
 * Method  One sparse complex factoring per frequency; every output read from the same solution.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import type { Hertz } from "../units/quantities.ts";
import type { Bias, Complex, Response, SolveFailure } from "./answers.ts";
import {
  addCurrent,
  addSource,
  factorAt,
  firstStep,
  type Network,
  netVolts,
  openNetwork,
  SLOPES,
  signOf,
  solveInPlace,
} from "./network.ts";

function linearNetwork(circuit: CompiledCircuit, bias: Bias) {
  return openNetwork(
    circuit,
    circuit.devices.map((device, i) => ({ device, slopes: bias.slopes.subarray(SLOPES * i, SLOPES * i + SLOPES) })),
  );
}

export interface ResponseAsk {
  readonly source: string;
  readonly output: Net;
  readonly against?: Net;
}

/** Transfer at one frequency; "singular" when there is none. One caller: work memory is shared between calls. */
export type ResponseAt = (hertz: Hertz) => Result<Complex, SolveFailure>;

/** What one source, output and bias need at every frequency. */
interface Transfer {
  readonly network: Network;
  readonly source: number;
  /** Unknowns of the output and of what it is read against (-1: known), and what the source adds to them directly. */
  readonly plus: number;
  readonly minus: number;
  readonly direct: number;
  /** Step of the program from which on the unknowns matter. */
  readonly from: number;
  readonly bRe: Float64Array;
  readonly bIm: Float64Array;
}

function openTransfer(circuit: CompiledCircuit, bias: Bias, ask: ResponseAsk): Result<Transfer, SolveFailure> {
  const source = circuit.sources.findIndex((s) => s.id === ask.source && s.kind === "ac");
  if (source < 0) return fail({ kind: "unknown-name", name: ask.source });
  const plus = circuit.map.index.get(ask.output);
  const minus = circuit.map.index.get(ask.against ?? "0");
  if (plus === undefined) return fail({ kind: "unknown-name", name: ask.output });
  if (minus === undefined) return fail({ kind: "unknown-name", name: ask.against ?? "0" });
  const unknowns = [circuit.map.node[plus] as number, circuit.map.node[minus] as number] as const;
  return ok({
    network: linearNetwork(circuit, bias),
    source,
    plus: unknowns[0],
    minus: unknowns[1],
    from: firstStep(circuit, unknowns),
    direct: signOf(circuit, plus, source) - signOf(circuit, minus, source),
    bRe: new Float64Array(circuit.program.n),
    bIm: new Float64Array(circuit.program.n),
  });
}

/** undefined: singular there. */
function transferAt(transfer: Transfer, hertz: number): Complex | undefined {
  const { network, source, plus, minus, direct, from, bRe, bIm } = transfer;
  const omega = 2 * Math.PI * hertz;
  if (!factorAt(network, omega)) return undefined;
  for (let i = 0; i < bRe.length; i++) bRe[i] = bIm[i] = 0;
  addSource(network, source, 1, omega, bRe, bIm);
  solveInPlace(network, bRe, bIm, from);
  let re = direct;
  let im = 0;
  if (plus >= 0) {
    re += bRe[plus] as number;
    im += bIm[plus] as number;
  }
  if (minus >= 0) {
    re -= bRe[minus] as number;
    im -= bIm[minus] as number;
  }
  return { re, im };
}

/** Opens the response from an ac source's e.m.f. to a net for one frequency after another (for searches). */
export function openResponse(circuit: CompiledCircuit, bias: Bias, ask: ResponseAsk): Result<ResponseAt, SolveFailure> {
  const transfer = openTransfer(circuit, bias, ask);
  if (!transfer.ok) return transfer;
  return ok((hertz) => {
    const here = transferAt(transfer.value, hertz);
    return here === undefined ? fail({ kind: "singular", net: ask.output }) : ok(here);
  });
}

/** Transfer from an ac source's e.m.f. to a net (against another net, ground when not given). */
export function solveResponse(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: ResponseAsk & { readonly hertz: readonly Hertz[] },
): Result<Response, SolveFailure> {
  const opened = openTransfer(circuit, bias, ask);
  if (!opened.ok) return opened;
  const transfer: Complex[] = [];
  for (const hertz of ask.hertz) {
    const here = transferAt(opened.value, hertz);
    if (here === undefined) return fail({ kind: "singular", net: ask.output });
    transfer.push(here);
  }
  return ok({ hertz: ask.hertz, transfer });
}

/** Complex impedance looking into a net against ground, all sources at rest: volts for one ampere pushed in. */
export function solveImpedance(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: { readonly net: Net; readonly hertz: readonly Hertz[] },
): Result<readonly Complex[], SolveFailure> {
  const at = circuit.map.index.get(ask.net);
  if (at === undefined) return fail({ kind: "unknown-name", name: ask.net });
  const network = linearNetwork(circuit, bias);
  const bRe = new Float64Array(circuit.program.n);
  const bIm = new Float64Array(circuit.program.n);
  const nothing = () => 0;
  const impedances: Complex[] = [];
  for (const hertz of ask.hertz) {
    if (!factorAt(network, 2 * Math.PI * hertz)) return fail({ kind: "singular", net: ask.net });
    bRe.fill(0);
    bIm.fill(0);
    addCurrent(network, at, 0, -1, bRe);
    solveInPlace(network, bRe, bIm);
    impedances.push({ re: netVolts(circuit, at, bRe, nothing), im: netVolts(circuit, at, bIm, nothing) });
  }
  return ok(impedances);
}

/** Magnitude of a complex number. */
export const magnitude = (z: Complex): number => Math.hypot(z.re, z.im);
