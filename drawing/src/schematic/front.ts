/** The front of a supply: transformer, rectifier and choke, before the chain that its first capacitor begins. */
import type { Document } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { wrap } from "../text/index.ts";
import type { Builder } from "./builder.ts";
import type { Element, Line, Place } from "./element.ts";
import { bridge, rectifierTube, siliconPair, transformer } from "./front-symbols.ts";
import { laySupplyChain } from "./rails.ts";
import type { Knot } from "./route.ts";
import { supplyPath } from "./structure.ts";
import { type Symbol, turned } from "./symbol.ts";
import { ground } from "./symbols-more.ts";
import { inductor } from "./symbols-two.ts";
import { withUnit } from "./words.ts";

type Supply = NonNullable<Document["supply"]>;

export interface Front {
  readonly document: Document;
  readonly supply: Supply;
}

/** The supply that this instance holds the first capacitor of. */
export function frontOf(document: Document | undefined, instance: string): Front | undefined {
  const { supply } = document ?? {};
  if (document === undefined || supply === undefined) return undefined;
  return supply.rectifier.firstCapacitor.startsWith(`${instance}.`) ? { document, supply } : undefined;
}

/** Lays out a supply: its front, when the document has one, and the chain from its first net. */
export function laySupply(b: Builder, front: Front | undefined): void {
  const start = front?.supply.rectifier.output ?? [...b.wiring.outside][0] ?? [...b.wiring.ties.keys()][0];
  if (start === undefined) return;
  if (front !== undefined && b.wiring.ties.has(start)) layFront(b, front, start);
  const dead = new Set((front?.supply.transformer.heaters ?? []).map(({ reference }) => reference));
  laySupplyChain(b, start, supplyPath(b.wiring, start, dead), 0);
}

/** Nets within the front; no document's net has a blank in it. */
const INNER = { a: "HT a", b: "HT b", tap: "HT tap", out: "HT out" } as const;

function layFront(b: Builder, { document, supply }: Front, output: string): void {
  const { rectifier, transformer: iron } = supply;
  const circuit = rectifier.circuit ?? "full-wave";
  const tapped = circuit === "full-wave";
  const add = (
    ids: readonly string[],
    symbol: Symbol,
    at: Knot,
    nets: Element["nets"],
    lines: readonly Line[] = [],
    places: readonly Place[] = [],
  ) => b.elements.push({ ids, symbol, at, nets, lines, more: [], places });
  const out = rectifier.choke === undefined ? output : INNER.out;
  const heaters = iron.heaters.map(({ id }) => id);
  add(
    ["transformer", ...heaters],
    transformer(tapped, heaters.length),
    { x: 0, y: -3 },
    { top: INNER.a, bottom: INNER.b, tap: INNER.tap },
    ironLines(supply, b.look.textSize),
    ["below"],
  );
  if (tapped) add([], ground(), { x: 7, y: 4 }, { "0": INNER.tap });
  if (circuit === "half-wave") add([], ground(), { x: 7, y: 4 }, { "0": INNER.b });
  const isBridge = circuit === "bridge" || circuit === "hybrid-bridge";
  const isTube = rectifier.envelope !== undefined && !isBridge;
  const both = circuit !== "half-wave";
  const shape = isBridge ? bridge() : isTube ? rectifierTube(both) : siliconPair(both);
  const ids = rectifier.envelope === undefined ? ["rectifier"] : [rectifier.envelope];
  add(
    ids,
    shape,
    { x: 14, y: 0 },
    { a: INNER.a, b: INNER.b, out, minus: INNER.tap },
    rectifierLines(document, supply),
    ["above", "below"],
  );
  if (isBridge) add([], ground(), { x: 14, y: 4 }, { "0": INNER.tap });
  b.cursor = 17;
  if (rectifier.choke === undefined) return;
  const lines = [{ text: "Choke", bold: true }, { text: withUnit(rectifier.choke.value, "H") }];
  add(["rectifier.choke"], turned(inductor(), "right"), { x: 19, y: 0 }, { a: out, b: output }, lines, [
    "above",
    "below",
  ]);
  b.cursor = 25;
}

function ironLines({ mains, transformer: iron, fuse }: Supply, textSize: number): readonly Line[] {
  const blown = fuse === undefined ? "no fuse named" : `fuse ${printValue(fuse.amps, "A")} ${fuse.kind}`;
  return [
    ...wrap(iron.label, 62, textSize, true).map((text) => ({ text, bold: true })),
    { text: `mains ${printValue(mains.volts, "V")} ${printValue(mains.hertz, "Hz")}, ${blown}` },
    ...iron.heaters.map(({ id, ratedVolts, ratedAmps, reference }) => ({
      text: `${id} ${printValue(ratedVolts, "V")} ${printValue(ratedAmps, "A")}, centre on ${reference === "0" ? "ground" : reference}`,
    })),
  ];
}

/** What the front says, for those who ask whether a drawing is still of this structure. */
export const frontWords = ({ document, supply }: Front): readonly string[] =>
  [...ironLines(supply, 1), ...rectifierLines(document, supply)].map(({ text }) => text);

function rectifierLines(document: Document, { rectifier }: Supply): readonly Line[] {
  const bottle = document.envelopes.find(({ id }) => id === rectifier.envelope);
  const silicon = rectifier.silicon?.type;
  const each =
    rectifier.seriesOhms === undefined ? [] : [{ text: `+ ${withUnit(rectifier.seriesOhms, "Ω")} in each lead` }];
  if (bottle === undefined) return [{ text: silicon ?? "rectifier", bold: true }, ...each];
  const { circuit } = rectifier;
  const beside =
    silicon === undefined
      ? []
      : [{ text: circuit === "hybrid-bridge" ? `and ${silicon}` : `+ ${silicon} in each lead` }];
  return [{ text: bottle.id, bold: true }, { text: bottle.type }, ...beside, ...each];
}
