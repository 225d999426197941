/**
 * What each part does in its place, in a builder's words, read from nets and standing currents: nothing depends on what a
 * part is called.
 *
 * Law     A role is the first that fits: what a stage's current flows through (roles.ts), what lies at a grid, what joins two
 *         stages, what holds a rail or leaves one, what lies at the jacks; else what is across the part and through it.
 * Limits  Words say what the part does as solved, at nominal mains. A part that serves two ends is told by the first.
 */
import type { ExpandedPart, ExpandedTriode } from "../document/expanded.ts";
import { say } from "../limits/say.ts";
import { isReservoir, type Stage, stagesOf, voltsAcross } from "./roles.ts";
import type { SolvedDesign } from "./types.ts";

export interface PartRole {
  /** "cathode resistor of V1a". */
  readonly name: string;
  readonly does: string;
  /** The section that it belongs to, expanded id. */
  readonly triode?: string;
}

interface Board {
  readonly solved: SolvedDesign;
  readonly stages: readonly Stage[];
  readonly tied: ReadonlyMap<string, readonly ExpandedPart[]>;
}

type Two = { readonly a: string; readonly b: string };

/** The role of every part, by expanded id. */
export function partRoles(solved: SolvedDesign): ReadonlyMap<string, PartRole> {
  const tied = new Map<string, ExpandedPart[]>();
  for (const part of solved.expanded.parts)
    for (const net of new Set(Object.values<string>(part.written.pins)))
      tied.set(net, [...(tied.get(net) ?? []), part]);
  const board: Board = { solved, stages: stagesOf(solved), tied };
  return new Map(solved.expanded.parts.map((part) => [part.id, roleOf(board, part)]));
}

function roleOf(board: Board, part: ExpandedPart): PartRole {
  const { electrical: e, written } = part;
  switch (e.kind) {
    case "triode": {
      const stage = board.stages.find((one) => one.triode.id === part.id);
      return stage === undefined ? followerDevice(board, part) : tubeRole(board, stage);
    }
    case "resistor":
      return resistorRole(board, part, e);
    case "capacitor":
      return capacitorRole(board, part, e);
    case "potentiometer":
      return potRole(board, part, e);
    case "jack":
      return e.role === "input"
        ? { name: "input jack", does: "The signal comes in here, from the source that the targets name." }
        : { name: "output jack", does: "What leaves here drives the cable and the load that the targets name." };
    case "current-sink": {
      const stage = board.stages.find((one) => footOf(board, one) === e.from);
      const volts = -voltsAcross(board.solved, e.to, e.from);
      const heat = `It holds ${say(e.amps, "A")} at ${say(volts, "V")} and turns ${say(volts * e.amps, "W")} into heat.`;
      return stage === undefined
        ? { name: "current sink", does: heat }
        : {
            ...of("current sink below", stage.triode),
            does: `${heat} To signals it is open: the tube drives only its load.`,
          };
    }
    case "inductor":
      return { name: "choke", does: through(board, part, e) };
    case "switch":
      return { name: "switch", does: written.kind === "switch" && written.closed ? "It is closed." : "It is open." };
    case "diode":
      return written.kind === "regulator"
        ? {
            name: "regulator",
            does: `Holds the net above it at ${say(Math.abs(voltsAcross(board.solved, e.anode, e.cathode)), "V")}.`,
          }
        : { name: "diode", does: "Conducts one way." };
    default:
      return { name: part.kind, does: "" };
  }
}

const of = (what: string, triode: ExpandedTriode): { readonly name: string; readonly triode: string } => ({
  name: `${what} ${triode.part}`,
  triode: triode.id,
});

const ohmsOf = (part: ExpandedPart): number =>
  part.electrical.kind === "resistor" ? part.electrical.ohms : Number.NaN;

const ampsOf = (board: Board, part: ExpandedPart, { a, b }: Two): number =>
  Math.abs(voltsAcross(board.solved, a, b)) / ohmsOf(part);

function tubeRole({ solved }: Board, { triode, role }: Stage): PartRole {
  const bias = solved.bias.triodes.get(triode.id);
  if (bias === undefined) return { name: role === "gain" ? "gain stage" : "follower", does: "", triode: triode.id };
  const standing = `${say(bias.plateAmps, "A")} at ${say(bias.plateVolts, "V")} from plate to cathode, grid at ${say(bias.gridVolts, "V")}`;
  const slopes = `mu ${bias.mu.toFixed(1)}, ${say(1e3 * bias.siemens, "")}mA/V, rp ${say(bias.plateOhms, "Ω")}`;
  return role === "gain"
    ? {
        name: "gain stage",
        triode: triode.id,
        does: `Makes the grid's volts larger and turns them over. ${standing}; ${slopes}.`,
      }
    : {
        name: "cathode follower",
        triode: triode.id,
        does: `Its cathode repeats what the grid does, nearly as large, and drives what follows. ${standing}; ${slopes}.`,
      };
}

