/** Rows of parts: footprints with where their sizes come from, and what of the circuit stands nowhere on the plate. */
import { type ChassisItem, type ChassisJudged, sizeWords } from "@platewright/design";
import { type Footprint, parseValue } from "@platewright/engine";
import { mm } from "./read-length.ts";

export interface FootprintRow {
  readonly id: string;
  readonly label: string;
  readonly kind: Footprint["kind"];
  readonly socket: string | null;
  readonly status: Footprint["provenance"]["status"];
  readonly confidence: NonNullable<Footprint["provenance"]["confidence"]> | null;
  readonly source: string;
  readonly note: string;
  /** Entered by the builder. */
  readonly own: boolean;
  /** "Ø 16 mm; 2 × Ø 3.2 mm". */
  readonly holes: string;
}

/** What of the circuit stands nowhere on the plate yet. */
export interface Absent {
  readonly id: string;
  readonly what: ChassisItem["what"];
  readonly words: string;
  /** Footprints that it may have, likeliest first. */
  readonly footprints: readonly string[];
}

export function footprintRow(one: Footprint, own: boolean): FootprintRow {
  const { status, confidence, source, note } = one.provenance;
  return {
    id: one.id,
    label: one.label,
    kind: one.kind,
    socket: one.socket ?? null,
    status,
    confidence: confidence ?? null,
    source,
    note: note ?? "",
    own,
    holes: holesWords(one),
  };
}

/** Its holes, alike ones counted: "Ø 16 mm; 2 × Ø 3.2 mm at 22.2 mm". */
function holesWords({ holes }: Footprint): string {
  const groups = new Map<string, Footprint["holes"][number][]>();
  for (const hole of holes) {
    const words = hole.shape.kind === "circle" ? `Ø\u00a0${sizeWords(hole.shape)}` : sizeWords(hole.shape);
    groups.set(words, [...(groups.get(words) ?? []), hole]);
  }
  return [...groups]
    .map(([words, alike]) => {
      const [one, other] = alike;
      const apart =
        alike.length === 2 && one !== undefined && other !== undefined
          ? Math.hypot(one.x - other.x, one.y - other.y)
          : 0;
      return `${alike.length > 1 ? `${alike.length} × ` : ""}${words}${apart > 0 ? ` at ${mm(apart)}\u00a0mm` : ""}`;
    })
    .join("; ");
}

export function absentOf(judged: ChassisJudged, all: readonly Footprint[]): readonly Absent[] {
  const { document, expanded, chassis } = judged;
  const envelopes = new Set(chassis.items.flatMap(({ what }) => ("envelope" in what ? [what.envelope] : [])));
  const parts = new Set(chassis.items.flatMap(({ what }) => ("part" in what ? [what.part, ...(what.also ?? [])] : [])));
  const of = (...kinds: readonly Footprint["kind"][]) =>
    all.filter((one) => kinds.includes(one.kind)).map((one) => one.id);
  const bottles = document.envelopes
    .filter((one) => !envelopes.has(one.id))
    .map(
      (one): Absent => ({
        id: one.id,
        what: { envelope: one.id },
        words: `${one.id} ${one.type}, ${one.socket} socket`,
        footprints: all.filter((print) => print.socket === one.socket).map((print) => print.id),
      }),
    );
  const loose = (expanded?.parts ?? []).filter((part) => !parts.has(part.id));
  const mounted = loose.flatMap((part): readonly Absent[] => {
    const { kind, label, id } = part.written;
    const words = label === undefined ? part.id : `${part.id}, ${label}`;
    if (kind === "jack") return [{ id: part.id, what: { part: part.id }, words, footprints: of("jack", "terminal") }];
    if (kind === "potentiometer") {
      // The gangs of one body: the same part of each channel.
      const gangs = loose.filter((one) => one.block === part.block && one.written.id === id).map((one) => one.id);
      if (gangs[0] !== part.id) return [];
      const also = gangs.slice(1);
      const what = { part: part.id, ...(also.length === 0 ? {} : { also }) };
      const all = `${gangs.join(" and ")}${label === undefined ? "" : `, ${label}`}`;
      return [{ id: label === undefined ? id : idFrom(label), what, words: all, footprints: of("potentiometer") }];
    }
    // A large one may be a can; others hang on their wires.
    return part.written.kind === "capacitor" && isCan(part.written)
      ? [{ id: part.id, what: { part: part.id }, words: `${words}, if it is a can`, footprints: of("can") }]
      : [];
  });
  const iron: readonly Absent[] =
    document.supply !== undefined && !chassis.items.some(({ what }) => "transformer" in what)
      ? [{ id: "T1", what: { transformer: true }, words: "the transformer", footprints: of("transformer", "toroid") }]
      : [];
  return [...bottles, ...iron, ...mounted];
}

/** 10 µF or more, for plate volts. */
function isCan({ value, volts = 0 }: { readonly value: string; readonly volts?: number | undefined }): boolean {
  const read = parseValue("capacitance", value);
  return read.ok && read.value >= 10e-6 && volts >= 160;
}

/** "Drive" as an id. */
const idFrom = (label: string): string =>
  label
    .toUpperCase()
    .replace(/[^A-Z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 40) || "P";
