/**
 * Trial values from the network seen at its tubes: no circuit is factored and no harmonic is solved.
 *
 * Method  The network with the tubes out, seen once at dc and once at the reference frequency from tubes, variable
 *         resistors and supply; a trial changes it by low rank (engine: editSeen). Bias by Newton on the tubes' currents,
 *         the supply as its tangent; then the levels on a period of a network without reactances (solveMemoryless).
 * Limits  Triodes only, and what turns phases at the reference frequency is left out; the other channels stand still.
 *         search.ts asks whether that is true enough of a design, and solves whole what it chooses.
 */
import {
  assert,
  editSeen,
  luFactor,
  luSolve,
  type Memoryless,
  type MemorylessAnswer,
  type MemorylessWork,
  memorylessWork,
  type NetworkSeen,
  ONSET_AMPS,
  seeNetwork,
  solveMemoryless,
  type Terminal,
  type TerminalEdit,
} from "@platewright/engine";
import { REFERENCE_HERTZ } from "../solved/channel.ts";
import type { LevelPoint } from "../solved/types.ts";
import { currentDistance, voicingDistance } from "./goal.ts";
import { type TubeCycle, type Standing, strainFrom, strainLimits } from "./strain.ts";
import {
  askedOf,
  type ChannelAsked,
  costOf,
  supplyOf,
  TANGENT_PASSES,
  TANGENT_SHARE,
  type Tangent,
  type Trial,
  type TrialAsk,
  type TrialSupply,
  type Try,
  worse,
} from "./trials.ts";

/** H2 at the lowest level may be told wrong by this share, and by this ratio to the fundamental (-100 dB). */
const FALSE_SHARE = 0.003;
const FALSE_RATIO = 1e-5;

interface Tube {
  readonly id: string;
  readonly instance: string;
  readonly evaluate: Memoryless["devices"][number]["evaluate"];
  readonly conductsGrid: boolean;
}

interface QuickChannel extends ChannelAsked {
  readonly seen: NetworkSeen;
  /** Terminal of the output; indices of its tubes. */
  readonly outputTerminal: number;
  readonly tubes: readonly number[];
  /** Its levels, the one that decided last first. */
  readonly order: ChannelAsked["levels"][number][];
  readonly work: MemorylessWork;
  /** By level: samples of the trial before, and the standing currents under them. */
  readonly kept: Map<number, { readonly samples: Float64Array; readonly amps: Float64Array }>;
}

interface Quick {
  readonly tubes: readonly Tube[];
  readonly seen: NetworkSeen;
  /** Variable resistor id → its terminal and fitted ohms. */
  readonly resistors: ReadonlyMap<string, { readonly terminal: number; readonly ohms: number }>;
  readonly supply: (TrialSupply & { readonly terminal: number }) | null;
}

export interface QuickTrials {
  readonly attempt: Try;
  /** Onsets of grid current with these values, by triode, V rms at the jack; Infinity: not below `upToVolts`. */
  readonly onsets: (values: ReadonlyMap<string, number>, upToVolts: number) => ReadonlyMap<string, number>;
}

/**
 * Opens trials of these parts; undefined when something of the design cannot be tried this way. `unchanged` has to hold at
 * least one level.
 */
