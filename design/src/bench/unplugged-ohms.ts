/**
 * What an ohmmeter should settle to between two points of the unplugged unit: no tube in its socket, every capacitor
 * charged by the meter, every control fully down.
 *
 * Method  Resistors, chokes, controls and closed switches as a resistive network; a volt behind a resistor on the asked
 *         net and the engine's bias of what hangs on it.
 * Limits  Diodes are left out: the meter's lead that makes them conduct reads less. Leakage of capacitors is not known.
 */
import { compile, fail, ohms, ok, type Part, type Result, sentence, solveBias, volts } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";

interface Resistance {
  readonly a: string;
  readonly b: string;
  readonly ohms: number;
}

/** A contact: closed switches, a wiper at its end. */
const CONTACT_OHMS = 1e-3;
const METER_OHMS = 1e4;

/** Resistances between nets with no tube fitted and every control fully down. */
function resistances({ parts }: Expanded): readonly Resistance[] {
  return parts.flatMap(({ electrical: e }): readonly Resistance[] => {
    switch (e.kind) {
      case "resistor":
        return [{ a: e.a, b: e.b, ohms: e.ohms }];
      case "inductor":
        return [{ a: e.a, b: e.b, ohms: e.seriesOhms }];
      case "switch":
        return e.closed ? [{ a: e.a, b: e.b, ohms: CONTACT_OHMS }] : [];
      case "potentiometer":
        return [
          { a: e.top, b: e.wiper, ohms: e.ohms },
          { a: e.wiper, b: e.bottom, ohms: CONTACT_OHMS },
        ];
      default:
        return [];
    }
  });
}

/**
 * Ohms from one net to another; Infinity where nothing joins them. The sentence says which net does not exist.
 */
export function unpluggedOhms(expanded: Expanded, from: string, to = "0"): Result<number, string> {
  for (const net of [from, to])
    if (net !== "0" && !expanded.nets.includes(net)) return fail(`There is no net ${net} in the unit.`);
  if (from === to) return ok(0);
  const all = resistances(expanded);
  const reached = reachedFrom(all, from);
  if (!reached.has(to)) return ok(Infinity);
  // Measured against `to`: it is the ground of this circuit.
  const named = (net: string): string => (net === to ? "0" : net === "0" ? "chassis" : net);
  const parts: Part[] = withoutDeadEnds(
    all.filter(({ a, b }) => reached.has(a) && reached.has(b) && a !== b),
    [from, to],
  ).map(({ a, b, ohms: value }, n) => ({
    kind: "resistor",
    id: `r${n}`,
    a: named(a),
    b: named(b),
    ohms: ohms(value),
  }));
  parts.push({
    kind: "dc-source",
    id: "meter",
    plus: named(from),
    minus: "0",
    volts: volts(1),
    seriesOhms: ohms(METER_OHMS),
  });
  const circuit = compile(parts);
  if (!circuit.ok) return fail(sentence(circuit.failure));
  const bias = solveBias(circuit.value);
  if (!bias.ok) return fail(sentence(bias.failure));
  const at = bias.value.netVolts.get(named(from)) ?? Number.NaN;
  return ok((METER_OHMS * at) / (1 - at));
}

/** Without what carries nothing between the two: parts that hang on a net alone. */
function withoutDeadEnds(all: readonly Resistance[], ends: readonly string[]): readonly Resistance[] {
  const pins = new Map<string, number>();
  for (const { a, b } of all) for (const net of [a, b]) pins.set(net, (pins.get(net) ?? 0) + 1);
  const loose = (net: string) => pins.get(net) === 1 && !ends.includes(net);
  const kept = all.filter(({ a, b }) => !loose(a) && !loose(b));
  return kept.length === all.length ? kept : withoutDeadEnds(kept, ends);
}

function reachedFrom(all: readonly Resistance[], from: string): ReadonlySet<string> {
  const reached = new Set([from]);
  let open = [from];
  while (open.length > 0) {
    const next: string[] = [];
    for (const { a, b } of all)
      for (const [one, other] of [
        [a, b],
        [b, a],
      ] as const)
        if (open.includes(one) && !reached.has(other)) {
          reached.add(other);
          next.push(other);
        }
    open = next;
  }
  return reached;
}
