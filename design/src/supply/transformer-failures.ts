/** What can be wrong with a transformer as it was given, each as one sentence. */
export type TransformerFailure =
  | { readonly kind: "not-a-label"; readonly text: string }
  | { readonly kind: "no-high-tension"; readonly text: string }
  | { readonly kind: "no-current"; readonly where: string; readonly volts: number }
  | {
      readonly kind: "amps-implausible";
      readonly where: string;
      readonly volts: number;
      readonly amps: number;
      readonly meant: number;
    }
  | { readonly kind: "bad-number"; readonly where: string; readonly given: number; readonly need: string }
  | { readonly kind: "volts-do-not-sag"; readonly where: string; readonly unloaded: number; readonly loaded: number }
  | { readonly kind: "unknown-winding"; readonly where: string; readonly known: readonly string[] }
  | { readonly kind: "too-few-estimates"; readonly have: readonly string[]; readonly wanting: readonly string[] };

const short = (n: number): string => String(Number(n.toPrecision(4)));
const power = (voltAmps: number): string =>
  voltAmps >= 1000
    ? `${short(voltAmps / 1000)} kVA`
    : voltAmps >= 1
      ? `${short(voltAmps)} VA`
      : `${short(voltAmps * 1000)} mVA`;
const current = (amps: number): string => (amps < 1 ? `${short(amps * 1000)} mA` : `${short(amps)} A`);

export function transformerSentence(failure: TransformerFailure): string {
  switch (failure.kind) {
    case "not-a-label":
      return `'${failure.text.slice(0, 60)}' is not read as a transformer's label; write it like 230-0-230 V 60 mA, 6.3 V 3 A.`;
    case "no-high-tension":
      return `'${failure.text.slice(0, 60)}' names no high-tension winding; write one of 50 V or more with its current, like 230-0-230 V 60 mA.`;
    case "no-current":
      return `${failure.where} (${short(failure.volts)} V) has no current on the label; add it, or measure the transformer.`;
    case "amps-implausible":
      return `${failure.where}: ${current(failure.amps)} at ${short(failure.volts)} V is ${power(failure.amps * failure.volts)} for one winding; was ${current(failure.meant)} meant? Write the current that the label gives.`;
    case "bad-number":
      return `${failure.where}: ${failure.given} is not accepted; it must be ${failure.need}.`;
    case "volts-do-not-sag":
      return `${failure.where}: ${short(failure.loaded)} V loaded is not below ${short(failure.unloaded)} V unloaded; read both again at the same mains.`;
    case "unknown-winding":
      return `${failure.where} is not a winding of this transformer; it has ${failure.known.join(", ") || "none"}.`;
    case "too-few-estimates":
      return `The rating of an unknown transformer needs two independent estimates and has ${failure.have.length === 0 ? "none" : failure.have.join(", ")}; add ${failure.wanting.join(", or ")}.`;
  }
}
