/**
 * The linear network of a compiled circuit at one frequency: assemble, factor, solve for several right-hand sides.
 *
 * Law     Y(w) v = J with ideal sources moved to the right: an element y between nets a and b whose nets carry the
 *         offsets of source s injects -y d at a and +y d at b, d = sign_a(s) - sign_b(s).
 * Tubes   A device may be stamped as its slopes at bias ("linear"); otherwise its current is a right-hand side: one
 *         ampere into the device, out of the network at plate (grid, anode), back in at the cathode.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import { sparseFactor, sparseFactorReal, sparseSolve } from "../numerics/sparse-lu.ts";

/** Slopes of a device at bias: triode [dia/dvg, dia/dva, dig/dvg, dig/dva], diode [di/dv, 0, 0, 0]. */
export const SLOPES = 4;

/** What one volt of a source injects: at each of `nodes`, siemens + jw farads; through inductors by (element, d). */
interface Drive {
  readonly nodes: Int32Array;
  readonly siemens: Float64Array;
  readonly farads: Float64Array;
  readonly inductors: readonly (readonly [number, number])[];
}

/** Work memory and source lists of one circuit; made per solve, shared with nobody. */
export interface Network {
  readonly circuit: CompiledCircuit;
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly inverseRe: Float64Array;
  readonly inverseIm: Float64Array;
  /** What of Y does not change with frequency: conductances with slopes, and capacitances, by slot. */
  readonly siemens: Float64Array;
  readonly farads: Float64Array;
  /** Elements whose admittance is neither: inductors, by index. */
  readonly inductors: readonly number[];
  /** Devices stamped as slopes, with their slopes. */
  readonly linear: readonly { readonly device: Device; readonly slopes: Float64Array }[];
  /** By source, made when first asked for. */
  readonly drives: (Drive | undefined)[];
}

export function openNetwork(
  circuit: CompiledCircuit,
  linear: readonly { readonly device: Device; readonly slopes: Float64Array }[] = [],
): Network {
  const { program } = circuit;
  const inductors: number[] = [];
  const network: Network = {
    circuit,
    re: new Float64Array(program.slots),
    im: new Float64Array(program.slots),
    inverseRe: new Float64Array(program.n),
    inverseIm: new Float64Array(program.n),
    siemens: new Float64Array(program.slots),
    farads: new Float64Array(program.slots),
    inductors,
    linear,
    drives: [],
  };
  stampElements(circuit, network.siemens, network.farads, inductors);
  for (const { device, slopes } of linear) stampSlopes(network, device, slopes);
  return network;
}

/** Conductances and capacitances by slot; inductors are listed, not stamped. */
function stampElements(
  circuit: CompiledCircuit,
  siemens: Float64Array,
  farads: Float64Array,
  inductors: number[],
): void {
  const { elements } = circuit;
  for (let i = 0; i < elements.length; i++) {
    const e = elements[i] as (typeof elements)[number];
    if (e.ohms > 0) inductors.push(i);
    else if (e.siemens !== 0) {
      stampElement(circuit, i, siemens, e.siemens);
      if (e.farads !== 0) stampElement(circuit, i, farads, e.farads);
    } else stampElement(circuit, i, farads, e.farads);
  }
}

/** The real matrix of dc, factored in `a` (one entry per slot, zero before). False: singular. */
export function factorDc(circuit: CompiledCircuit, a: Float64Array, inverse: Float64Array): boolean {
  const { elements } = circuit;
  for (let i = 0; i < elements.length; i++) {
    const e = elements[i] as (typeof elements)[number];
    const siemens = dcSiemens(e);
    if (siemens !== 0) stampElement(circuit, i, a, siemens);
  }
  return sparseFactorReal(circuit.program, a, inverse);
}

/** What every dc source and sink of the circuit injects, added into b. */
export function addDcSources(circuit: CompiledCircuit, b: Float64Array): void {
  const { sources, sinks, elements, map } = circuit;
  const { node } = map;
  for (let s = 0; s < sources.length; s++) {
    const source = sources[s] as (typeof sources)[number];
    if (source.volts === 0) continue;
    if (!source.ideal) {
      const amps = source.volts * source.siemens;
      inject(node, map.index.get(source.plus) as number, amps, b);
      inject(node, map.index.get(source.minus) as number, -amps, b);
      continue;
    }
    for (let i = 0; i < elements.length; i++) {
      const e = elements[i] as (typeof elements)[number];
      const d = signOf(circuit, e.a, s) - signOf(circuit, e.b, s);
      if (d === 0) continue;
      const amps = dcSiemens(e) * d * source.volts;
      inject(node, e.a, -amps, b);
      inject(node, e.b, amps, b);
    }
  }
  for (const sink of sinks) {
    inject(node, sink.from, -sink.amps, b);
    inject(node, sink.to, sink.amps, b);
  }
}

function dcSiemens(e: { readonly siemens: number; readonly ohms: number }): number {
  return e.ohms > 0 ? 1 / e.ohms : e.siemens;
}

