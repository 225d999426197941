/**
 * From everywhere to one output: transfer impedance of a current pushed into any net, and transfer of every source, by
 * one transposed solve per frequency.
 *
 * Law     Y(w) v = J with every tube and diode as its slopes at bias. The output is c^T v, so it is w^T J with
 *         Y^T w = c: w at a net is the output's volts per ampere pushed into that net out of ground.
 * Method  One sparse factoring and one transposed solve per frequency, whatever the number of injections.
 * Limits  Small signals. Nets that ideal sources hold do not move: their transfer impedance is zero.
 * Sources Director and Rohrer, The generalized adjoint network and network sensitivities, IEEE Trans. CT-16, 1969
 *         (memory); checked against `solveResponse` and `solveImpedance`, which share no solve with it.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { assert, fail, ok, type Result } from "../result.ts";
import type { Hertz } from "../units/quantities.ts";
import { sparseSolveTransposed } from "./adjoint-solve.ts";
import type { Bias, Complex, Effort, SolveFailure } from "./answers.ts";
import { addSource, factorAt, type Network, openNetwork, SLOPES } from "./network.ts";

export interface Adjoint {
  readonly output: Net;
  readonly against: Net;
  readonly hertz: readonly Hertz[];
  /** Every net of the circuit, in the order of the columns. */
  readonly nets: readonly Net[];
  readonly netIndex: ReadonlyMap<Net, number>;
  /** [k * nets.length + net]: volts at the output per ampere pushed into the net out of ground. */
  readonly ohmsReal: Float64Array;
  readonly ohmsImaginary: Float64Array;
  /** Ids of every source, dc and ac, in the order of the columns. */
  readonly sources: readonly string[];
  /** [k * sources.length + s]: volts at the output per volt added to the source's e.m.f. */
  readonly transferReal: Float64Array;
  readonly transferImaginary: Float64Array;
  readonly effort: Effort;
}

export interface AdjointAsk {
  readonly output: Net;
  /** The net the output is read against; ground when not given. */
  readonly against?: Net;
  readonly hertz: readonly Hertz[];
}

