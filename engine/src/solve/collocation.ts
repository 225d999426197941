/**
 * Collocation of device currents on one period: kernels, exact residual, and the blocks of its Jacobian.
 *
 * Law     v_c = v0_c - sum_q z_cq * i_q (circular convolution over N = 2K + 1 samples), R = i - f(v).
 *         z(n) = (1/N) [Z(0) + 2 sum_k Re Z(k) e^(j 2 pi k n / N)]: what the network answers to one sample of current.
 * Method  The unknowns are the current samples and nothing else; the residual is always exact, the Jacobian
 *         1 + diag(df/dv) z needs no transform. docs/solves.md has the equations and the figures.
 */
import type { Device } from "../circuit/compile.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import type { PortModel } from "./ports.ts";

/** Grid samples join a block when their slope times the grid's own impedance exceeds this. */
const GRID_JOINS = 1e-3;

export interface Collocation {
  readonly model: PortModel;
  readonly samples: number;
  /** kernel[c * Q + q][N - 1 - m + n] = z_cq(m - n). */
  readonly kernels: readonly Float64Array[];
  /** cos and sin of 2 pi j / N. */
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
  /** Per current: index of its device's first control, and how many controls it has. */
  readonly firstControl: Int32Array;
  readonly controlCount: Int32Array;
  readonly isGrid: Uint8Array;
  readonly current: Float64Array[];
  readonly trial: Float64Array[];
  readonly control: Float64Array[];
  readonly open: Float64Array[];
  readonly law: Float64Array[];
  readonly slope0: Float64Array[];
  readonly slope1: Float64Array[];
  readonly step: Float64Array[];
  readonly out: Float64Array;
  lawCalls: number;
}

export function openCollocation(model: PortModel): Collocation {
  const N = 2 * model.harmonics + 1;
  const { controls: C, currents: Q } = model;
  const cosine = new Float64Array(N);
  const sine = new Float64Array(N);
  for (let j = 0; j < N; j++) {
    cosine[j] = Math.cos((2 * Math.PI * j) / N);
    sine[j] = Math.sin((2 * Math.PI * j) / N);
  }
  const z = new Float64Array(N);
  const kernels: Float64Array[] = [];
  for (let c = 0; c < C; c++) {
    for (let q = 0; q < Q; q++) {
      for (let n = 0; n < N; n++) {
        let sum = 0.5 * (model.impedanceReal[c * Q + q] as number);
        for (let k = 1; k <= model.harmonics; k++) {
          const at = (k * C + c) * Q + q;
          const j = (k * n) % N;
          sum +=
            (model.impedanceReal[at] as number) * (cosine[j] as number) -
            (model.impedanceImaginary[at] as number) * (sine[j] as number);
        }
        z[n] = (2 * sum) / N;
      }
      const kernel = new Float64Array(2 * N - 1);
      for (let d = 1 - N; d < N; d++) kernel[N - 1 - d] = z[(d + N) % N] as number;
      kernels.push(kernel);
    }
  }
  const firstControl: number[] = [];
  const controlCount: number[] = [];
  const isGrid: number[] = [];
  let c = 0;
  for (const device of model.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < count; i++) {
      firstControl.push(c);
      controlCount.push(count);
      isGrid.push(i);
    }
    c += count;
  }
  const rows = (count: number) => Array.from({ length: count }, () => new Float64Array(N));
  return {
    model,
    samples: N,
    kernels,
    cosine,
    sine,
    firstControl: Int32Array.from(firstControl),
    controlCount: Int32Array.from(controlCount),
    isGrid: Uint8Array.from(isGrid),
    current: rows(Q),
    trial: rows(Q),
    control: rows(C),
    open: rows(C),
    law: rows(Q),
    slope0: rows(Q),
    slope1: rows(Q),
    step: rows(Q),
    out: new Float64Array(6),
    lawCalls: 0,
  };
}

/** Control volts with no device current, for a source of `peakVolts` as cosine. */
export function setDrive(work: Collocation, peakVolts: number): void {
  const { model, samples, open, cosine, sine } = work;
  const C = model.controls;
  for (let c = 0; c < C; c++) {
    const row = open[c] as Float64Array;
    const dc = model.dcControl[c] as number;
    const re = peakVolts * (model.sourceReal[C + c] as number);
    const im = peakVolts * (model.sourceImaginary[C + c] as number);
    for (let m = 0; m < samples; m++) row[m] = dc + re * (cosine[m] as number) - im * (sine[m] as number);
  }
}

/** v -= z * i for one pair of control and current. */
function subtractConvolution(v: Float64Array, kernel: Float64Array, i: Float64Array, N: number): void {
  for (let m = 0; m < N; m++) {
    let sum = 0;
    for (let n = 0, k = N - 1 - m; n < N; n++, k++) sum += (kernel[k] as number) * (i[n] as number);
    v[m] = (v[m] as number) - sum;
  }
}

