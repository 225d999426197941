/**
 * Evaluators of the triode laws (law.ts): currents and exact slopes, without allocation.
 *
 * Law     Space current ik(vg, va) by form, then a share between plate and grid, so that ik = ia + ig to rounding.
 *         The share: g = Gg sp(C (vg - Vg0))^xi / C^xi is what the grid would take, T = exp(-(Vs/va)^6) what the plate
 *         can collect (0 for va <= 0); ia = T ik^2 / (ik + g), ig = ik - ia. Hence 0 <= ig <= ik and ia >= 0.
 * Method  Closed form; softplus and its slope from one exponential, powers as exp(p ln x).
 * Limits  Finite for every finite pair of voltages. ik never falls with vg or va (island: for 0 <= a < 1). ia never
 *         falls with va; with vg it does not fall while dg/dvg <= dik/dvg (ik + 2g)/ik, which every shipped law keeps
 *         over its working region (triode.test.ts). Infinitely smooth for va > 0. What is not a number goes through as
 *         such, so that solves refuse it; it never turns into zero amperes.
 * Sources docs/laws.md: island law (ours), Koren 1996 with contact potential, Dempwolf and Zolzer 2011 (constant mu).
 */
import type { GridLaw, SpaceLaw, TriodeEvaluator, TriodeLaw } from "./law.ts";

/** Fixed constants of the island law: bias (in units of va/mu) where control is lost, and how sharply. */
const ISLAND_CORNER = 0.6;
const ISLAND_SHARPNESS = 5;

/** Below this plate voltage (V, to the sixth power in T) the plate no longer collects all it is sent. */
const COLLECTION_VOLTS = 1.5;

/** Softplus ln(1 + e^y), safe for any y. */
export function softplus(y: number): number {
  return y > 0 ? y + Math.log1p(Math.exp(-y)) : Math.log1p(Math.exp(y));
}

/** ln(1 + t) for 0 <= t <= 1: about three times as fast as Math.log1p here, relative error below 1e-11. */
function logOnePlus(t: number): number {
  return t < 1e-4 ? t * (1 - t * (0.5 - t * (1 / 3 - t * 0.25))) : Math.log(1 + t);
}

/** Space current into out[0], its slopes to vg and va into out[1], out[2]. */
type SpaceEvaluator = (gridVolts: number, plateVolts: number, out: Float64Array) => void;

function island(law: Extract<SpaceLaw, { form: "island" }>): SpaceEvaluator {
  const { G, mu, p, k, a, Vt, Vct } = law;
  const inverseMu = 1 / mu;
  const knee = (mu * Vt) ** 2;
  const width = inverseMu / k;
  const thermal = Vt * Vt;
  return (gridVolts, plateVolts, out) => {
    const e = gridVolts + Vct;
    const h = Math.sqrt(plateVolts * plateVolts + knee);
    const r = (mu * e) / h;
    const y = -ISLAND_SHARPNESS * (r + ISLAND_CORNER);
    let phi = 0;
    let loss = 0;
    if (y > -40) {
      const t = Math.exp(y > 0 ? -y : y);
      phi = ((y > 0 ? y : 0) + logOnePlus(t)) / ISLAND_SHARPNESS;
      loss = y > 0 ? 1 / (1 + t) : t / (1 + t);
    }
    const scaled = plateVolts * width;
    const W = Math.sqrt(scaled * scaled + thermal);
    const z = (e + plateVolts * inverseMu + a * h * phi * inverseMu) / W;
    const t = Math.exp(z > 0 ? -z : z);
    const sp = (z > 0 ? z : 0) + logOnePlus(t);
    const E = W * sp;
    if (E <= 1e-200) {
      out[0] = out[1] = out[2] = 0;
      return;
    }
    const sg = z > 0 ? 1 / (1 + t) : t / (1 + t);
    const ik = G * Math.exp(p * Math.log(E));
    const slope = (p * ik) / E;
    out[0] = ik;
    out[1] = slope * sg * (1 - a * loss);
    out[2] =
      slope *
      (sg * (1 + a * (plateVolts / h) * (phi + r * loss)) * inverseMu +
        ((plateVolts * width * width) / W) * (sp - z * sg));
  };
}

function koren(law: Extract<SpaceLaw, { form: "koren" }>): SpaceEvaluator {
  const { mu, ex, kg1, kp, kvb, Vct } = law;
  return (gridVolts, plateVolts, out) => {
    if (plateVolts <= 0) {
      out[0] = out[1] = out[2] = 0;
      return;
    }
    const e = gridVolts + Vct;
    const root2 = kvb + plateVolts * plateVolts;
    const root = Math.sqrt(root2);
    const z = kp * (1 / mu + e / root);
    const t = Math.exp(z > 0 ? -z : z);
    const sp = (z > 0 ? z : 0) + logOnePlus(t);
    const E = (plateVolts / kp) * sp;
    if (E <= 1e-200) {
      out[0] = out[1] = out[2] = 0;
      return;
    }
    const sg = z > 0 ? 1 / (1 + t) : t / (1 + t);
    const ik = (2 * Math.exp(ex * Math.log(E))) / kg1;
    const slope = (ex * ik) / E;
    out[0] = ik;
    out[1] = (slope * plateVolts * sg) / root;
    out[2] = slope * (sp / kp - (plateVolts * plateVolts * sg * e) / (root2 * root));
  };
}

