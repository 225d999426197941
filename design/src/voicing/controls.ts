/** Which potentiometers of a channel set drive and level, read from the nets: nothing depends on what a part is called. */
import { isReservoir } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";

export interface Control {
  readonly id: string;
  readonly taper: "linear" | "log" | "reverse-log";
  readonly ohms: number;
  readonly fraction: number;
}

/**
 * Drive: reached from the input jack without passing a tube. Level: reached from the output jack so. A potentiometer
 * reached from both (a channel without tubes between) is neither. Ground and reservoirs are no path for the signal.
 */
export function findControls(
  solved: SolvedDesign,
  instance: string,
): { readonly drive?: Control; readonly level?: Control } {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return {};
  const before = reached(solved, channel.inputNet);
  const after = reached(solved, channel.outputNet);
  const controlOf = (mine: ReadonlySet<string>, other: ReadonlySet<string>): Control | undefined => {
    for (const { id, electrical, written } of solved.expanded.parts) {
      if (electrical.kind !== "potentiometer" || written.kind !== "potentiometer") continue;
      if (!mine.has(electrical.wiper) || other.has(electrical.wiper)) continue;
      return { id, taper: written.taper, ohms: electrical.ohms, fraction: electrical.fraction };
    }
    return undefined;
  };
  const drive = controlOf(before, after);
  const level = controlOf(after, before);
  return { ...(drive === undefined ? {} : { drive }), ...(level === undefined ? {} : { level }) };
}

/** Nets joined to one by resistors, capacitors, inductors, potentiometers and closed switches. */
export function reached(solved: SolvedDesign, from: string): ReadonlySet<string> {
  const found = new Set([from]);
  const waiting = [from];
  for (let net = waiting.pop(); net !== undefined; net = waiting.pop()) {
    for (const { electrical } of solved.expanded.parts) {
      const ends =
        electrical.kind === "potentiometer"
          ? [electrical.top, electrical.wiper, electrical.bottom]
          : electrical.kind === "resistor" || electrical.kind === "capacitor" || electrical.kind === "inductor"
            ? [electrical.a, electrical.b]
            : electrical.kind === "switch" && electrical.closed
              ? [electrical.a, electrical.b]
              : [];
      if (!ends.includes(net)) continue;
      for (const end of ends)
        if (end !== "0" && !found.has(end) && !isReservoir(solved, end)) {
          found.add(end);
          waiting.push(end);
        }
    }
  }
  return found;
}
