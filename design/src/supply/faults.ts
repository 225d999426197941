/**
 * Single faults: one part shorted or open, the unit solved again, and what follows from it.
 *
 * Law     A short is 0.1 Ω across the part (10 Ω from plate to cathode), an open part a thousand gigohms in its place;
 *         everything else as it was, mains nominal, tubes hot. Nothing burns away during the solve: what is shown is what
 *         the parts would have to stand.
 * Limits  A first capacitor shorted leaves no steady state of the usual kind: the current is that of the winding through
 *         its own resistance and the rectifier, by quadrature over a half-cycle.
 */
import { type Catalogue, ohms, type Part, seriesCurrent } from "@platewright/engine";
import type { ExpandedPart } from "../document/expanded.ts";
import type { Document, Supply } from "../document/schema.ts";
import { isReservoir, stagesOf, voltsAcross } from "../solved/roles.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { fuseVerdict, type FuseVerdict, mainsAmps } from "./fuse.ts";
import { rectifierProblem } from "./rectifier-problem.ts";
import { conditionRow } from "./table.ts";

const SHORT_OHMS = 0.1;
const TUBE_SHORT_OHMS = 10;
const OPEN_OHMS = 1e12;
/** A part is said to burn where it takes this many times its rating. */
const BURNS = 1.5;

export interface Fault {
  /** "short/PS.C1", "open/L.R8", "heater-cathode/L.V1b", "plate-cathode/L.V1a". */
  readonly id: string;
  /** "C1 shorted". */
  readonly words: string;
  readonly where: string;
  readonly kind: "reservoir" | "coupling" | "output" | "tube" | "heater-cathode" | "bleeder" | "cathode";
  readonly change: (parts: readonly Part[]) => readonly Part[];
}

/** What to do about a fault of each kind. */
export const FAULT_ADVICE: { readonly [K in Fault["kind"]]: string } = {
  reservoir: "measure the capacitor out of circuit, fit one of the same rating, and look at the resistors ahead of it",
  coupling: "fit a film capacitor rated for the cold volts; the follower's bias goes with it",
  output: "keep its rating above the cold volts; nothing else stands between the cathode and the next unit",
  tube: "pull the tube; look at its plate and cathode resistors before a new one goes in",
  "heater-cathode": "pull the tube; the elevation and every other tube's heater go with its cathode",
  bleeder: "the charge stays for minutes: measure before touching; fit two resistors in parallel",
  cathode: "the cathode floats up to cut-off: the bypass and heater-cathode limits go with it",
};

export interface FaultAnswer {
  readonly fault: Fault;
  /** Parts past their rating, worst first: id, times its rating. */
  readonly burns: readonly { readonly part: string; readonly times: number; readonly unit: string }[];
  readonly mainsAmps: number;
  readonly fuse: FuseVerdict | "no fuse named";
  /** dc at each different channel's output net, volts; the largest in size. */
  readonly outputVolts: number;
  /** Set when the unit could not be solved with the fault in it. */
  readonly unsolved?: string;
}

const shorted =
  (a: string, b: string, across = SHORT_OHMS) =>
  (parts: readonly Part[]): readonly Part[] => [...parts, { kind: "resistor", id: "fault", a, b, ohms: ohms(across) }];

const opened =
  (id: string) =>
  (parts: readonly Part[]): readonly Part[] =>
    parts.map((part) => (part.id === id && part.kind === "resistor" ? { ...part, ohms: ohms(OPEN_OHMS) } : part));

