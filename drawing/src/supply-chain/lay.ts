/** The chain behind the front: nets from left to right, what hangs from them, what they feed; other branches in rows below. */
import type { ChainConsumer, ChainHanging, ChainNet, ChainNode, ChainPart, SupplyChain } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { type Box, textBox } from "../bounds.ts";
import { SIZES, WEIGHTS } from "../scene.ts";
import { ground } from "../schematic/symbols-more.ts";
import {
  arrow,
  blockWidth,
  boxOf,
  dot,
  draw,
  isClear,
  LEADING,
  type Line,
  press,
  type Sheet,
  wire,
  write,
} from "./sheet.ts";
import { symbolAlong, symbolDown } from "./symbols.ts";
import { alongLines, netLines, partLines, type Said, shortNet } from "./words.ts";

/** From a net down to a hanging part, its length, the width of its body and of the ground below it. */
const DROP = 5;
const SPAN = 12.5;
const HALF = 3.4;
const GROUND_HEIGHT = 4;
/** Words beside a hanging part, from its middle. */
const WORDS_RIGHT = 4.4;
/** Between two columns; on a narrow sheet they stand closer. */
const gapOf = ({ roomy }: Plan): number => (roomy ? 3 : 1.4);
/** Baseline of a net's name over its wire; its volts stand one line lower. */
const NAME_RISE = 8;
/** A row for a further branch, below the lowest thing that is there. */
const ROW_BELOW = 16;

export interface Plan {
  readonly sheet: Sheet;
  readonly said: Said;
  readonly chain: SupplyChain;
  /** Added before each net, to fill a wide sheet. */
  readonly ease: number;
  /** Room is kept for what a net and a part were, said or not, so that nothing moves when it comes to be said. */
  readonly roomy: boolean;
}

/** Half of a net's name over its wire, and a part's words over and under its own. */
const ROOMY_NAME: Line = [{ text: "B1 was 0000 V" }];
const ROOMY_PART: Line = [{ text: "R1 100k was 100k" }];
const ROOMY_BELOW: Line = [{ text: "lift was 000.0 V 000.0 V" }];
const ROOMY_FED: Line = [{ text: "V1a 00.00 mA by R11" }];
const nameHalf = ({ said, roomy }: Plan, net: ChainNet): number =>
  blockWidth([...netLines(said, net.net, net.volts), ...(roomy ? [ROOMY_NAME] : [])]) / 2;

/** How far something reaches to the right, and the last place where it is tied to the wire of its row. */
interface Reach {
  readonly right: number;
  readonly tied: number;
}

/** Lays the nodes on a row, from where the front ends. */
export function layNodes(plan: Plan, start: number, y: number): void {
  const [first] = plan.chain.nodes;
  if (first === undefined) return;
  const x = clearX(plan, first, start + Math.max(7, nameHalf(plan, first) + 1.5) + plan.ease / 2, y);
  wire(plan.sheet, [
    [start, y],
    [x, y],
  ]);
  layNode(plan, 0, x, y);
}

function layNode(plan: Plan, index: number, x: number, y: number): void {
  const { sheet, said, chain } = plan;
  const node = chain.nodes[index];
  if (node === undefined) return;
  const [on, ...more] = chain.nodes.flatMap((one, n) => (one.after === index ? [n] : []));
  dot(sheet, [x, y], [node.net]);
  const named = write(sheet, netLines(said, node.net, node.volts), [x, y - NAME_RISE], "middle", [node.net]);
  press(sheet, [node.net], named);
  const hung = layHanging(plan, node.hanging, x, y);
  const fed = on === undefined || node.consumers.length === 0 ? hung : layFedBelow(plan, node, hung, x, y);
  let { tied } = fed;
  let room = fed.right;
  for (const way of more) {
    const riser = room + gapOf(plan);
    const row = lowest(sheet) + ROW_BELOW;
    wire(sheet, [
      [x, y],
      [riser, y],
      [riser, row],
    ]);
    dot(sheet, [riser, y], [node.net]);
    sheet.taken.push(boxOf(riser - 0.5, y, riser + 0.5, row));
    layWay(plan, way, { x: riser, y: row, clear: riser });
    tied = riser;
    room = riser + gapOf(plan);
  }
  if (on !== undefined) {
    // What reaches below the wire stands behind all that hangs from it.
    const tall = chain.nodes[on]?.through?.written.kind === "follower";
    layWay(plan, on, { x, y, clear: Math.max(x + nameHalf(plan, node), tall ? room : tied) });
  } else if (node.consumers.length > 0)
    layFedRight(plan, node, { x, y, clear: Math.max(x + nameHalf(plan, node), tied) });
}

const lowest = (sheet: Sheet): number => sheet.taken.reduce((most, box) => Math.max(most, box.bottom), 0);