export function openQuickTrials(ask: TrialAsk, partIds: readonly string[]): QuickTrials | undefined {
  const { unchanged, goal, document } = ask;
  const { circuit } = unchanged;
  const tubes: Tube[] = [];
  const terminals: Terminal[] = [];
  for (const device of circuit.devices) {
    const triode = unchanged.expanded.triodes.find((one) => one.id === device.id);
    if (device.kind !== "triode" || triode === undefined) return undefined;
    const net = (index: number) => circuit.map.nets[index] ?? "0";
    tubes.push({
      id: device.id,
      instance: triode.instance,
      evaluate: device.evaluate,
      conductsGrid: device.conductsGrid,
    });
    terminals.push({ plus: net(device.plate), minus: net(device.cathode) });
    terminals.push({ plus: net(device.grid), minus: net(device.cathode) });
  }
  const own = terminals.length;
  const changed: Terminal[] = [];
  const resistors = new Map<string, { terminal: number; ohms: number }>();
  for (const instance of ask.instances)
    for (const partId of partIds) {
      const part = circuit.parts.find((one) => one.id === `${instance}.${partId}`);
      if (part?.kind !== "resistor") return undefined;
      resistors.set(part.id, { terminal: own + 1 + changed.length, ohms: part.ohms });
      changed.push({ plus: part.a, minus: part.b });
    }
  const feeding = supplyOf(ask);
  if (feeding === undefined) return undefined;
  // Tubes, then what else is read (the supply's output at dc, the channel's at the reference frequency), then what changes.
  const withRead = (net: string): readonly Terminal[] => [...terminals, { plus: net, minus: "0" }, ...changed];
  const supply = feeding === null ? null : { ...feeding, terminal: own };
  const dc = seeNetwork(circuit, withRead(supply?.output ?? unchanged.channels[0]?.outputNet ?? "0"), "dc");
  if (!dc.ok) return undefined;
  const channels: QuickChannel[] = [];
  for (const channel of unchanged.channels) {
    const twin = channel.sameAs;
    if (twin !== undefined && ask.instances.includes(twin) === ask.instances.includes(channel.instance)) continue;
    const asked = askedOf(ask, channel);
    if (asked === undefined) return undefined;
    const seen = seeNetwork(circuit, withRead(asked.output), {
      source: asked.source,
      hertz: REFERENCE_HERTZ,
    });
    if (!seen.ok) return undefined;
    const mine = tubes.flatMap((tube, d) => (tube.instance === channel.instance ? [d] : []));
    channels.push({
      ...asked,
      seen: seen.value,
      outputTerminal: own,
      tubes: mine,
      order: [...asked.levels],
      work: memorylessWork(mine.length),
      kept: new Map(),
    });
  }
  const settle = openStanding({ tubes, seen: dc.value, resistors, supply }, unchanged.bias.unknowns);
  const limits = strainLimits(unchanged.expanded, ask.catalogue, ask.triodes);
  const sameAs = new Map(unchanged.channels.map((one) => [one.instance, one.sameAs] as const));
  const largest = document.targets.largestInputVolts;
  const solveAt = (channel: QuickChannel, problem: Memoryless, inputVolts: number): MemorylessAnswer | undefined => {
    const peak = (inputVolts * Math.SQRT2) / channel.jackShare;
    const answer = solveMemoryless(problem, peak, moved(channel.kept.get(inputVolts), problem.amps), channel.work);
    if (answer !== undefined) channel.kept.set(inputVolts, { samples: answer.samples, amps: problem.amps });
    return answer;
  };
  const atRest = settle([]);
  if (atRest === undefined) return undefined;
  for (const channel of channels) {
    const problem = memorylessOf(channel, tubes, atRest, []);
    const known = unchanged.channels.find((one) => one.instance === channel.instance)?.levels[0];
    if (problem === undefined || known === undefined) return undefined;
    const told = solveAt(channel, problem, known.inputVolts);
    if (told === undefined || !trueEnough(known, told.second)) return undefined;
  }
  const failed: Trial = {
    distanceDecibels: Infinity,
    strain: Infinity,
    worstStrain: null,
    cost: Infinity,
    whole: true,
  };

  const editsOf = (values: ReadonlyMap<string, number>): readonly TerminalEdit[] =>
    ask.instances.flatMap((instance) =>
      [...values].flatMap(([partId, ohms]) => {
        const fitted = resistors.get(`${instance}.${partId}`);
        assert(fitted !== undefined, `quick trials: ${partId} was not opened`);
        return { terminal: fitted.terminal, siemens: 1 / ohms - 1 / fitted.ohms, amps: 0 };
      }),
    );

  const attempt: Try = (values, atMost) => {
    const edits = editsOf(values);
    const standing = settle(edits);
    if (standing === undefined) return failed;
    const cycles = new Map<string, TubeCycle>();
    const strainNow = () =>
      strainFrom(
        limits,
        standing,
        (instance, id, part) => cycles.get(id) ?? cycles.get(`${sameAs.get(instance)}.${part}`),
      );
    let strain = strainNow();
    let distanceDecibels = 0;
    const soFar = (whole: boolean): Trial => ({
      distanceDecibels,
      strain: strain.amount,
      worstStrain: strain.worst,
      cost: costOf(strain.amount, distanceDecibels),
      whole,
    });
    if (goal.kind === "keep-current")
      for (const { instance } of channels)
        distanceDecibels = worse(
          distanceDecibels,
          currentDistance(ask.proven.bias, standing, unchanged.expanded, instance),
        );
    for (const channel of channels) {
      if (costOf(strain.amount, distanceDecibels) >= atMost) return soFar(false);
      const problem = memorylessOf(channel, tubes, standing, edits);
      if (problem === undefined) return failed;
      for (const [n, level] of channel.order.entries()) {
        const answer = solveAt(channel, problem, level.inputVolts);
        if (answer === undefined) return failed;
        if (level.wanted !== undefined)
          distanceDecibels = worse(distanceDecibels, voicingDistance(level.wanted, answer.second));
        if (level.inputVolts === largest)
          for (const [k, d] of channel.tubes.entries())
            cycles.set((tubes[d] as Tube).id, answer.triodes[k] as TubeCycle);
        if (level.inputVolts === largest) strain = strainNow();
        if (!(costOf(strain.amount, distanceDecibels) >= atMost)) continue;
        // What decided this time decides most often the next time too.
        channel.order.splice(n, 1);
        channel.order.unshift(level);
        if (n + 1 === channel.order.length) break;
        return soFar(false);
      }
    }
    return soFar(true);
  };

  const onsets: QuickTrials["onsets"] = (values, upToVolts) => {
    const edits = editsOf(values);
    const standing = settle(edits);
    const found = new Map<string, number>();
    for (const channel of standing === undefined ? [] : channels) {
      const problem = standing === undefined ? undefined : memorylessOf(channel, tubes, standing, edits);
      if (problem === undefined) continue;
      for (const [k, d] of channel.tubes.entries()) {
        const onset = onsetOf(
          (inputVolts) => solveAt(channel, problem, inputVolts)?.triodes[k]?.meanGridAmps,
          largest,
          upToVolts,
        );
        if (onset !== undefined) found.set((tubes[d] as Tube).id, onset);
      }
    }
    return found;
  };
  return { attempt, onsets };
}