/** The faults worth asking about, from the nets and standing currents; equal channels are asked once. */
export function faultsOf(solved: SolvedDesign): readonly Fault[] {
  const { expanded, document } = solved;
  const twins = new Set(expanded.equalTo.keys());
  const faults: Fault[] = [];
  const parts = expanded.parts.filter((part) => !twins.has(part.instance));
  for (const part of parts) {
    const { electrical: e } = part;
    if (e.kind === "capacitor") faults.push(...capacitorFaults(solved, part, e.a, e.b));
    if (e.kind === "resistor" && isBleeder(solved, e.a, e.b))
      faults.push({
        id: `open/${part.id}`,
        words: `${part.id} (bleeder) open`,
        where: part.id,
        kind: "bleeder",
        change: opened(part.id),
      });
  }
  for (const stage of stagesOf(solved).filter((one) => !twins.has(one.triode.instance))) {
    const { triode } = stage;
    faults.push({
      id: `plate-cathode/${triode.id}`,
      words: `${triode.id} shorted from plate to cathode`,
      where: triode.id,
      kind: "tube",
      change: shorted(triode.plate, triode.cathode, TUBE_SHORT_OHMS),
    });
    const winding = solved.heaters.find((one) => one.envelopes.some((tube) => tube.envelope === triode.envelope));
    const reference = document.supply?.transformer.heaters.find((one) => one.id === winding?.winding)?.reference;
    if (reference !== undefined && reference !== triode.cathode)
      faults.push({
        id: `heater-cathode/${triode.id}`,
        words: `${triode.id} shorted from heater to cathode`,
        where: triode.id,
        kind: "heater-cathode",
        change: shorted(triode.cathode, reference),
      });
    for (const id of stage.cathodeResistors)
      faults.push({
        id: `open/${id}`,
        words: `${id} (under ${triode.id}) open`,
        where: id,
        kind: "cathode",
        change: opened(id),
      });
  }
  return faults;
}

function capacitorFaults(solved: SolvedDesign, part: ExpandedPart, a: string, b: string): readonly Fault[] {
  const hot = Math.abs(voltsAcross(solved, a, b));
  const grounded = a === "0" || b === "0";
  const reservoir = isReservoir(solved, a === "0" ? b : a) && hot > RESERVOIR_VOLTS;
  if (grounded && !reservoir) return [];
  const outputs = new Set(solved.expanded.channels.map((one) => one.outputNet));
  const reaches = !grounded && [a, b].some((net) => outputs.has(net) || feedsOutput(solved, net, outputs));
  const kind = grounded ? "reservoir" : reaches ? "output" : "coupling";
  return [
    { id: `short/${part.id}`, words: `${part.id} (${kind}) shorted`, where: part.id, kind, change: shorted(a, b) },
  ];
}

/** Below this a capacitor to ground is no reservoir of the supply, but a bypass. */
const RESERVOIR_VOLTS = 20;

/** A potentiometer's track or a resistor stands between the net and the output. */
const feedsOutput = (solved: SolvedDesign, net: string, outputs: ReadonlySet<string>): boolean =>
  solved.expanded.parts.some(({ electrical: e }) => {
    if (e.kind === "potentiometer") return e.top === net && outputs.has(e.wiper);
    return e.kind === "resistor" && ((e.a === net && outputs.has(e.b)) || (e.b === net && outputs.has(e.a)));
  });

/** From a reservoir to ground, directly or as part of a divider that feeds nothing else. */
function isBleeder(solved: SolvedDesign, a: string, b: string): boolean {
  const cathodes = new Set(solved.expanded.triodes.map((one) => one.cathode));
  if (cathodes.has(a) || cathodes.has(b)) return false;
  const isHot = (net: string) =>
    net !== "0" && isReservoir(solved, net) && Math.abs(voltsAcross(solved, net, "0")) > RESERVOIR_VOLTS;
  /** Only resistors to ground and capacitors hang on it, but for one resistor from above. */
  const endsHere = (net: string) => {
    const on = solved.expanded.parts.filter((part) => Object.values<string>(part.written.pins).includes(net));
    const down = on.filter(({ electrical: e }) => e.kind === "resistor" && (e.a === "0" || e.b === "0"));
    const others = on.filter(
      ({ electrical: e }) => e.kind !== "capacitor" && !down.some((one) => one.electrical === e),
    );
    return down.length > 0 && others.length <= 1;
  };
  const goes = (from: string, to: string) => isHot(from) && (to === "0" || endsHere(to));
  return goes(a, b) || goes(b, a);
}