/** Work memory of one output; `adjointAt` moves it to a frequency. */
export interface OpenAdjoint {
  readonly network: Network;
  readonly plus: number;
  readonly minus: number;
  /** w by unknown. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly bRe: Float64Array;
  readonly bIm: Float64Array;
}

/** Opens a circuit for one output; "unknown-name" when a net does not exist. */
export function openAdjoint(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: { readonly output: Net; readonly against?: Net },
): Result<OpenAdjoint, SolveFailure> {
  const against = ask.against ?? "0";
  const plus = circuit.map.index.get(ask.output);
  const minus = circuit.map.index.get(against);
  if (plus === undefined) return fail({ kind: "unknown-name", name: ask.output });
  if (minus === undefined) return fail({ kind: "unknown-name", name: against });
  const network = openNetwork(
    circuit,
    circuit.devices.map((device, i) => ({ device, slopes: bias.slopes.subarray(SLOPES * i, SLOPES * i + SLOPES) })),
  );
  const column = () => new Float64Array(circuit.program.n);
  return ok({ network, plus, minus, re: column(), im: column(), bRe: column(), bIm: column() });
}

/** Solves w at one frequency. False: no unique solution there. */
export function adjointAt(open: OpenAdjoint, radiansPerSecond: number): boolean {
  const { network, re, im } = open;
  const { program, map } = network.circuit;
  if (!factorAt(network, radiansPerSecond)) return false;
  re.fill(0);
  im.fill(0);
  for (const [net, sign] of [
    [open.plus, 1],
    [open.minus, -1],
  ] as const) {
    const node = map.node[net] as number;
    if (node >= 0) re[node] = (re[node] as number) + sign;
  }
  sparseSolveTransposed(program, network.re, network.im, network.inverseRe, network.inverseIm, re, im);
  return true;
}

/** Output volts per volt of a source's e.m.f., at the frequency `adjointAt` was last asked for. */
export function sourceTransferAt(open: OpenAdjoint, source: number, radiansPerSecond: number): Complex {
  const { network, re, im, bRe, bIm, plus, minus } = open;
  const { offsets } = network.circuit.map;
  const held = (net: number) => (offsets[net] ?? []).find((offset) => offset.source === source)?.sign ?? 0;
  bRe.fill(0);
  bIm.fill(0);
  addSource(network, source, 1, radiansPerSecond, bRe, bIm);
  let sumRe = held(plus) - held(minus);
  let sumIm = 0;
  for (let i = 0; i < re.length; i++) {
    const wr = re[i] as number;
    const wi = im[i] as number;
    const jr = bRe[i] as number;
    const ji = bIm[i] as number;
    sumRe += wr * jr - wi * ji;
    sumIm += wr * ji + wi * jr;
  }
  return { re: sumRe, im: sumIm };
}

/**
 * Transfer impedance from every net and transfer from every source to one output, at each frequency asked for.
 * Failures: "unknown-name", "singular".
 */
export function solveAdjoint(circuit: CompiledCircuit, bias: Bias, ask: AdjointAsk): Result<Adjoint, SolveFailure> {
  const opened = openAdjoint(circuit, bias, ask);
  if (!opened.ok) return opened;
  const open = opened.value;
  const { nets, index, node } = circuit.map;
  const N = nets.length;
  const S = circuit.sources.length;
  const K = ask.hertz.length;
  const answer: Adjoint = {
    output: ask.output,
    against: ask.against ?? "0",
    hertz: ask.hertz,
    nets,
    netIndex: index,
    ohmsReal: new Float64Array(K * N),
    ohmsImaginary: new Float64Array(K * N),
    sources: circuit.sources.map((source) => source.id),
    transferReal: new Float64Array(K * S),
    transferImaginary: new Float64Array(K * S),
    effort: { steps: 0, factorings: K, lawCalls: 0, residual: 0 },
  };
  for (const [k, hertz] of ask.hertz.entries()) {
    const omega = 2 * Math.PI * hertz;
    if (!adjointAt(open, omega)) return fail({ kind: "singular", net: ask.output });
    for (let net = 0; net < N; net++) {
      const at = node[net] as number;
      if (at < 0) continue;
      answer.ohmsReal[k * N + net] = open.re[at] as number;
      answer.ohmsImaginary[k * N + net] = open.im[at] as number;
    }
    for (let s = 0; s < S; s++) {
      const transfer = sourceTransferAt(open, s, omega);
      answer.transferReal[k * S + s] = transfer.re;
      answer.transferImaginary[k * S + s] = transfer.im;
    }
  }
  return ok(answer);
}

/**
 * Volts at the output per ampere that a current takes out of net `from` and pushes into net `to`, at the answer's k-th
 * frequency. The nets must be of the circuit that was solved.
 */
export function injection(answer: Adjoint, k: number, from: Net, to: Net): Complex {
  const a = answer.netIndex.get(from);
  const b = answer.netIndex.get(to);
  assert(a !== undefined && b !== undefined, `injection: net ${a === undefined ? from : to} is not in the circuit`);
  assert(k >= 0 && k < answer.hertz.length, `injection: frequency ${k} of ${answer.hertz.length}`);
  const at = k * answer.nets.length;
  return {
    re: (answer.ohmsReal[at + b] as number) - (answer.ohmsReal[at + a] as number),
    im: (answer.ohmsImaginary[at + b] as number) - (answer.ohmsImaginary[at + a] as number),
  };
}

/** Volts at the output per volt added to the e.m.f. of a source (dc or ac) of the circuit that was solved. */
export function sourceTransfer(answer: Adjoint, k: number, source: string): Complex {
  const s = answer.sources.indexOf(source);
  assert(s >= 0, `sourceTransfer: source ${source} is not in the circuit`);
  assert(k >= 0 && k < answer.hertz.length, `sourceTransfer: frequency ${k} of ${answer.hertz.length}`);
  const at = k * answer.sources.length + s;
  return { re: answer.transferReal[at] as number, im: answer.transferImaginary[at] as number };
}
