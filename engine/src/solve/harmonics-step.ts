/**
 * Newton steps of the collocated circuit: J step = f(v) - i, solved to a wanted share of the residual.
 *
 * Law     J = 1 + diag(df/dv) z at the slopes of the last evaluation (collocation.ts multiplies with it).
 * Method  Least residual over directions (GCR) with the exact J, preconditioned by kept factors: one dense block per
 *         device in signal order, with the forward coupling between them at the present slopes (block lower triangular).
 *         Backward coupling, stale factors and grids that woke up since cost iterations, not convergence. What the network
 *         makes of the directions, z * x, is kept: the step's own follows from it without a transform.
 * Limits  Grid samples join a block only where |dig/dvg| times their own impedance passes 1e-3.
 * Sources Eisenstat, Elman and Schultz 1983 (GCR); Saad, Iterative Methods for Sparse Linear Systems, ch. 6 and 9 (both
 *         from memory).
 */
import { luFactor, luSolve } from "../numerics/lu.ts";
import { analyseRow, type Collocation, imageOf, kernelOf, throughNetwork } from "./collocation.ts";
import { factorLocal, type Local, solveLocal } from "./harmonics-local.ts";

/** Grid samples join a block when their slope times the grid's own impedance exceeds this. */
const GRID_JOINS = 1e-3;
/** Directions made by one linear solve at most. */
export const MOST_DIRECTIONS = 30;

/** One diagonal block: the currents of a device (or of several), with the grid samples that conduct. */
interface Block {
  readonly currents: readonly number[];
  readonly firstControl: number;
  readonly lastControl: number;
  /** Active sample indices of each current of the block. */
  active: readonly Int32Array[];
  size: number;
  matrix: Float64Array;
  pivots: Int32Array;
}

/** One direction x with what the network makes of it, and its image J x made orthogonal to those before and normal. */
interface Direction {
  readonly x: Float64Array;
  readonly moved: Float64Array;
  readonly image: Float64Array;
}

export interface Stepper {
  readonly blocks: readonly Block[];
  /** Set: in place of the blocks' factors. */
  local: Local | undefined;
  /** False: the blocks hold no factors yet. */
  factored: boolean;
  readonly step: Float64Array;
  /** How the step moves the control volts (downwards, as currents do). */
  readonly stepMoved: Float64Array;
  readonly residual: Float64Array;
  readonly directions: Direction[];
  /** Column j of the triangle that takes images to products with J, at j MOST_DIRECTIONS. */
  readonly triangle: Float64Array;
  readonly weights: Float64Array;
  readonly rhs: Float64Array;
  readonly kernels: Map<number, Float64Array>;
}

/** `groups` are the currents of each device, in signal order; `before` a stepper of the same shape to take over. */
export function openStepper(work: Collocation, groups: readonly (readonly number[])[], before?: Stepper): Stepper {
  if (before !== undefined) return { ...before, kernels: new Map() };
  const size = work.model.currents * work.samples;
  return {
    blocks: groups.map((currents) => ({
      currents,
      firstControl: work.firstControl[currents[0] as number] as number,
      lastControl:
        (work.firstControl[currents[0] as number] as number) + (work.controlCount[currents[0] as number] as number),
      active: [],
      size: 0,
      matrix: new Float64Array(0),
      pivots: new Int32Array(0),
    })),
    local: undefined,
    factored: false,
    step: new Float64Array(size),
    stepMoved: new Float64Array(work.model.controls * work.samples),
    residual: new Float64Array(size),
    directions: [],
    triangle: new Float64Array(MOST_DIRECTIONS * MOST_DIRECTIONS),
    weights: new Float64Array(MOST_DIRECTIONS),
    rhs: new Float64Array(size),
    kernels: new Map(),
  };
}

/** Factors every block at the slopes of the last evaluation. False: a block is singular. */
export function factor(work: Collocation, stepper: Stepper): boolean {
  if (stepper.local !== undefined) {
    stepper.factored = factorLocal(work, stepper.local);
    return stepper.factored;
  }
  const { samples: N, law, firstControl, controlCount, isGrid, flows } = work;
  const all = Int32Array.from({ length: N }, (_, m) => m);
  const none = new Int32Array(0);
  stepper.factored = false;
  for (const block of stepper.blocks) {
    block.active = block.currents.map((p) => {
      if (flows[p] === 0) return none;
      if (isGrid[p] !== 1) return all;
      const own = Math.abs(kernel(work, stepper, firstControl[p] as number, p)[N - 1] as number);
      return all.filter((m) => Math.abs(law[(3 * p + 1) * N + m] as number) * own > GRID_JOINS / 4);
    });
    const size = block.active.reduce((sum, rows) => sum + rows.length, 0);
    if (block.matrix.length < size * size) {
      block.matrix = new Float64Array(size * size);
      block.pivots = new Int32Array(size);
    }
    block.size = size;
    let firstRow = 0;
    for (let pi = 0; pi < block.currents.length; pi++) {
      const p = block.currents[pi] as number;
      const rows = block.active[pi] as Int32Array;
      const c = firstControl[p] as number;
      let firstColumn = 0;
      for (let qi = 0; qi < block.currents.length; qi++) {
        const q = block.currents[qi] as number;
        const columns = block.active[qi] as Int32Array;
        if (rows.length > 0 && columns.length > 0) {
          const ka = kernel(work, stepper, c, q);
          const kb = controlCount[p] === 2 ? kernel(work, stepper, c + 1, q) : ka;
          const second = controlCount[p] === 2 ? 1 : 0;
          fillPart(block.matrix, size, firstRow, firstColumn, rows, columns, ka, kb, law, (3 * p + 1) * N, N, second);
        }
        firstColumn += columns.length;
      }
      firstRow += rows.length;
    }
    for (let i = 0; i < size; i++) block.matrix[i * size + i] = (block.matrix[i * size + i] as number) + 1;
    if (!luFactor(block.matrix, size, block.pivots)) return false;
  }
  stepper.factored = true;
  return true;
}