function followerDevice({ solved }: Board, { id }: ExpandedPart): PartRole {
  const bias = solved.bias.triodes.get(id);
  const standing = bias === undefined ? "" : ` ${say(bias.plateAmps, "A")} at ${say(bias.plateVolts, "V")}.`;
  return { name: "source follower", does: `Its source repeats what the gate does.${standing}` };
}

/** Where the chain of resistors below a cathode ends. */
function footOf({ solved }: Board, { triode, cathodeResistors }: Stage): string {
  let net = triode.cathode;
  for (const id of cathodeResistors) {
    const e = solved.expanded.parts.find((part) => part.id === id)?.electrical;
    if (e?.kind === "resistor") net = e.a === net ? e.b : e.a;
  }
  return net;
}

/** The net that a grid is fed from: behind its stopper where it has one. */
function feedOf({ tied }: Board, { grid, id }: ExpandedTriode): { readonly net: string; readonly stopper?: string } {
  const others = (tied.get(grid) ?? []).filter((part) => part.id !== id);
  const [only] = others;
  if (others.length !== 1 || only?.electrical.kind !== "resistor") return { net: grid };
  const { a, b } = only.electrical;
  const other = a === grid ? b : a;
  return other === "0" ? { net: grid } : { net: other, stopper: only.id };
}

function resistorRole(board: Board, part: ExpandedPart, e: Two): PartRole {
  return (
    inStage(board, part, e) ??
    atGrid(board, part, e) ??
    onRail(board, part, e) ??
    atOutput(board, part, e) ?? { name: "resistor", does: through(board, part, e) }
  );
}

function inStage(board: Board, part: ExpandedPart, e: Two): PartRole | undefined {
  const drop = say(Math.abs(voltsAcross(board.solved, e.a, e.b)), "V");
  const amps = say(ampsOf(board, part, e), "A");
  for (const stage of board.stages) {
    const { triode, role, cathodeResistors, plateLoad } = stage;
    if (plateLoad === part.id)
      return {
        ...of("plate load of", triode),
        does: `Turns the current of ${triode.part} into volts: ${amps} leave ${drop} in it. Larger: more gain, a lower plate, less current.`,
      };
    const at = cathodeResistors.indexOf(part.id);
    if (at < 0) continue;
    if (role === "gain") {
      const isBypassed = (board.tied.get(triode.cathode) ?? []).some((one) =>
        isAcross(one, triode.cathode, "0", "capacitor"),
      );
      const signal = isBypassed
        ? "For signals its capacitor stands across it."
        : "Nothing bypasses it, so it also takes gain and evens out the tube.";
      return {
        ...of("cathode resistor of", triode),
        does: `${amps} lift the cathode by ${drop}, and that is the bias. Larger: less current, a colder bias. ${signal}`,
      };
    }
    if (at === cathodeResistors.length - 1 && footOf(board, stage) === "0")
      return {
        ...of("tail of", triode),
        does: `Carries the ${amps} of ${triode.part} to ground at ${drop}, and takes part of its signal. Larger: less current, an easier load.`,
      };
    return {
      ...of("bias resistor of", triode),
      does: `The ${drop} across it are the bias of ${triode.part}: its grid leak is tied below it. Larger: less current.`,
    };
  }
  return undefined;
}

const isAcross = ({ electrical: e }: ExpandedPart, a: string, b: string, kind: "capacitor" | "resistor"): boolean =>
  e.kind === kind && ((e.a === a && e.b === b) || (e.a === b && e.b === a));

function atGrid(board: Board, part: ExpandedPart, e: Two): PartRole | undefined {
  for (const stage of board.stages) {
    const { triode } = stage;
    const { net, stopper } = feedOf(board, triode);
    if (stopper === part.id)
      return {
        ...of("grid stopper of", triode),
        does: "At the pin of the grid: with the tube's capacitance it stops what would oscillate far above hearing. It carries no dc.",
      };
    if (e.a !== net && e.b !== net) continue;
    const other = e.a === net ? e.b : e.a;
    const isInChain = other === "0" || other === footOf(board, stage) || chainNets(board, stage).includes(other);
    if (isInChain)
      return {
        ...of("grid leak of", triode),
        does:
          other === "0"
            ? `Holds the grid of ${triode.part} at ground for dc, also when the wiper before it lifts.`
            : `Gives the grid of ${triode.part} its dc from the tap of the cathode's resistors; the cathode follows, so to signals it looks far larger than it is.`,
      };
  }
  return undefined;
}

/** Nets between the resistors below a cathode. */
function chainNets({ solved }: Board, { triode, cathodeResistors }: Stage): readonly string[] {
  const nets: string[] = [];
  let net = triode.cathode;
  for (const id of cathodeResistors) {
    const e = solved.expanded.parts.find((part) => part.id === id)?.electrical;
    if (e?.kind !== "resistor") break;
    net = e.a === net ? e.b : e.a;
    if (net !== "0") nets.push(net);
  }
  return nets;
}

const heaterReferences = ({ solved }: Board): readonly string[] =>
  (solved.document.supply?.transformer.heaters ?? []).map(({ reference }) => reference).filter((net) => net !== "0");

