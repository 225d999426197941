/** Numbers in the words of a builder, for titles. Three figures, the prefix of the trade, a space before the unit. */

const MINUS = "−";

/** Three significant figures without an exponent or needless zeros. */
function figures(value: number): string {
  if (!Number.isFinite(value)) return "?";
  const size = Math.abs(value);
  const decimals = size === 0 ? 0 : Math.min(6, Math.max(0, 2 - Math.floor(Math.log10(size) + 1e-12)));
  const text = size.toFixed(decimals);
  const trimmed = text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
  return `${value < 0 && Number(trimmed) !== 0 ? MINUS : ""}${trimmed}`;
}

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e6, "M"],
  [1e3, "k"],
  [1, ""],
  [1e-3, "m"],
  [1e-6, "µ"],
  [1e-9, "n"],
  [1e-12, "p"],
];

/** Prefixes that the trade uses with each unit; others keep the plain unit. */
const ALLOWED: Readonly<Record<string, string>> = { Ω: "Mk", A: "mµn", F: "µnp", W: "m", V: "m", S: "m", Hz: "k" };

export function say(value: number, unit: string): string {
  if (!Number.isFinite(value)) return value === Infinity ? "no dc path" : "not computed";
  const allowed = ALLOWED[unit] ?? "";
  const size = Math.abs(value);
  const usable = PREFIXES.filter(([, prefix]) => prefix === "" || allowed.includes(prefix)).filter(
    ([, prefix]) =>
      !(unit === "V" || unit === "A" || unit === "W") || prefix !== "m" || size < (unit === "A" ? 1 : 0.1),
  );
  const wanted = usable.find(([scale]) => size >= scale * 0.9995) ?? usable[usable.length - 1];
  const [scale, prefix] = size === 0 || wanted === undefined ? ([1, ""] as const) : wanted;
  return `${figures(value / scale)} ${prefix}${unit}`;
}

export const percent = (value: number, of: number): string =>
  Number.isFinite(value) && Number.isFinite(of) && of !== 0 ? `${Math.round((value / of) * 100)} %` : "?";

/** "A", "A and B", "A, B and C". */
export function list(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? "";
  return `${words.slice(0, -1).join(", ")} and ${words[words.length - 1] ?? ""}`;
}
