/**
 * Evaluators of the triode laws (law.ts): currents and exact slopes, without allocation.
 *
 * Law     Space current ik(vg, va) by form, then a share between plate and grid, so that ik = ia + ig to rounding.
 *         The share: g = Gg sp(C (vg - Vg0))^xi / C^xi is what the grid would take, T = exp(-(Vs/va)^6) what the plate
 *         can collect (0 for va <= 0); ia = T ik^2 / (ik + g), ig = ik - ia. Hence 0 <= ig <= ik and ia >= 0.
 * Method  Closed form over many samples at once (a call per sample costs as much as a third of the law); softplus and its
 *         slope from one exponential, powers as exp(p ln x).
 * Limits  Finite for every finite pair of voltages. ik never falls with vg or va (island: for 0 <= a < 1). ia never
 *         falls with va; with vg it does not fall while dg/dvg <= dik/dvg (ik + 2g)/ik, which every shipped law keeps
 *         over its working region (triode.test.ts). Infinitely smooth for va > 0. What is not a number goes through as
 *         such, so that solves refuse it; it never turns into zero amperes.
 *         The square law is a field-effect device's, without a grid law: reversed volts reverse its current (docs/regulators.md).
 * Sources docs/laws.md: island law (ours), Koren 1996 with contact potential, Dempwolf and Zolzer 2011 (constant mu).
 */
import { exponential, logOnePlus } from "../numerics/exponentials.ts";
import type { GridLaw, SpaceLaw, TriodeEvaluator, TriodeLaw, TriodeSamples } from "./law.ts";

/** Fixed constants of the island law: bias (in units of va/mu) where control is lost, and how sharply. */
const ISLAND_CORNER = 0.6;
const ISLAND_SHARPNESS = 5;

/** Below this plate voltage (V, to the sixth power in T) the plate no longer collects all it is sent. */
const COLLECTION_VOLTS = 1.5;

/** Softplus ln(1 + e^y), safe for any y. */
export function softplus(y: number): number {
  return y > 0 ? y + Math.log1p(Math.exp(-y)) : Math.log1p(Math.exp(y));
}

/** Space current into out[0], its slopes to vg and va into out[1], out[2]. */
type SpaceEvaluator = (gridVolts: number, plateVolts: number, out: Float64Array) => void;

function island(law: Extract<SpaceLaw, { form: "island" }>): TriodeSamples {
  const { G, mu, p, k, a, Vt, Vct } = law;
  const inverseMu = 1 / mu;
  const knee = (mu * Vt) ** 2;
  const width = inverseMu / k;
  const thermal = Vt * Vt;
  return (control, gridAt, plateAt, count, out, at, step) => {
    for (let m = 0; m < count; m++) {
      const plateVolts = control[plateAt + m] as number;
      const e = (control[gridAt + m] as number) + Vct;
      const h = Math.sqrt(plateVolts * plateVolts + knee);
      const r = (mu * e) / h;
      const y = -ISLAND_SHARPNESS * (r + ISLAND_CORNER);
      let phi = 0;
      let loss = 0;
      if (y > -40) {
        const t = exponential(y > 0 ? -y : y);
        phi = ((y > 0 ? y : 0) + logOnePlus(t)) / ISLAND_SHARPNESS;
        loss = (y > 0 ? 1 : t) / (1 + t);
      }
      const scaled = plateVolts * width;
      const W = Math.sqrt(scaled * scaled + thermal);
      const z = (e + plateVolts * inverseMu + a * h * phi * inverseMu) / W;
      const t = exponential(z > 0 ? -z : z);
      const sp = (z > 0 ? z : 0) + logOnePlus(t);
      const E = W * sp;
      const i = at + m;
      if (E <= 1e-200) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        continue;
      }
      const sg = (z > 0 ? 1 : t) / (1 + t);
      const ik = G * exponential(p * Math.log(E));
      const slope = (p * ik) / E;
      out[i] = ik;
      out[i + step] = slope * sg * (1 - a * loss);
      out[i + 2 * step] =
        slope *
        (sg * (1 + a * (plateVolts / h) * (phi + r * loss)) * inverseMu +
          ((plateVolts * width * width) / W) * (sp - z * sg));
    }
  };
}