function inject(node: Int32Array, net: number, amps: number, b: Float64Array): void {
  const at = node[net] as number;
  if (at >= 0) b[at] = (b[at] as number) + amps;
}

/** Sign with which an ideal source stands in the volts of a net; 0 when it does not. */
export function signOf(circuit: CompiledCircuit, net: number, source: number): number {
  const offsets = circuit.map.offsets[net];
  if (offsets === undefined) return 0;
  for (let i = 0; i < offsets.length; i++) {
    const offset = offsets[i] as (typeof offsets)[number];
    if (offset.source === source) return offset.sign;
  }
  return 0;
}

/** Adds y to an element's four slots. */
function stampElement(circuit: CompiledCircuit, element: number, into: Float64Array, y: number): void {
  const { elementSlots } = circuit;
  for (let corner = 0; corner < 4; corner++) {
    const slot = elementSlots[4 * element + corner] as number;
    if (slot >= 0) into[slot] = (into[slot] as number) + (corner < 2 ? y : -y);
  }
}

/** Assembles Y(w) and factors it. False: a net without a finite, non-zero pivot (reported as singular by callers). */
export function factorAt(network: Network, radiansPerSecond: number): boolean {
  const { circuit, re, im, farads, siemens } = network;
  for (let slot = 0; slot < im.length; slot++) {
    re[slot] = siemens[slot] as number;
    im[slot] = radiansPerSecond * (farads[slot] as number);
  }
  for (const i of network.inductors) {
    const e = circuit.elements[i] as (typeof circuit.elements)[number];
    const x = radiansPerSecond * e.henries;
    const size = e.ohms * e.ohms + x * x;
    stampElement(circuit, i, re, e.ohms / size);
    stampElement(circuit, i, im, -x / size);
  }
  return sparseFactor(circuit.program, re, im, network.inverseRe, network.inverseIm);
}

/** Adds the slopes of a device: a current that leaves the network at `out` and returns at `back`, driven by p - q. */
function stampSlopes(network: Network, device: Device, slopes: Float64Array): void {
  if (device.kind === "diode") {
    stamp(network, device.anode, device.cathode, device.anode, device.cathode, slopes[0] as number);
    return;
  }
  const { plate, grid, cathode } = device;
  stamp(network, plate, cathode, grid, cathode, slopes[0] as number);
  stamp(network, plate, cathode, plate, cathode, slopes[1] as number);
  stamp(network, grid, cathode, grid, cathode, slopes[2] as number);
  stamp(network, grid, cathode, plate, cathode, slopes[3] as number);
}

function stamp(network: Network, out: number, back: number, plus: number, minus: number, siemens: number): void {
  if (siemens === 0) return;
  const { program, map } = network.circuit;
  const add = (row: number, column: number, amount: number) => {
    const r = map.node[row] as number;
    const c = map.node[column] as number;
    if (r < 0 || c < 0) return;
    const slot = program.slot(r, c);
    network.siemens[slot] = (network.siemens[slot] as number) + amount;
  };
  add(out, plus, siemens);
  add(out, minus, -siemens);
  add(back, plus, -siemens);
  add(back, minus, siemens);
}

/** Right-hand side of one volt (times `volts`) of a source at this frequency, added into (bRe, bIm). */
export function addSource(
  network: Network,
  source: number,
  volts: number,
  radiansPerSecond: number,
  bRe: Float64Array,
  bIm: Float64Array,
): void {
  const drive = network.drives[source] ?? (network.drives[source] = driveOf(network, source));
  const { nodes, siemens, farads } = drive;
  for (let i = 0; i < nodes.length; i++) {
    const at = nodes[i] as number;
    bRe[at] = (bRe[at] as number) + volts * (siemens[at] as number);
    bIm[at] = (bIm[at] as number) + volts * radiansPerSecond * (farads[at] as number);
  }
  if (drive.inductors.length === 0) return;
  const { elements, map } = network.circuit;
  for (const [i, d] of drive.inductors) {
    const e = elements[i] as (typeof elements)[number];
    const x = radiansPerSecond * e.henries;
    const scale = (d * volts) / (e.ohms * e.ohms + x * x);
    inject(map.node, e.a, -scale * e.ohms, bRe);
    inject(map.node, e.b, scale * e.ohms, bRe);
    inject(map.node, e.a, scale * x, bIm);
    inject(map.node, e.b, -scale * x, bIm);
  }
}

