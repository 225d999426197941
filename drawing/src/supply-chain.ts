/**
 * A supply drawn as the chain it is: mains and iron, rectifier, each section with its volts, to the tubes it feeds. On a
 * sheet that is wide enough everything stands in the same place whatever its volts, so that nothing jumps while a value
 * is dragged.
 *
 * Method  Straight from left to right on one row; what hangs from a net stands below it in columns, further branches in rows
 *         below. A net stands as far right as it must to be clear of all that is there.
 * Units   millimetres; text keeps its size, the sheet is as wide as it must be.
 */
import type { SupplyChain } from "@platewright/design";
import { layFront } from "./supply-chain/front.ts";
import { layNodes, layOthers } from "./supply-chain/lay.ts";
import { emptySheet, type Sheet } from "./supply-chain/sheet.ts";
import { type ChainLook, meterVolts, saidOf } from "./supply-chain/words.ts";
import { itemBox } from "./bounds.ts";
import type { Scene } from "./scene.ts";

export type { ChainLook } from "./supply-chain/words.ts";

export interface SupplyChainOptions extends ChainLook {
  readonly title: string;
  /** To be filled, millimetres; the sheet grows beyond it where the chain needs more. */
  readonly width?: number;
}

const MARGIN = 2;
/** Most that is added before a net to fill the sheet. */
const MOST_EASE = 28;

export function supplyChainScene(chain: SupplyChain, { title, width = 0, ...look }: SupplyChainOptions): Scene {
  const said = saidOf(look);
  const laid = (ease: number, roomy: boolean): Sheet => {
    const sheet = emptySheet();
    const plan = { sheet, said, chain, ease, roomy };
    layNodes(plan, layFront(sheet, said, chain, 0), 0);
    layOthers(plan);
    return sheet;
  };
  const spare = (sheet: Sheet) => width - 2 * MARGIN - (rightOf(sheet) - leftOf(sheet));
  const wide = laid(0, true);
  const roomy = spare(wide) >= 0;
  const ease = Math.min(MOST_EASE, spare(wide) / (chain.nodes.length + 1));
  const sheet = !roomy ? laid(0, false) : ease > 0.5 ? laid(ease, true) : wide;
  const boxes = [...sheet.grounds, ...sheet.items].map(itemBox);
  const left = leftOf(sheet);
  const top = Math.min(...boxes.map((box) => box.top));
  const bottom = Math.max(...boxes.map((box) => box.bottom));
  return {
    units: "mm",
    width: Math.max(width, rightOf(sheet) - left + 2 * MARGIN),
    height: bottom - top + 2 * MARGIN,
    title,
    description: inWords(chain),
    items: [{ kind: "group", at: [MARGIN - left, MARGIN - top], items: [...sheet.grounds, ...sheet.items] }],
  };
}

const leftOf = (sheet: Sheet): number => Math.min(...sheet.items.map((item) => itemBox(item).left));
const rightOf = (sheet: Sheet): number =>
  Math.max(...sheet.items.map((item) => itemBox(item).right), ...sheet.taken.map((box) => box.right));

function inWords({ words, transformer, rectifier, nodes }: SupplyChain): string {
  const chain = nodes.map((node) => {
    const through = node.through === undefined ? "" : `through ${node.through.name} `;
    return `${through}${node.net} ${meterVolts(node.volts)}`;
  });
  return `${transformer.label}; ${rectifier.type ?? rectifier.silicon ?? "rectifier"}; ${chain.join(", ")}; ${words}`;
}
