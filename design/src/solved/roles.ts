/**
 * What each section does and which resistors set it, read from the nets and the standing currents: nothing depends on
 * what a part is called.
 */
import type { ExpandedPart, ExpandedTriode } from "../document/expanded.ts";
import type { SolvedDesign } from "./types.ts";

export interface Stage {
  readonly triode: ExpandedTriode;
  /** "follower": its plate stands at a reservoir, the signal leaves at the cathode. */
  readonly role: "gain" | "follower";
  /** Resistors that carry the standing current from the cathode down to ground, top first. */
  readonly cathodeResistors: readonly string[];
  readonly plateLoad?: string;
}

/** A capacitor of this size from a net to ground makes it a reservoir at signal frequencies. */
const RESERVOIR_FARADS = 1e-6;
/** Share of a section's current above which a resistor is taken to carry it. */
const CARRIES = 0.3;

const resistorsAt = (solved: SolvedDesign, net: string): readonly ExpandedPart[] =>
  solved.expanded.parts.filter(
    ({ electrical }) => electrical.kind === "resistor" && (electrical.a === net || electrical.b === net),
  );

const voltsAt = (solved: SolvedDesign, net: string): number => (net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? 0));

export const voltsAcross = (solved: SolvedDesign, a: string, b: string): number =>
  voltsAt(solved, a) - voltsAt(solved, b);

/** Current of a resistor out of a net, amperes. */
function currentOut(
  solved: SolvedDesign,
  part: ExpandedPart,
  net: string,
): { readonly amps: number; readonly other: string } {
  const { electrical } = part;
  if (electrical.kind !== "resistor") return { amps: 0, other: net };
  const other = electrical.a === net ? electrical.b : electrical.a;
  return { amps: (voltsAt(solved, net) - voltsAt(solved, other)) / electrical.ohms, other };
}

export function isReservoir(solved: SolvedDesign, net: string): boolean {
  return solved.expanded.parts.some(
    ({ electrical: e }) =>
      e.kind === "capacitor" &&
      e.farads >= RESERVOIR_FARADS &&
      ((e.a === net && e.b === "0") || (e.b === net && e.a === "0")),
  );
}

function cathodeChain(solved: SolvedDesign, triode: ExpandedTriode, amps: number): readonly string[] {
  const chain: string[] = [];
  let net = triode.cathode;
  while (net !== "0" && chain.length < 6) {
    const down = resistorsAt(solved, net)
      .filter((part) => !chain.includes(part.id))
      .map((part) => ({ part, ...currentOut(solved, part, net) }))
      .filter((out) => out.amps > CARRIES * amps)
      .sort((one, other) => other.amps - one.amps)[0];
    if (down === undefined) break;
    chain.push(down.part.id);
    net = down.other;
  }
  return chain;
}

/** The stages of a solved design, in the order of its triodes. */
export function stagesOf(solved: SolvedDesign): readonly Stage[] {
  return solved.expanded.triodes.map((triode) => {
    const amps = solved.bias.triodes.get(triode.id)?.plateAmps ?? 0;
    const cathodeResistors = cathodeChain(solved, triode, amps);
    if (isReservoir(solved, triode.plate)) return { triode, role: "follower", cathodeResistors };
    const load = resistorsAt(solved, triode.plate)
      .map((part) => ({ part, amps: -currentOut(solved, part, triode.plate).amps }))
      .filter((into) => into.amps > CARRIES * amps)
      .sort((one, other) => other.amps - one.amps)[0];
    return { triode, role: "gain", cathodeResistors, ...(load === undefined ? {} : { plateLoad: load.part.id }) };
  });
}

/** Resistors from one reservoir to another: the droppers of an instance. */
export function droppersOf(solved: SolvedDesign, instance: string): readonly string[] {
  return solved.expanded.parts
    .filter(
      ({ electrical: e, instance: owner }) =>
        owner === instance && e.kind === "resistor" && isReservoir(solved, e.a) && isReservoir(solved, e.b),
    )
    .map((part) => part.id);
}