function driveOf(network: Network, source: number): Drive {
  const { circuit, linear } = network;
  const { map, elements, program } = circuit;
  const { node } = map;
  const siemens = new Float64Array(program.n);
  const farads = new Float64Array(program.n);
  const inductors: (readonly [number, number])[] = [];
  const s = circuit.sources[source] as (typeof circuit.sources)[number];
  if (!s.ideal) {
    inject(node, map.index.get(s.plus) as number, s.siemens, siemens);
    inject(node, map.index.get(s.minus) as number, -s.siemens, siemens);
    return { nodes: driven(siemens, farads), siemens, farads, inductors };
  }
  for (let i = 0; i < elements.length; i++) {
    const e = elements[i] as (typeof elements)[number];
    const d = signOf(circuit, e.a, source) - signOf(circuit, e.b, source);
    if (d === 0) continue;
    if (e.ohms > 0) {
      inductors.push([i, d]);
      continue;
    }
    inject(node, e.a, -e.siemens * d, siemens);
    inject(node, e.b, e.siemens * d, siemens);
    inject(node, e.a, -e.farads * d, farads);
    inject(node, e.b, e.farads * d, farads);
  }
  // A linear tube whose grid (or plate) hangs on the source: its slopes see the source directly.
  for (const { device, slopes } of linear) {
    if (device.kind === "diode") {
      const d = signOf(circuit, device.anode, source) - signOf(circuit, device.cathode, source);
      inject(node, device.anode, -(slopes[0] as number) * d, siemens);
      inject(node, device.cathode, (slopes[0] as number) * d, siemens);
      continue;
    }
    const atCathode = signOf(circuit, device.cathode, source);
    const dg = signOf(circuit, device.grid, source) - atCathode;
    const da = signOf(circuit, device.plate, source) - atCathode;
    if (dg === 0 && da === 0) continue;
    const ia = (slopes[0] as number) * dg + (slopes[1] as number) * da;
    const ig = (slopes[2] as number) * dg + (slopes[3] as number) * da;
    inject(node, device.plate, -ia, siemens);
    inject(node, device.grid, -ig, siemens);
    inject(node, device.cathode, ia + ig, siemens);
  }
  return { nodes: driven(siemens, farads), siemens, farads, inductors };
}

function driven(siemens: Float64Array, farads: Float64Array): Int32Array {
  const nodes: number[] = [];
  for (let i = 0; i < siemens.length; i++) if (siemens[i] !== 0 || farads[i] !== 0) nodes.push(i);
  return Int32Array.from(nodes);
}

/** One ampere that leaves the network at net `out` and returns at net `back` (times `amps`), added into bRe. */
export function addCurrent(network: Network, out: number, back: number, amps: number, bRe: Float64Array): void {
  const { node } = network.circuit.map;
  inject(node, out, -amps, bRe);
  inject(node, back, amps, bRe);
}

/** Solves for one right-hand side; unknowns eliminated before step `from` of the program are left unsolved. */
export function solveInPlace(network: Network, bRe: Float64Array, bIm: Float64Array, from = 0): void {
  const { circuit, re, im, inverseRe, inverseIm } = network;
  sparseSolve(circuit.program, re, im, inverseRe, inverseIm, bRe, bIm, 0, from);
}

/** The first step of the program at which one of these unknowns (-1: known) is eliminated. */
export function firstStep(circuit: CompiledCircuit, unknowns: readonly number[]): number {
  const { n, order } = circuit.program;
  let k = 0;
  while (k < n && !unknowns.includes(order[k] as number)) k++;
  return k;
}

/** Volts of a net from the solution vector of one right-hand side; `volts(source)` gives each ideal source's value. */
export function netVolts(
  circuit: CompiledCircuit,
  net: number,
  x: Float64Array,
  sourceVolts: (source: number) => number,
): number {
  const node = circuit.map.node[net] as number;
  let v = node >= 0 ? (x[node] as number) : 0;
  for (const { source, sign } of circuit.map.offsets[net] ?? []) v += sign * sourceVolts(source);
  return v;
}

/** The same for the sources' own dc volts. */
export function dcVolts(circuit: CompiledCircuit, net: number, x: Float64Array, at = 0): number {
  const { map, sources } = circuit;
  const node = map.node[net] as number;
  let v = node >= 0 ? (x[at + node] as number) : 0;
  const offsets = map.offsets[net];
  if (offsets === undefined) return v;
  for (let i = 0; i < offsets.length; i++) {
    const { source, sign } = offsets[i] as (typeof offsets)[number];
    v += sign * (sources[source]?.volts ?? 0);
  }
  return v;
}

/** The current ports of the devices: triode: plate and grid, back at the cathode; diode: anode. */
export function portsOf(devices: readonly Device[]): readonly { readonly out: number; readonly back: number }[] {
  return devices.flatMap((device) =>
    device.kind === "triode"
      ? [
          { out: device.plate, back: device.cathode },
          { out: device.grid, back: device.cathode },
        ]
      : [{ out: device.anode, back: device.cathode }],
  );
}

/** The control voltages of the devices: triode: grid-cathode, plate-cathode; diode: anode-cathode. */
export function controlsOf(devices: readonly Device[]): readonly { readonly plus: number; readonly minus: number }[] {
  return devices.flatMap((device) =>
    device.kind === "triode"
      ? [
          { plus: device.grid, minus: device.cathode },
          { plus: device.plate, minus: device.cathode },
        ]
      : [{ plus: device.anode, minus: device.cathode }],
  );
}
