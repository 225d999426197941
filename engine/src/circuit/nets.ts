/**
 * Nets to unknowns. Closed switches join nets; ideal sources join them with an offset (v_plus = v_minus + e), so that
 * the equations stay nodal: no branch currents, and a passive network stays symmetric.
 */
import { fail, ok, type Result } from "../result.ts";
import type { CompileFailure } from "../solve/answers.ts";
import { GROUND, type Net, type Part } from "./parts.ts";

/** One ideal source seen from a net: v_net = v_node + sum(sign * e_source). */
export interface Offset {
  readonly source: number;
  readonly sign: number;
}

export interface NetMap {
  readonly nets: readonly Net[];
  readonly index: ReadonlyMap<Net, number>;
  /** Unknown of each net; -1 for ground and whatever hangs on it by ideal sources. */
  readonly node: Int32Array;
  readonly nodes: number;
  readonly offsets: readonly (readonly Offset[])[];
}

/** The pins of a part, by name and net. */
export function pinsOf(part: Part): readonly (readonly [string, Net])[] {
  switch (part.kind) {
    case "resistor":
    case "capacitor":
    case "inductor":
    case "switch":
      return [
        ["a", part.a],
        ["b", part.b],
      ];
    case "potentiometer":
      return [
        ["top", part.top],
        ["wiper", part.wiper],
        ["bottom", part.bottom],
      ];
    case "triode":
      return [
        ["plate", part.plate],
        ["grid", part.grid],
        ["cathode", part.cathode],
      ];
    case "diode":
      return [
        ["anode", part.anode],
        ["cathode", part.cathode],
      ];
    case "dc-source":
    case "ac-source":
      return [
        ["plus", part.plus],
        ["minus", part.minus],
      ];
    case "current-sink":
      return [
        ["from", part.from],
        ["to", part.to],
      ];
    case "jack":
      return [
        ["tip", part.tip],
        ["sleeve", part.sleeve],
      ];
  }
}

/** Joins nets over closed switches and ideal sources. `sources` are the dc and ac sources in order. */
export function mapNets(
  parts: readonly Part[],
  sources: readonly { readonly id: string; readonly plus: Net; readonly minus: Net; readonly ideal: boolean }[],
): Result<NetMap, CompileFailure> {
  const index = new Map<Net, number>([[GROUND, 0]]);
  for (const part of parts) for (const [, net] of pinsOf(part)) if (!index.has(net)) index.set(net, index.size);
  const nets = [...index.keys()];
  const parent = nets.map((_, i) => i);
  const toParent: Map<number, number>[] = nets.map(() => new Map());
  /** Root of a net and its offset to the root, as source -> sign. */
  const find = (net: number): [number, Map<number, number>] => {
    const total = new Map<number, number>();
    let at = net;
    while (parent[at] !== at) {
      for (const [s, sign] of toParent[at] as Map<number, number>) addTo(total, s, sign);
      at = parent[at] as number;
    }
    return [at, total];
  };
  /** v_a = v_b + sum(extra). */
  const join = (a: number, b: number, extra: Map<number, number>): boolean => {
    const [rootA, offsetA] = find(a);
    const [rootB, offsetB] = find(b);
    const difference = new Map(extra);
    for (const [s, sign] of offsetB) addTo(difference, s, sign);
    for (const [s, sign] of offsetA) addTo(difference, s, -sign);
    if (rootA === rootB) return difference.size === 0;
    if (rootA === 0) {
      parent[rootB] = rootA;
      toParent[rootB] = new Map([...difference].map(([s, sign]) => [s, -sign]));
    } else {
      parent[rootA] = rootB;
      toParent[rootA] = difference;
    }
    return true;
  };
  for (const part of parts) {
    if (part.kind === "switch" && part.closed) join(at(index, part.a), at(index, part.b), new Map());
  }
  for (const [s, source] of sources.entries()) {
    if (!source.ideal) continue;
    if (!join(at(index, source.plus), at(index, source.minus), new Map([[s, 1]])))
      return fail({ kind: "shorted-source", parts: [source.id] });
  }
  const node = new Int32Array(nets.length).fill(-1);
  const nodeOfRoot = new Map<number, number>([[0, -1]]);
  const offsets: Offset[][] = [];
  for (let i = 0; i < nets.length; i++) {
    const [root, offset] = find(i);
    if (!nodeOfRoot.has(root)) nodeOfRoot.set(root, nodeOfRoot.size - 1);
    node[i] = nodeOfRoot.get(root) as number;
    offsets.push([...offset].map(([source, sign]) => ({ source, sign })));
  }
  return ok({ nets, index, node, nodes: nodeOfRoot.size - 1, offsets });
}

function at(index: ReadonlyMap<Net, number>, net: Net): number {
  return index.get(net) as number;
}

function addTo(map: Map<number, number>, key: number, amount: number): void {
  const sum = (map.get(key) ?? 0) + amount;
  if (sum === 0) map.delete(key);
  else map.set(key, sum);
}
