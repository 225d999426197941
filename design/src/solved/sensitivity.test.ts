/** Rows of the demo design against differences of full solves, supply joined, both channels. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { testDocuments, zener } from "../limits/test-documents.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { type FigureChange, type PartEffect, type PartSensitivities, partSensitivities } from "./sensitivity.ts";
import { solveDesign } from "./solve.ts";
import type { SolvedDesign } from "./types.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

function solved(document: Document): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels", levels: [1] });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}

function rowsOf(design: SolvedDesign, channel = "L"): PartSensitivities {
  const answer = partSensitivities(design, { channel, catalogue });
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

/** Figures in one list, in the order of `changes`. */
function figures(design: SolvedDesign, channel = "L"): readonly number[] {
  const one = design.channels.find((found) => found.instance === channel);
  const mine = [...design.bias.triodes].filter(([id]) => id.startsWith(`${channel}.`));
  return [
    ...mine.flatMap(([, state]) => [state.plateAmps, state.plateVolts]),
    20 * Math.log10(one?.gain ?? Number.NaN),
    20 * Math.log10(one?.levels[0]?.ratios[0] ?? Number.NaN),
    design.bias.netVolts.get("B1") ?? Number.NaN,
  ];
}

const changes = ({ triodes, gainDecibels, h2Decibels, supplyVolts }: FigureChange): readonly number[] => [
  ...triodes.flatMap((one) => [one.plateAmps, one.plateVolts]),
  gainDecibels,
  h2Decibels ?? Number.NaN,
  supplyVolts ?? Number.NaN,
];

/** The document with the row's part (in every instance) at `nepers` from where it is. */
function moved(row: PartEffect, nepers: number, from: Document = base): Document {
  if (row.step === null) throw new Error(row.id);
  return setPart(
    from,
    row.together.map((id) => id.slice(0, id.indexOf("."))),
    row.part,
    { value: String(row.step.from * Math.exp(nepers)) },
  );
}

/** Without what only fills the answer: all of a change but its triodes' ids. */
const sizes = (change: FigureChange | undefined): readonly number[] => (change === undefined ? [] : changes(change));

