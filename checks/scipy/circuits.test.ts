/** The engine against SciPy on the same circuits: circuits.json beside this file, made by circuits.py (full nodal form). */
import { readFileSync } from "node:fs";
import {
  amplitude,
  amps,
  compile,
  farads,
  harmonicProblem,
  henries,
  hertz,
  magnitude,
  ohms,
  type Part,
  solveBias,
  solveHarmonics,
  solveResponse,
  type TriodeLaw,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";

type Row = readonly (string | number)[];
interface Case {
  readonly name: string;
  readonly output: string;
  readonly hertz: number;
  readonly frequencies: readonly number[];
  readonly peakVolts: number;
  readonly harmonics: number;
  readonly parts: readonly Row[];
}
interface Answer {
  readonly name: string;
  readonly netVolts: Readonly<Record<string, number>>;
  readonly gains: readonly number[];
  readonly degrees: readonly number[];
  readonly amplitudes: readonly number[];
}

const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, import.meta.url), "utf8"));
const { cases, laws } = read("cases.json") as { cases: readonly Case[]; laws: Readonly<Record<string, TriodeLaw>> };
const { answers } = read("circuits.json") as { answers: readonly Answer[] };

function part(row: Row): Part {
  const [kind, id] = row as [string, string];
  const net = (i: number) => String(row[i]);
  const number = (i: number) => Number(row[i]);
  switch (kind) {
    case "signal":
      return { kind: "ac-source", id: "signal", plus: net(1), minus: "0", seriesOhms: ohms(0) };
    case "R":
      return { kind: "resistor", id, a: net(2), b: net(3), ohms: ohms(number(4)) };
    case "C":
      return { kind: "capacitor", id, a: net(2), b: net(3), farads: farads(number(4)) };
    case "L":
      return { kind: "inductor", id, a: net(2), b: net(3), henries: henries(number(4)), seriesOhms: ohms(number(5)) };
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

describe.each(cases.map((one) => [one.name, one] as const))("%s", (name, given) => {
  const answer = answers.find((one) => one.name === name) as Answer;
  const compiled = compile(given.parts.map(part));
  if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);

  test("bias of every net to a microvolt", () => {
    for (const [net, wanted] of Object.entries(answer.netVolts))
      expect(Math.abs((bias.value.netVolts.get(net) ?? Number.NaN) - wanted), net).toBeLessThan(1e-6);
  });

  test("response in size and phase", () => {
    const response = solveResponse(compiled.value, bias.value, {
      source: "signal",
      output: given.output,
      hertz: given.frequencies.map(hertz),
    });
    if (!response.ok) throw new Error(response.failure.kind);
    for (const [i, transfer] of response.value.transfer.entries()) {
      expect(magnitude(transfer) / (answer.gains[i] as number)).toBeCloseTo(1, 6);
      const degrees = (Math.atan2(transfer.im, transfer.re) * 180) / Math.PI;
      expect(Math.abs(((degrees - (answer.degrees[i] as number) + 540) % 360) - 180)).toBeLessThan(1e-3);
    }
  });

  test("mean and harmonics of the output", () => {
    const problem = harmonicProblem(compiled.value, bias.value, {
      source: "signal",
      hertz: hertz(given.hertz),
      output: given.output,
    });
    const solved = solveHarmonics(problem, { sourceVoltsPeak: volts(given.peakVolts), harmonics: given.harmonics });
    if (!solved.ok) throw new Error(solved.failure.kind);
    const fundamental = answer.amplitudes[1] as number;
    for (const [k, wanted] of answer.amplitudes.entries())
      expect(Math.abs(Math.abs(amplitude(solved.value.output, k)) - wanted), `H${k}`).toBeLessThan(
        1e-7 * fundamental + 2e-8,
      );
  });
});
