/** What a channel is made of, read from its nets alone: rails, the signal's path, and who carries each tube's current. */
import { across, GROUND_NET, type Piece, tiesOf, type Wiring } from "./pieces.ts";

/** A capacitor of this size to ground makes a net a reservoir at signal frequencies; as the design room has it. */
const RESERVOIR_FARADS = 1e-6;

const CARRIES_CURRENT: ReadonlySet<string> = new Set([
  "resistor",
  "inductor",
  "switch",
  "current-sink",
  "diode",
  "regulator",
]);
const DROPS: ReadonlySet<string> = new Set(["resistor", "inductor", "switch"]);

export const pinNet = (piece: Piece, pin: string): string => piece.pins[pin] ?? GROUND_NET;

/** A capacitor that counts as a reservoir when it stands to ground. */
export const isLarge = ({ written, size }: Piece): boolean => written.kind === "capacitor" && size >= RESERVOIR_FARADS;

function isReservoir(wiring: Wiring, net: string): boolean {
  return tiesOf(wiring, net).some(({ piece }) => isLarge(piece) && across(piece, net) === GROUND_NET);
}

/** Nets that feed plates (reservoirs and nets from outside), and what droppers lead to from there. */
export function railsOf(wiring: Wiring): ReadonlySet<string> {
  const never = new Set([GROUND_NET]);
  for (const { written, pins } of wiring.pieces) {
    if (written.kind === "triode") for (const pin of ["grid", "cathode"]) never.add(pins[pin] ?? GROUND_NET);
    if (written.kind === "jack") never.add(pins["tip"] ?? GROUND_NET);
  }
  const stiff = (net: string) => !never.has(net) && (isReservoir(wiring, net) || wiring.outside.has(net));
  const rails = new Set<string>();
  const follow = (net: string, through: ReadonlySet<string>) => {
    for (const { piece } of tiesOf(wiring, net)) {
      const other = DROPS.has(piece.written.kind) ? across(piece, net) : undefined;
      if (other === undefined || through.has(other) || never.has(other)) continue;
      if (stiff(other)) add(other);
      else if (through.size < 4) follow(other, new Set([...through, other]));
    }
  };
  const add = (net: string) => {
    if (rails.has(net)) return;
    rails.add(net);
    follow(net, new Set([net]));
  };
  for (const piece of wiring.pieces) {
    if (piece.written.kind !== "triode") continue;
    const plate = pinNet(piece, "plate");
    if (stiff(plate)) add(plate);
    else follow(plate, new Set([plate]));
  }
  return rails;
}

/** One step of a path: through a piece, from a pin to a pin. */
export interface Step {
  readonly piece: Piece;
  readonly from: string;
  readonly to: string;
  readonly net: string;
}

interface Reached {
  readonly net: string;
  readonly cost: number;
  readonly steps: readonly Step[];
}

/** Cheapest ways from a net to all others (Dijkstra); `ways` says where one can go from a net, and what it costs. */
export function reach(
  start: string,
  ways: (net: string) => readonly (Step & { readonly cost: number })[],
): ReadonlyMap<string, Reached> {
  const open = new Map<string, Reached>([[start, { net: start, cost: 0, steps: [] }]]);
  const done = new Map<string, Reached>();
  for (;;) {
    let best: Reached | undefined;
    for (const one of open.values()) if (best === undefined || one.cost < best.cost) best = one;
    if (best === undefined) return done;
    open.delete(best.net);
    done.set(best.net, best);
    for (const { cost, ...step } of ways(best.net)) {
      if (done.has(step.net)) continue;
      const total = best.cost + cost;
      if (total >= (open.get(step.net)?.cost ?? Infinity)) continue;
      open.set(step.net, { net: step.net, cost: total, steps: [...best.steps, step] });
    }
  }
}

/** The way of the signal from the input jack to the output jack; undefined when there is none. */
export function signalPath(wiring: Wiring, rails: ReadonlySet<string>): readonly Step[] | undefined {
  const tips = (role: "input" | "output") =>
    wiring.pieces.find(({ written }) => written.kind === "jack" && written.role === role)?.pins["tip"];
  const [input, output] = [tips("input"), tips("output")];
  if (input === undefined || output === undefined || input === output) return undefined;
  const closed = (net: string) => net === GROUND_NET || rails.has(net);
  const found = reach(input, (net) =>
    tiesOf(wiring, net).flatMap(({ piece, pin }) => signalWays(piece, pin, rails).filter((step) => !closed(step.net))),
  );
  return found.get(output)?.steps;
}