/** Where a wire leaves a net, and how far right the row above it is taken. */
interface From {
  readonly x: number;
  readonly y: number;
  readonly clear: number;
}

/** From a net through a part to the next net. */
function layWay(plan: Plan, index: number, { x: from, y, clear }: From): void {
  const { sheet, said, chain } = plan;
  const node = chain.nodes[index];
  const through = node?.through;
  if (node === undefined || through === undefined) return;
  const [above, below] = alongLines(said, through);
  const symbol = symbolAlong(through);
  const width = Math.max(
    symbol.width + (plan.roomy ? 3 : 1),
    blockWidth([above, below, ...(plan.roomy ? [ROOMY_PART] : [])]),
  );
  const middle = clear + (plan.roomy ? 2.5 : 1.5) + width / 2;
  const left = middle - symbol.width / 2;
  const right = left + symbol.width;
  wire(sheet, [
    [from, y],
    [left, y],
  ]);
  draw(sheet, symbol.items, [left + symbol.origin, y], [through.id]);
  const raise = Math.min(symbol.half, 6.2);
  const up = write(sheet, [above], [middle, y - raise - 1.6], "middle", [through.id]);
  const beside = through.written.kind === "follower";
  const down = write(
    sheet,
    below.length === 0 ? [] : [below],
    [middle + (beside ? 3 : 0), y + (beside ? 10.5 : symbol.half + 4)],
    beside ? "start" : "middle",
    [through.id],
  );
  const body = boxOf(left, y - raise, right, y + symbol.half);
  sheet.taken.push(body);
  press(
    sheet,
    [through.id],
    boxOf(
      Math.min(left, up.left, down.left),
      up.top,
      Math.max(right, up.right, down.right),
      Math.max(down.bottom, body.bottom),
    ),
  );
  const next = Math.max(right + 3, middle + width / 2 + (plan.roomy ? 2 : 1.2) + nameHalf(plan, node));
  const x = clearX(plan, node, next + plan.ease, y);
  wire(sheet, [
    [right, y],
    [x, y],
  ]);
  layNode(plan, index, x, y);
}

/** The first place from `x` on where what hangs from a node touches nothing that is there. */
function clearX(plan: Plan, node: ChainNode, x: number, y: number): number {
  const reach = 400;
  for (let at = x; at < x + reach; at += 1) if (isClear(plan.sheet, roomOf(plan, node.hanging, at, y))) return at;
  return x + reach;
}

/** Rooms that hanging parts would take, column by column; `label` is what stands beside the first column's top. */
function roomOf(plan: Plan, hanging: readonly ChainHanging[], x: number, y: number, label = 0): readonly Box[] {
  const boxes: Box[] = [];
  let right = x;
  for (const [n, { part, below }] of hanging.entries()) {
    const at = n === 0 ? x : columnAfter(plan, right, n, x + label);
    const words = at + WORDS_RIGHT + blockWidth(partLines(plan.said, part));
    boxes.push(boxOf(at - HALF, y + 1, words, y + DROP + SPAN + GROUND_HEIGHT));
    const inner = below === undefined ? [] : roomOf(plan, below.hanging, at, y + DROP + SPAN, labelWidth(plan, below));
    boxes.push(...inner);
    right = Math.max(right, words, ...inner.map((box) => box.right));
  }
  return boxes;
}

/** Middle of the next column. The second one's lead stands clear of the name of the net. */
const columnAfter = (plan: Plan, right: number, n: number, name: number): number =>
  Math.max(right + gapOf(plan) + HALF, n === 1 ? name + 3.2 : 0);

/** Hangs parts from a net, the first straight below it; `label` is the width of the net's name beside that one. */
function layHanging(plan: Plan, hanging: readonly ChainHanging[], x: number, y: number, label = 0): Reach {
  const { sheet, said } = plan;
  let right = x;
  let tied = x;
  for (const [n, { part, below }] of hanging.entries()) {
    const at = n === 0 ? x : columnAfter(plan, right, n, x + label);
    if (n > 0) {
      wire(sheet, [
        [tied, y],
        [at, y],
      ]);
      dot(sheet, [at, y]);
    }
    tied = at;
    const top = y + DROP;
    const bottom = top + SPAN;
    wire(sheet, [
      [at, y],
      [at, top],
    ]);
    draw(sheet, symbolDown(part), [at, top], [part.id]);
    const lines = partLines(said, part);
    const first = top + (lines.length > 2 ? 4.2 : lines.length > 1 ? 5.4 : 7.4);
    const words = write(sheet, lines, [at + WORDS_RIGHT, first], "start", [part.id]);
    press(sheet, [part.id], boxOf(at - HALF, y + 1, words.right, Math.max(words.bottom, bottom)));
    sheet.taken.push(boxOf(at - HALF, y + 1, at + HALF, bottom));
    right = Math.max(right, words.right);
    if (below === undefined) {
      draw(sheet, ground().items, [at, bottom], []);
      sheet.taken.push(boxOf(at - 2, bottom, at + 2, bottom + GROUND_HEIGHT));
    } else right = Math.max(right, layBelow(plan, below, at, bottom));
  }
  return { right, tied };
}

