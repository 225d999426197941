/**
 * The linear network of a compiled circuit at one frequency: assemble, factor, solve for several right-hand sides.
 *
 * Law     Y(w) v = J with ideal sources moved to the right: an element y between nets a and b whose nets carry the
 *         offsets of source s injects -y d at a and +y d at b, d = sign_a(s) - sign_b(s).
 * Tubes   A device may be stamped as its slopes at bias ("linear"); otherwise its current is a right-hand side: one
 *         ampere into the device, out of the network at plate (grid, anode), back in at the cathode.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import { sparseFactor, sparseSolve } from "../numerics/sparse-lu.ts";

/** Slopes of a device at bias: triode [dia/dvg, dia/dva, dig/dvg, dig/dva], diode [di/dv, 0, 0, 0]. */
export const SLOPES = 4;

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
  /** Per ideal source: (element, d) pairs. */
  readonly carried: readonly (readonly (readonly [number, number])[])[];
  /** Devices stamped as slopes, with their slopes. */
  readonly linear: readonly { readonly device: Device; readonly slopes: Float64Array }[];
}

export function openNetwork(
  circuit: CompiledCircuit,
  linear: readonly { readonly device: Device; readonly slopes: Float64Array }[] = [],
): Network {
  const { program, map, elements, sources } = circuit;
  const signAt = (net: number, source: number) =>
    (map.offsets[net] ?? []).find((offset) => offset.source === source)?.sign ?? 0;
  const carried = sources.map((source, s) => {
    if (!source.ideal) return [];
    const pairs: (readonly [number, number])[] = [];
    for (const [i, e] of elements.entries()) {
      const d = signAt(e.a, s) - signAt(e.b, s);
      if (d !== 0) pairs.push([i, d]);
    }
    return pairs;
  });
  const network: Network = {
    circuit,
    re: new Float64Array(program.slots),
    im: new Float64Array(program.slots),
    inverseRe: new Float64Array(program.n),
    inverseIm: new Float64Array(program.n),
    siemens: new Float64Array(program.slots),
    farads: new Float64Array(program.slots),
    inductors: elements.flatMap((e, i) => (e.ohms > 0 ? [i] : [])),
    carried,
    linear,
  };
  for (const [i, e] of elements.entries())
    if (e.ohms === 0) stampElement(circuit, i, network.siemens, network.farads, e.siemens, e.farads);
  for (const { device, slopes } of linear) stampSlopes(network, device, slopes);
  return network;
}

/** Adds g to the real and b to the imaginary part of an element's four slots. */
function stampElement(
  circuit: CompiledCircuit,
  element: number,
  re: Float64Array,
  im: Float64Array,
  g: number,
  b: number,
): void {
  const { elementSlots } = circuit;
  for (let corner = 0; corner < 4; corner++) {
    const slot = elementSlots[4 * element + corner] as number;
    if (slot < 0) continue;
    const sign = corner < 2 ? 1 : -1;
    re[slot] = (re[slot] as number) + sign * g;
    im[slot] = (im[slot] as number) + sign * b;
  }
}

/** Assembles Y(w) and factors it. False: a net without a finite, non-zero pivot (reported as singular by callers). */
export function factorAt(network: Network, radiansPerSecond: number): boolean {
  const { circuit, re, im, farads } = network;
  re.set(network.siemens);
  for (let slot = 0; slot < im.length; slot++) im[slot] = radiansPerSecond * (farads[slot] as number);
  for (const i of network.inductors) {
    const e = circuit.elements[i] as (typeof circuit.elements)[number];
    const x = radiansPerSecond * e.henries;
    const size = e.ohms * e.ohms + x * x;
    stampElement(circuit, i, re, im, e.ohms / size, -x / size);
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
  const { circuit, carried } = network;
  const { map, elements } = circuit;
  const s = circuit.sources[source] as (typeof circuit.sources)[number];
  const inject = (net: number, re: number, im: number) => {
    const node = map.node[net] as number;
    if (node < 0) return;
    bRe[node] = (bRe[node] as number) + re;
    bIm[node] = (bIm[node] as number) + im;
  };
  if (!s.ideal) {
    inject(map.index.get(s.plus) as number, volts * s.siemens, 0);
    inject(map.index.get(s.minus) as number, -volts * s.siemens, 0);
    return;
  }
  for (const [i, d] of carried[source] as readonly (readonly [number, number])[]) {
    const e = elements[i] as (typeof elements)[number];
    let g = e.siemens;
    let b = radiansPerSecond * e.farads;
    if (e.ohms > 0) {
      const x = radiansPerSecond * e.henries;
      const size = e.ohms * e.ohms + x * x;
      g = e.ohms / size;
      b = -x / size;
    }
    inject(e.a, -g * d * volts, -b * d * volts);
    inject(e.b, g * d * volts, b * d * volts);
  }
  // A linear tube whose grid (or plate) hangs on the source: its slopes see the source directly.
  for (const { device, slopes } of network.linear) {
    const sign = (net: number) => (map.offsets[net] ?? []).find((offset) => offset.source === source)?.sign ?? 0;
    if (device.kind === "diode") {
      const d = sign(device.anode) - sign(device.cathode);
      inject(device.anode, -(slopes[0] as number) * d * volts, 0);
      inject(device.cathode, (slopes[0] as number) * d * volts, 0);
      continue;
    }
    const dg = sign(device.grid) - sign(device.cathode);
    const da = sign(device.plate) - sign(device.cathode);
    if (dg === 0 && da === 0) continue;
    const ia = (slopes[0] as number) * dg + (slopes[1] as number) * da;
    const ig = (slopes[2] as number) * dg + (slopes[3] as number) * da;
    inject(device.plate, -ia * volts, 0);
    inject(device.grid, -ig * volts, 0);
    inject(device.cathode, (ia + ig) * volts, 0);
  }
}

/** One ampere that leaves the network at net `out` and returns at net `back` (times `amps`), added into bRe. */
export function addCurrent(network: Network, out: number, back: number, amps: number, bRe: Float64Array): void {
  const { node } = network.circuit.map;
  const o = node[out] as number;
  const b = node[back] as number;
  if (o >= 0) bRe[o] = (bRe[o] as number) - amps;
  if (b >= 0) bRe[b] = (bRe[b] as number) + amps;
}

export function solveInPlace(network: Network, bRe: Float64Array, bIm: Float64Array): void {
  sparseSolve(network.circuit.program, network.re, network.im, network.inverseRe, network.inverseIm, bRe, bIm);
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