/** Laws at the given current samples; answers max |i - f(v)|, NaN or Infinity where a law is not finite. */
export function evaluate(work: Collocation, current: readonly Float64Array[]): number {
  const { model, samples: N, kernels, control, open, law, slope0, out } = work;
  const { controls: C, currents: Q, devices } = model;
  for (let c = 0; c < C; c++) (control[c] as Float64Array).set(open[c] as Float64Array);
  for (let q = 0; q < Q; q++) {
    const i = current[q] as Float64Array;
    if (work.isGrid[q] === 1 && silent(i)) continue;
    for (let c = 0; c < C; c++) subtractConvolution(control[c] as Float64Array, kernels[c * Q + q] as Float64Array, i, N);
  }
  let worst = 0;
  let q = 0;
  for (const device of devices) {
    if (device.kind === "triode") {
      const worstHere = evaluateTriode(work, device, q, current);
      worst = worstHere <= worst ? worst : worstHere;
      q += 2;
      continue;
    }
    const v = control[q] as Float64Array;
    const i = current[q] as Float64Array;
    for (let m = 0; m < N; m++) {
      device.evaluate(v[m] as number, out);
      (law[q] as Float64Array)[m] = out[0] as number;
      (slope0[q] as Float64Array)[m] = out[1] as number;
      const r = Math.abs((i[m] as number) - (out[0] as number));
      if (!(r <= worst)) worst = r;
    }
    q += 1;
  }
  work.lawCalls += N * devices.length;
  return worst;
}

function evaluateTriode(
  work: Collocation,
  device: Extract<Device, { kind: "triode" }>,
  q: number,
  current: readonly Float64Array[],
): number {
  const { samples: N, control, law, slope0, slope1, out } = work;
  const vg = control[q] as Float64Array;
  const va = control[q + 1] as Float64Array;
  const plate = current[q] as Float64Array;
  const grid = current[q + 1] as Float64Array;
  const plateLaw = law[q] as Float64Array;
  const gridLaw = law[q + 1] as Float64Array;
  const p0 = slope0[q] as Float64Array;
  const p1 = slope1[q] as Float64Array;
  const g0 = slope0[q + 1] as Float64Array;
  const g1 = slope1[q + 1] as Float64Array;
  const { evaluate: f } = device;
  let worst = 0;
  for (let m = 0; m < N; m++) {
    f(vg[m] as number, va[m] as number, out);
    plateLaw[m] = out[0] as number;
    p0[m] = out[1] as number;
    p1[m] = out[2] as number;
    gridLaw[m] = out[3] as number;
    g0[m] = out[4] as number;
    g1[m] = out[5] as number;
    const r = Math.abs((plate[m] as number) - (out[0] as number));
    const s = Math.abs((grid[m] as number) - (out[3] as number));
    if (!(r <= worst)) worst = r;
    if (!(s <= worst)) worst = s;
  }
  return worst;
}

/** True when no grid current flows that matters to a volt across a gigohm. */
function silent(i: Float64Array): boolean {
  for (let m = 0; m < i.length; m++) if (Math.abs(i[m] as number) > 1e-17) return false;
  return true;
}

/** One diagonal block of the step: the currents of some devices, with the grid samples that conduct. */
export interface Block {
  readonly currents: readonly number[];
  /** Active sample indices of each current of the block. */
  active: readonly Int32Array[];
  size: number;
  matrix: Float64Array;
  pivots: Int32Array;
}

/** Blocks for groups of devices (indices into the model's devices), in the order in which they are stepped. */
export function openBlocks(work: Collocation, groups: readonly (readonly number[])[]): Block[] {
  const starts: number[] = [];
  let q = 0;
  for (const device of work.model.devices) {
    starts.push(q);
    q += device.kind === "triode" ? 2 : 1;
  }
  return groups.map((group) => {
    const currents = group.flatMap((d) => {
      const first = starts[d] as number;
      return work.model.devices[d]?.kind === "triode" ? [first, first + 1] : [first];
    });
    return { currents, active: [], size: 0, matrix: new Float64Array(0), pivots: new Int32Array(0) };
  });
}