function koren(law: Extract<SpaceLaw, { form: "koren" }>): TriodeSamples {
  const { mu, ex, kg1, kp, kvb, Vct } = law;
  return (control, gridAt, plateAt, count, out, at, step) => {
    for (let m = 0; m < count; m++) {
      const plateVolts = control[plateAt + m] as number;
      const i = at + m;
      if (plateVolts <= 0) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        continue;
      }
      const e = (control[gridAt + m] as number) + Vct;
      const root2 = kvb + plateVolts * plateVolts;
      const root = Math.sqrt(root2);
      const z = kp * (1 / mu + e / root);
      const t = exponential(z > 0 ? -z : z);
      const sp = (z > 0 ? z : 0) + logOnePlus(t);
      const E = (plateVolts / kp) * sp;
      if (E <= 1e-200) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        continue;
      }
      const sg = (z > 0 ? 1 : t) / (1 + t);
      const ik = (2 * exponential(ex * Math.log(E))) / kg1;
      const slope = (ex * ik) / E;
      out[i] = ik;
      out[i + step] = (slope * plateVolts * sg) / root;
      out[i + 2 * step] = slope * (sp / kp - (plateVolts * plateVolts * sg * e) / (root2 * root));
    }
  };
}

function constantMu(law: Extract<SpaceLaw, { form: "softplus" }>): TriodeSamples {
  const { G, mu, gamma, C, Vct } = law;
  return (control, gridAt, plateAt, count, out, at, step) => {
    for (let m = 0; m < count; m++) {
      const z = C * ((control[plateAt + m] as number) / mu + (control[gridAt + m] as number) + Vct);
      const t = exponential(z > 0 ? -z : z);
      const E = ((z > 0 ? z : 0) + logOnePlus(t)) / C;
      const i = at + m;
      if (E <= 1e-200) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        continue;
      }
      const ik = G * exponential(gamma * Math.log(E));
      const slope = ((gamma * ik) / E) * ((z > 0 ? 1 : t) / (1 + t));
      out[i] = ik;
      out[i + step] = slope;
      out[i + 2 * step] = slope / mu;
    }
  };
}

function powerLaw(law: Extract<SpaceLaw, { form: "three-halves" }>): TriodeSamples {
  const { K, mu, p } = law;
  return (control, gridAt, plateAt, count, out, at, step) => {
    for (let m = 0; m < count; m++) {
      const u = mu * (control[gridAt + m] as number) + (control[plateAt + m] as number);
      const i = at + m;
      if (u <= 0) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        continue;
      }
      const ik = K * exponential(p * Math.log(u));
      const slope = (p * ik) / u;
      out[i] = ik;
      out[i + step] = slope * mu;
      out[i + 2 * step] = slope;
    }
  };
}

/** Drop of a field-effect device's body diode, its series ohms and the volts of its bend; ordinary silicon, from memory. */
const BODY_VOLTS = 0.7;
const BODY_OHMS = 1;
const BODY_WIDTH = 0.05;

/**
 * K (F(vg - Vt)^2 - F(vg - Vt - va)^2) (1 + lambda (sqrt(1 + va^2) - 1)), F a softplus: square law in saturation, a
 * resistance at few volts, reversed when the drain is below the source; less the body diode's current.
 */
function squareLaw(law: Extract<SpaceLaw, { form: "square" }>): TriodeSamples {
  const { K, Vt, width, lambda } = law;
  return (control, gridAt, plateAt, count, out, at, step) => {
    for (let m = 0; m < count; m++) {
      const drainVolts = control[plateAt + m] as number;
      const x = ((control[gridAt + m] as number) - Vt) / width;
      const y = x - drainVolts / width;
      const tx = exponential(x > 0 ? -x : x);
      const ty = exponential(y > 0 ? -y : y);
      const near = width * ((x > 0 ? x : 0) + logOnePlus(tx));
      const far = width * ((y > 0 ? y : 0) + logOnePlus(ty));
      const nearSlope = (2 * near * (x > 0 ? 1 : tx)) / (1 + tx);
      const farSlope = (2 * far * (y > 0 ? 1 : ty)) / (1 + ty);
      const h = Math.sqrt(1 + drainVolts * drainVolts);
      const growth = K * (1 + lambda * (h - 1));
      const channel = (near - far) * (near + far);
      const z = (-drainVolts - BODY_VOLTS) / BODY_WIDTH;
      const tz = exponential(z > 0 ? -z : z);
      const i = at + m;
      out[i] = growth * channel - (BODY_WIDTH / BODY_OHMS) * ((z > 0 ? z : 0) + logOnePlus(tz));
      out[i + step] = growth * (nearSlope - farSlope);
      out[i + 2 * step] =
        growth * farSlope + (K * lambda * drainVolts * channel) / h + (z > 0 ? 1 : tz) / (1 + tz) / BODY_OHMS;
    }
  };
}

