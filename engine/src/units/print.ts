/** Printing as a builder reads: number, space, unit (page and papers make it a narrow one); true minus sign; and the code written on a part. */

const SPACE = " ";
const MINUS = "−";

const PREFIXES: readonly (readonly [number, string])[] = [
  [9, "G"],
  [6, "M"],
  [3, "k"],
  [0, ""],
  [-3, "m"],
  [-6, "µ"],
  [-9, "n"],
  [-12, "p"],
];

/** Rounded to significant digits, plain notation, trailing zeros of the fraction dropped when `trim`. */
export function digits(value: number, significant: number, trim = true): string {
  if (value === 0) return "0";
  const places = Math.max(0, significant - 1 - Math.floor(Math.log10(Math.abs(value))));
  const rounded = Number(value.toPrecision(significant));
  const text = Math.abs(rounded).toFixed(Math.min(20, places));
  const short = trim && text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return (rounded < 0 ? MINUS : "") + short;
}

/** "4.7 kΩ", "7.6 mA", "0.47 µF", "−8.5 V"; three significant digits unless told. */
export function printValue(value: number, unit: string, significant = 3): string {
  if (!Number.isFinite(value)) return `–${SPACE}${unit}`;
  if (value === 0) return `0${SPACE}${unit}`;
  const size = Math.abs(Number(value.toPrecision(significant)));
  const usable = PREFIXES.filter(([exponent, prefix]) => allowed(unit, exponent, prefix));
  const chosen = usable.find(([exponent]) => size >= 10 ** exponent * (1 - 1e-12)) ?? usable[usable.length - 1];
  const [exponent, prefix] = chosen as readonly [number, string];
  // Capacitors of 0.1 µF and up are spoken of in microfarads.
  if (unit === "F" && exponent === -9 && size >= 0.1e-6) return `${digits(value * 1e6, significant)}${SPACE}µF`;
  return `${digits(value / 10 ** exponent, significant)}${SPACE}${prefix}${unit}`;
}

function allowed(unit: string, exponent: number, prefix: string): boolean {
  switch (unit) {
    case "Ω":
      return exponent >= 0 && prefix !== "G";
    case "V":
      return exponent <= 0 && exponent >= -6;
    case "A":
      return exponent <= 0;
    case "W":
      return exponent <= 0 && exponent >= -3;
    case "F":
      return exponent < 0 && exponent !== -3;
    case "H":
      return exponent <= 0 && exponent >= -6;
    case "Hz":
      return exponent >= 0;
    default:
      return exponent === 0;
  }
}

/** The code on the part: "4k7", "470n", "1M5", "680", "0u47" is written "470n". Reads back exactly. */
export function partCode(value: number, quantity: "resistance" | "capacitance" | "inductance"): string {
  const steps =
    quantity === "resistance"
      ? ([
          [6, "M"],
          [3, "k"],
          [0, ""],
        ] as const)
      : quantity === "capacitance"
        ? ([
            [-6, "u"],
            [-9, "n"],
            [-12, "p"],
          ] as const)
        : ([
            [0, ""],
            [-3, "m"],
            [-6, "u"],
          ] as const);
  const last = steps[steps.length - 1] as readonly [number, string];
  const [exponent, prefix] = steps.find(([e]) => value >= Number(`1e${e}`)) ?? last;
  const number = String(Number((value / 10 ** exponent).toPrecision(12)));
  if (!number.includes(".") || number.includes("e")) return `${number}${prefix}`;
  return prefix === "" ? number : number.replace(".", prefix);
}

/** "−34.2 dB". */
export function printDecibels(value: number, places = 1): string {
  if (!Number.isFinite(value)) return `–${SPACE}dB`;
  return `${value < 0 ? MINUS : ""}${Math.abs(value).toFixed(places)}${SPACE}dB`;
}

/** "0.84 %" from the ratio 0.0084. */
export function printPercent(ratio: number, significant = 2): string {
  return Number.isFinite(ratio) ? `${digits(100 * ratio, significant, false)}${SPACE}%` : `–${SPACE}%`;
}

/** Clock position of a knob: 7 o'clock fully down, 5 o'clock fully up, 300 degrees between. */
export function clockPosition(turn: number): string {
  const minutes = Math.round(((7 + 10 * turn) * 60) / 15) * 15;
  const hour = Math.floor(minutes / 60) % 12;
  const rest = minutes % 60;
  return `${hour === 0 ? 12 : hour}${rest === 0 ? "" : `:${String(rest).padStart(2, "0")}`} o'clock`;
}

/** "1 1/8 in" to the nearest 1/64. */
export function printInches(metres: number): string {
  const sixtyFourths = Math.round((metres / 0.0254) * 64);
  const whole = Math.floor(sixtyFourths / 64);
  let top = sixtyFourths % 64;
  let bottom = 64;
  while (top > 0 && top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  return `${[whole > 0 || top === 0 ? String(whole) : "", top > 0 ? `${top}/${bottom}` : ""].filter(Boolean).join(" ")} in`;
}
