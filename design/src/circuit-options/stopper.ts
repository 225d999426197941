/** A resistor at the pin of a grid: there or not. */
import { printValue } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import type { DocumentPart } from "../document/schema.ts";
import { freeId, freeNet, joinNets, moveGrid, partsOfBlock, putIn, takeOut } from "./block-edit.ts";
import { type BlockStage, type BlockView, feedOf } from "./block-view.ts";
import type { FoundSwitch, SwitchAsk } from "./switches.ts";

/** Common practice at the pin of a triode. */
const USUAL_OHMS = "220";
/** Larger ones do something else. */
const MOST_OHMS = 100e3;

export function stopperSwitch(
  view: BlockView,
  stage: BlockStage,
  { reference, catalogue }: Pick<SwitchAsk, "reference" | "catalogue">,
): FoundSwitch | undefined {
  const { document, block } = view;
  const { id, pins } = stage.part;
  const label = `Grid stopper of ${id}`;
  const { net, stopper } = feedOf(view, stage);
  if (stopper !== undefined) {
    if (valueOf("resistance", stopper.value) > MOST_OHMS) return undefined;
    return {
      kind: "stopper",
      label,
      parts: [stopper.id],
      ways: [
        { words: `${stopper.id} ${printValue(valueOf("resistance", stopper.value), "Ω")}`, title: "" },
        {
          words: "none",
          title: `${stopper.id} out, no stopper at the grid of ${id}`,
          remark: "a section of high slope may oscillate without it",
          document: joinNets(takeOut(document, block, [stopper.id]), block, pins.grid, net),
        },
      ],
    };
  }
  if (pins.grid === "0") return undefined;
  const used = new Set(view.parts.map((part) => part.id));
  const was = (reference === undefined ? [] : partsOfBlock(reference, block)).find(
    (part) =>
      part.kind === "resistor" &&
      !used.has(part.id) &&
      Object.values(part.pins).includes(net) &&
      Object.values(part.pins).some((end) => end === gridIn(reference, block, id)),
  );
  const value = was?.kind === "resistor" ? was.value : USUAL_OHMS;
  const fresh = freeNet(document, block, gridIn(reference, block, id) ?? `g-${id}`);
  const resistor: DocumentPart = {
    kind: "resistor",
    id: was?.id ?? freeId(document, block, "R"),
    label: was?.label ?? "grid stopper, at the pin",
    value,
    watts: 0.5,
    pins: { a: net, b: fresh },
  };
  const moved = moveGrid(document, catalogue, block, id, fresh);
  if (moved === undefined) return undefined;
  return {
    kind: "stopper",
    label,
    parts: [id],
    ways: [
      {
        words: `${resistor.id} ${printValue(valueOf("resistance", value), "Ω")}`,
        title: `${resistor.id} ${value} in, at the grid of ${id}`,
        document: putIn(moved, block, resistor, behindOf(view, id)),
      },
      { words: "none", title: "" },
    ],
  };
}

/** The grid's own net in the unit that is compared with. */
function gridIn(reference: SwitchAsk["reference"], block: string, triode: string): string | undefined {
  const part = reference === undefined ? undefined : partsOfBlock(reference, block).find((one) => one.id === triode);
  return part?.kind === "triode" ? part.pins.grid : undefined;
}

/** The part that stands before a triode in the list: a stopper is listed before its tube. */
function behindOf(view: BlockView, triode: string): string {
  const at = view.parts.findIndex(({ id }) => id === triode);
  return view.parts[at - 1]?.id ?? triode;
}
