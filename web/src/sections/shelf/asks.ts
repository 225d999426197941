/** What the Shelf screen asks of the library. Figures come with unit, source and standing. */
import { bottleGroups, expand } from "@platewright/design";
import type { Catalogue, Provenance } from "@platewright/engine";
import { fail, ok, printValue } from "@platewright/engine";
import { compareTubes, findTubes, moveWords, pinMoves, roleWords } from "@platewright/library";
import { ask } from "../../worker/ask.ts";

export interface Sourced {
  readonly words: string;
  readonly condition?: string;
  readonly status: Provenance["status"];
  readonly confidence?: string;
  readonly source: string;
}

export interface TubeCard {
  readonly type: string;
  readonly kind: string;
  readonly socket: string;
  readonly heater: string;
  /** mu, transconductance; or what a rectifier gives. */
  readonly figures: string;
  /** Bottles of the design that it stands in now. */
  readonly usedIn: readonly string[];
  /** A bottle of the design whose work it could do. */
  readonly couldServe: boolean;
}

const sourced = (catalogue: Catalogue, words: string, from: Provenance, condition?: string): Sourced => ({
  words,
  status: from.status,
  ...(from.confidence === undefined ? {} : { confidence: from.confidence }),
  source: catalogue.source(from.source)?.title ?? from.source,
  ...(condition === undefined ? {} : { condition: condition === "unknown" ? "rating system not known" : condition }),
});

const unitOf = (unit: string): string => (unit === "Ohm" ? "Ω" : unit);

export const shelfAsks = {
  /** What the library says in short about types, and where the design uses them. Unknown names are left out. */
  tubeCards: ask("settled", (bench, { types }: { readonly types: readonly string[] }) => {
    const { catalogue, input } = bench;
    const expanded = expand(input.document);
    const groups = expanded.ok ? bottleGroups(input.document, expanded.value) : [];
    const serves = (kind: string, sections: number) =>
      groups.some((group) => (group.kind === "rectifier" ? kind === "rectifier" : kind === "triode" && sections === 2));
    return ok(
      types.flatMap((name): readonly TubeCard[] => {
        const tube = catalogue.tube(name);
        if (tube === undefined) return [];
        const point = tube.points.find((one) => one.mu !== undefined) ?? tube.points[0];
        const dc = tube.rectifier?.limits.dcAmps?.[0];
        const first = tube.rectifier?.limits.firstCapacitorFarads?.[0];
        const figures =
          tube.rectifier === undefined
            ? [
                point?.mu === undefined ? "" : `mu ${point.mu}`,
                point?.siemens === undefined ? "" : `${printValue(point.siemens * 1000, "")} mA/V`,
              ]
            : [
                dc === undefined ? "" : `${printValue(dc.value, "A")} dc`,
                first === undefined ? "" : `first capacitor ${printValue(first.value, "F")}`,
              ];
        const sockets = [...new Set(tube.bases.map((base) => `${base.socket} ${base.basing ?? ""}`.trim()))];
        return [
          {
            type: name,
            kind: tube.kind === "triode" && tube.sections === 2 ? "double triode" : tube.kind,
            socket: sockets.join(", "),
            heater: tube.heaters.map((heater) => `${heater.volts} V ${heater.amps} A`).join(" / "),
            figures: figures.filter((one) => one.trim() !== "").join(", "),
            usedIn: input.document.envelopes
              .filter((one) => catalogue.tube(one.type)?.type === tube.type)
              .map((one) => one.id),
            couldServe: serves(tube.kind, tube.sections),
          },
        ];
      }),
    );
  }),
  /** Types of the library that fit every word: "noval 6.3V mu20". */
  findTubes: ask("settled", ({ catalogue }, { words }: { readonly words: string }) => {
    const found = findTubes(catalogue, words);
    return found.length > 0
      ? ok({ types: found.map((tube) => tube.type), of: catalogue.types.length })
      : fail(
          `No tube fits “${words.slice(0, 60)}”${near(catalogue, words)}; words like noval 6.3V mu20 or a type's name are understood.`,
        );
  }),
  /** Everything known of types side by side, every figure with its source; and the wires that move from the first to the second. */
  compareTubes: ask("settled", ({ catalogue }, { types }: { readonly types: readonly string[] }) => {
    const unknown = types.find((type) => catalogue.tube(type) === undefined);
    if (unknown !== undefined) return fail(`The library has no ${unknown}${near(catalogue, unknown)}.`);
    const lines = compareTubes(catalogue, types).map(({ id, label, unit, values }) => ({
      id,
      label,
      values: values.map((one) =>
        one === undefined
          ? null
          : sourced(catalogue, printValue(one.value, unitOf(unit)), one.provenance, one.condition),
      ),
    }));
    const tubes = types.map((type) => catalogue.tube(type));
    const bases = tubes.map((tube) => tube?.bases.find((base) => Object.keys(base.pins).length > 0));
    const pins = bases.map((base) =>
      base === undefined
        ? null
        : sourced(
            catalogue,
            Object.entries(base.pins)
              .map(([pin, role]) => `${pin} ${roleWords(role)}`)
              .join(", "),
            base.provenance,
            `${base.socket} ${base.basing ?? ""}`.trim(),
          ),
    );
    const laws = types.map((type) => {
      const law = catalogue.law(type);
      return law === undefined
        ? null
        : `from ${law.basis}: H2 to ±${law.h2BandDecibels.toFixed(1)} dB, H3 to ±${law.h3BandDecibels.toFixed(0)} dB`;
    });
    const [from, to] = bases;
    const moves = from === undefined || to === undefined || from.socket !== to.socket ? undefined : pinMoves(from, to);
    return ok({
      lines,
      pins,
      laws,
      notes: tubes.map((tube) => tube?.traps ?? []),
      moves:
        types.length < 2
          ? null
          : moves === undefined
            ? "They do not share a socket."
            : moves.moves.length === 0
              ? "No wire moves from the first to the second."
              : `Wires to move from the first to the second, pins from below: ${moves.moves.map(moveWords).join(", ")}.`,
    });
  }),
};

function near(catalogue: Catalogue, words: string): string {
  const [one] = catalogue.near(words.split(/\s+/)[0] ?? "");
  return one === undefined ? "" : `; did you mean ${one}?`;
}
