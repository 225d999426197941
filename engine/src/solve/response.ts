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
import { addCurrent, addSource, factorAt, netVolts, openNetwork, SLOPES, solveInPlace } from "./network.ts";

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

/** Opens the response from an ac source's e.m.f. to a net for one frequency after another (for searches). */
export function openResponse(circuit: CompiledCircuit, bias: Bias, ask: ResponseAsk): Result<ResponseAt, SolveFailure> {
  const source = circuit.sources.findIndex((s) => s.id === ask.source && s.kind === "ac");
  if (source < 0) return fail({ kind: "unknown-name", name: ask.source });
  const plus = circuit.map.index.get(ask.output);
  const minus = circuit.map.index.get(ask.against ?? "0");
  if (plus === undefined) return fail({ kind: "unknown-name", name: ask.output });
  if (minus === undefined) return fail({ kind: "unknown-name", name: ask.against ?? "0" });
  const network = linearNetwork(circuit, bias);
  const bRe = new Float64Array(circuit.program.n);
  const bIm = new Float64Array(circuit.program.n);
  const driven = (s: number) => (s === source ? 1 : 0);
  const nothing = () => 0;
  return ok((hertz) => {
    const omega = 2 * Math.PI * hertz;
    if (!factorAt(network, omega)) return fail({ kind: "singular", net: ask.output });
    bRe.fill(0);
    bIm.fill(0);
    addSource(network, source, 1, omega, bRe, bIm);
    solveInPlace(network, bRe, bIm);
    return ok({
      re: netVolts(circuit, plus, bRe, driven) - netVolts(circuit, minus, bRe, driven),
      im: netVolts(circuit, plus, bIm, nothing) - netVolts(circuit, minus, bIm, nothing),
    });
  });
}

/** Transfer from an ac source's e.m.f. to a net (against another net, ground when not given). */
export function solveResponse(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: ResponseAsk & { readonly hertz: readonly Hertz[] },
): Result<Response, SolveFailure> {
  const at = openResponse(circuit, bias, ask);
  if (!at.ok) return at;
  const transfer: Complex[] = [];
  for (const hertz of ask.hertz) {
    const here = at.value(hertz);
    if (!here.ok) return here;
    transfer.push(here.value);
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
