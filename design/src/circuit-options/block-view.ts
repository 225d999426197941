/** A block as the switches read it: its stages by their nets inside the block, and what is tied where. */
import type { Document, DocumentPart } from "../document/schema.ts";
import { type Stage, stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { partsOfBlock, usersOf } from "./block-edit.ts";

export type Triode = Extract<DocumentPart, { kind: "triode" }>;
export type Resistor = Extract<DocumentPart, { kind: "resistor" }>;
export type Capacitor = Extract<DocumentPart, { kind: "capacitor" }>;

export interface BlockStage {
  readonly stage: Stage;
  readonly part: Triode;
  /** Of the block, top first: what carries its current to ground. */
  readonly chain: readonly Resistor[];
}

export interface BlockView {
  readonly solved: SolvedDesign;
  readonly document: Document;
  readonly block: string;
  /** The instance whose volts are read. */
  readonly instance: string;
  /** All that share the block: a switch turns in each of them. */
  readonly instances: readonly string[];
  readonly parts: readonly DocumentPart[];
  readonly stages: readonly BlockStage[];
}

export function viewOf(solved: SolvedDesign, instance: string): BlockView | undefined {
  const { document } = solved;
  const block = document.instances.find((one) => one.id === instance)?.block;
  if (block === undefined) return undefined;
  const parts = partsOfBlock(document, block);
  const local = (id: string) => parts.find((part) => `${instance}.${part.id}` === id);
  const stages = stagesOf(solved).flatMap((stage): readonly BlockStage[] => {
    const part = stage.triode.instance === instance ? local(stage.triode.id) : undefined;
    if (part?.kind !== "triode") return [];
    const chain = stage.cathodeResistors.flatMap((id) => {
      const found = local(id);
      return found?.kind === "resistor" ? [found] : [];
    });
    return [{ stage, part, chain }];
  });
  const instances = usersOf(document, block).map((one) => one.id);
  return { solved, document, block, instance, instances, parts, stages };
}

/** Parts with a pin on a net of the block. */
export const tiedTo = (view: BlockView, net: string): readonly DocumentPart[] =>
  view.parts.filter((part) => Object.values<string>(part.pins).includes(net));

/** The other end of a part of two ends. */
export const otherEnd = (part: Resistor | Capacitor, net: string): string =>
  part.pins.a === net ? part.pins.b : part.pins.a;

/** Volts to ground of a net of the block, in the instance that is read. */
export function voltsAt(view: BlockView, net: string): number {
  if (net === "0") return 0;
  const outside = view.solved.expanded.parts.find((one) => one.instance === view.instance);
  const port = view.document.instances.find((one) => one.id === view.instance)?.ports[net];
  const name = port ?? `${outside?.instance ?? view.instance}.${net}`;
  return view.solved.bias.netVolts.get(name) ?? Number.NaN;
}

export const biasAt = (view: BlockView, stage: BlockStage) => view.solved.bias.triodes.get(stage.stage.triode.id);

/** The net that a grid is fed from, behind its stopper where it has one. */
export function feedOf(view: BlockView, { part }: BlockStage): { readonly net: string; readonly stopper?: Resistor } {
  const { grid } = part.pins;
  const others = tiedTo(view, grid).filter((one) => one.id !== part.id);
  const [only] = others;
  if (others.length !== 1 || only?.kind !== "resistor" || otherEnd(only, grid) === "0") return { net: grid };
  return { net: otherEnd(only, grid), stopper: only };
}

/** The net at the foot of a stage's chain of resistors: ground, or what a sink hangs on. */
export function footOf({ part, chain }: BlockStage): string {
  let net = part.pins.cathode;
  for (const resistor of chain) net = otherEnd(resistor, net);
  return net;
}
