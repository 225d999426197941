/**
 * One step of a transient: five implicit stages over independent modes, the estimate of its error, and its acceptance.
 *
 * Law     Per mode (c + h gamma g) y = c base + h gamma (forced - u . i); port volts v = v0 - Z i (transient-ports.ts).
 * Method  Guesses of the port volts come from the last step's curve and from the slopes of the stages before, kept in
 *         port volts. The error estimate is passed through the stage's own matrix, modes and ports together, so that
 *         what is infinitely stiff counts nothing.
 */
import { followPorts, setImpedance, solvePorts } from "./transient-ports.ts";
import type { Driven, Run } from "./transient-run.ts";
import { A, C, DENSE, DENSE_FIRST, denseWeights, ERROR, GAMMA, PREDICT, STAGES } from "./transient-tableau.ts";

/** Share of the tolerance that Newton may leave in the port volts. */
const NEWTON_SHARE = 0.02;
/** Every so many steps the contraction of Newton is measured anew. */
const MEASURE = 8;

export interface Stepper {
  /** Charges stand; algebraic modes, port currents and slopes follow where a segment begins. False: no solution. */
  readonly settle: (seconds: number) => boolean;
  /** All stages of a step; no function of time is asked beyond the segment. False: Newton found nothing. */
  readonly advance: (from: number, step: number) => boolean;
  /** Largest estimated error of the step over its tolerance. */
  readonly judge: (step: number) => number;
  readonly accept: (step: number) => void;
  /** Takes back the guesses of a step that is not accepted. */
  readonly reject: () => void;
  /** Fastest relative change, in tolerances per second, where a segment begins. */
  readonly rate: () => number;
}

