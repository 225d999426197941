/** What a transient answers of the nets and currents asked for: samples from dense output, and extremes with their times. */
import type { Net } from "../circuit/parts.ts";
import { offsetSign } from "./transient-modes.ts";
import { portAmps } from "./transient-ports.ts";
import type { RecordAnswer, TransientProblem } from "./transient-problem.ts";
import type { Driven, Run } from "./transient-run.ts";
import { DENSE, DENSE_FIRST, denseWeights, STAGES } from "./transient-tableau.ts";

export interface Recorder {
  readonly begin: (seconds: number) => void;
  readonly step: (from: number, step: number) => void;
  readonly answer: () => RecordAnswer;
}

/** Looks per step for extremes, and their weights in the two dense outputs. */
const LOOKS = 2;
const LOOK_WEIGHTS = [DENSE, DENSE_FIRST].map((table) =>
  Array.from({ length: LOOKS }, (_, q) => {
    const weights = new Float64Array(STAGES);
    denseWeights((q + 1) / LOOKS, weights, table);
    return weights;
  }),
);

export function openRecorder(run: Run, record: TransientProblem["record"]): Recorder {
  const { modes, system, driven } = run;
  const { n } = modes;
  const nets = [...new Set(record.nets)];
  const rows = nets.map((net) => netRow(run, net));
  const ids = [...new Set(record.currents ?? [])];
  const places = ids.map((id) => system.ports.findIndex((port) => port.id === id));
  const N = nets.length;
  const own = "mostSamples" in record.at ? Math.floor(record.at.mostSamples) : 0;
  const given = "mostSamples" in record.at ? [] : record.at;
  const times: number[] = [];
  const samples: number[][] = nets.map(() => []);
  const amps: number[][] = ids.map(() => []);
  const slopes = new Float64Array(N * STAGES);
  const start = new Float64Array(N);
  const emf = new Float64Array(driven.length);
  const weights = new Float64Array(STAGES);
  const state = new Float64Array(n);
  const controls = new Float64Array(system.controls);
  const peaks = nets.map(() => openPeak());
  const reached = rows.some((row) => row.driven.some((share) => share !== 0));
  let next = 0;
  let stride = 1;
  let count = 0;

  const drive = (seconds: number): void => {
    for (let d = 0; d < driven.length; d++) emf[d] = (driven[d] as Driven).of(seconds);
  };
  /** Volts of recorded net r at the weights, sources as last asked. */
  const volts = (r: number, step: number): number => {
    const { constant, driven: added } = rows[r] as (typeof rows)[number];
    let sum = 0;
    for (let j = 0; j < STAGES; j++) sum += (weights[j] as number) * (slopes[r * STAGES + j] as number);
    let value = constant + (start[r] as number) + step * sum;
    for (let d = 0; d < emf.length; d++) value += (added[d] as number) * (emf[d] as number);
    return value;
  };
  const project = (): void => {
    for (let r = 0; r < N; r++) {
      const { row } = rows[r] as (typeof rows)[number];
      let value = 0;
      for (let m = 0; m < n; m++) value += (row[m] as number) * (run.y[m] as number);
      start[r] = value;
      const { k } = run;
      let s0 = 0;
      let s1 = 0;
      let s2 = 0;
      let s3 = 0;
      let s4 = 0;
      let s5 = 0;
      for (let m = 0, at = 0; m < n; m++, at += STAGES) {
        const u = row[m] as number;
        s0 += u * (k[at] as number);
        s1 += u * (k[at + 1] as number);
        s2 += u * (k[at + 2] as number);
        s3 += u * (k[at + 3] as number);
        s4 += u * (k[at + 4] as number);
        s5 += u * (k[at + 5] as number);
      }
      const at = r * STAGES;
      slopes[at] = s0;
      slopes[at + 1] = s1;
      slopes[at + 2] = s2;
      slopes[at + 3] = s3;
      slopes[at + 4] = s4;
      slopes[at + 5] = s5;
    }
  };
  const current = (at: number, seconds: number, step: number): number => {
    const p = places[at] as number;
    const port = system.ports[p];
    if (port === undefined) return Number.NaN;
    if (port.kind === "inductor") {
      const l = system.inductors.indexOf(p);
      let sum = 0;
      for (let j = 0; j < STAGES; j++) sum += (weights[j] as number) * (run.inductorK[l * STAGES + j] as number);
      return (run.inductorAmps[l] as number) + step * sum;
    }
    for (let m = 0; m < n; m++) {
      let sum = 0;
      for (let j = 0; j < STAGES; j++) sum += (weights[j] as number) * (run.k[m * STAGES + j] as number);
      state[m] = (run.y[m] as number) + step * sum;
    }
    const c = system.firstControl[p] as number;
    for (let a = c; a < c + (port.kind === "triode" ? 2 : 1); a++) {
      let value = run.constantControls[a] as number;
      for (let m = 0; m < n; m++) value += (system.sense[a * n + m] as number) * (state[m] as number);
      for (let d = 0; d < driven.length; d++)
        value += (emf[d] as number) * ((driven[d] as Driven).controls[a] as number);
      controls[a] = value;
    }
    return portAmps(system, p, seconds, controls);
  };
  const sample = (seconds: number, step: number): void => {
    times.push(seconds);
    drive(seconds);
    for (let r = 0; r < N; r++) samples[r]?.push(volts(r, step));
    for (let a = 0; a < ids.length; a++) amps[a]?.push(current(a, seconds, step));
  };
  const thin = (): void => {
    const halve = (list: number[]) => {
      const last = list[list.length - 1] as number;
      const kept = list.filter((_, at) => at % 2 === 0);
      if (list.length % 2 === 0) kept.push(last);
      list.splice(0, list.length, ...kept);
    };
    halve(times);
    for (const list of [...samples, ...amps]) halve(list);
    stride *= 2;
  };

  return {
    begin: (seconds) => {
      project();
      weights.fill(0);
      drive(seconds);
      for (let r = 0; r < N; r++) look(peaks[r] as Peak, seconds, volts(r, 0), true);
      while (next < given.length && (given[next] as number) <= seconds) {
        sample(given[next] as number, 0);
        next++;
      }
      if (own > 0 && times.length === 0) sample(seconds, 0);
    },
    step: (from, step) => {
      project();
      const looks = LOOK_WEIGHTS[run.dense === DENSE ? 0 : 1] as readonly Float64Array[];
      if (N > 0)
        for (let q = 1; q <= LOOKS; q++) {
          weights.set(looks[q - 1] as Float64Array);
          const seconds = Math.min(from + (q / LOOKS) * step, run.latest);
          if (reached) drive(seconds);
          for (let r = 0; r < N; r++) look(peaks[r] as Peak, seconds, volts(r, step), false);
        }
      while (next < given.length && (given[next] as number) <= run.latest && (given[next] as number) <= run.seconds) {
        const seconds = given[next] as number;
        denseWeights((seconds - from) / step, weights, run.dense);
        sample(seconds, step);
        next++;
      }
      if (own > 0) {
        count++;
        const last = run.seconds >= run.problem.seconds;
        if (last || count % stride === 0) {
          denseWeights(1, weights, run.dense);
          sample(Math.min(run.seconds, run.latest), step);
        }
        if (times.length > own) thin();
      }
    },
    answer: () => ({
      seconds: Float64Array.from(times),
      netVolts: new Map(nets.map((net, r) => [net, Float64Array.from(samples[r] ?? [])])),
      amps: new Map(ids.map((id, a) => [id, Float64Array.from(amps[a] ?? [])])),
      peaks: new Map(
        nets.map((net, r) => {
          const { highest, lowest } = peaks[r] as Peak;
          return [
            net,
            {
              highestVolts: highest.volts,
              highestSeconds: highest.seconds,
              lowestVolts: lowest.volts,
              lowestSeconds: lowest.seconds,
            },
          ];
        }),
      ),
    }),
  };
}