function constantMu(law: Extract<SpaceLaw, { form: "softplus" }>): SpaceEvaluator {
  const { G, mu, gamma, C, Vct } = law;
  return (gridVolts, plateVolts, out) => {
    const z = C * (plateVolts / mu + gridVolts + Vct);
    const t = Math.exp(z > 0 ? -z : z);
    const E = ((z > 0 ? z : 0) + logOnePlus(t)) / C;
    if (E <= 1e-200) {
      out[0] = out[1] = out[2] = 0;
      return;
    }
    const ik = G * Math.exp(gamma * Math.log(E));
    const slope = ((gamma * ik) / E) * (z > 0 ? 1 / (1 + t) : t / (1 + t));
    out[0] = ik;
    out[1] = slope;
    out[2] = slope / mu;
  };
}

function powerLaw(law: Extract<SpaceLaw, { form: "three-halves" }>): SpaceEvaluator {
  const { K, mu, p } = law;
  return (gridVolts, plateVolts, out) => {
    const u = mu * gridVolts + plateVolts;
    if (u <= 0) {
      out[0] = out[1] = out[2] = 0;
      return;
    }
    const ik = K * Math.exp(p * Math.log(u));
    const slope = (p * ik) / u;
    out[0] = ik;
    out[1] = slope * mu;
    out[2] = slope;
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
function squareLaw(law: Extract<SpaceLaw, { form: "square" }>): SpaceEvaluator {
  const { K, Vt, width, lambda } = law;
  return (gateVolts, drainVolts, out) => {
    const x = (gateVolts - Vt) / width;
    const y = x - drainVolts / width;
    const tx = Math.exp(x > 0 ? -x : x);
    const ty = Math.exp(y > 0 ? -y : y);
    const near = width * ((x > 0 ? x : 0) + logOnePlus(tx));
    const far = width * ((y > 0 ? y : 0) + logOnePlus(ty));
    const nearSlope = 2 * near * (x > 0 ? 1 / (1 + tx) : tx / (1 + tx));
    const farSlope = 2 * far * (y > 0 ? 1 / (1 + ty) : ty / (1 + ty));
    const h = Math.sqrt(1 + drainVolts * drainVolts);
    const growth = K * (1 + lambda * (h - 1));
    const channel = (near - far) * (near + far);
    const z = (-drainVolts - BODY_VOLTS) / BODY_WIDTH;
    const tz = Math.exp(z > 0 ? -z : z);
    out[0] = growth * channel - (BODY_WIDTH / BODY_OHMS) * ((z > 0 ? z : 0) + logOnePlus(tz));
    out[1] = growth * (nearSlope - farSlope);
    out[2] =
      growth * farSlope + (K * lambda * drainVolts * channel) / h + (z > 0 ? 1 / (1 + tz) : tz / (1 + tz)) / BODY_OHMS;
  };
}

/** Evaluator of the space current alone: [ik, dik/dvg, dik/dva]. */
export function compileSpaceCurrent(law: SpaceLaw): SpaceEvaluator {
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

/** Evaluator of one triode section: [ia, dia/dvg, dia/dva, ig, dig/dvg, dig/dva] in A and A/V. */
export function compileTriode(law: TriodeLaw): TriodeEvaluator {
  const space = compileSpaceCurrent(law.space);
  const grid = law.grid;
  return grid.form === "none" ? withoutGrid(space) : shared(space, grid);
}

function withoutGrid(space: SpaceEvaluator): TriodeEvaluator {
  return (gridVolts, plateVolts, out) => {
    space(gridVolts, plateVolts, out);
    out[3] = out[4] = out[5] = 0;
  };
}

function shared(space: SpaceEvaluator, grid: Extract<GridLaw, { form: "softplus" }>): TriodeEvaluator {
  const { Gg, xi, C, Vg0 } = grid;
  const s6 = COLLECTION_VOLTS ** 6;
  return (gridVolts, plateVolts, out) => {
    space(gridVolts, plateVolts, out);
    const ik = out[0] as number;
    const ikGrid = out[1] as number;
    const ikPlate = out[2] as number;
    const x = C * (gridVolts - Vg0);
    // Far below onset the grid takes less than 1e-24 A: nothing to rounding of any current of interest.
    let g = 0;
    let gSlope = 0;
    if (x > -40) {
      const t = Math.exp(x > 0 ? -x : x);
      const sp = (x > 0 ? x : 0) + logOnePlus(t);
      g = Gg * Math.exp(xi * Math.log(sp / C));
      gSlope = (xi * g * C * (x > 0 ? 1 / (1 + t) : t / (1 + t))) / sp;
    }
    if (ik <= 0) {
      out[0] = out[1] = out[2] = out[3] = out[4] = out[5] = 0;
      return;
    }
    let collected = 0;
    let collectedSlope = 0;
    if (plateVolts > 0) {
      const v2 = plateVolts * plateVolts;
      const w = s6 / (v2 * v2 * v2);
      collected = w < 1e-6 ? 1 - w : Math.exp(-w);
      collectedSlope = w < 700 ? (6 * w * collected) / plateVolts : 0;
    }
    const sum = ik + g;
    const plateShare = ik / sum;
    const ia = ik * plateShare * collected;
    const alongIk = collected * plateShare * (2 - plateShare);
    out[0] = ia;
    out[1] = alongIk * ikGrid - collected * plateShare * plateShare * gSlope;
    out[2] = alongIk * ikPlate + ik * plateShare * collectedSlope;
    out[3] = ik - ia;
    out[4] = ikGrid - out[1];
    out[5] = ikPlate - out[2];
  };
}
