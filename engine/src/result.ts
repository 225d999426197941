/**
 * Expected outcomes are values: a solve that did not settle, or a text that is not a resistance, returns a `Result`.
 * Broken promises (a matrix of the wrong size) throw through `assert`.
 */
export type Result<T, F> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: F };

export const ok = <T>(value: T): { readonly ok: true; readonly value: T } => ({ ok: true, value });

export const fail = <F>(failure: F): { readonly ok: false; readonly failure: F } => ({ ok: false, failure });

/** Throws when a promise inside the program is broken; never for a user's input. */
export function assert(condition: boolean, message: string): asserts condition {
  if (!condition) throw new Error(message);
}
