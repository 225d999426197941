/** Symbols of the parts of a chain: hanging from a net, or lying between two. */
import type { ChainPart } from "@platewright/design";
import type { Item } from "../scene.ts";
import { twoLeaded } from "../schematic/part-symbol.ts";
import { circle, lead, SPAN, type Symbol, turned } from "../schematic/symbol.ts";
import { follower } from "../schematic/symbols-more.ts";
import { resistor } from "../schematic/symbols-two.ts";

function upright({ written }: ChainPart): Symbol {
  const { kind } = written;
  return kind === "potentiometer" || kind === "triode" || kind === "follower" || kind === "jack"
    ? resistor("box")
    : twoLeaded(written, "box");
}

/** From its upper lead at the origin down to a lower one 12.5 mm below. A Zener's cathode is the upper one. */
export function symbolDown(part: ChainPart): readonly Item[] {
  const { written } = part;
  const reversed = (written.kind === "regulator" && written.technology === "zener") || written.kind === "diode";
  return reversed ? turned(upright(part), "up").items : upright(part).items;
}

export interface Along {
  readonly items: readonly Item[];
  readonly width: number;
  /** From its left lead to the symbol's origin. */
  readonly origin: number;
  /** Half its height about the wire. */
  readonly half: number;
}

/** Between a left and a right lead on a wire. A follower's drain is left, its gate below. */
export function symbolAlong(part: ChainPart): Along {
  if (part.written.kind !== "follower")
    return {
      items: turned(upright(part), "right").items,
      width: SPAN,
      origin: 0,
      half: part.written.kind === "resistor" ? 1.5 : 3,
    };
  const items = [...turned(follower(), "right").items, lead(0, 7.5, 0, 8.4), circle(0, 9, 0.6, 0.4)];
  return { items, width: 15, origin: 7.5, half: 9.6 };
}