/** Level at which a grid draws its onset current, to a share of 1e-3 or so; Infinity: not below `upToVolts`. */
function onsetOf(
  gridAmps: (inputVolts: number) => number | undefined,
  largest: number,
  upToVolts: number,
): number | undefined {
  const missAt = (inputVolts: number) => Math.log(Math.max(1e-30, gridAmps(inputVolts) ?? Number.NaN) / ONSET_AMPS);
  let low = 0;
  let lowMiss = Math.log(1e-30 / ONSET_AMPS);
  let high = largest;
  let highMiss = missAt(largest);
  if (highMiss < 0) {
    low = largest;
    lowMiss = highMiss;
    high = upToVolts;
    highMiss = missAt(upToVolts);
    if (highMiss < 0) return Infinity;
  }
  for (let tries = 0; tries < 20; tries++) {
    // False position whose stale end counts half each time it stays.
    const share = tries % 5 === 4 ? 0.5 : Math.min(0.95, Math.max(0.05, -lowMiss / (highMiss - lowMiss)));
    const level = low + share * (high - low);
    const miss = missAt(level);
    if (Number.isNaN(miss)) return undefined;
    if (Math.abs(miss) < 0.02 || high - low < 1e-3 * high) return level;
    if (miss < 0) {
      low = level;
      lowMiss = miss;
      highMiss /= 2;
    } else {
      high = level;
      highMiss = miss;
      lowMiss /= 2;
    }
  }
  return undefined;
}

