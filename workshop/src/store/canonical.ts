/** JSON with one spelling: keys in order, no spaces. What checksums are taken over. */
import { createHash } from "node:crypto";

export function canonicalJson(value: unknown): string {
  return JSON.stringify(value, (_, one: unknown) =>
    typeof one === "object" && one !== null && !Array.isArray(one)
      ? Object.fromEntries(Object.entries(one).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)))
      : one,
  );
}

export const sha256 = (data: string | Uint8Array): string => createHash("sha256").update(data).digest("hex");

/** A copy as it would come back from a file: shares nothing, holds nothing that JSON does not. */
export const plain = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

/** Whether plain data is nested deeper than so many levels; looked at level by level, so that no depth can hurt. */
export function deeperThan(value: unknown, most: number): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > most) return true;
    level = level.flatMap((one) => (typeof one === "object" && one !== null ? Object.values(one) : []));
  }
  return false;
}
