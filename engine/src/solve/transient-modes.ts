/**
 * The linear network of a transient solve as independent modes.
 *
 * Law     d/dt (C x + Cs e) + G x + Gs e + device currents = sinks, x the node volts and e the volts of the ideal sources.
 *         With x = U a, U'(G + s C) U = 1 and U'C U = diag(c): c_m y_m' = s_m(t) - g_m y_m - u_m . i, where
 *         y = a + (U'Cs / c) e is the charge of a mode over its capacitance, so that no source is ever differentiated.
 *         A mode with c = 0 is algebraic. Inductors, tubes and diodes are ports (transient-ports.ts).
 * Method  Cholesky of G + s C, cyclic Jacobi on L^-1 C L^-T (small values keep their relative accuracy), c and g as sums
 *         of squares. The shift s lets nets without a resistor pass; a group of nets that hangs on tubes, diodes or
 *         inductors alone gets a companion conductance across such a part, which the part's own law then gives back.
 * Limits  Dense: about 10 n^3 operations; meant for n up to a hundred nets.
 * Sources Simultaneous diagonalisation: Golub and Van Loan, ch. 8 (from memory); docs/transient.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import { fail, ok, type Result } from "../result.ts";

/** Shift s in 1/s: between the rates of coupling capacitors and of supplies. */
const SHIFT = 100;
/** Below this share of the largest possible s c a mode is algebraic: under 1e-15 s in an ordinary network. */
const ALGEBRAIC = 1e-13;
/** Given across a port that alone holds a group of nets. */
const COMPANION_SIEMENS = 1e-4;
/** Share of a companion that the port's law gives back: what stays, 0.1 nS, holds a net whose only diode is shut. */
const GIVEN_BACK = 1 - 1e-6;

export interface Modes {
  readonly circuit: CompiledCircuit;
  readonly n: number;
  /** U, row-major: node by mode. */
  readonly shape: Float64Array;
  /** U'(G + sC), row-major: mode by node; takes node volts to modes. */
  readonly inverse: Float64Array;
  /** c_m in farads and g_m in siemens of the scaled modes; c is exactly 0 for algebraic ones. */
  readonly farads: Float64Array;
  readonly siemens: Float64Array;
  /** Per source s (all of them): what one volt of it drives, [s n + m], and its share of the mode's charge (U'Cs / c). */
  readonly drive: Float64Array;
  readonly charge: Float64Array;
  /** Modes driven by the current sinks. */
  readonly sinks: Float64Array;
  /** Siemens put across each span that its law has to give back. */
  readonly companions: readonly number[];
}

/** A two-terminal place where a port may hold nets together, by net index. */
export interface Span {
  readonly plus: number;
  readonly minus: number;
}

