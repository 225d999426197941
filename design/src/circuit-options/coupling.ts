/** From a gain stage's plate into a follower's grid: through a capacitor with its grid leak, or straight. */
import { printValue } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import type { Document, DocumentPart } from "../document/schema.ts";
import { freeId, freeNet, joinNets, moveGrid, partsOfBlock, putIn, takeOut, tiePin } from "./block-edit.ts";
import {
  biasAt,
  type BlockStage,
  type BlockView,
  type Capacitor,
  feedOf,
  otherEnd,
  type Resistor,
  tiedTo,
  voltsAt,
} from "./block-view.ts";
import { capacitorVolts, ohmsCode, resistorWatts } from "./sizes.ts";
import type { FoundSwitch, SwitchAsk } from "./switches.ts";

/** 100 nF and 470 kΩ: 3.4 Hz, less where the leak is bootstrapped. Common practice. */
const USUAL_FARADS = "100n";
const USUAL_LEAK = "470k";

export function couplingSwitch(view: BlockView, stage: BlockStage, ask: SwitchAsk): FoundSwitch | undefined {
  if (stage.stage.role !== "follower") return undefined;
  const { net } = feedOf(view, stage);
  const driver = (plate: string) =>
    view.stages.find((one) => one.stage.role === "gain" && one.part.pins.plate === plate && one !== stage);
  const label = `Into ${stage.part.id}`;
  if (driver(net) !== undefined) {
    const coupled = withCapacitor(view, stage, net, ask);
    if (coupled === undefined) return undefined;
    return { kind: "coupling", label, parts: [stage.part.id], ways: [coupled, { words: "direct", title: "" }] };
  }
  const couplings = tiedTo(view, net).filter(
    (part): part is Capacitor => part.kind === "capacitor" && driver(otherEnd(part, net)) !== undefined,
  );
  const [capacitor] = couplings;
  const { stopper } = feedOf(view, stage);
  const leaks = tiedTo(view, net).filter(
    (part) => part.id !== capacitor?.id && part.id !== stopper?.id && part.id !== stage.part.id,
  );
  // Whatever else hangs there is not understood, and stays.
  if (couplings.length !== 1 || capacitor === undefined || !leaks.every((part) => part.kind === "resistor"))
    return undefined;
  const plate = otherEnd(capacitor, net);
  const gone = [capacitor.id, ...leaks.map(({ id }) => id)];
  const bare = takeOut(view.document, view.block, gone);
  return {
    kind: "coupling",
    label,
    parts: gone,
    ways: [
      { words: `${capacitor.id} ${printValue(valueOf("capacitance", capacitor.value), "F")}`, title: "" },
      {
        words: "direct",
        title: `${gone.join(", ")} out, ${stage.part.id} straight from the plate`,
        remark: "the grid then stands at the plate's volts: cold, at all of B+; the tail sets the current",
        document: joinNets(bare, view.block, net, plate),
      },
    ],
  };
}

/** A capacitor before the grid and a leak to where the follower's bias is found. */
function withCapacitor(view: BlockView, stage: BlockStage, plate: string, { catalogue, reference }: SwitchAsk) {
  const { block } = view;
  const before = whatWas(reference, view, stage, plate);
  const net = freeNet(view.document, block, before?.net ?? `c-${stage.part.id}`);
  const { stopper } = feedOf(view, stage);
  const tied =
    stopper === undefined
      ? moveGrid(view.document, catalogue, block, stage.part.id, net)
      : tiePin(view.document, block, stopper.id, stopper.pins.a === plate ? "a" : "b", net);
  const biased = tied === undefined ? undefined : withTap(view, stage, tied);
  if (biased === undefined) return undefined;
  const rail = voltsAt(view, stage.part.pins.plate);
  const capacitor: DocumentPart = before?.capacitor ?? {
    kind: "capacitor",
    id: freeId(biased.document, block, "C"),
    label: "coupling",
    value: USUAL_FARADS,
    volts: capacitorVolts(1.3 * rail),
    pins: { a: plate, b: net },
  };
  const held = putIn(biased.document, block, capacitor, before?.behind ?? "");
  const leak: DocumentPart = {
    kind: "resistor",
    id: before?.leak?.id ?? freeId(held, block, "R"),
    label: before?.leak?.label ?? "grid leak",
    value: before?.leak?.value ?? USUAL_LEAK,
    watts: before?.leak?.watts ?? 0.5,
    pins: { a: net, b: biased.tap },
  };
  const added = [capacitor.id, leak.id, ...(biased.added === undefined ? [] : [biased.added])];
  return {
    words: `${capacitor.id} ${printValue(valueOf("capacitance", capacitor.value), "F")}`,
    title: `${added.join(", ")} in, capacitor into ${stage.part.id}`,
    document: putIn(held, block, leak, capacitor.id),
  };
}

/** The net between a follower's bias resistor and its tail; a bias resistor is put in where there is none. */
function withTap(
  view: BlockView,
  stage: BlockStage,
  document: Document,
): { readonly document: Document; readonly tap: string; readonly added?: string } | undefined {
  const { block } = view;
  const { cathode } = stage.part.pins;
  const [first, second] = stage.chain;
  if (first !== undefined && (second !== undefined || otherEnd(first, cathode) !== "0"))
    return { document, tap: otherEnd(first, cathode) };
  const bias = biasAt(view, stage);
  if (bias === undefined || !(bias.gridVolts < 0 && bias.plateAmps > 0)) return undefined;
  const below = tiedTo(view, cathode).find(
    (part) => part === first || (part.kind === "current-sink" && part.pins.from === cathode && part.pins.to === "0"),
  );
  if (below === undefined) return undefined;
  const tap = freeNet(document, block, "tap");
  const id = freeId(document, block, "R");
  const resistor: Resistor = {
    kind: "resistor",
    id,
    label: "follower bias",
    value: ohmsCode(-bias.gridVolts / bias.plateAmps),
    watts: resistorWatts(-bias.gridVolts * bias.plateAmps),
    pins: { a: cathode, b: tap },
  };
  const pin = below.kind === "resistor" ? (below.pins.a === cathode ? "a" : "b") : "from";
  return {
    document: putIn(tiePin(document, block, below.id, pin, tap), block, resistor, stage.part.id),
    tap,
    added: id,
  };
}

interface Was {
  readonly net: string;
  readonly capacitor: Capacitor;
  readonly leak: Resistor | undefined;
  /** The part that it was listed behind. */
  readonly behind: string;
}

/** The coupling as it was in the unit that is compared with, when none of its parts is used otherwise now. */
function whatWas(reference: Document | undefined, view: BlockView, stage: BlockStage, plate: string): Was | undefined {
  if (reference === undefined) return undefined;
  const parts = partsOfBlock(reference, view.block);
  const used = new Set(view.parts.map(({ id }) => id));
  const capacitor = parts.find(
    (part): part is Capacitor =>
      part.kind === "capacitor" &&
      !used.has(part.id) &&
      Object.values(part.pins).includes(plate) &&
      part.pins.a !== "0",
  );
  if (capacitor === undefined) return undefined;
  const net = otherEnd(capacitor, plate);
  const leak = parts.find(
    (part): part is Resistor =>
      part.kind === "resistor" &&
      !used.has(part.id) &&
      Object.values(part.pins).includes(net) &&
      !Object.values(part.pins).includes(stage.part.pins.grid),
  );
  const at = parts.indexOf(capacitor);
  return { net, capacitor, leak, behind: parts[at - 1]?.id ?? "" };
}