function signalWays(piece: Piece, pin: string, rails: ReadonlySet<string>): readonly (Step & { cost: number })[] {
  const to = (other: string, cost: number) => [{ piece, from: pin, to: other, net: pinNet(piece, other), cost }];
  switch (piece.written.kind) {
    case "triode":
      if (pin === "grid") return to(rails.has(pinNet(piece, "plate")) ? "cathode" : "plate", 1);
      return pin === "cathode" && !rails.has(pinNet(piece, "plate")) ? to("plate", 5) : [];
    case "follower":
      return pin === "gate" ? to("source", 1) : [];
    case "potentiometer":
      return pin === "top" ? to("wiper", 2) : [];
    case "capacitor":
    case "resistor":
    case "inductor":
    case "switch": {
      const cost = piece.written.kind === "resistor" ? 3 : 2;
      return to(pin === "a" ? "b" : "a", cost);
    }
    default:
      return [];
  }
}

/** The pieces that carry a current from a net to the first of `ends`, first piece first; empty when there are none. */
export function currentChain(
  wiring: Wiring,
  net: string,
  ends: (net: string) => boolean,
  closed: (net: string) => boolean,
): readonly Step[] {
  const found = reach(net, (at) =>
    ends(at)
      ? []
      : tiesOf(wiring, at).flatMap(({ piece, pin }) => {
          const other = CARRIES_CURRENT.has(piece.written.kind) ? across(piece, at) : undefined;
          if (other === undefined || (closed(other) && !ends(other))) return [];
          const to = Object.keys(piece.pins).find((one) => one !== pin) ?? pin;
          return [{ piece, from: pin, to, net: other, cost: 1 }];
        }),
  );
  const best = [...found.values()]
    .filter((one) => one.steps.length > 0 && ends(one.net))
    .sort((a, b) => a.cost - b.cost);
  return best[0]?.steps ?? [];
}

/** The chain of a supply: from its first capacitor through droppers, chokes and followers to the last net. */
export function supplyPath(wiring: Wiring, start: string, dead: ReadonlySet<string>): readonly Step[] {
  const found = reach(start, (net) =>
    tiesOf(wiring, net).flatMap(({ piece, pin }): readonly (Step & { cost: number })[] => {
      const { kind } = piece.written;
      if (kind === "follower" && pin === "drain")
        return [{ piece, from: "drain", to: "source", net: pinNet(piece, "source"), cost: 1 }];
      const other = DROPS.has(kind) || (kind === "diode" && pin === "anode") ? across(piece, net) : undefined;
      if (other === undefined || other === GROUND_NET || dead.has(other) || divides(wiring, piece, other)) return [];
      const to = Object.keys(piece.pins).find((one) => one !== pin) ?? pin;
      return [{ piece, from: pin, to, net: other, cost: 1 }];
    }),
  );
  let best: Reached | undefined;
  const worth = (one: Reached) => one.steps.length + (wiring.outside.has(one.net) ? 0.5 : 0);
  for (const one of found.values()) if (best === undefined || worth(one) > worth(best)) best = one;
  return best?.steps ?? [];
}

/** A resistor above another to ground that is no larger makes a divider, not a dropper with its bleeder; a gate has its own. */
function divides(wiring: Wiring, upper: Piece, net: string): boolean {
  if (upper.written.kind !== "resistor") return false;
  return tiesOf(wiring, net).some(
    ({ piece, pin }) =>
      (piece.written.kind === "resistor" &&
        piece !== upper &&
        across(piece, net) === GROUND_NET &&
        piece.size <= upper.size) ||
      pin === "gate",
  );
}

/** Resistors that are the upper half of a divider, with the net below them: the one thing that sizes of resistors decide. */
export const dividers = (wiring: Wiring): readonly string[] =>
  wiring.pieces.flatMap((piece) =>
    Object.values(piece.pins).flatMap((net) => (divides(wiring, piece, net) ? [`${piece.id} ${net}`] : [])),
  );