function spaceSamples(law: SpaceLaw): TriodeSamples {
  switch (law.form) {
    case "island":
      return island(law);
    case "koren":
      return koren(law);
    case "softplus":
      return constantMu(law);
    case "three-halves":
      return powerLaw(law);
    case "square":
      return squareLaw(law);
  }
}

/** One sample at a time. */
function single(samples: TriodeSamples): SpaceEvaluator {
  const control = new Float64Array(2);
  return (gridVolts, plateVolts, out) => {
    control[0] = gridVolts;
    control[1] = plateVolts;
    samples(control, 0, 1, 1, out, 0, 1);
  };
}

/** Evaluator of the space current alone: [ik, dik/dvg, dik/dva]. */
export function compileSpaceCurrent(law: SpaceLaw): SpaceEvaluator {
  return single(spaceSamples(law));
}

/** Evaluator of one triode section: [ia, dia/dvg, dia/dva, ig, dig/dvg, dig/dva] in A and A/V. */
export function compileTriode(law: TriodeLaw): TriodeEvaluator {
  const space = spaceSamples(law.space);
  const grid = law.grid;
  const samples = grid.form === "none" ? withoutGrid(space) : shared(space, grid);
  return Object.assign(single(samples), { samples });
}

function withoutGrid(space: TriodeSamples): TriodeSamples {
  return (control, gridAt, plateAt, count, out, at, step) => {
    space(control, gridAt, plateAt, count, out, at, step);
    for (let i = at + 3 * step; i < at + 3 * step + count; i++) out[i] = out[i + step] = out[i + 2 * step] = 0;
  };
}

function shared(space: TriodeSamples, grid: Extract<GridLaw, { form: "softplus" }>): TriodeSamples {
  const { Gg, xi, C, Vg0 } = grid;
  const s6 = COLLECTION_VOLTS ** 6;
  return (control, gridAt, plateAt, count, out, at, step) => {
    space(control, gridAt, plateAt, count, out, at, step);
    for (let m = 0; m < count; m++) {
      const plateVolts = control[plateAt + m] as number;
      const i = at + m;
      const ik = out[i] as number;
      const ikGrid = out[i + step] as number;
      const ikPlate = out[i + 2 * step] as number;
      const x = C * ((control[gridAt + m] as number) - Vg0);
      // Far below onset the grid takes less than 1e-24 A: nothing to rounding of any current of interest.
      let g = 0;
      let gSlope = 0;
      if (x > -40) {
        const t = exponential(x > 0 ? -x : x);
        const sp = (x > 0 ? x : 0) + logOnePlus(t);
        g = Gg * exponential(xi * Math.log(sp / C));
        gSlope = (xi * g * C * (x > 0 ? 1 : t)) / ((1 + t) * sp);
      }
      if (ik <= 0) {
        out[i] = out[i + step] = out[i + 2 * step] = 0;
        out[i + 3 * step] = out[i + 4 * step] = out[i + 5 * step] = 0;
        continue;
      }
      let collected = 0;
      let collectedSlope = 0;
      if (plateVolts > 0) {
        const v2 = plateVolts * plateVolts;
        const w = s6 / (v2 * v2 * v2);
        collected = w < 1e-6 ? 1 - w : exponential(-w);
        collectedSlope = w < 700 ? (6 * w * collected) / plateVolts : 0;
      }
      const sum = ik + g;
      const plateShare = ik / sum;
      const ia = ik * plateShare * collected;
      const alongIk = collected * plateShare * (2 - plateShare);
      const iaGrid = alongIk * ikGrid - collected * plateShare * plateShare * gSlope;
      const iaPlate = alongIk * ikPlate + ik * plateShare * collectedSlope;
      out[i] = ia;
      out[i + step] = iaGrid;
      out[i + 2 * step] = iaPlate;
      out[i + 3 * step] = ik - ia;
      out[i + 4 * step] = ikGrid - iaGrid;
      out[i + 5 * step] = ikPlate - iaPlate;
    }
  };
}