/** May H2 of the unchanged design be told so? Reactances that turn phases, a small bypass for one, would show here. */
function trueEnough({ ratios, signs }: LevelPoint, second: number): boolean {
  const solved = (ratios[0] ?? Number.NaN) * (signs[0] ?? 1);
  return Math.abs(second - solved) <= FALSE_SHARE * Math.abs(solved) + FALSE_RATIO;
}

/** Samples of an earlier trial with every current moved by as much as its standing value has moved. */
function moved(
  before: { readonly samples: Float64Array; readonly amps: Float64Array } | undefined,
  amps: Float64Array,
): Float64Array | undefined {
  if (before === undefined) return undefined;
  const rows = before.samples.length / amps.length;
  const by = amps.map((now, q) => now - (before.amps[q] as number));
  return before.samples.map((x, i) => x + (by[Math.floor(i / rows)] as number));
}

/** Terminal of control c of a tube: controls run grid, plate; terminals plate, grid. */
const terminalOf = (tube: number, control: number): number => 2 * tube + 1 - control;

function memorylessOf(
  channel: QuickChannel,
  tubes: readonly Tube[],
  standing: Settled,
  edits: readonly TerminalEdit[],
): Memoryless | undefined {
  const swing = editSeen(channel.seen, edits, channel.outputTerminal + 1);
  if (swing === undefined) return undefined;
  const own = channel.tubes;
  const Q = 2 * own.length;
  const direct = new Float64Array(Q * Q);
  const alternating = new Float64Array(Q * Q);
  const volts = new Float64Array(Q);
  const amps = new Float64Array(Q);
  const drive = new Float64Array(Q);
  const outputOhms = new Float64Array(Q);
  for (const [k, d] of own.entries())
    for (let i = 0; i < 2; i++) {
      const c = 2 * k + i;
      const row = terminalOf(d, i);
      volts[c] = standing.volts[2 * d + i] as number;
      amps[c] = standing.amps[2 * d + i] as number;
      drive[c] = swing.open[row] as number;
      outputOhms[c] = swing.impedance[channel.outputTerminal * swing.count + 2 * d + i] as number;
      for (const [l, e] of own.entries())
        for (let j = 0; j < 2; j++) {
          direct[c * Q + 2 * l + j] = standing.seen.impedance[row * standing.seen.count + 2 * e + j] as number;
          alternating[c * Q + 2 * l + j] = swing.impedance[row * swing.count + 2 * e + j] as number;
        }
    }
  return {
    devices: own.map((d) => tubes[d] as Tube),
    volts,
    amps,
    direct,
    alternating,
    drive,
    outputDrive: swing.open[channel.outputTerminal] as number,
    outputOhms,
  };
}

interface Settled extends Standing {
  readonly seen: NetworkSeen;
  /** Currents [2d] plate, [2d + 1] grid; controls [2d] grid, [2d + 1] plate. */
  readonly amps: Float64Array;
  readonly volts: Float64Array;
}

/** Standing currents with terminals edited, supply joined; undefined where they do not settle. */
function openStanding(quick: Quick, unknowns: Float64Array): (edits: readonly TerminalEdit[]) => Settled | undefined {
  const { tubes, seen, supply } = quick;
  let start = unknowns;
  let tangent: Tangent | undefined = supply?.standing;
  return (edits) => {
    for (let pass = 0; pass < TANGENT_PASSES; pass++) {
      const all = supply === null || tangent === undefined ? edits : [...edits, tangentEdit(supply, tangent)];
      const edited = editSeen(seen, all, 2 * tubes.length + 1);
      const settled = edited === undefined ? undefined : newton(tubes, edited, start);
      if (settled === undefined) return undefined;
      start = settled.amps;
      if (supply === null || tangent === undefined) return settled;
      const sourceVolts = tangent.volts + tangent.slopeOhms * tangent.loadAmps;
      let at = settled.seen.open[supply.terminal] as number;
      for (let q = 0; q < 2 * tubes.length; q++)
        at -=
          (settled.seen.impedance[supply.terminal * settled.seen.count + q] as number) * (settled.amps[q] as number);
      const drawn = (sourceVolts - at) / tangent.slopeOhms;
      if (Math.abs(drawn - tangent.loadAmps) <= TANGENT_SHARE * tangent.loadAmps) return settled;
      tangent = supply.at(Math.max(drawn, 1e-6), tangent);
      if (tangent === undefined) {
        tangent = supply.standing;
        return undefined;
      }
    }
    return undefined;
  };
}

