/** The island law as seven numbers for a fit: ln G, ln mu, ln p, ln k, ln a, ln Vt, Vct. Priors of docs/laws.md. */
import type { SpaceLaw } from "@platewright/engine";

export type IslandLaw = Extract<SpaceLaw, { form: "island" }>;

export const NAMES = ["G", "mu", "p", "k", "a", "Vt", "Vct"] as const;

/** Above this share the law would no longer be monotone in the grid. */
const MOST_ISLAND = 0.95;

export function toLaw(x: ArrayLike<number>): IslandLaw {
  const exp = (i: number) => Math.exp(x[i] as number);
  return {
    form: "island",
    G: exp(0),
    mu: exp(1),
    p: exp(2),
    k: exp(3),
    a: Math.min(MOST_ISLAND, exp(4)),
    Vt: exp(5),
    Vct: x[6] as number,
  };
}

export const toVector = (law: IslandLaw): Float64Array =>
  Float64Array.of(
    Math.log(law.G),
    Math.log(law.mu),
    Math.log(law.p),
    Math.log(law.k),
    Math.log(law.a),
    Math.log(law.Vt),
    law.Vct,
  );

export interface Prior {
  readonly mean: number;
  readonly sd: number;
}

/** Priors in the order of NAMES; G has none (its sd is only there so that every parameter has one to be compared with). */
export function priorsFor(sheetMu: number): readonly (Prior | undefined)[] {
  return [
    undefined,
    { mean: Math.log(1.1 * sheetMu), sd: 0.15 },
    { mean: Math.log(1.42), sd: 0.06 },
    { mean: Math.log(8), sd: 0.4 },
    { mean: Math.log(0.16), sd: 0.8 },
    { mean: Math.log(0.18), sd: 0.35 },
    { mean: 0.3, sd: 0.3 * Math.max(1, 20 / sheetMu) },
  ];
}

/** Sd of ln G before any data: a decade either way. */
export const NO_PRIOR_SD = Math.LN10;