describe("the demo", () => {
  const design = solved(base);
  const answer = rowsOf(design);

  const differencesOf = (row: PartEffect): readonly number[] => {
    const slopes = (h: number) => {
      const [low, high] = [figures(solved(moved(row, -h))), figures(solved(moved(row, h)))];
      return high.map((x, i) => (x - (low[i] as number)) / (2 * h));
    };
    const [wide, narrow] = [slopes(0.06), slopes(0.03)];
    return narrow.map((x, i) => (4 * x - (wide[i] as number)) / 3);
  };
  const wanted = new Map(
    answer.rows
      .filter((row) => row.step !== null && row.step.value !== "fraction")
      .map((row) => [row.id, differencesOf(row)] as const),
  );
  const largest = figures(design).map((_, f) =>
    Math.max(...[...wanted.values()].map((one) => Math.abs(one[f] as number))),
  );

  /** Largest error of a row, relative, with `floor` of each figure's largest derivative as floor. */
  const errorOf = (row: PartEffect, floor: number): number => {
    const differences = wanted.get(row.id);
    if (row.step === null || differences === undefined) throw new Error(row.id);
    const nepers = Math.log(row.step.to / row.step.from);
    return Math.max(
      ...changes(row.step.change).map((change, f) => {
        const want = differences[f] as number;
        return Math.abs(change / nepers - want) / Math.max(Math.abs(want), floor * (largest[f] as number));
      }),
    );
  };
  const first = "PS.C1";

  test("derivatives of every resistor and capacitor against differences of full solves, to 1e-4", () => {
    expect(wanted.size).toBeGreaterThan(15);
    for (const row of answer.rows)
      if (wanted.has(row.id) && row.id !== first) expect(errorOf(row, 0.01), row.id).toBeLessThan(1e-4);
  });

  test("the first capacitor through the rectifier, to 1 %: the rectifier is solved to some microvolts of its 0.1 V", () => {
    const row = answer.rows.find((one) => one.id === first);
    if (row === undefined) throw new Error(first);
    expect(answer.ways.rectifier).toMatch(/solved again/);
    expect(errorOf(row, 1e-4)).toBeLessThan(1e-2);
  });

  test("a step as the row says it, against the design solved with it: a fifth of the change, or 0.05 dB, or 0.5 %", () => {
    const now = figures(design);
    let compared = 0;
    for (const row of answer.rows) {
      if (row.step?.edit === undefined) continue;
      const instances = row.together.map((id) => id.slice(0, id.indexOf(".")));
      const stepped = figures(solved(setPart(base, instances, row.part, row.step.edit)));
      for (const [f, change] of changes(row.step.change).entries()) {
        const whole = (stepped[f] as number) - (now[f] as number);
        const decibels = f === now.length - 3 || f === now.length - 2;
        const unnoticed = decibels ? 0.05 : 0.005 * Math.abs(now[f] as number);
        const error = Math.abs(change - whole);
        if (Math.abs(whole) > unnoticed) compared++;
        expect(error, `${row.id} figure ${f}: ${change} and ${whole}`).toBeLessThan(
          Math.max(unnoticed, 0.2 * Math.abs(whole)),
        );
      }
    }
    expect(compared).toBeGreaterThan(20);
  });

  test("rows: one for each part of the channel and of the supply, both channels moved together, sorted by effect", () => {
    expect(answer.rows.find((row) => row.id === "L.R3")?.together).toEqual(["L.R3", "R.R3"]);
    expect(answer.rows.some((row) => row.id.startsWith("R."))).toBe(false);
    expect(answer.rows.find((row) => row.id === "PS.R1")?.together).toEqual(["PS.R1"]);
    const effects = answer.rows.map((row) => row.effect);
    expect(effects).toEqual([...effects].sort((a, b) => b - a));
    expect(new Set(answer.rows.map((row) => row.id)).size).toBe(answer.rows.length);
    const drive = answer.rows.find((row) => row.id === "L.P1");
    expect(drive?.step).toMatchObject({ by: "tenth of a turn", edit: { position: 0.9 } });
    // Ahead of the tube: what it takes from the gain it takes from H2. Behind it: nothing.
    expect((drive?.step?.change.h2Decibels ?? 0) / (drive?.step?.change.gainDecibels ?? 1)).toBeCloseTo(1, 2);
    const level = answer.rows.find((row) => row.id === "L.P2")?.step?.change;
    expect(Math.abs(level?.h2Decibels ?? 1)).toBeLessThan(0.02);
    expect(level?.gainDecibels ?? 0).toBeGreaterThan(3);
  });

  test("an override is a row of its own, and moves its instance only", () => {
    const parted = rowsOf(solved(setPart(base, ["R"], "R4", { value: "820" }))).rows;
    const [left, right] = ["L.R4", "R.R4"].map((id) => parted.find((row) => row.id === id));
    expect([left?.together, right?.together]).toEqual([["L.R4"], ["R.R4"]]);
    expect([left?.step?.to, right?.step?.to]).toEqual([820, 1000]);
    expect(Math.abs(left?.step?.change.h2Decibels ?? 0)).toBeGreaterThan(0.3);
    // Of the left channel: through the supply only.
    expect(Math.abs(right?.step?.change.h2Decibels ?? 1)).toBeLessThan(0.05);
    expect(parted.some((row) => row.id === "R.R3")).toBe(false);
  });

  test("what cannot matter: a capacitor moves no bias, the heater lift's moves nothing", () => {
    for (const row of answer.rows) {
      if (row.step?.value !== "farads" || row.id === first) continue;
      for (const one of row.step.change.triodes) expect([one.plateAmps, one.plateVolts]).toEqual([0, 0]);
      expect(row.step.change.supplyVolts).toBe(0);
    }
    for (const size of sizes(answer.rows.find((row) => row.id === "PS.C3")?.step?.change))
      expect(Math.abs(size)).toBeLessThan(1e-12);
  });

  test("tolerance: of a resistor in one channel only, as the document or common practice has it; of a tube its spread", () => {
    const wide: Document = {
      ...base,
      blocks: {
        ...base.blocks,
        ...Object.fromEntries(
          Object.entries(base.blocks).map(([id, block]) => [
            id,
            {
              ...block,
              parts: block.parts.map((part) => (part.id === "R3" ? { ...part, tolerancePercent: 1 } : part)),
            },
          ]),
        ),
      },
    };
    const usual = answer.rows.find((row) => row.id === "L.R3")?.tolerance;
    const tight = rowsOf(solved(wide)).rows.find((row) => row.id === "L.R3")?.tolerance;
    expect([usual?.percent, usual?.assumed, tight?.percent, tight?.assumed]).toEqual([5, true, 1, false]);
    expect((usual?.change.h2Decibels ?? 0) / (tight?.change.h2Decibels ?? 1)).toBeCloseTo(5, 6);
    // The other channel is not in it: one resistor alone moves B+ by less than both.
    const step = answer.rows.find((row) => row.id === "L.R3")?.step;
    const perNeper = (step?.change.supplyVolts ?? 0) / Math.log((step?.to ?? 1) / (step?.from ?? 1));
    expect((usual?.change.supplyVolts ?? 0) / Math.abs(perNeper * 0.05)).toBeCloseTo(0.5, 2);
    const tube = answer.rows.find((row) => row.id === "L.V1a");
    expect(tube?.step).toBeNull();
    expect(tube?.tolerance?.percent).toBeNull();
    expect(tube?.tolerance?.change.h2Decibels ?? 0).toBeGreaterThan(0.1);
  });

  test("an equal channel reads alike, and is asked for by name", () => {
    const right = rowsOf(design, "R");
    expect(right.rows.map((row) => row.id.replace("R.", "L.")).sort()).toEqual(answer.rows.map((row) => row.id).sort());
    for (const row of answer.rows) {
      const other = right.rows.find((one) => one.id === row.id.replace("L.", "R."));
      for (const [f, size] of sizes(row.step?.change).entries())
        expect(Math.abs(size - (sizes(other?.step?.change)[f] ?? Number.NaN))).toBeLessThan(
          1e-6 * Math.max(1, Math.abs(size)),
        );
    }
  });

  test("without the catalogue the rectifier stays its tangent, and the answer says so; a level that was not solved is solved", () => {
    const plain = partSensitivities(design, { levelVolts: 0.5 });
    if (!plain.ok) throw new Error(plain.failure);
    expect(plain.value.ways.rectifier).toBe("as its tangent");
    expect(plain.value.ways.h2).toMatch(/transposed steady state of \d+ harmonics/);
    expect(plain.value.levelVolts).toBe(0.5);
    // Second harmonic follows the level: 6 dB down.
    expect((plain.value.now.h2Decibels ?? 0) - (answer.now.h2Decibels ?? 0)).toBeCloseTo(-6.02, 0);
    expect(answer.effort.factorings).toBeGreaterThan(10);
  });

  test("what cannot be answered is one sentence", () => {
    expect(partSensitivities(design, { channel: "C" })).toEqual({
      ok: false,
      failure: "channel: C is no channel of the design.",
    });
    const cold = solveDesign(base, catalogue, { condition: "cold" });
    if (!cold.ok) throw new Error(cold.failure.sentence);
    expect(partSensitivities(cold.value)).toMatchObject({ ok: false });
  });
});