export function openStepper(run: Run): Stepper {
  const { constantModes, constantControls, constantNodes } = run;
  const { limits, modes, system, driven, y, yNext, k, v, i, x, xNext, inductorAmps, inductorNext, inductorK } = run;
  const { n, farads, siemens, shape } = modes;
  const { controls: CN, currents: Q, sense, inject, inductors, ports } = system;
  const I = inductors.length;
  const { absoluteVolts, relativeVolts, absoluteAmps } = limits;
  const keep = new Float64Array(n);
  const push = new Float64Array(n);
  const base = new Float64Array(n);
  const forced = Float64Array.from(constantModes);
  const fixed = Float64Array.from(constantControls);
  /** Injections mode by mode. */
  const flow = new Float64Array(n * Q);
  for (let q = 0; q < Q; q++) for (let m = 0; m < n; m++) flow[m * Q + q] = inject[q * n + m] as number;
  const v0 = new Float64Array(CN);
  const scale = new Float64Array(CN);
  const vStart = new Float64Array(CN);
  const error = new Float64Array(n);
  const moved = new Float64Array(Q);
  const dv = new Float64Array(CN);
  const dKnown = new Float64Array(ports.length);
  const inductorBase = new Float64Array(I);
  const henries = inductors.map((p) => partOf(p).henries);
  const series = inductors.map((p) => partOf(p).ohms);
  /** Port volts of the charges alone: at the start of the step, its stages' base and slopes; the same of the last step. */
  const open = new Float64Array(CN);
  const openBase = new Float64Array(CN);
  const slopes = new Float64Array(STAGES * CN);
  const lastOpen = new Float64Array(CN);
  const lastSlopes = new Float64Array(STAGES * CN);
  const weights = new Float64Array(STAGES);
  const { clock } = system;
  const portsDriven = driven.some((source) => source.reachesPorts);
  let lastStep = 0;
  let prepared = -1;
  let untilMeasured = 0;

  function partOf(p: number): { readonly henries: number; readonly ohms: number } {
    const port = ports[p];
    return port?.kind === "inductor" ? port : { henries: 1, ohms: 0 };
  }

  const prepare = (h: number): void => {
    if (h === prepared) return;
    prepared = h;
    const hg = h * GAMMA;
    for (let m = 0; m < n; m++) {
      const c = farads[m] as number;
      const g = siemens[m] as number;
      const pivot = c === 0 ? 0 : 1 / (c + hg * g);
      keep[m] = c * pivot;
      push[m] = c === 0 ? 1 / g : hg * pivot;
    }
    for (let l = 0; l < I; l++)
      system.stageSiemens[inductors[l] as number] = hg / ((henries[l] as number) + hg * (series[l] as number));
    setImpedance(system, push);
  };

  /** Sources at the clock. */
  const drive = (): void => {
    if (driven.length === 0) return;
    const t = clock[0] as number;
    for (let d = 0; d < driven.length; d++) {
      const source = driven[d] as Driven;
      const e = source.of(t);
      run.emf[source.source] = e;
      const { modes: share, controls: direct } = source;
      const before = d === 0 ? constantModes : forced;
      for (let m = 0; m < n; m++) forced[m] = (before[m] as number) + e * (share[m] as number);
      if (!portsDriven) continue;
      const past = d === 0 ? constantControls : fixed;
      for (let c = 0; c < CN; c++) fixed[c] = (past[c] as number) + e * (direct[c] as number);
    }
  };

  const setScale = (): void => {
    for (let c = 0; c < CN; c++) scale[c] = NEWTON_SHARE * (absoluteVolts + relativeVolts * Math.abs(v[c] as number));
  };

  /** Solves the ports over yNext, the charges without their currents. */
  const stage = (sure: boolean): boolean => {
    const h = clock[1] as number;
    for (let c = 0, s = 0; c < CN; c++) {
      let volts = fixed[c] as number;
      for (let m = 0; m < n; m++, s++) volts += (sense[s] as number) * (yNext[m] as number);
      v0[c] = volts;
    }
    for (let l = 0; l < I; l++)
      system.known[inductors[l] as number] =
        ((inductorBase[l] as number) * (henries[l] as number)) /
        ((henries[l] as number) + h * GAMMA * (series[l] as number));
    if (!solvePorts(system, v0, scale, v, i, sure)) return false;
    for (let l = 0; l < I; l++) {
      const p = inductors[l] as number;
      inductorNext[l] =
        (i[system.firstCurrent[p] as number] as number) +
        (system.companions[p] as number) * (v[system.firstControl[p] as number] as number);
    }
    return true;
  };

  const settle = (t: number): boolean => {
    prepare(0);
    inductorBase.set(inductorAmps);
    setScale();
    clock[0] = t;
    clock[1] = 0;
    drive();
    for (let m = 0; m < n; m++)
      yNext[m] = (keep[m] as number) * (y[m] as number) + (push[m] as number) * (forced[m] as number);
    if (!stage(true)) return false;
    for (let m = 0; m < n; m++) {
      let amps = 0;
      for (let q = 0; q < Q; q++) amps += (flow[m * Q + q] as number) * (i[q] as number);
      yNext[m] = (yNext[m] as number) - (push[m] as number) * amps;
      y[m] = yNext[m] as number;
    }
    k.fill(0);
    for (let m = 0; m < n; m++) {
      const c = farads[m] as number;
      let flowing = (forced[m] as number) - (siemens[m] as number) * (y[m] as number);
      for (let q = 0; q < Q; q++) flowing -= (flow[m * Q + q] as number) * (i[q] as number);
      k[m * STAGES] = c === 0 ? 0 : flowing / c;
    }
    inductorK.fill(0);
    for (let l = 0; l < I; l++) {
      const volts = v[system.firstControl[inductors[l] as number] as number] as number;
      inductorK[l * STAGES] = (volts - (series[l] as number) * (inductorAmps[l] as number)) / (henries[l] as number);
    }
    slopes.fill(0);
    for (let c = 0; c < CN; c++) {
      let slope = 0;
      for (let m = 0; m < n; m++) slope += (sense[c * n + m] as number) * (k[m * STAGES] as number);
      slopes[c * STAGES] = slope;
      open[c] = (v[c] as number) - (fixed[c] as number);
    }
    error.fill(0);
    nodes();
    x.set(xNext);
    lastStep = 0;
    untilMeasured = 0;
    run.dense = DENSE_FIRST;
    return true;
  };

  /** Node volts of yNext, and the largest of `error` over its tolerance. */
  const nodes = (): number => {
    let worst = 0;
    for (let a = 0, s = 0; a < n; a++) {
      let volts = constantNodes[a] as number;
      let miss = 0;
      for (let m = 0; m < n; m++, s++) {
        const u = shape[s] as number;
        volts += u * (yNext[m] as number);
        miss += u * (error[m] as number);
      }
      for (let d = 0; d < driven.length; d++) {
        const source = driven[d] as Driven;
        if (source.reachesNodes) volts += (source.nodes[a] as number) * (run.emf[source.source] as number);
      }
      xNext[a] = volts;
      const size = Math.max(Math.abs(x[a] as number), Math.abs(volts));
      const over = Math.abs(miss) / (absoluteVolts + relativeVolts * size);
      if (!(over <= worst)) {
        worst = over;
        run.worst = a;
      }
    }
    return worst;
  };

  const rate = (): number => {
    let fastest = 0;
    for (let a = 0; a < n; a++) {
      let slope = 0;
      for (let m = 0; m < n; m++) slope += (shape[a * n + m] as number) * (k[m * STAGES] as number);
      fastest = Math.max(fastest, Math.abs(slope) / (absoluteVolts + relativeVolts * Math.abs(x[a] as number)));
    }
    for (let l = 0; l < I; l++)
      fastest = Math.max(
        fastest,
        Math.abs(inductorK[l * STAGES] as number) /
          (absoluteAmps + relativeVolts * Math.abs(inductorAmps[l] as number)),
      );
    return fastest;
  };

  const judge = (h: number): number => {
    const d0 = h * (ERROR[0] as number);
    const d2 = h * (ERROR[2] as number);
    const d3 = h * (ERROR[3] as number);
    const d4 = h * (ERROR[4] as number);
    const d5 = h * (ERROR[5] as number);
    for (let m = 0, at = 0; m < n; m++, at += STAGES)
      error[m] =
        (keep[m] as number) *
        (d0 * (k[at] as number) +
          d2 * (k[at + 2] as number) +
          d3 * (k[at + 3] as number) +
          d4 * (k[at + 4] as number) +
          d5 * (k[at + 5] as number));
    if (Q > 0) {
      for (let c = 0, s = 0; c < CN; c++) {
        let volts = 0;
        for (let m = 0; m < n; m++, s++) volts += (sense[s] as number) * (error[m] as number);
        dv[c] = volts;
      }
      for (let l = 0; l < I; l++) {
        let e = 0;
        for (let j = 0; j < STAGES; j++) e += (ERROR[j] as number) * (inductorK[l * STAGES + j] as number);
        dKnown[inductors[l] as number] =
          (h * e * (henries[l] as number)) / ((henries[l] as number) + h * GAMMA * (series[l] as number));
      }
      followPorts(system, dv, dKnown, moved);
      for (let m = 0, u = 0; m < n; m++) {
        let amps = 0;
        for (let q = 0; q < Q; q++, u++) amps += (flow[u] as number) * (moved[q] as number);
        error[m] = (error[m] as number) - (push[m] as number) * amps;
      }
    }
    let worst = nodes();
    for (let l = 0; l < I; l++) {
      const miss = moved[system.firstCurrent[inductors[l] as number] as number] as number;
      const over = Math.abs(miss) / (absoluteAmps + relativeVolts * Math.abs(inductorNext[l] as number));
      if (!(over <= worst)) worst = over;
    }
    return worst;
  };

  /** Bases of stage s: charges (and yNext from them), port volts, inductor currents. Slopes of stages not yet reached are multiplied by 0. */
  const bases = (s: number): void => {
    const h = clock[1] as number;
    const row = s * STAGES;
    const a0 = h * (A[row] as number);
    const a1 = s > 1 ? h * (A[row + 1] as number) : 0;
    const a2 = s > 2 ? h * (A[row + 2] as number) : 0;
    const a3 = s > 3 ? h * (A[row + 3] as number) : 0;
    const a4 = s > 4 ? h * (A[row + 4] as number) : 0;
    for (let m = 0, at = 0; m < n; m++, at += STAGES) {
      const charge =
        (y[m] as number) +
        a0 * (k[at] as number) +
        a1 * (k[at + 1] as number) +
        a2 * (k[at + 2] as number) +
        a3 * (k[at + 3] as number) +
        a4 * (k[at + 4] as number);
      base[m] = charge;
      yNext[m] = (keep[m] as number) * charge + (push[m] as number) * (forced[m] as number);
    }
    for (let c = 0, at = 0; c < CN; c++, at += STAGES)
      openBase[c] =
        (open[c] as number) +
        a0 * (slopes[at] as number) +
        a1 * (slopes[at + 1] as number) +
        a2 * (slopes[at + 2] as number) +
        a3 * (slopes[at + 3] as number) +
        a4 * (slopes[at + 4] as number);
    for (let l = 0; l < I; l++) {
      let sum = 0;
      for (let j = 0; j < s; j++) sum += (A[row + j] as number) * (inductorK[l * STAGES + j] as number);
      inductorBase[l] = (inductorAmps[l] as number) + h * sum;
    }
  };

  /** Guess of the port volts of stage s into v. */
  const guess = (s: number): void => {
    const h = clock[1] as number;
    const along = s === 1 && lastStep > 0;
    const from = along ? lastOpen : open;
    const rates = along ? lastSlopes : slopes;
    if (along) denseWeights(1 + ((C[1] as number) * h) / lastStep, weights, DENSE);
    const step = along ? lastStep : h;
    const share = along ? weights : PREDICT;
    const row = along ? 0 : s * STAGES;
    const w0 = step * (share[row] as number);
    const w1 = step * (share[row + 1] as number);
    const w2 = step * (share[row + 2] as number);
    const w3 = step * (share[row + 3] as number);
    const w4 = step * (share[row + 4] as number);
    const w5 = step * (share[row + 5] as number);
    for (let c = 0, at = 0; c < CN; c++, at += STAGES)
      v[c] =
        (fixed[c] as number) +
        (from[c] as number) +
        w0 * (rates[at] as number) +
        w1 * (rates[at + 1] as number) +
        w2 * (rates[at + 2] as number) +
        w3 * (rates[at + 3] as number) +
        w4 * (rates[at + 4] as number) +
        w5 * (rates[at + 5] as number);
  };

  const advance = (begun: number, h: number): boolean => {
    prepare(h);
    vStart.set(v);
    setScale();
    const inverse = 1 / (h * GAMMA);
    const measure = untilMeasured <= 0;
    if (measure) {
      system.contraction = 0;
      untilMeasured = MEASURE;
    }
    untilMeasured--;
    for (let s = 1; s < STAGES; s++) {
      const t = Math.min(begun + (C[s] as number) * h, run.latest);
      clock[0] = t;
      clock[1] = h;
      drive();
      bases(s);
      guess(s);
      if (!stage(measure && s === 1)) return false;
      for (let m = 0, u = 0, at = s; m < n; m++, at += STAGES) {
        let amps = 0;
        for (let q = 0; q < Q; q++, u++) amps += (flow[u] as number) * (i[q] as number);
        const charge = (yNext[m] as number) - (push[m] as number) * amps;
        yNext[m] = charge;
        k[at] = (charge - (base[m] as number)) * inverse;
      }
      for (let c = 0, at = s; c < CN; c++, at += STAGES)
        slopes[at] = ((v[c] as number) - (fixed[c] as number) - (openBase[c] as number)) * inverse;
      for (let l = 0; l < I; l++)
        inductorK[l * STAGES + s] = ((inductorNext[l] as number) - (inductorBase[l] as number)) * inverse;
    }
    return true;
  };

  const accept = (h: number): void => {
    for (let at = 0; at < slopes.length; at++) lastSlopes[at] = slopes[at] as number;
    for (let c = 0; c < CN; c++) lastOpen[c] = open[c] as number;
    lastStep = h;
    run.dense = DENSE;
    for (let m = 0; m < n; m++) {
      y[m] = yNext[m] as number;
      x[m] = xNext[m] as number;
    }
    for (let l = 0; l < I; l++) inductorAmps[l] = inductorNext[l] as number;
    for (let at = 0; at < k.length; at += STAGES) k[at] = k[at + STAGES - 1] as number;
    for (let at = 0; at < inductorK.length; at += STAGES) inductorK[at] = inductorK[at + STAGES - 1] as number;
    for (let c = 0, at = 0; c < CN; c++, at += STAGES) {
      slopes[at] = slopes[at + STAGES - 1] as number;
      open[c] = (v[c] as number) - (fixed[c] as number);
    }
  };

  const reject = (): void => {
    v.set(vStart);
    untilMeasured = 0;
    // What is not finite would survive a product with 0.
    for (let at = 0; at < k.length; at++) if (at % STAGES > 0) k[at] = 0;
    for (let at = 0; at < slopes.length; at++) if (at % STAGES > 0) slopes[at] = 0;
  };

  return { settle, advance, judge, accept, reject, rate };
}