export function solveFault(document: Document, catalogue: Catalogue, nominal: SolvedDesign, fault: Fault): FaultAnswer {
  const { supply } = document;
  const fuseAmps = supply?.fuse?.amps;
  const verdict = (amps: number) => (fuseAmps === undefined ? "no fuse named" : fuseVerdict(fuseAmps, amps));
  if (supply !== undefined && fault.where === supply.rectifier.firstCapacitor)
    return shortedFirst(document, supply, catalogue, nominal, fault, verdict);
  const solved = solveDesign(document, catalogue, { fault: fault.change, detail: "bias", near: nominal });
  if (!solved.ok)
    return {
      fault,
      burns: [],
      mainsAmps: Number.NaN,
      fuse: verdict(Number.NaN),
      outputVolts: Number.NaN,
      unsolved: solved.failure.sentence,
    };
  const row = conditionRow(document, solved.value, { catalogue });
  const twins = new Set(solved.value.expanded.equalTo.keys());
  const burns: { part: string; times: number; unit: string }[] = Object.entries(row.parts)
    // The open part itself carries nothing; a twin of another channel says nothing new.
    .filter(
      ([part, { fraction }]) =>
        fraction > BURNS && part !== fault.where && !twins.has(part.slice(0, part.indexOf("."))),
    )
    .map(([part, reading]) => ({ part, times: reading.fraction, unit: reading.unit }));
  burns.push(...acrossInsulation(solved.value, catalogue));
  const drawn = supply === undefined ? Number.NaN : mainsAmps(solved.value, supply);
  return {
    fault,
    burns: burns.sort((x, y) => y.times - x.times),
    mainsAmps: drawn,
    fuse: verdict(drawn),
    outputVolts: solved.value.expanded.channels
      .map((channel) => solved.value.bias.netVolts.get(channel.outputNet) ?? 0)
      .reduce((worst, volts) => (Math.abs(volts) > Math.abs(worst) ? volts : worst), 0),
  };
}

/** Heaters and cathodes further apart than their insulation is rated for. */
function acrossInsulation(solved: SolvedDesign, catalogue: Catalogue): FaultAnswer["burns"] {
  const twins = new Set(solved.expanded.equalTo.keys());
  return solved.expanded.triodes.flatMap((triode) => {
    if (twins.has(triode.instance)) return [];
    const heater = solved.heaters.find((one) => one.envelopes.some((tube) => tube.envelope === triode.envelope));
    const apart = (solved.bias.netVolts.get(triode.cathode) ?? 0) - (heater?.referenceVolts ?? 0);
    const names =
      apart > 0
        ? (["cathodePositiveDcVolts", "cathodePositivePeakVolts"] as const)
        : (["cathodeNegativeDcVolts", "cathodeNegativePeakVolts"] as const);
    const limit = names
      .map((name) => catalogue.limit(triode.type, name, triode.variant)?.value)
      .find((one) => one !== undefined);
    const times = limit === undefined ? 0 : Math.abs(apart) / limit;
    return times > 1 ? [{ part: `${triode.id} heater to cathode`, times, unit: "V" }] : [];
  });
}

function shortedFirst(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  nominal: SolvedDesign,
  fault: Fault,
  verdict: (amps: number) => FuseVerdict | "no fuse named",
): FaultAnswer {
  const problem = rectifierProblem(document, supply, catalogue, nominal.condition.mainsFactor, 1e-6);
  if (!problem.ok)
    return {
      fault,
      burns: [],
      mainsAmps: Number.NaN,
      fuse: verdict(Number.NaN),
      outputVolts: 0,
      unsolved: problem.failure,
    };
  const { rmsVolts, seriesOhms, law, circuit, choke } = problem.value;
  const current = seriesCurrent(law, seriesOhms + (choke?.ohms ?? 0));
  const out = new Float64Array(2);
  const steps = 400;
  let mean = 0;
  let squares = 0;
  let watts = 0;
  for (let n = 0; n < steps; n++) {
    const volts = rmsVolts * Math.SQRT2 * Math.sin((Math.PI * (n + 0.5)) / steps);
    current(volts, out);
    const i = out[0] as number;
    mean += i / steps;
    squares += (i * i) / steps;
    watts += (volts * i) / steps;
  }
  const share = circuit === "half-wave" ? 0.5 : 1;
  const { supply: _rectified, ...heatersOnly } = nominal;
  const heaters = mainsAmps(heatersOnly, supply);
  const volts = supply.mains.volts * nominal.condition.mainsFactor;
  const pulses = (Math.sqrt(squares * share) * rmsVolts) / volts;
  const drawn = Math.sqrt(heaters ** 2 + pulses ** 2 + (2 * heaters * watts * share) / volts);
  const rated = supply.transformer.highTension.ratedAmps;
  return {
    fault,
    burns: (mean * share) / rated > BURNS ? [{ part: "HT.amps", times: (mean * share) / rated, unit: "A" }] : [],
    mainsAmps: drawn,
    fuse: verdict(drawn),
    outputVolts: 0,
  };
}

/** Every fault, solved. */
export function solveFaults(document: Document, catalogue: Catalogue, nominal: SolvedDesign): readonly FaultAnswer[] {
  return faultsOf(nominal).map((fault) => solveFault(document, catalogue, nominal, fault));
}
