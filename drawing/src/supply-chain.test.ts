/** The supply's chain as drawn: nothing over anything else, all of it there, still while volts change. */
import { readFileSync } from "node:fs";
import { type Document, readDesign, setPart, solveDesign, type SupplyChain, supplyChain } from "@platewright/design";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../library/src/index.ts";
import { flatten, outside, overlap, textBox } from "./bounds.ts";
import type { Scene } from "./scene.ts";
import { supplyChainScene } from "./supply-chain.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;
const { supply } = demo;
if (supply === undefined) throw new Error("the demo has a supply");
const { envelope: _envelope, ...bare } = supply.rectifier;

const withFront = (rectifier: typeof supply.rectifier, more: Partial<typeof supply> = {}): Document => ({
  ...demo,
  supply: { ...supply, ...more, rectifier },
});
const silicon = { type: "1N4007", volts: 1000, amps: 1 };

const DOCUMENTS: readonly (readonly [string, Document])[] = [
  ["the demo", demo],
  ["a choke input", withFront({ ...supply.rectifier, choke: { value: "30", seriesOhms: "200" } })],
  ["a silicon bridge", withFront({ ...bare, silicon, circuit: "bridge", seriesOhms: "47" })],
  ["half a wave", withFront({ ...bare, silicon, circuit: "half-wave" })],
  [
    "channels apart, a tap, a long label",
    setPart(
      withFront(supply.rectifier, {
        transformer: {
          ...supply.transformer,
          label: "a transformer with a label that goes on for longer than any sheet has room for, 230-0-230 V 60 mA",
          primary: { tapVolts: [220, 240], usedTapVolts: 240 },
        },
      }),
      ["R"],
      "R11",
      { value: "3.3k" },
    ),
  ],
  ["values changed everywhere", ["R1", "R2", "R3"].reduce((d, id) => setPart(d, ["PS"], id, { value: "33k" }), demo)],
];

const chainOf = (document: Document): SupplyChain => {
  const solved = solveDesign(document, catalogue, { detail: "bias" });
  const chain = solved.ok ? supplyChain(solved.value) : undefined;
  if (chain === undefined) throw new Error("no chain");
  return chain;
};

const was = chainOf(demo);
const textsOf = (scene: Scene) => flatten(scene.items).filter((item) => item.kind === "text");
const words = (scene: Scene) => textsOf(scene).map((item) => item.text);

describe.each(DOCUMENTS)("%s", (_name, document) => {
  const chain = chainOf(document);
  test.each([0, 180, 240, 318])("at %i mm: no text over another, none outside", (width) => {
    const scene = supplyChainScene(chain, { title: "Supply", width, was });
    expect(outside(scene)).toEqual([]);
    expect(scene.width).toBeGreaterThanOrEqual(width);
    const texts = textsOf(scene);
    const over = texts.flatMap((a, n) =>
      texts.slice(n + 1).flatMap((b) => (overlap(textBox(a), textBox(b), -0.15) ? [`${a.text} | ${b.text}`] : [])),
    );
    expect(over).toEqual([]);
  });
  test("every part, net and winding can be pressed, and says its value and its volts", () => {
    const scene = supplyChainScene(chain, { title: "Supply", width: 318 });
    const pressed = new Set(
      flatten(scene.items).flatMap((item) => (item.kind === "rect" && item.fill === "paper" ? (item.ids ?? []) : [])),
    );
    const parts = document.blocks["power"]?.parts.map((part) => `PS.${part.id}`) ?? [];
    for (const id of [
      ...parts,
      "mains",
      "fuse",
      "transformer",
      "H1",
      document.supply?.rectifier.envelope ?? "rectifier",
    ])
      expect(pressed).toContain(id);
    for (const node of chain.nodes) {
      expect(pressed).toContain(node.net);
      expect(words(scene)).toContain(`${node.volts.toFixed(node.volts < 100 ? 1 : 0)}\u202fV`);
    }
  });
});

test("what was is said where a meter could tell, and nowhere else", () => {
  expect(words(supplyChainScene(was, { title: "Supply", was })).filter((text) => text.startsWith("was"))).toEqual([]);
  const changed = setPart(demo, ["PS"], "C1", { value: "47u" });
  const said = words(supplyChainScene(chainOf(changed), { title: "Supply", was }));
  expect(said).toContain("was 33µ");
  const lower = words(
    supplyChainScene(chainOf(setPart(demo, ["PS"], "R1", { value: "1.5k" })), { title: "Supply", was }),
  );
  expect(lower).toContain("was 1k");
  expect(lower.filter((text) => /^was \d+\u202fV$/.test(text)).length).toBeGreaterThan(1);
});

test("on a wide sheet nothing moves while a dropper is changed from a half to twice its value", () => {
  const places = (value: string) => {
    const scene = supplyChainScene(chainOf(setPart(demo, ["PS"], "R1", { value })), {
      title: "Supply",
      width: 318,
      was,
    });
    return flatten(scene.items).flatMap((item) => (item.kind === "circle" ? [item.at] : []));
  };
  const still = places("1k");
  for (const value of ["560", "680", "1.2k", "1.8k"])
    for (const [n, [x, y]] of places(value).entries()) {
      expect(x).toBeCloseTo(still[n]?.[0] ?? Number.NaN, 6);
      expect(y).toBeCloseTo(still[n]?.[1] ?? Number.NaN, 6);
    }
});

test("what is past its rating says stop, what the edit in hand moves is live", () => {
  const low = chainOf(setPart(demo, ["PS"], "C1", { volts: 200 }));
  const scene = supplyChainScene(low, { title: "Supply", live: new Set(["B1"]) });
  const texts = textsOf(scene);
  expect(texts.find((item) => item.text === "stop")?.role).toBe("stop");
  expect(texts.find((item) => item.ids?.includes("B1") === true && item.bold === true)?.role).toBe("live");
});

test("the chain without a dropper's end still names what stands nowhere in it", () => {
  const [first] = was.nodes;
  if (first === undefined) throw new Error("no node");
  const lone = { ...was, nodes: [first], others: first.hanging.map((one) => one.part) };
  expect(
    words(supplyChainScene(lone, { title: "Supply" })).some((text) => text.startsWith("Not in the chain: C1")),
  ).toBe(true);
});