/** Builds the modes; `spans` are the ports, in order, whose companions are answered as siemens per span. */
export function openModes(
  circuit: CompiledCircuit,
  spans: readonly Span[],
): Result<Modes, { readonly kind: "singular"; readonly net: string }> {
  const { map, elements, sources } = circuit;
  const n = map.nodes;
  const node = (net: number) => map.node[net] as number;
  const G = new Float64Array(n * n);
  const K = new Float64Array(n * n);
  const linear = elements.filter((e) => e.ohms === 0 && node(e.a) !== node(e.b));
  const companions = companionsOf(n, node, linear, spans);
  const pairs = [
    ...linear.map((e) => ({ a: node(e.a), b: node(e.b), siemens: e.siemens, farads: e.farads })),
    ...spans.flatMap((span, i) => {
      const siemens = companions[i] as number;
      return siemens > 0 ? [{ a: node(span.plus), b: node(span.minus), siemens, farads: 0 }] : [];
    }),
  ];
  const add = (matrix: Float64Array, a: number, b: number, amount: number) => {
    if (a >= 0) matrix[a * n + a] = (matrix[a * n + a] as number) + amount;
    if (b >= 0) matrix[b * n + b] = (matrix[b * n + b] as number) + amount;
    if (a >= 0 && b >= 0) {
      matrix[a * n + b] = (matrix[a * n + b] as number) - amount;
      matrix[b * n + a] = (matrix[b * n + a] as number) - amount;
    }
  };
  for (const { a, b, siemens, farads } of pairs) {
    add(G, a, b, siemens);
    add(K, a, b, farads);
  }
  const B = G.map((g, i) => g + SHIFT * (K[i] as number));
  const L = Float64Array.from(B);
  const bad = cholesky(L, n);
  if (bad >= 0) return fail({ kind: "singular", net: netOf(circuit, bad) });
  const M = Float64Array.from(K);
  // M = L^-1 K L^-T.
  for (let column = 0; column < n; column++) forward(L, n, M, column, n);
  for (let row = 0; row < n; row++) forward(L, n, M, row * n, 1);
  const V = jacobi(M, n);
  // U = L^-T V, in place.
  for (let column = 0; column < n; column++) {
    for (let i = n - 1; i >= 0; i--) {
      let value = V[i * n + column] as number;
      for (let k = i + 1; k < n; k++) value -= (L[k * n + i] as number) * (V[k * n + column] as number);
      V[i * n + column] = value / (L[i * n + i] as number);
    }
  }
  const farads = new Float64Array(n);
  const siemens = new Float64Array(n);
  for (let m = 0; m < n; m++) {
    const across = (a: number, b: number) =>
      (a >= 0 ? (V[a * n + m] as number) : 0) - (b >= 0 ? (V[b * n + m] as number) : 0);
    let c = 0;
    let g = 0;
    for (const e of pairs) {
      const d = across(e.a, e.b);
      c += e.farads * d * d;
      g += e.siemens * d * d;
    }
    farads[m] = SHIFT * c < ALGEBRAIC ? 0 : c;
    siemens[m] = g;
  }
  const inverse = new Float64Array(n * n);
  for (let m = 0; m < n; m++)
    for (let i = 0; i < n; i++) {
      let value = 0;
      for (let k = 0; k < n; k++) value += (V[k * n + m] as number) * (B[k * n + i] as number);
      inverse[m * n + i] = value;
    }
  const S = sources.length;
  const drive = new Float64Array(S * n);
  const charge = new Float64Array(S * n);
  const sinks = new Float64Array(n);
  const inject = (into: Float64Array, at: number, net: number, amount: number) => {
    const i = node(net);
    if (i < 0 || amount === 0) return;
    for (let m = 0; m < n; m++) into[at + m] = (into[at + m] as number) + (V[i * n + m] as number) * amount;
  };
  for (const sink of circuit.sinks) {
    inject(sinks, 0, sink.from, -sink.amps);
    inject(sinks, 0, sink.to, sink.amps);
  }
  for (const [s, source] of sources.entries()) {
    if (!source.ideal) {
      inject(drive, s * n, map.index.get(source.plus) as number, source.siemens);
      inject(drive, s * n, map.index.get(source.minus) as number, -source.siemens);
      continue;
    }
    const carried = [
      ...elements.filter((e) => e.ohms === 0),
      ...spans.map((span, i) => ({ a: span.plus, b: span.minus, siemens: companions[i] as number, farads: 0 })),
    ];
    for (const e of carried) {
      const d = offsetSign(circuit, e.a, s) - offsetSign(circuit, e.b, s);
      if (d === 0) continue;
      inject(drive, s * n, e.a, -e.siemens * d);
      inject(drive, s * n, e.b, e.siemens * d);
      inject(charge, s * n, e.a, e.farads * d);
      inject(charge, s * n, e.b, -e.farads * d);
    }
  }
  for (let s = 0; s < S; s++)
    for (let m = 0; m < n; m++) {
      const c = farads[m] as number;
      charge[s * n + m] = c > 0 ? (charge[s * n + m] as number) / c : 0;
    }
  const back = companions.map((siemens) => GIVEN_BACK * siemens);
  return ok({ circuit, n, shape: V, inverse, farads, siemens, drive, charge, sinks, companions: back });
}

/** Sign with which an ideal source stands in the volts of a net. */
export function offsetSign(circuit: CompiledCircuit, net: number, source: number): number {
  return (circuit.map.offsets[net] ?? []).find((offset) => offset.source === source)?.sign ?? 0;
}

