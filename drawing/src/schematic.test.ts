import { readFileSync } from "node:fs";
import { type Document, readDesign, setPart, solveDesign } from "@platewright/design";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../library/src/index.ts";
import { complaints, expectAllDrawn, expectConnected, read } from "../test/read-schematic.ts";
import { readXml } from "../test/read-xml.ts";
import { outside } from "./bounds.ts";
import { schematicScene } from "./schematic.ts";
import { toSvg } from "./svg.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;
const answer = solveDesign(demo, openCatalogue(), { detail: "bias" });
if (!answer.ok) throw new Error(answer.failure.sentence);
const solved = answer.value;

describe("the demo", () => {
  test.each(["L", "R", "PS"])("%s: every part once, nothing touching, nothing outside", (channel) => {
    const scene = schematicScene(demo, { solved, channel, title: "Hearth line box" });
    expectAllDrawn(demo, channel, scene);
    expectConnected(demo, channel, scene);
    expect(complaints(scene)).toEqual([]);
    for (const theme of ["light", "dark", "print"] as const) expect(() => readXml(toSvg(scene, theme))).not.toThrow();
  });

  test.each(["L", "PS"])("%s: all nets are wired, none is left to the table; zigzags too", (channel) => {
    const scene = schematicScene(demo, { channel, title: "Hearth line box", resistors: "zigzag" });
    expect(complaints(scene)).toEqual([]);
    const { wires, symbols } = read(scene);
    for (const part of solved.expanded.parts.filter(({ instance }) => instance === channel))
      for (const net of Object.values(part.written.pins))
        if (net !== "0")
          expect(
            wires.some(({ ids }) => ids?.includes(net)),
            `${part.id} at ${net}`,
          ).toBe(true);
    expect(symbols.flatMap(({ ids }) => ids).includes("V3")).toBe(channel === "PS");
  });

  test("volts of every node with dc and both plate currents stand on the sheet, as solved", () => {
    const { texts } = read(schematicScene(demo, { solved, channel: "L", title: "Hearth line box" }));
    const said = texts.map(({ text }) => text);
    const expected = ["B2", "L.b", "L.p1", "L.k1", "L.c2", "L.k2", "L.tap"].map(
      (net) => solved.bias.netVolts.get(net) ?? NaN,
    );
    for (const volts of expected)
      expect(said.some((text) => Math.abs(Number.parseFloat(text) - volts) < 0.006 * volts && text.endsWith("V"))).toBe(
        true,
      );
    for (const id of ["L.V1a", "L.V1b"]) {
      const milliamps = 1e3 * (solved.bias.triodes.get(id)?.plateAmps ?? NaN);
      expect(
        said.some((text) => Math.abs(Number.parseFloat(text) - milliamps) < 0.006 * milliamps && text.endsWith("mA")),
      ).toBe(true);
    }
  });

  test("without a solve there are no volts, and the note says so", () => {
    const scene = schematicScene(demo, { channel: "L", title: "Hearth line box" });
    expect(scene.description).toContain("Not solved");
    expect(read(scene).texts.filter(({ text }) => /\d.*\sV$/.test(text))).toEqual([]);
  });

  test("the signal runs from left to right, the plate load stands above its tube, the cathode parts below", () => {
    const { symbols } = read(schematicScene(demo, { channel: "L", title: "Hearth line box" }));
    const middle = (id: string) => {
      const body = symbols.find(({ ids }) => ids.includes(`L.${id}`))?.body;
      if (body === undefined) throw new Error(id);
      return [(body.left + body.right) / 2, (body.top + body.bottom) / 2] as const;
    };
    const path = ["J1", "P1", "R2", "V1a", "C2", "R6", "V1b", "R9", "C3", "P2", "J2"].map((id) => middle(id)[0]);
    expect(path).toEqual(path.toSorted((a, b) => a - b));
    expect(middle("R3")[1]).toBeLessThan(middle("V1a")[1]);
    for (const id of ["R4", "C1"]) expect(middle(id)[1]).toBeGreaterThan(middle("V1a")[1]);
    for (const id of ["R7", "R8"]) expect(middle(id)[1]).toBeGreaterThan(middle("V1b")[1]);
  });

  test("the same design gives the same bytes; a change of one value changes that word alone", () => {
    const draw = (document: Document) => toSvg(schematicScene(document, { channel: "L", title: "Hearth" })).split("\n");
    const before = draw(demo);
    expect(draw(demo)).toEqual(before);
    const after = draw(setPart(demo, ["L"], "R3", { value: "18k" }));
    expect(after.filter((line, n) => line !== before[n]).map((line) => line.replace(/<[^>]*>/g, ""))).toEqual([
      "18\u202fkΩ",
    ]);
  });

  test("an instance that is not there is refused", () => {
    expect(() => schematicScene(demo, { channel: "X", title: "?" })).toThrow(/no instance "X"/);
  });
});

test("the sheet grows to what it holds, and to the least size asked for", () => {
  const plain = schematicScene(demo, { channel: "L", title: "Hearth" });
  const large = schematicScene(demo, { channel: "L", title: "Hearth", width: 420, height: 297 });
  expect([large.width, large.height]).toEqual([420, 297]);
  expect(plain.width).toBeLessThan(297);
  expect(plain.height).toBeLessThan(210);
  expect(complaints(large)).toEqual([]);
  const titled = schematicScene(demo, { channel: "L", title: "Hearth ".repeat(40) });
  expect(outside(titled)).toEqual([]);
});
