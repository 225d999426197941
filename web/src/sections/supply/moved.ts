/** What the edit in hand moves in a chain: volts that a meter would tell apart, values, loads. */
import type { ChainNet, ChainPart, SupplyChain } from "@platewright/design";

/** A change that shows: half a percent. */
const TELLS = 0.005;
const apart = (a: number, b: number): boolean => Math.abs(a - b) > TELLS * Math.max(Math.abs(a), Math.abs(b), 1e-6);

interface Flat {
  readonly nets: ReadonlyMap<string, number>;
  readonly parts: ReadonlyMap<string, ChainPart>;
  readonly amps: ReadonlyMap<string, number>;
}

function flat(chain: SupplyChain): Flat {
  const nets = new Map<string, number>();
  const parts = new Map<string, ChainPart>();
  const amps = new Map<string, number>();
  const walk = (net: ChainNet) => {
    nets.set(net.net, net.volts);
    for (const { part, below } of net.hanging) {
      parts.set(part.id, part);
      if (below !== undefined) walk(below);
    }
  };
  for (const node of chain.nodes) {
    walk(node);
    if (node.through !== undefined) parts.set(node.through.id, node.through);
    for (const one of node.consumers) amps.set(one.id, one.amps);
  }
  for (const heater of chain.heaters) amps.set(heater.id, heater.amps);
  amps.set("transformer", chain.transformer.dcAmps);
  return { nets, parts, amps };
}

const valueOf = ({ written }: ChainPart): string => ("value" in written ? written.value : "");
const ratedOf = ({ rated }: ChainPart): number => rated?.limit ?? 0;

/** Ids of nets, parts, bottles and windings that differ; everything that is new counts. */
export function movedIn(now: SupplyChain, kept: SupplyChain): ReadonlySet<string> {
  const [is, was] = [flat(now), flat(kept)];
  const ids = new Set<string>();
  for (const [net, volts] of is.nets) if (apart(volts, was.nets.get(net) ?? 0)) ids.add(net);
  for (const [id, amps] of is.amps) if (apart(amps, was.amps.get(id) ?? 0)) ids.add(id);
  for (const [id, part] of is.parts) {
    const then = was.parts.get(id);
    if (then === undefined || valueOf(part) !== valueOf(then) || ratedOf(part) !== ratedOf(then)) ids.add(id);
  }
  const { rectifier } = now;
  if (rectifier.type !== kept.rectifier.type || rectifier.seriesOhms !== kept.rectifier.seriesOhms)
    ids.add(rectifier.envelope ?? "rectifier");
  return ids;
}