describe("other supplies", () => {
  const { made } = testDocuments(readFileSync("examples/hearth/hearth.design.json", "utf8"), catalogue);

  /** Largest error of some rows against differences, relative, with 1 % of each figure's largest among them as floor. */
  const worst = (document: Document, ids: readonly string[]): number => {
    const rows = rowsOf(solved(document)).rows.filter((row) => ids.includes(row.id));
    expect(rows.map((row) => row.id).sort()).toEqual([...ids].sort());
    const slopes = (row: PartEffect, h: number) => {
      const [low, high] = [figures(solved(moved(row, -h, document))), figures(solved(moved(row, h, document)))];
      return high.map((x, i) => (x - (low[i] as number)) / (2 * h));
    };
    const wanted = rows.map((row) => {
      const [wide, narrow] = [slopes(row, 0.02), slopes(row, 0.01)];
      return narrow.map((x, i) => (4 * x - (wide[i] as number)) / 3);
    });
    return Math.max(
      ...rows.flatMap((row, r) =>
        changes(row.step?.change ?? { triodes: [], gainDecibels: 0, h2Decibels: 0, supplyVolts: 0 }).map(
          (change, f) => {
            const found = change / Math.log((row.step?.to ?? 1) / (row.step?.from ?? 1));
            const want = (wanted[r] as readonly number[])[f] as number;
            const largest = Math.max(...wanted.map((one) => Math.abs(one[f] as number)));
            return Math.abs(found - want) / Math.max(Math.abs(want), 0.01 * largest);
          },
        ),
      ),
    );
  };

  test("a follower behind a Zener: its volts, the resistor that feeds it, the gain half's, to 1e-3", () => {
    expect(worst(made(zener("200")), ["PS.D1", "PS.R9", "L.R3", "L.R4", "L.R11"])).toBeLessThan(1e-3);
  });

  test("a choke input, to 1e-3", () => {
    const document = made((power, now) => {
      const supply = (now as unknown as { supply: { rectifier: Record<string, unknown> } }).supply;
      supply.rectifier["choke"] = { value: "10", seriesOhms: "200", amps: 0.1 };
      power.parts.push({ kind: "resistor", id: "R77", value: "10k", pins: { a: "b1", b: "0" } });
    });
    expect(solved(document).supply?.choke?.outcome).toBeDefined();
    expect(worst(document, ["PS.R1", "PS.R77", "L.R3", "L.R4"])).toBeLessThan(1e-3);
  });

  test("without a supply of its own: a source, no B+", () => {
    const { supply: _, ...rest } = base;
    const bare: Document = {
      ...rest,
      blocks: {
        ...rest.blocks,
        power: {
          ports: ["b1", "b2", "lift"],
          parts: [
            ...(rest.blocks["power"]?.parts ?? []),
            { kind: "dc-source", id: "E1", value: "280", seriesOhms: "500", pins: { plus: "b1", minus: "0" } },
          ],
        },
      },
    };
    const found = rowsOf(solved(bare));
    expect(found.ways.rectifier).toBe("no supply");
    expect(found.now.supplyVolts).toBeNull();
    const row = found.rows.find((one) => one.id === "PS.E1");
    expect(row?.step).toMatchObject({ value: "volts", from: 280, by: "tenth" });
    expect(row?.step?.change.supplyVolts).toBeNull();
    expect(row?.tolerance).toBeNull();
    expect(row?.step?.change.triodes[0]?.plateAmps ?? 0).toBeGreaterThan(1e-4);
  });
});
