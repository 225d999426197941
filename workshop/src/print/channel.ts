/** A solved channel as a builder reads it: volts a meter shows, and harmonics against level. */
import { bandsOf, type LevelPoint, type SolvedDesign, stagesOf } from "@platewright/design";
import { digits, printDecibels, printValue } from "@platewright/engine";
import { table } from "./table.ts";

/** Meter readings of every section, to ground unless said. */
export function printReadings(solved: SolvedDesign): string {
  const rows = stagesOf(solved)
    .filter(({ triode }) => !solved.expanded.equalTo.has(triode.instance))
    .map(({ triode, role }) => {
      const bias = solved.bias.triodes.get(triode.id);
      const at = (net: string) => printValue(net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? Number.NaN), "V");
      return [
        `${triode.id} ${triode.type}`,
        role,
        at(triode.plate),
        at(triode.cathode),
        printValue(bias?.gridVolts ?? Number.NaN, "V"),
        printValue(bias?.plateAmps ?? Number.NaN, "A"),
        printValue(bias?.plateWatts ?? Number.NaN, "W"),
      ];
    });
  return table(
    [
      { title: "section" },
      { title: "" },
      { title: "plate", align: "right" },
      { title: "cathode", align: "right" },
      { title: "grid-cathode", align: "right" },
      { title: "current", align: "right" },
      { title: "heat", align: "right" },
    ],
    rows,
  );
}

export function levelRow(point: LevelPoint): readonly string[] {
  const harmonic = (k: number) => {
    const ratio = point.ratios[k - 2];
    const sign = point.signs[k - 2] === -1 ? "−" : "+";
    return ratio === undefined
      ? ""
      : `${sign}${digits(100 * ratio, 2, false)} % ${printDecibels(20 * Math.log10(ratio)).replace("dB", "dBc")}`;
  };
  return [
    printValue(point.inputVolts, "V"),
    printValue(point.outputVolts, "V"),
    harmonic(2),
    harmonic(3),
    point.answer.outcome === "settled" ? "" : `tail ${printDecibels(point.answer.tailDecibels, 0)}`,
  ];
}

export const LEVEL_COLUMNS = [
  { title: "in rms", align: "right" },
  { title: "out rms", align: "right" },
  { title: "H2", align: "right" },
  { title: "H3", align: "right" },
  { title: "" },
] as const;

export function bandWords(solved: SolvedDesign, instance: string): string {
  const { h2, h3 } = bandsOf(solved, instance);
  return h2 === undefined || h3 === undefined
    ? ""
    : `H2 is known to ±${h2.toFixed(1)} dB, H3 to ±${h3.toFixed(0)} dB (90 %, fit and specimen).`;
}
