/** Every failure of compiling and solving in one table: whose doing it is, and the one sentence that says so. */
import type { CompileFailure, SolveFailure } from "./answers.ts";

export type Failure = CompileFailure | SolveFailure;
export type Blame = "design" | "model" | "solver" | "program";

type Table = {
  readonly [K in Failure["kind"]]: {
    readonly blame: Blame;
    readonly say: (failure: Extract<Failure, { kind: K }>) => string;
  };
};

export const FAILURES: Table = {
  "duplicate-part": {
    blame: "design",
    say: (f) => `Two parts are called ${f.part}; every part needs a name of its own.`,
  },
  "bad-value": { blame: "design", say: (f) => `${f.part}: ${f.field} is ${f.given}; it must be ${f.need}.` },
  "lonely-net": {
    blame: "design",
    say: (f) => `Net ${f.net} has a single pin (on ${f.part}); tie it to something or take the part out.`,
  },
  "floating-net": {
    blame: "design",
    say: (f) => `Net ${f.net} (${f.parts.join(", ")}) has no dc path to ground; add a resistor from it.`,
  },
  "floating-grid": {
    blame: "design",
    say: (f) => `The grid of ${f.part} (net ${f.net}) has no dc path to ground; add a grid leak.`,
  },
  "shorted-source": {
    blame: "design",
    say: (f) =>
      `The source ${f.parts.join(", ")} is shorted or tied to another of different volts; give it a resistance.`,
  },
  "no-ground": { blame: "design", say: () => 'No part is tied to ground; tie one net to "0".' },
  "no-operating-point": {
    blame: "solver",
    say: (f) =>
      `No operating point was found (worst at net ${f.worst}, ${f.effort.steps} steps); check the values around it.`,
  },
  "not-settled": {
    blame: "solver",
    say: (f) => `Not settled in ${f.effort.steps} steps: ${f.what}; nothing is shown for it.`,
  },
  "law-not-finite": { blame: "model", say: (f) => `The law of ${f.part} gave no finite current.` },
  singular: {
    blame: "design",
    say: (f) => `The circuit has no unique solution near net ${f.net}; look for a part that floats.`,
  },
  "unknown-name": { blame: "program", say: (f) => `Nothing in the circuit is called ${f.name}.` },
};

/** The sentence of a failure. */
export function sentence(failure: Failure): string {
  return (FAILURES[failure.kind].say as (f: Failure) => string)(failure);
}
