import { readFileSync } from "node:fs";
import { type Document, type DocumentPart, readDesign } from "@platewright/design";
import { describe, expect, test } from "vitest";
import { complaints, expectAllDrawn, read } from "../../test/read-schematic.ts";
import { schematicScene } from "../schematic.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;

describe("other supplies", () => {
  const supply = demo.supply;
  if (supply === undefined) throw new Error("the demo has a supply");
  const silicon = { type: "1N4007", volts: 1000, amps: 1 };
  const { envelope = "V3", output, firstCapacitor } = supply.rectifier;
  const choke = { value: "10", seriesOhms: "300" };
  const rest = { output, firstCapacitor };
  const fronts = {
    "silicon full-wave": { ...rest, silicon, seriesOhms: "47" },
    "silicon half-wave": { ...rest, circuit: "half-wave", silicon },
    "tube half-wave": { ...rest, circuit: "half-wave", envelope },
    "silicon bridge": { ...rest, circuit: "bridge", silicon },
    "hybrid bridge": { ...rest, circuit: "hybrid-bridge", silicon, envelope },
    "tube with choke input": { ...rest, envelope, choke, seriesOhms: "100" },
    "tube with silicon in series": { ...rest, envelope, silicon },
  } as const;
  test.each(Object.entries(fronts))("%s: front and chain drawn, nothing touching", (_, rectifier) => {
    const scene = schematicScene({ ...demo, supply: { ...supply, rectifier } }, { channel: "PS", title: "Supply" });
    expectAllDrawn(demo, "PS", scene);
    expect(complaints(scene)).toEqual([]);
    const { symbols, texts, wires } = read(scene);
    const drawn = symbols.flatMap(({ ids }) => ids);
    expect(drawn).toContain("transformer");
    expect(drawn.includes("rectifier.choke")).toBe("choke" in rectifier);
    expect(drawn.includes(envelope)).toBe("envelope" in rectifier);
    expect(texts.some(({ text }) => text.includes("1N4007"))).toBe("silicon" in rectifier);
    expect(wires.some(({ ids }) => ids?.includes("HT a"))).toBe(true);
  });

  test("a follower on a gas tube's reference stands in the chain, the reference below its gate", () => {
    const two = (id: string, value: string, a: string, b: string): DocumentPart => ({
      kind: "resistor",
      id,
      value,
      pins: { a, b },
    });
    const power = demo.blocks["power"];
    if (power === undefined) throw new Error("power");
    const parts: readonly DocumentPart[] = [
      { kind: "capacitor", id: "C1", value: "33u", pins: { a: "b1", b: "0" } },
      two("R1", "100k", "b1", "gate"),
      {
        kind: "regulator",
        id: "V9",
        technology: "gas-tube",
        type: "0A2",
        value: "150",
        ohms: "120",
        pins: { anode: "gate", cathode: "0" },
      },
      {
        kind: "follower",
        id: "Q1",
        thresholdVolts: 3,
        siemens: 1,
        atAmps: 0.1,
        pins: { gate: "gate", drain: "b1", source: "b2" },
      },
      { kind: "capacitor", id: "C2", value: "47u", pins: { a: "b2", b: "0" } },
      two("R2", "100k", "b2", "lift"),
      two("R3", "22k", "lift", "0"),
    ];
    const document: Document = { ...demo, blocks: { ...demo.blocks, power: { ...power, parts: [...parts] } } };
    const scene = schematicScene(document, { channel: "PS", title: "Supply" });
    expectAllDrawn(document, "PS", scene);
    expect(complaints(scene)).toEqual([]);
    const { symbols, wires } = read(scene);
    const body = (id: string) =>
      symbols.find(({ ids }) => ids.includes(id))?.body ?? { left: NaN, top: NaN, right: NaN, bottom: NaN };
    expect(body("PS.Q1").left).toBeGreaterThan(body("PS.C1").right);
    expect(body("PS.Q1").right).toBeLessThan(body("PS.C2").left);
    expect(body("PS.V9").top).toBeGreaterThan(body("PS.Q1").bottom);
    expect(wires.some(({ ids }) => ids?.includes("PS.gate"))).toBe(true);
  });
});
