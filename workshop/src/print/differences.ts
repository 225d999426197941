/** The difference table: proven, now, and the change in the unit a builder thinks in. */
import type { Difference } from "@platewright/design";
import { digits, printDecibels, printValue } from "@platewright/engine";
import { table } from "./table.ts";

export function printDifferences(differences: readonly Difference[]): string {
  const channels = [...new Set(differences.map((one) => one.channel ?? ""))];
  return channels
    .map((channel) => {
      const rows = merged(differences.filter((one) => (one.channel ?? "") === channel));
      return table(
        [
          { title: channel === "" ? "supply and heaters" : `channel ${channel}` },
          { title: "proven", align: "right" },
          { title: "now", align: "right" },
          { title: "change", align: "right" },
          { title: "" },
        ],
        rows,
      );
    })
    .join("\n\n");
}

/** Rows to print; a ratio and its dBc make one line. */
function merged(differences: readonly Difference[]): readonly (readonly string[])[] {
  const rows: string[][] = [];
  for (const one of differences) {
    if (one.unit === "dBc") continue;
    const twin = differences.find(
      (other) => other.unit === "dBc" && other.id === one.id.replace(/\.(h\d)\//, ".$1Decibels/"),
    );
    if (twin === undefined) {
      rows.push([one.label, value(one.proven, one.unit), value(one.now, one.unit), change(one), ""]);
      continue;
    }
    rows.push([
      one.label,
      harmonic(one.proven, twin.proven),
      harmonic(one.now, twin.now),
      signsDiffer(one) ? "sign turns" : decibelsApart(twin),
      twin.band === undefined ? "" : `±${twin.band.toFixed(1)} dB`,
    ]);
  }
  return rows;
}

const harmonic = (ratio: number | null, decibels: number | null): string =>
  ratio === null
    ? "–"
    : `${ratio < 0 ? "−" : "+"}${digits(Math.abs(100 * ratio), 2, false)} % ${decibels === null ? "" : printDecibels(decibels).replace("dB", "dBc")}`;

const signsDiffer = (one: Difference): boolean =>
  one.proven !== null && one.now !== null && Math.sign(one.proven) !== Math.sign(one.now);

const decibelsApart = (one: Difference): string =>
  one.proven === null || one.now === null
    ? ""
    : `${one.now >= one.proven ? "+" : ""}${printDecibels(one.now - one.proven)}`;

function value(number: number | null, unit: string): string {
  if (number === null) return "–";
  switch (unit) {
    case "ratio":
      return `${Math.round(100 * number)} %`;
    case "dB":
      return printDecibels(number);
    case "yes/no":
      return number === 1 ? "yes" : "no";
    default:
      return printValue(number, unit);
  }
}

function change(one: Difference): string {
  if (one.proven === null || one.now === null) return one.proven === one.now ? "" : "–";
  if (one.unit === "yes/no") return one.proven === one.now ? "" : "turns over";
  if (one.unit === "dB") return decibelsApart(one);
  if (one.unit === "ratio") return points(100 * (one.now - one.proven));
  if (one.unit === "V") return Math.abs(one.now - one.proven) < 5e-4 ? "" : signed(one.now - one.proven, "V");
  if (one.proven === 0) return "";
  const percent = 100 * (one.now / one.proven - 1);
  return Math.abs(percent) < 0.05 ? "" : `${percent > 0 ? "+" : "−"}${digits(Math.abs(percent), 2)} %`;
}

const signed = (number: number, unit: string): string => `${number > 0 ? "+" : ""}${printValue(number, unit, 2)}`;
const points = (number: number): string =>
  Math.abs(number) < 0.5 ? "" : `${number > 0 ? "+" : "−"}${Math.abs(number).toFixed(0)} points`;
