/** A part as the screen speaks of it: what it does there, its value, its rating, and how near it is to that. */
import { type ExpandedPart, type PartRole, QUANTITY_OF, type SolvedDesign, valueOf } from "@platewright/design";
import type { Catalogue } from "@platewright/engine";
import { UNIT_OF } from "./steps.ts";
import { printed, turnWords } from "./words.ts";

export interface PartFacts {
  readonly id: string;
  readonly part: string;
  readonly kind: ExpandedPart["written"]["kind"];
  /** As the builder calls it. */
  readonly label: string | null;
  readonly role: string;
  readonly does: string;
  /** The section that it belongs to. */
  readonly triode: string | null;
  readonly value: string | null;
  readonly was: string | null;
  readonly tolerancePercent: number | null;
  readonly rating: string | null;
  /** At nominal mains, running; null: nothing to speak of, or no rating. */
  readonly stress: { readonly value: number; readonly limit: number | null; readonly unit: string } | null;
}

export function partFacts(
  solved: SolvedDesign,
  catalogue: Catalogue,
  part: ExpandedPart,
  role: PartRole | undefined,
  proven: ExpandedPart | undefined,
): PartFacts {
  const { id, written } = part;
  const value = valueWords(solved, part);
  const was = proven === undefined ? null : valueWords(solved, proven);
  return {
    id,
    part: written.id,
    kind: written.kind,
    label: written.label ?? null,
    role: role?.name ?? written.kind,
    does: role?.does ?? "",
    triode: role?.triode ?? null,
    value,
    was: was === value ? null : was,
    tolerancePercent: written.tolerancePercent ?? null,
    rating: ratingWords(part),
    stress: stressOf(solved, catalogue, part),
  };
}

function valueWords({ expanded }: SolvedDesign, { id, written }: ExpandedPart): string | null {
  switch (written.kind) {
    case "triode": {
      const triode = expanded.triodes.find((one) => one.id === id);
      return triode === undefined ? null : `${triode.type} in ${triode.envelope}`;
    }
    case "potentiometer":
      return `${printed(valueOf("resistance", written.value), "Ω")} ${written.taper}, at ${turnWords(written.position)}`;
    case "diode":
      return written.type;
    case "follower":
      return written.type ?? null;
    case "switch":
      return written.closed ? "closed" : "open";
    default: {
      const quantity = QUANTITY_OF[written.kind];
      const unit = UNIT_OF[written.kind];
      return quantity === undefined || unit === undefined || !("value" in written)
        ? null
        : printed(valueOf(quantity, written.value), unit);
    }
  }
}

function ratingWords({ written }: ExpandedPart): string | null {
  if ("watts" in written && written.watts !== undefined) return printed(written.watts, "W");
  if ("volts" in written && written.volts !== undefined) return printed(written.volts, "V");
  return null;
}

/** Below these a part takes nothing that could be measured. */
const NOTHING_WATTS = 5e-5;
const NOTHING_VOLTS = 0.05;

/** Heat of a resistor or a plate, volts across a capacitor: as it stands, at nominal mains. */
function stressOf(
  solved: SolvedDesign,
  catalogue: Catalogue,
  { id, electrical: e, written }: ExpandedPart,
): PartFacts["stress"] {
  const volts = (net: string) => (net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? Number.NaN));
  if (e.kind === "resistor" && written.kind === "resistor") {
    const value = (volts(e.a) - volts(e.b)) ** 2 / e.ohms;
    return value >= NOTHING_WATTS ? { value, limit: written.watts ?? null, unit: "W" } : null;
  }
  if (e.kind === "capacitor" && written.kind === "capacitor") {
    const value = Math.abs(volts(e.a) - volts(e.b));
    return value >= NOTHING_VOLTS ? { value, limit: written.volts ?? null, unit: "V" } : null;
  }
  if (written.kind === "triode") {
    const triode = solved.expanded.triodes.find((one) => one.id === id);
    const bias = solved.bias.triodes.get(id);
    if (triode === undefined || bias === undefined) return null;
    const limit = catalogue.limit(triode.type, "plateWatts", triode.variant);
    return { value: bias.plateWatts, limit: limit?.value ?? null, unit: "W" };
  }
  return null;
}
