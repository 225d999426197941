/**
 * The engine's transposed solves against differences of whole SciPy solves on the same circuits: sensitivity-cases.json
 * beside this file, made by sensitivity-cases.py (SciPy 1.17; full nodal form, no adjoint).
 */
import { readFileSync } from "node:fs";
import {
  amps,
  biasSensitivity,
  compile,
  farads,
  harmonicProblem,
  harmonicSensitivity,
  henries,
  hertz,
  ohms,
  openHarmonicSensitivity,
  openSensitivity,
  type Part,
  type PartSensitivity,
  type Result,
  responseSensitivity,
  type Sensitivity,
  solveBias,
  solveHarmonics,
  type TriodeLaw,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";

type Row = readonly (string | number)[];
interface Case {
  readonly name: string;
  readonly output: string;
  readonly hertz: number;
  readonly peakVolts: number;
  readonly harmonics: number;
  readonly parts: readonly Row[];
}
interface Answer {
  readonly name: string;
  readonly rows: readonly {
    readonly part: string;
    readonly value: keyof PartSensitivity;
    readonly netVolts: Readonly<Record<string, number>>;
    readonly gainDecibels: number;
    readonly fundamentalDecibels: number;
    readonly h2Decibels: number;
  }[];
}

const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, import.meta.url), "utf8"));
const { cases, laws } = read("scipy/cases.json") as {
  cases: readonly Case[];
  laws: Readonly<Record<string, TriodeLaw>>;
};
const { answers } = read("sensitivity-cases.json") as { answers: readonly Answer[] };

function part(row: Row): Part {
  const [kind, id] = row as [string, string];
  const net = (i: number) => String(row[i]);
  const number = (i: number) => Number(row[i]);
  const ends = { id, a: net(2), b: net(3) };
  switch (kind) {
    case "signal":
      return { kind: "ac-source", id: "signal", plus: net(1), minus: "0", seriesOhms: ohms(0) };
    case "R":
      return { kind: "resistor", ...ends, ohms: ohms(number(4)) };
    case "C":
      return { kind: "capacitor", ...ends, farads: farads(number(4)) };
    case "L":
      return { kind: "inductor", ...ends, henries: henries(number(4)), seriesOhms: ohms(number(5)) };
    case "V":
      return { kind: "dc-source", id, plus: net(2), minus: "0", volts: volts(number(3)), seriesOhms: ohms(0) };
    case "I":
      return {
        kind: "current-sink",
        id,
        from: net(2),
        to: net(3),
        amps: amps(number(4)),
        parallelOhms: ohms(Infinity),
      };
    case "P":
      return {
        kind: "potentiometer",
        id,
        top: net(2),
        wiper: net(3),
        bottom: net(4),
        ohms: ohms(number(5)),
        fraction: number(6),
      };
    default:
      return {
        kind: "triode",
        id,
        plate: net(2),
        grid: net(3),
        cathode: net(4),
        law: laws[net(5)] as TriodeLaw,
        gridPlateFarads: farads(number(6)),
        gridCathodeFarads: farads(number(7)),
        plateCathodeFarads: farads(number(8)),
      };
  }
}

function value<T, F>(result: Result<T, F>): T {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
}

describe.each(cases.map((one) => [one.name, one] as const))("%s", (name, given) => {
  const { rows } = answers.find((one) => one.name === name) as Answer;
  const circuit = value(compile(given.parts.map(part)));
  const bias = value(solveBias(circuit));
  const open = value(openSensitivity(circuit, bias));
  const at = hertz(given.hertz);

  /** Largest error over all values of all parts, relative to the derivative with 1 % of the largest as floor. */
  const worst = (found: Sensitivity, wanted: (row: Answer["rows"][number]) => number): number => {
    const largest = Math.max(...rows.map((row) => Math.abs(wanted(row))));
    return Math.max(
      ...rows.map((row) => {
        const error = Math.abs((found.byPart.get(row.part)?.[row.value] ?? Number.NaN) - wanted(row));
        return error / Math.max(Math.abs(wanted(row)), 0.01 * largest);
      }),
    );
  };

  test("volts of every net that moves, to 1e-5", () => {
    let moving = 0;
    for (const net of Object.keys(rows[0]?.netVolts ?? {})) {
      if (rows.every((row) => Math.abs(row.netVolts[net] ?? 0) < 1e-3)) continue;
      moving++;
      const found = value(biasSensitivity(open, { kind: "net-volts", net }));
      expect(
        worst(found, (row) => row.netVolts[net] as number),
        net,
      ).toBeLessThan(1e-5);
    }
    expect(moving).toBeGreaterThan(0);
  });

  test("gain, to 1e-4", () => {
    const found = value(
      responseSensitivity(open, { kind: "response-decibels", source: "signal", output: given.output, hertz: at }),
    );
    expect(worst(found, (row) => row.gainDecibels)).toBeLessThan(1e-4);
  });

  test("fundamental and H2 at the level of the case, to 1e-4", () => {
    const problem = harmonicProblem(circuit, bias, { source: "signal", hertz: at, output: given.output });
    const level = { sourceVoltsPeak: volts(given.peakVolts), harmonics: given.harmonics };
    const steady = value(openHarmonicSensitivity(problem, value(solveHarmonics(problem, level))));
    const first = value(harmonicSensitivity(steady, { kind: "fundamental-decibels" }));
    expect(worst(first, (row) => row.fundamentalDecibels)).toBeLessThan(1e-4);
    const second = value(harmonicSensitivity(steady, { kind: "harmonic-decibels", harmonic: 2 }));
    expect(worst(second, (row) => row.h2Decibels)).toBeLessThan(1e-4);
  });
});