/** Factors every block at the slopes of the last evaluation. False: a block is singular. */
export function factorBlocks(work: Collocation, blocks: readonly Block[]): boolean {
  const { samples: N, kernels, slope0, slope1, firstControl, controlCount, isGrid } = work;
  const Q = work.model.currents;
  const all = Int32Array.from({ length: N }, (_, m) => m);
  for (const block of blocks) {
    block.active = block.currents.map((p) => {
      if (isGrid[p] !== 1) return all;
      const own = Math.abs((kernels[(firstControl[p] as number) * Q + p] as Float64Array)[N - 1] as number);
      const slopes = slope0[p] as Float64Array;
      return all.filter((m) => Math.abs(slopes[m] as number) * own > GRID_JOINS / 4);
    });
    const size = block.active.reduce((sum, rows) => sum + rows.length, 0);
    if (block.matrix.length < size * size) {
      block.matrix = new Float64Array(size * size);
      block.pivots = new Int32Array(size);
    }
    block.size = size;
    let row = 0;
    for (const [pi, p] of block.currents.entries()) {
      const c = firstControl[p] as number;
      const s0 = slope0[p] as Float64Array;
      const s1 = slope1[p] as Float64Array;
      const two = controlCount[p] === 2;
      for (const m of block.active[pi] as Int32Array) {
        const a = s0[m] as number;
        const b = two ? (s1[m] as number) : 0;
        let column = row * size;
        const diagonal = row * size + row;
        for (const [qi, q] of block.currents.entries()) {
          const ka = kernels[c * Q + q] as Float64Array;
          const kb = two ? (kernels[(c + 1) * Q + q] as Float64Array) : ka;
          const columns = block.active[qi] as Int32Array;
          const base = N - 1 - m;
          for (let j = 0; j < columns.length; j++, column++) {
            const at = base + (columns[j] as number);
            block.matrix[column] = a * (ka[at] as number) + b * (kb[at] as number);
          }
        }
        block.matrix[diagonal] = (block.matrix[diagonal] as number) + 1;
        row++;
      }
    }
    if (!luFactor(block.matrix, size, block.pivots)) return false;
  }
  return true;
}

/**
 * The step of the block lower triangular system: blocks in order, each with the forward coupling of those before it.
 * Samples that joined no block move by plain substitution. Leaves the step in `work.step`.
 */
export function solveStep(work: Collocation, blocks: readonly Block[], rhs: Float64Array): void {
  const { samples: N, kernels, slope0, slope1, firstControl, controlCount, current, law, step } = work;
  const Q = work.model.currents;
  for (let q = 0; q < Q; q++) {
    const s = step[q] as Float64Array;
    const f = law[q] as Float64Array;
    const i = current[q] as Float64Array;
    for (let m = 0; m < N; m++) s[m] = (f[m] as number) - (i[m] as number);
  }
  for (const [b, block] of blocks.entries()) {
    if (b > 0) {
      for (const p of block.currents) {
        const c = firstControl[p] as number;
        const two = controlCount[p] === 2;
        const s0 = slope0[p] as Float64Array;
        const s1 = slope1[p] as Float64Array;
        const target = step[p] as Float64Array;
        for (let before = 0; before < b; before++) {
          for (const q of (blocks[before] as Block).currents) {
            const moved = step[q] as Float64Array;
            if (work.isGrid[q] === 1 && silent(moved)) continue;
            const ka = kernels[c * Q + q] as Float64Array;
            const kb = two ? (kernels[(c + 1) * Q + q] as Float64Array) : ka;
            for (let m = 0; m < N; m++) {
              let sa = 0;
              let sb = 0;
              for (let n = 0, k = N - 1 - m; n < N; n++, k++) {
                const x = moved[n] as number;
                sa += (ka[k] as number) * x;
                sb += (kb[k] as number) * x;
              }
              target[m] = (target[m] as number) - (s0[m] as number) * sa - (two ? (s1[m] as number) * sb : 0);
            }
          }
        }
      }
    }
    let row = 0;
    for (const [pi, p] of block.currents.entries())
      for (const m of block.active[pi] as Int32Array) rhs[row++] = (step[p] as Float64Array)[m] as number;
    luSolve(block.matrix, block.size, block.pivots, rhs);
    row = 0;
    for (const [pi, p] of block.currents.entries())
      for (const m of block.active[pi] as Int32Array) (step[p] as Float64Array)[m] = rhs[row++] as number;
  }
}

/** Complex peak amplitude of harmonic k of N samples: (2/N) sum x e^(-jk theta); k = 0: the mean. */
export function harmonicOf(work: Collocation, x: Float64Array, k: number): readonly [number, number] {
  const { samples: N, cosine, sine } = work;
  let re = 0;
  let im = 0;
  for (let n = 0, j = 0; n < N; n++) {
    re += (x[n] as number) * (cosine[j] as number);
    im -= (x[n] as number) * (sine[j] as number);
    j += k;
    if (j >= N) j -= N;
  }
  return k === 0 ? [re / N, 0] : [(2 * re) / N, (2 * im) / N];
}

/** Trigonometric interpolation of samples onto another number of samples; harmonics beyond either end are dropped. */
export function resample(from: Float64Array, samples: number): Float64Array {
  const N = from.length;
  if (N === samples) return Float64Array.from(from);
  const K = Math.min((N - 1) >> 1, (samples - 1) >> 1);
  const to = new Float64Array(samples);
  for (let k = 0; k <= K; k++) {
    let re = 0;
    let im = 0;
    for (let n = 0; n < N; n++) {
      const angle = (2 * Math.PI * ((k * n) % N)) / N;
      re += (from[n] as number) * Math.cos(angle);
      im -= (from[n] as number) * Math.sin(angle);
    }
    const weight = (k === 0 ? 1 : 2) / N;
    for (let m = 0; m < samples; m++) {
      const angle = (2 * Math.PI * ((k * m) % samples)) / samples;
      to[m] = (to[m] as number) + weight * (re * Math.cos(angle) - im * Math.sin(angle));
    }
  }
  return to;
}