interface Peak {
  readonly highest: { volts: number; seconds: number };
  readonly lowest: { volts: number; seconds: number };
  /** The last two looks: [seconds, volts] older and newer; seconds NaN when there is none. */
  readonly past: Float64Array;
}

function openPeak(): Peak {
  return {
    highest: { volts: -Infinity, seconds: 0 },
    lowest: { volts: Infinity, seconds: 0 },
    past: Float64Array.of(Number.NaN, 0, Number.NaN, 0),
  };
}

/** Takes one more value; `fresh` when the curve may have jumped before it. */
function look(peak: Peak, seconds: number, volts: number, fresh: boolean): void {
  const { past } = peak;
  if (fresh) past.fill(Number.NaN);
  const t0 = past[0] as number;
  const v0 = past[1] as number;
  const t1 = past[2] as number;
  const v1 = past[3] as number;
  if (!Number.isNaN(t0) && (v1 - v0) * (volts - v1) < 0) {
    // Vertex of the parabola through the three.
    const a = (v1 - v0) / (t1 - t0);
    const b = (volts - v1) / (seconds - t1);
    const bend = (b - a) / (seconds - t0);
    const at = (t0 + t1) / 2 - a / (2 * bend);
    const top = v0 + a * (at - t0) + bend * (at - t0) * (at - t1);
    if (at > t0 && at < seconds) consider(peak, at, top);
  }
  consider(peak, seconds, volts);
  past[0] = t1;
  past[1] = v1;
  past[2] = seconds;
  past[3] = volts;
}

function consider(peak: Peak, seconds: number, volts: number): void {
  if (volts > peak.highest.volts) {
    peak.highest.volts = volts;
    peak.highest.seconds = seconds;
  }
  if (volts < peak.lowest.volts) {
    peak.lowest.volts = volts;
    peak.lowest.seconds = seconds;
  }
}

/** Volts of a net as a row over modes and what each source adds: [row, constant, per driven source]. */
function netRow(
  run: Run,
  net: Net,
): { readonly row: Float64Array; readonly constant: number; readonly driven: Float64Array } {
  const { circuit, modes } = run;
  const { n } = modes;
  const index = circuit.map.index.get(net) as number;
  const node = circuit.map.node[index] as number;
  const row = node >= 0 ? modes.shape.slice(node * n, node * n + n) : new Float64Array(n);
  let constant = node >= 0 ? (run.constantNodes[node] as number) : 0;
  for (const [s, source] of circuit.sources.entries())
    if (source.ideal && !run.driven.some((one) => one.source === s))
      constant += offsetSign(circuit, index, s) * source.volts;
  const driven = Float64Array.from(
    run.driven,
    (one) =>
      (node >= 0 ? (one.nodes[node] as number) : 0) +
      (circuit.sources[one.source]?.ideal === true ? offsetSign(circuit, index, one.source) : 0),
  );
  return { row, constant, driven };
}
