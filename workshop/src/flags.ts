/** Values of flags, read as builders write them; every refusal is one sentence that names the flag. */
import { type Catalogue, parseValue, type Quantity, type TubeRecord } from "@platewright/engine";
import { badInput } from "./outcome.ts";

export function flagValue(
  flag: string,
  quantity: Quantity,
  written: string,
  allow: { readonly zero?: boolean } = {},
): number {
  const value = parseValue(quantity, written, allow);
  return value.ok ? value.value : badInput(`--${flag}: ${value.failure.sentence}`);
}

/** "none" or a value. */
export const flagOrNone = (flag: string, quantity: Quantity, written: string): number | undefined =>
  written.trim().toLowerCase() === "none" ? undefined : flagValue(flag, quantity, written);

/** The type as the library knows it; the nearest names when it does not. */
export function knownTube(catalogue: Catalogue, flag: string, name: string): TubeRecord {
  const record = catalogue.tube(name);
  if (record !== undefined) return record;
  const [near] = catalogue.near(name);
  return badInput(
    `${flag}: ${name.slice(0, 40)} is not in the library${near === undefined ? "; `platewright tubes` lists what is" : `; did you mean ${near}?`}`,
  );
}

/** "0.3,1,2" */
export const flagList = (flag: string, quantity: Quantity, written: string): readonly number[] =>
  written.split(",").map((one) => flagValue(flag, quantity, one));