function fillPart(
  matrix: Float64Array,
  size: number,
  firstRow: number,
  firstColumn: number,
  rows: Int32Array,
  columns: Int32Array,
  ka: Float64Array,
  kb: Float64Array,
  law: Float64Array,
  slopes: number,
  N: number,
  second: number,
): void {
  for (let i = 0; i < rows.length; i++) {
    const m = rows[i] as number;
    const a = law[slopes + m] as number;
    const b = second === 1 ? (law[slopes + N + m] as number) : 0;
    let at = (firstRow + i) * size + firstColumn;
    const base = N - 1 - m;
    for (let j = 0; j < columns.length; j++, at++) {
      const k = base + (columns[j] as number);
      matrix[at] = a * (ka[k] as number) + b * (kb[k] as number);
    }
  }
}

function kernel(work: Collocation, stepper: Stepper, c: number, q: number): Float64Array {
  const at = c * work.model.currents + q;
  const known = stepper.kernels.get(at);
  if (known !== undefined) return known;
  const made = kernelOf(work, c, q);
  stepper.kernels.set(at, made);
  return made;
}

/**
 * z = P^-1 v over the live rows; leaves the harmonics of z in the collocation, ready for `throughNetwork`. Samples that
 * joined no block move by plain substitution.
 */
function precondition(work: Collocation, stepper: Stepper, v: Float64Array, z: Float64Array): void {
  const { samples: N, live, liveCount, law, firstControl, controlCount, moved } = work;
  const { rhs } = stepper;
  let before = 0;
  for (const block of stepper.blocks) {
    let after = before;
    while (after < liveCount && block.currents.includes(live[after] as number)) after++;
    if (before > 0) throughNetwork(work, block.firstControl, block.lastControl, before, moved);
    for (let r = before; r < after; r++) {
      const q = live[r] as number;
      const row = q * N;
      if (before === 0) {
        for (let m = row; m < row + N; m++) z[m] = v[m] as number;
        continue;
      }
      const a = (firstControl[q] as number) * N;
      const slope = (3 * q + 1) * N;
      // A diode has no second slope: that row is zero, and reads the first control again.
      const b = controlCount[q] === 2 ? a + N : a;
      for (let m = 0; m < N; m++)
        z[row + m] =
          (v[row + m] as number) -
          (law[slope + m] as number) * (moved[a + m] as number) -
          (law[slope + N + m] as number) * (moved[b + m] as number);
    }
    let size = 0;
    for (let pi = 0; pi < block.currents.length; pi++) {
      const p = block.currents[pi] as number;
      const rows = block.active[pi] as Int32Array;
      const counts = isLive(live, before, after, p);
      for (let i = 0; i < rows.length; i++) rhs[size++] = counts ? (z[p * N + (rows[i] as number)] as number) : 0;
    }
    luSolve(block.matrix, block.size, block.pivots, rhs);
    size = 0;
    for (let pi = 0; pi < block.currents.length; pi++) {
      const p = block.currents[pi] as number;
      const rows = block.active[pi] as Int32Array;
      if (!isLive(live, before, after, p)) {
        size += rows.length;
        continue;
      }
      for (let i = 0; i < rows.length; i++) z[p * N + (rows[i] as number)] = rhs[size++] as number;
    }
    for (let r = before; r < after; r++) analyseRow(work, z, live[r] as number);
    before = after;
  }
}

function isLive(live: Int32Array, from: number, to: number, row: number): boolean {
  for (let r = from; r < to; r++) if (live[r] === row) return true;
  return false;
}

/**
 * Solves J step = f(v) - i until the linear residual is below `share` of where it began, or the directions are used up.
 * Leaves the step in `stepper.step` and what it moves in `stepMoved`; answers the number of directions made and the
 * share reached.
 */
