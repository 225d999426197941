/** Wires as rows of a list: those of equal channels on one row, and what differs from the proven unit. */
import { alikeChannels, endWords, type SolvedDesign, type Wire, type WireEnd, wiringList } from "@platewright/design";
import type { PackInput } from "./pack-input.ts";

export interface WireRow {
  readonly wires: readonly Wire[];
  readonly from: string;
  readonly to: string;
  readonly channels: readonly string[];
  readonly differs: boolean;
}

/** Wires of equal channels on one row. */
export function wireRows(input: PackInput): readonly WireRow[] {
  const { solved, proven, study } = input;
  const list = wiringList(solved, study?.solved ?? new Map()).wires;
  const alike = alikeChannels(solved);
  const groupOf = (instance: string | undefined) =>
    instance === undefined ? undefined : alike.find((group) => group.includes(instance));
  const before = proven === undefined ? undefined : provenWires(input, solved);
  const rows = new Map<string, Wire[]>();
  for (const wire of list) {
    const group = groupOf(wire.channel);
    const key = group === undefined ? `= ${wire.id}` : `${group.join()} ${wire.purpose} ${canonical(solved, wire)}`;
    rows.set(key, [...(rows.get(key) ?? []), wire]);
  }
  return [...rows.values()].map((wires) => ({
    wires,
    from: joinedEnds(wires.map((one) => one.from)),
    to: joinedEnds(wires.map((one) => one.to)),
    channels: wires.flatMap((one) => one.channel ?? []),
    differs: before !== undefined && wires.some((one) => !before.has(one.id)),
  }));
}

/** The wires of the proven document with the same nets: what is not among them is new. */
function provenWires({ proven, study }: PackInput, solved: SolvedDesign): ReadonlySet<string> {
  if (proven === undefined) return new Set();
  const was: SolvedDesign = { ...solved, document: { ...solved.document, envelopes: proven.document.envelopes } };
  return new Set(wiringList(was, study?.solved ?? new Map()).wires.map((one) => one.id));
}

/** The wire with its channel and its bottles left open. */
function canonical(solved: SolvedDesign, { channel, from, to }: Wire): string {
  const bottles = solved.expanded.triodes.filter((one) => one.instance === channel).map((one) => one.envelope);
  const open = (text: string) => {
    let out = text.replaceAll(`${channel ?? ""}.`, "*.");
    for (const [n, bottle] of [...new Set(bottles)].entries()) out = out.replaceAll(`${bottle} `, `bottle${n} `);
    return out;
  };
  return `${open(endWords(from))} > ${open(endWords(to))}`;
}

/** "V1, V2 pin 9": the same place in several. */
function joinedEnds(ends: readonly WireEnd[]): string {
  const words = [...new Set(ends.map(endWords))];
  const [first] = ends;
  if (words.length === 1 || first === undefined) return words[0] ?? "";
  return ends.every((one) => one.at === first.at)
    ? `${[...new Set(ends.map((one) => one.item))].join(", ")} ${first.at}`.trim()
    : words.join("; ");
}