function netOf(circuit: CompiledCircuit, node: number): string {
  return circuit.map.nets[circuit.map.node.indexOf(node)] ?? "0";
}

/** Joins nets over resistors and capacitors, then over ports until every group is tied to a known net. */
function companionsOf(
  n: number,
  node: (net: number) => number,
  linear: readonly { readonly a: number; readonly b: number; readonly siemens: number; readonly farads: number }[],
  spans: readonly Span[],
): readonly number[] {
  const parent = Int32Array.from({ length: n + 1 }, (_, i) => i);
  const find = (i: number): number => {
    let at = i;
    while ((parent[at] as number) !== at) at = parent[at] as number;
    return at;
  };
  const join = (a: number, b: number): boolean => {
    const x = find(a < 0 ? n : a);
    const y = find(b < 0 ? n : b);
    if (x === y) return false;
    parent[x] = y;
    return true;
  };
  for (const e of linear) if (e.siemens > 0 || e.farads > 0) join(node(e.a), node(e.b));
  return spans.map((span) => (join(node(span.plus), node(span.minus)) ? COMPANION_SIEMENS : 0));
}

/** Lower triangle in place (upper zeroed); answers the index of a pivot that is not positive, or -1. */
function cholesky(a: Float64Array, n: number): number {
  for (let j = 0; j < n; j++) {
    const before = a[j * n + j] as number;
    let d = before;
    for (let k = 0; k < j; k++) d -= (a[j * n + k] as number) ** 2;
    if (!(d > 1e-15 * before)) return j;
    const root = Math.sqrt(d);
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let value = a[i * n + j] as number;
      for (let k = 0; k < j; k++) value -= (a[i * n + k] as number) * (a[j * n + k] as number);
      a[i * n + j] = value / root;
      a[j * n + i] = 0;
    }
  }
  return -1;
}

/** Solves L z = x in place for the vector that begins at `at` with the given stride. */
function forward(L: Float64Array, n: number, x: Float64Array, at: number, stride: number): void {
  for (let i = 0; i < n; i++) {
    let value = x[at + i * stride] as number;
    for (let k = 0; k < i; k++) value -= (L[i * n + k] as number) * (x[at + k * stride] as number);
    x[at + i * stride] = value / (L[i * n + i] as number);
  }
}

/** Eigenvectors (columns) of a symmetric positive semi-definite matrix by cyclic Jacobi; `a` is spoiled. */
function jacobi(a: Float64Array, n: number): Float64Array {
  const v = new Float64Array(n * n);
  for (let i = 0; i < n; i++) v[i * n + i] = 1;
  for (let sweep = 0; sweep < 60; sweep++) {
    let turned = false;
    for (let p = 0; p < n - 1; p++)
      for (let q = p + 1; q < n; q++) {
        const off = a[p * n + q] as number;
        const app = a[p * n + p] as number;
        const aqq = a[q * n + q] as number;
        if (!(Math.abs(off) > 1e-15 * Math.sqrt(Math.abs(app * aqq)) + 1e-22)) continue;
        turned = true;
        const theta = (aqq - app) / (2 * off);
        const t = Math.sign(theta || 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
        const c = 1 / Math.sqrt(t * t + 1);
        const s = t * c;
        for (let k = 0; k < n; k++) {
          const x = a[k * n + p] as number;
          const y = a[k * n + q] as number;
          a[k * n + p] = c * x - s * y;
          a[k * n + q] = s * x + c * y;
        }
        for (let k = 0; k < n; k++) {
          const x = a[p * n + k] as number;
          const y = a[q * n + k] as number;
          a[p * n + k] = c * x - s * y;
          a[q * n + k] = s * x + c * y;
        }
        a[p * n + q] = a[q * n + p] = 0;
        for (let k = 0; k < n; k++) {
          const x = v[k * n + p] as number;
          const y = v[k * n + q] as number;
          v[k * n + p] = c * x - s * y;
          v[k * n + q] = s * x + c * y;
        }
      }
    if (!turned) break;
  }
  return v;
}