/** Beside the first column below a net: its name. */
const labelWidth = ({ said, roomy }: Plan, below: ChainNet): number =>
  blockWidth([belowLine(said, below), ...(roomy ? [ROOMY_BELOW] : [])]);

function belowLine(said: Said, below: ChainNet): Line {
  const [name, volts] = netLines(said, below.net, below.volts);
  return [...name, ...volts.map(({ large: _large, ...word }) => word)];
}

/** A net within what hangs: its name below its wire; one that stands elsewhere, or that nothing hangs from, ends in a ring. */
function layBelow(plan: Plan, below: ChainNet, x: number, y: number): number {
  const { sheet, said } = plan;
  const line = belowLine(said, below);
  if (below.hanging.length === 0) {
    sheet.items.push({ kind: "circle", at: [x, y + 0.6], radius: 0.6, weight: WEIGHTS.wire, ids: [below.net] });
    const named = write(sheet, [line], [x + 2, y + 1.8], "start", [below.net]);
    press(sheet, [below.net], named);
    return named.right;
  }
  dot(sheet, [x, y], [below.net]);
  const { right } = layHanging(plan, below.hanging, x, y, labelWidth(plan, below));
  const named = write(sheet, [line], [x + 1.6, y + 4.2], "start", [below.net]);
  press(sheet, [below.net], named);
  return Math.max(right, named.right);
}

const fedLines = (said: Said, { channels, consumers }: ChainNode): readonly Line[] => [
  ...(channels.length === 0
    ? []
    : [[{ text: channels.length > 1 ? `${channels.join(", ")} alike` : channels.join(""), role: "quiet" as const }]]),
  ...consumers.map((one) => fedLine(said, one)),
];

const fedLine = (said: Said, { id, name, amps, through }: ChainConsumer): Line => [
  { text: name, bold: true },
  { text: printValue(amps, "A"), ...(said.look.live?.has(id) === true ? { role: "live" as const } : {}) },
  ...(through === undefined ? [] : [{ text: `by ${through}`, role: "quiet" as const }]),
];

/** At the end of the chain: an arrow to the right, and the tubes that the net feeds. */
function layFedRight({ sheet, said, roomy }: Plan, node: ChainNode, { x, y, clear }: From): void {
  const lines = fedLines(said, node);
  const ids = node.consumers.map((one) => one.id);
  const tip = Math.max(x + 9, clear + 5);
  wire(sheet, [
    [x, y],
    [tip - 2, y],
  ]);
  arrow(sheet, [tip, y], "right");
  // Not lower than the wire by more than what hangs beside it begins.
  const top = y + 1.2 - (lines.length - 1) * LEADING;
  const room = write(sheet, lines, [tip + 1.8, Math.max(y - NAME_RISE - 4, top) + LEADING / 2], "start", ids);
  press(sheet, ids, room);
  if (roomy) sheet.taken.push({ ...room, right: Math.max(room.right, tip + 1.8 + blockWidth([ROOMY_FED])) });
}

/** Where the chain goes on: an arrow down in a column of its own. */
function layFedBelow(plan: Plan, node: ChainNode, hung: Reach, x: number, y: number): Reach {
  const { sheet, said } = plan;
  const at = node.hanging.length === 0 ? x : hung.right + gapOf(plan) + 2;
  const ids = node.consumers.map((one) => one.id);
  wire(sheet, [
    [hung.tied, y],
    [at, y],
    [at, y + 8],
  ]);
  if (at !== x) dot(sheet, [at, y]);
  arrow(sheet, [at, y + 10], "down");
  sheet.taken.push(boxOf(at - 1, y, at + 1, y + 10));
  const words = write(sheet, fedLines(said, node), [at + 2.2, y + DROP + 4.5], "start", ids);
  press(sheet, ids, words);
  return { right: words.right, tied: at };
}

/** Parts that stand nowhere in the chain, at its foot. */
export function layOthers({ sheet, chain }: Plan): void {
  if (chain.others.length === 0) return;
  const words = (part: ChainPart) =>
    `${part.name} (${Object.values<string>(part.written.pins).map(shortNet).join(" to ")})`;
  const item = {
    kind: "text",
    at: [0, lowest(sheet) + 6] as const,
    text: `Not in the chain: ${chain.others.map(words).join(", ")}.`,
    size: SIZES.small,
    role: "quiet",
  } as const;
  sheet.items.push(item);
  sheet.taken.push(textBox(item));
}
