/** What can be done from the keyboard by name: the list behind "Do…", and values typed straight in ("R4 820", "V1 12BH7A"). */
import type { Document } from "@platewright/design";
import { parseValue } from "@platewright/engine";
import { placedAt } from "../sections/chassis/place-edit.ts";
import { type Edit, partEdit, partOf, quantityOf, twinsOf } from "../state/edits.ts";

export interface Command {
  readonly id: string;
  readonly words: string;
  /** Said beside it: where it leads, or the key that does it too. */
  readonly note?: string;
  readonly run: () => void;
}

/** Those with a word that begins with each word typed, in the order given; what begins with the whole text comes first. */
export function matching(commands: readonly Command[], typed: string): readonly Command[] {
  const wanted = typed.trim().toLowerCase();
  if (wanted === "") return commands;
  const words = wanted.split(/\s+/);
  const found = commands.filter((one) => {
    const has = one.words.toLowerCase().split(/[\s,:]+/);
    return words.every((word) => has.some((each) => each.startsWith(word)));
  });
  const begins = (one: Command) => Number(!one.words.toLowerCase().startsWith(wanted));
  return [...found].sort((a, b) => begins(a) - begins(b));
}

/** What a typed text asks for: an edit, a tube to put in (which the library must answer), or why it is neither. */
export type Typed =
  | ({ readonly kind: "edit" } & Edit)
  | { readonly kind: "tube"; readonly envelope: string; readonly type: string }
  | { readonly kind: "wrong"; readonly sentence: string };

/** "165, 128" or "165 128" in millimetres, "90°" or "90 deg". */
const PLACE = /^(-?\d+(?:\.\d+)?)(?:\s*,\s*|\s+)(-?\d+(?:\.\d+)?)$/;
const TURN = /^(-?\d+(?:\.\d+)?)\s*(?:°|deg)$/;

/** What stands on the plate under a name, put to a place or turned: "V3 165, 128", "V3 90°". */
function readPlaced(document: Document, typed: string): Typed | undefined {
  const match = /^\s*([A-Za-z][\w-]*)\s+(\S.*?)\s*$/.exec(typed);
  const item = document.chassis?.items.find((one) => one.id.toLowerCase() === match?.[1]?.toLowerCase());
  const written = match?.[2] ?? "";
  const [place, turn] = [PLACE.exec(written), TURN.exec(written)];
  if (item === undefined) return undefined;
  if (place !== null)
    return { kind: "edit", ...placedAt(document, item.id, { x: Number(place[1]), y: Number(place[2]) }) };
  return turn === null ? undefined : { kind: "edit", ...placedAt(document, item.id, { degrees: Number(turn[1]) }) };
}

/** Reads "R4 820", "R4=4k7", "L.R4 820" (one channel alone), "V1 12BH7A" or "V1 60, 104"; undefined: no such text. */
export function readTyped(document: Document, typed: string): Typed | undefined {
  const placed = readPlaced(document, typed);
  if (placed !== undefined) return placed;
  const match = /^\s*([A-Za-z][\w-]*\.)?([A-Za-z]+\w*)\s*(?:=|\s)\s*(\S.*?)\s*$/.exec(typed);
  if (match === null) return undefined;
  const [, channel, id = "", written = ""] = match;
  const envelope = document.envelopes.find((one) => one.id.toLowerCase() === id.toLowerCase());
  if (envelope !== undefined && channel === undefined)
    return { kind: "tube", envelope: envelope.id, type: written.toUpperCase() };
  const at = channel?.slice(0, -1);
  const owner = document.instances.find(
    (one) =>
      (at === undefined || one.id.toLowerCase() === at.toLowerCase()) &&
      document.blocks[one.block]?.parts.some((part) => part.id.toLowerCase() === id.toLowerCase()) === true,
  );
  if (owner === undefined) return undefined;
  const partId =
    document.blocks[owner.block]?.parts.find((part) => part.id.toLowerCase() === id.toLowerCase())?.id ?? id;
  const part = partOf(document, owner.id, partId);
  const quantity = part === undefined ? undefined : quantityOf(part);
  if (part === undefined || quantity === undefined)
    return { kind: "wrong", sentence: `${partId} has no value to set.` };
  const value = parseValue(quantity, written);
  if (!value.ok) return { kind: "wrong", sentence: value.failure.sentence };
  const instances = at === undefined ? twinsOf(document, owner.id) : [owner.id];
  return { kind: "edit", ...partEdit(document, instances, partId, { value: written }) };
}