/** From the tangent that stands in the circuit to another one. */
function tangentEdit({ terminal, standing }: TrialSupply & { readonly terminal: number }, now: Tangent): TerminalEdit {
  const amps = (one: Tangent) => one.volts / one.slopeOhms + one.loadAmps;
  return { terminal, siemens: 1 / now.slopeOhms - 1 / standing.slopeOhms, amps: amps(now) - amps(standing) };
}

/** As the engine's bias settles. */
const SETTLED_AMPS = 1e-11;
const SETTLED_FRACTION = 1e-8;
const STEPS = 40;
const GRID_STEP_VOLTS = 2;

function newton(tubes: readonly Tube[], seen: NetworkSeen, start: Float64Array): Settled | undefined {
  const Q = 2 * tubes.length;
  const amps = Float64Array.from(start);
  const volts = new Float64Array(Q);
  const law = new Float64Array(Q);
  const slopes = new Float64Array(2 * Q);
  const jacobian = new Float64Array(Q * Q);
  const pivots = new Int32Array(Q);
  const step = new Float64Array(Q);
  const out = new Float64Array(6);
  const { open, impedance, count } = seen;
  for (let pass = 0; pass < STEPS; pass++) {
    let settled = true;
    for (const [d, tube] of tubes.entries()) {
      for (let i = 0; i < 2; i++) {
        const row = terminalOf(d, i);
        let v = open[row] as number;
        for (let q = 0; q < Q; q++) v -= (impedance[row * count + q] as number) * (amps[q] as number);
        volts[2 * d + i] = v;
      }
      tube.evaluate(volts[2 * d] as number, volts[2 * d + 1] as number, out);
      for (let i = 0; i < 2; i++) {
        const q = 2 * d + i;
        law[q] = out[3 * i] as number;
        slopes[2 * q] = out[3 * i + 1] as number;
        slopes[2 * q + 1] = out[3 * i + 2] as number;
        const miss = (law[q] as number) - (amps[q] as number);
        step[q] = miss;
        if (!(Math.abs(miss) <= SETTLED_AMPS + SETTLED_FRACTION * Math.abs(amps[q] as number))) settled = false;
      }
    }
    if (settled) return { seen, amps, volts, triodes: standingOf(tubes, amps, volts) };
    for (let p = 0; p < Q; p++) {
      const d = p >> 1;
      const grid = terminalOf(d, 0) * count;
      const plate = terminalOf(d, 1) * count;
      for (let q = 0; q < Q; q++)
        jacobian[p * Q + q] =
          (slopes[2 * p] as number) * (impedance[grid + q] as number) +
          (slopes[2 * p + 1] as number) * (impedance[plate + q] as number) +
          (p === q ? 1 : 0);
    }
    if (!luFactor(jacobian, Q, pivots)) return undefined;
    luSolve(jacobian, Q, pivots, step);
    let fraction = 1;
    for (let d = 0; d < tubes.length; d++) {
      const row = terminalOf(d, 0) * count;
      let move = 0;
      for (let q = 0; q < Q; q++) move += (impedance[row + q] as number) * (step[q] as number);
      if (Math.abs(move) * fraction > GRID_STEP_VOLTS) fraction = GRID_STEP_VOLTS / Math.abs(move);
    }
    for (let q = 0; q < Q; q++) amps[q] = (amps[q] as number) + fraction * (step[q] as number);
  }
  return undefined;
}

function standingOf(tubes: readonly Tube[], amps: Float64Array, volts: Float64Array): Standing["triodes"] {
  return new Map(
    tubes.map(({ id }, d) => {
      const plateAmps = amps[2 * d] as number;
      const plateVolts = volts[2 * d + 1] as number;
      return [id, { plateAmps, plateVolts, plateWatts: plateAmps * plateVolts }] as const;
    }),
  );
}