export function solveStep(
  work: Collocation,
  stepper: Stepper,
  share: number,
): { readonly directions: number; readonly reached: number } {
  const { step, stepMoved, residual, directions } = stepper;
  const { current, law, samples: N, model, flows } = work;
  for (let q = 0; q < model.currents; q++)
    for (let m = q * N, l = 3 * q * N; m < (q + 1) * N; m++, l++)
      residual[m] = (law[l] as number) - (current[m] as number);
  // Rows left out of the products follow their law.
  for (let q = 0; q < model.currents; q++)
    for (let m = q * N; m < (q + 1) * N; m++) step[m] = flows[q] === 1 ? (residual[m] as number) : 0;
  stepMoved.fill(0);
  const size = Math.sqrt(product(work, residual, residual));
  if (!(size > 0)) return { directions: 0, reached: 0 };
  let used = 0;
  let reached = 1;
  while (reached > share && used < MOST_DIRECTIONS) {
    const direction = directionAt(work, directions, used);
    if (stepper.local === undefined) precondition(work, stepper, residual, direction.x);
    else solveLocal(work, stepper.local, residual, direction.x);
    throughNetwork(work, 0, model.controls, work.liveCount, direction.moved);
    imageOf(work, direction.x, direction.moved, direction.image);
    if (!join(work, stepper, used)) return { directions: used + 1, reached: Infinity };
    used++;
    reached = Math.sqrt(product(work, residual, residual)) / size;
  }
  combine(work, stepper, used);
  return { directions: used, reached };
}

function directionAt(work: Collocation, directions: Direction[], at: number): Direction {
  const known = directions[at];
  if (known !== undefined) return known;
  const { samples: N, model } = work;
  const made = {
    x: new Float64Array(model.currents * N),
    moved: new Float64Array(model.controls * N),
    image: new Float64Array(model.currents * N),
  };
  directions[at] = made;
  return made;
}

/**
 * Makes the image of direction `at` orthogonal to those before and takes its part off the residual. False: no finite
 * image.
 */
function join(work: Collocation, { directions, triangle, weights, residual }: Stepper, at: number): boolean {
  const { image } = directions[at] as Direction;
  for (let i = 0; i < at; i++) {
    const before = (directions[i] as Direction).image;
    const along = product(work, before, image);
    triangle[at * MOST_DIRECTIONS + i] = along;
    add(work, image, before, -along);
  }
  const length = Math.sqrt(product(work, image, image));
  if (!(length > 0 && length < Infinity)) return false;
  triangle[at * MOST_DIRECTIONS + at] = length;
  scale(work, image, 1 / length);
  const weight = product(work, image, residual);
  weights[at] = weight;
  add(work, residual, image, -weight);
  return true;
}

/** The step and what it moves, from the weights of the images. */
function combine(work: Collocation, { directions, triangle, weights, step, stepMoved }: Stepper, count: number): void {
  scale(work, step, 0);
  for (let i = count - 1; i >= 0; i--) {
    let sum = weights[i] as number;
    for (let k = i + 1; k < count; k++) sum -= (triangle[k * MOST_DIRECTIONS + i] as number) * (weights[k] as number);
    const weight = sum / (triangle[i * MOST_DIRECTIONS + i] as number);
    weights[i] = weight;
    const { x, moved } = directions[i] as Direction;
    add(work, step, x, weight);
    for (let m = 0; m < stepMoved.length; m++) stepMoved[m] = (stepMoved[m] as number) + weight * (moved[m] as number);
  }
}

/** Sums in four parts: one running sum would wait for itself. */
function product(work: Collocation, a: Float64Array, b: Float64Array): number {
  const { samples: N, live, liveCount } = work;
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  for (let r = 0; r < liveCount; r++) {
    let m = (live[r] as number) * N;
    const end = m + N;
    for (; m < end - 3; m += 4) {
      s0 += (a[m] as number) * (b[m] as number);
      s1 += (a[m + 1] as number) * (b[m + 1] as number);
      s2 += (a[m + 2] as number) * (b[m + 2] as number);
      s3 += (a[m + 3] as number) * (b[m + 3] as number);
    }
    for (; m < end; m++) s0 += (a[m] as number) * (b[m] as number);
  }
  return s0 + s1 + (s2 + s3);
}

function add(work: Collocation, a: Float64Array, b: Float64Array, factorOfB: number): void {
  const { samples: N, live, liveCount } = work;
  for (let r = 0; r < liveCount; r++) {
    const end = ((live[r] as number) + 1) * N;
    for (let m = end - N; m < end; m++) a[m] = (a[m] as number) + factorOfB * (b[m] as number);
  }
}

function scale(work: Collocation, a: Float64Array, by: number): void {
  const { samples: N, live, liveCount } = work;
  for (let r = 0; r < liveCount; r++) {
    const end = ((live[r] as number) + 1) * N;
    for (let m = end - N; m < end; m++) a[m] = (a[m] as number) * by;
  }
}
