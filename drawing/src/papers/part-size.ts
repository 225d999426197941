/**
 * How large a part is, so that what is bought goes where it is to stand: from its footprint on the plate, from the tube's sheet, or
 * of resistors what is usual for their rating.
 *
 * Limits  Footprints come from memory until the part in hand was measured. Usual sizes are common practice: bodies of metal film,
 *         metal oxide and wirewound resistors, from memory. Of other parts that stand nowhere nothing is said.
 */
import type { ChassisItem } from "@platewright/design";
import type { Footprint, FootprintBody } from "@platewright/engine";
import type { PackInput } from "./pack-input.ts";

export interface PartSize {
  /** "Ø 24 × 34", millimetres. */
  readonly words: string;
  /** Common practice, not this part's own. */
  readonly usual: boolean;
}

/** Bodies of resistors by their watts, the first that holds: diameter and length. */
const RESISTOR_BODIES: readonly (readonly [watts: number, diameter: number, length: number])[] = [
  [0.25, 2.4, 6.3],
  [0.6, 2.5, 6.8],
  [1, 4, 11],
  [2, 5, 15.5],
  [3, 5.5, 16],
  [5, 8, 24],
  [10, 9, 48],
];

/** What is no part of the body: what is put on it or holds it. */
const NOT_BODY = new Set([
  "plug",
  "knob",
  "lever",
  "screw heads",
  "screw head",
  "nut",
  "clamp",
  "flange",
  "saddle",
  "cap",
]);

export function itemOfPart({ document }: Pick<PackInput, "document">, id: string): ChassisItem | undefined {
  return document.chassis?.items.find(
    ({ what }) => "part" in what && (what.part === id || what.also?.includes(id) === true),
  );
}

/** Of a part of the circuit, of a bottle, of the transformer, or of the socket of a bottle. */
export function sizeOf(
  input: PackInput,
  of: { readonly part?: string; readonly envelope?: string; readonly socketOf?: string; readonly iron?: true },
): PartSize | undefined {
  const { chassis } = input;
  const footprintAt = (wanted: (item: ChassisItem) => boolean): Footprint | undefined =>
    chassis?.items.find((one) => wanted(one.item))?.footprint;
  if (of.envelope !== undefined) return bulbSize(input, of.envelope);
  if (of.socketOf !== undefined) {
    const footprint = footprintAt(({ what }) => "envelope" in what && what.envelope === of.socketOf);
    const hole = footprint?.holes.find((one) => one.purpose === "body")?.shape;
    return hole?.kind === "circle" ? { words: `hole Ø ${hole.diameterMillimetres}`, usual: false } : undefined;
  }
  if (of.iron === true) return bodySize(footprintAt(({ what }) => "transformer" in what));
  const item = itemOfPart(input, of.part ?? "");
  return item === undefined ? resistorSize(input, of.part ?? "") : bodySize(footprintAt((one) => one.id === item.id));
}

function bodySize(footprint: Footprint | undefined): PartSize | undefined {
  if (footprint === undefined) return undefined;
  const bodies = [...footprint.above, ...footprint.below].filter((body) => !NOT_BODY.has(body.what));
  const [largest] = bodies.toSorted((a, b) => volumeOf(b) - volumeOf(a));
  return largest === undefined ? undefined : { words: bodyWords(largest), usual: false };
}

function volumeOf({ outline, heightMillimetres }: FootprintBody): number {
  switch (outline.kind) {
    case "circle":
      return (Math.PI / 4) * outline.diameterMillimetres ** 2 * heightMillimetres;
    case "rectangle":
      return outline.widthMillimetres * outline.heightMillimetres * heightMillimetres;
    case "polygon":
      return 0;
  }
}

function bodyWords({ outline, heightMillimetres }: FootprintBody): string {
  const height = ` × ${tenths(heightMillimetres)}`;
  switch (outline.kind) {
    case "circle":
      return `Ø ${tenths(outline.diameterMillimetres)}${height}`;
    case "rectangle":
      return `${tenths(outline.widthMillimetres)} × ${tenths(outline.heightMillimetres)}${height}`;
    case "polygon":
      return `${tenths(heightMillimetres)} high`;
  }
}

/** Bulb and seated height as the sheet gives them. */
function bulbSize({ document, catalogue }: PackInput, envelope: string): PartSize | undefined {
  const type = document.envelopes.find((one) => one.id === envelope)?.type;
  const sheet = type === undefined ? undefined : catalogue.tube(type)?.dimensions;
  if (sheet?.diameter === undefined) return undefined;
  const height = sheet.seatedHeight ?? sheet.overallHeight;
  return {
    words: `Ø ${tenths(1000 * sheet.diameter.value)}${height === undefined ? "" : ` × ${tenths(1000 * height.value)}`}`,
    usual: false,
  };
}

function resistorSize({ solved }: PackInput, id: string): PartSize | undefined {
  const written = solved.expanded.parts.find((one) => one.id === id)?.written;
  if (written?.kind !== "resistor" || written.watts === undefined) return undefined;
  const { watts } = written;
  const body = RESISTOR_BODIES.find(([most]) => watts <= most);
  return body === undefined ? undefined : { words: `Ø ${body[1]} × ${body[2]}`, usual: true };
}

const tenths = (millimetres: number): string => String(Math.round(10 * millimetres) / 10);