function onRail(board: Board, part: ExpandedPart, e: Two): PartRole | undefined {
  const { solved } = board;
  const drop = say(Math.abs(voltsAcross(solved, e.a, e.b)), "V");
  const amps = say(ampsOf(board, part, e), "A");
  const lifted = heaterReferences(board).find((net) => e.a === net || e.b === net);
  if (lifted !== undefined) {
    const half = e.a === "0" || e.b === "0" ? "lower" : "upper";
    return {
      name: `heater lift, ${half} half`,
      does: `Half of the divider that lifts the heaters to ${say(solved.bias.netVolts.get(lifted) ?? 0, "V")}, near the cathodes that stand high; ${amps} also drain the rail.`,
    };
  }
  const [one, other] = [isReservoir(solved, e.a), isReservoir(solved, e.b)];
  if (one && other)
    return {
      name: "dropper",
      does: `Drops ${drop} at ${amps} between two reservoirs, and filters with the second. Larger: less ripple, a lower rail behind it.`,
    };
  if ((one && e.b === "0") || (other && e.a === "0"))
    return { name: "bleeder", does: `Drains the reservoir after switch-off; ${amps} at ${drop} all the time.` };
  return undefined;
}

/** Between the last cathode or plate and the output, or from there to ground. */
function atOutput(board: Board, part: ExpandedPart, e: Two): PartRole | undefined {
  const { solved, stages, tied } = board;
  const dc = Math.abs(voltsAcross(solved, e.a, e.b));
  for (const { triode, role } of stages) {
    const leaves = role === "gain" ? triode.plate : triode.cathode;
    if (e.a !== leaves && e.b !== leaves) continue;
    const beyond = e.a === leaves ? e.b : e.a;
    if (beyond !== "0" && (tied.get(beyond) ?? []).some(({ electrical }) => electrical.kind === "capacitor"))
      return {
        ...of("series resistor behind", triode),
        does: "Parts the stage from the capacitance of cable and load, so that it stays quiet. It adds to the output impedance.",
      };
  }
  const hot = e.b === "0" ? e.a : e.a === "0" ? e.b : undefined;
  const blocked = hot !== undefined && (tied.get(hot) ?? []).some(({ electrical }) => electrical.kind === "capacitor");
  if (blocked && dc < 1)
    return {
      name: "bleed of the coupling capacitor",
      does: "Holds the far side of the capacitor at ground, so that nothing thumps when something is plugged in.",
    };
  return undefined;
}

const through = (board: Board, part: ExpandedPart, e: Two): string => {
  const drop = Math.abs(voltsAcross(board.solved, e.a, e.b));
  const amps = part.electrical.kind === "resistor" ? ` and carries ${say(drop / ohmsOf(part), "A")}` : "";
  return `It has ${say(drop, "V")} across it${amps}.`;
};

function capacitorRole(board: Board, part: ExpandedPart, e: Two): PartRole {
  const { solved, stages } = board;
  const volts = say(Math.abs(voltsAcross(solved, e.a, e.b)), "V");
  const toGround = e.b === "0" ? e.a : e.a === "0" ? e.b : undefined;
  if (part.id === solved.document.supply?.rectifier.firstCapacitor)
    return {
      name: "first capacitor",
      does: `What the rectifier charges, to ${volts}. Larger: less ripple, larger peaks through the rectifier.`,
    };
  if (toGround !== undefined) {
    const stage = stages.find(({ triode }) => triode.cathode === toGround);
    if (stage !== undefined)
      return {
        ...of("cathode bypass of", stage.triode),
        does: `Holds the cathode still for signals: full gain, no help from the cathode resistor. It stands at ${volts}.`,
      };
    if (heaterReferences(board).includes(toGround))
      return { name: "heater lift capacitor", does: `Keeps what lifts the heaters quiet, at ${volts}.` };
    if (isReservoir(solved, toGround))
      return {
        name: "reservoir",
        does: `Feeds the signal's current from close by and takes ripple to ground, at ${volts}.`,
      };
  }
  for (const { triode } of stages) {
    const { net } = feedOf(board, triode);
    if (toGround === undefined && (e.a === net || e.b === net))
      return {
        ...of("coupling into", triode),
        does: `Passes the signal to the grid of ${triode.part} and keeps ${volts} of dc away from it.`,
      };
  }
  if (toGround === undefined)
    return {
      name: "coupling to the output",
      does: `Passes the signal and keeps ${volts} of dc inside. Larger: deeper bass.`,
    };
  return { name: "capacitor to ground", does: `It stands at ${volts}.` };
}

function potRole({ solved }: Board, part: ExpandedPart, e: { readonly top: string; readonly wiper: string }): PartRole {
  const channel = solved.expanded.channels.find((one) => one.instance === part.instance);
  if (channel?.inputNet === e.top)
    return {
      name: "drive control",
      does: "Before the tubes: it sets how hard they are driven, and with that how much second harmonic they make.",
    };
  if (channel?.outputNet === e.wiper)
    return {
      name: "level control",
      does: "Behind the tubes: it sets how loud it is, and leaves the character as it is.",
    };
  return { name: "control", does: "Divides the signal." };
}
