/** The supply as a chain: every part in one place, Kirchhoff at its nodes, the same shape in every condition. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import type { Document } from "../document/schema.ts";
import { type Edit, gas, testDocuments, zener } from "../limits/test-documents.ts";
import { solveDesign } from "../solved/solve.ts";
import { type ChainHanging, type ChainNet, type ChainPart, type SupplyChain, supplyChain } from "./chain.ts";
import { plainSituations } from "./situations.ts";

const catalogue = openCatalogue();
const { made } = testDocuments(readFileSync("examples/hearth/hearth.design.json", "utf8"), catalogue);

const silicon = { type: "1N4007", volts: 1000, amps: 1 };
const rectified =
  (rectifier: Record<string, unknown>): Edit =>
  (_power, now) => {
    Object.assign(now.supply.rectifier, rectifier);
    if (rectifier["silicon"] !== undefined) delete now.supply.rectifier["envelope"];
  };

const DOCUMENTS: readonly (readonly [string, Document])[] = [
  ["the demo", made(() => undefined)],
  ["two gas tubes", made(gas("390"))],
  ["a follower on a Zener", made(zener("200"))],
  ["a choke input", made(rectified({ choke: { value: "30", seriesOhms: "200", amps: 0.05 } }))],
  ["a silicon bridge", made(rectified({ silicon, circuit: "bridge" }))],
];

const solved = (document: Document) => {
  const answer = solveDesign(document, catalogue, { detail: "bias" });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
};

const chainOf = (document: Document): SupplyChain => {
  const chain = supplyChain(solved(document));
  if (chain === undefined) throw new Error("no supply");
  return chain;
};

const hangingParts = (hanging: readonly ChainHanging[]): readonly ChainPart[] =>
  hanging.flatMap(({ part, below }) => [part, ...(below === undefined ? [] : hangingParts(below.hanging))]);

const allParts = (chain: SupplyChain): readonly ChainPart[] => [
  ...chain.nodes.flatMap((node) => [
    ...(node.through === undefined ? [] : [node.through]),
    ...hangingParts(node.hanging),
  ]),
  ...chain.others,
];

describe.each(DOCUMENTS)("%s", (_name, document) => {
  const chain = chainOf(document);
  test("every part of the supply's own block stands in exactly one place", () => {
    const ids = allParts(chain).map((part) => part.id);
    expect(new Set(ids).size).toBe(ids.length);
    const block = document.blocks["power"]?.parts.map((part) => `PS.${part.id}`) ?? [];
    expect(block.filter((id) => !ids.includes(id))).toEqual([]);
  });
  test("every tube of the first channel is fed from one node", () => {
    const fed = chain.nodes.flatMap((node) => node.consumers.map((one) => one.name));
    expect(fed.toSorted()).toEqual(["V1a", "V1b"]);
  });
  test("a node stands behind the one it follows, its part carries the volts between them", () => {
    for (const [n, node] of chain.nodes.entries()) {
      if (node.after === undefined) {
        expect(n).toBe(0);
        continue;
      }
      const before = chain.nodes[node.after];
      expect(node.after).toBeLessThan(n);
      if (node.through?.written.kind !== "follower")
        expect(Math.abs(node.through?.volts ?? 0)).toBeCloseTo(Math.abs((before?.volts ?? 0) - node.volts), 6);
    }
  });
  test("the shape is the same in every condition that can be solved", () => {
    const nominal = solved(document);
    const shape = (one: SupplyChain) =>
      one.nodes.map(({ net, through, hanging, consumers }) => [
        net,
        through?.id,
        hangingParts(hanging).map((part) => part.id),
        consumers.map((each) => each.id),
      ]);
    for (const situation of plainSituations(document).filter((one) => one.id !== "nominal")) {
      const answer = solveDesign(document, catalogue, { situation, detail: "bias", near: nominal });
      if (!answer.ok) continue;
      const here = supplyChain(answer.value, nominal);
      expect(here === undefined ? [] : shape(here)).toEqual(shape(chain));
    }
  });
});

test("the demo's currents close: what the filter passes is what tubes and divider take", () => {
  const chain = chainOf(made(() => undefined));
  const [, b2] = chain.nodes;
  const filter = Math.abs(b2?.through?.amps ?? 0);
  const tubes = chain.nodes.flatMap((node) => node.consumers.map((one) => one.amps * (node.channels.length || 1)));
  const divider = Math.abs(hangingParts(b2?.hanging ?? []).find((part) => part.id === "PS.R2")?.amps ?? 0);
  expect(tubes.reduce((a, b) => a + b, 0) + divider).toBeCloseTo(filter, 5);
  expect(filter).toBeCloseTo(chain.rectifier.dcAmps, 5);
});

test("the demo's nodes, and the channels that stand alike at the last", () => {
  const chain = chainOf(made(() => undefined));
  expect(chain.nodes.map((node) => node.net)).toEqual(["B1", "B2", "L.b"]);
  expect(chain.nodes.at(-1)?.channels).toEqual(["L", "R"]);
  expect(chain.nodes.at(-1)?.consumers.map((one) => one.through)).toEqual(["R3", undefined]);
  const lift: ChainNet | undefined = chain.nodes[1]?.hanging.find((one) => one.below !== undefined)?.below;
  expect(lift?.net).toBe("lift");
  expect(chain.heaters[0]?.referenceVolts).toBeCloseTo(lift?.volts ?? Number.NaN, 9);
});

test("a follower's gate hangs on its own branch, the chain goes on through the follower", () => {
  const chain = chainOf(made(zener("200")));
  const b2 = chain.nodes.find((node) => node.net === "B2");
  expect(b2?.through?.id).toBe("PS.Q1");
  const reference = chain.nodes.find((node) => node.net === "PS.reference");
  expect(chain.nodes[reference?.after ?? -1]?.net).toBe("B1");
  expect(hangingParts(reference?.hanging ?? []).map((part) => part.id)).toContain("PS.D1");
});

test("without a supply there is no chain", () => {
  const { supply: _supply, ...rest } = made(() => undefined);
  const bare: Document = {
    ...rest,
    blocks: {
      ...rest.blocks,
      power: {
        ports: ["b2"],
        parts: [{ kind: "dc-source", id: "B1", value: "250", pins: { plus: "b2", minus: "0" } }],
      },
    },
    instances: rest.instances.map((one) => (one.id === "PS" ? { ...one, ports: { b2: "B2" } } : one)),
    envelopes: rest.envelopes.map((one) => ({
      ...one,
      wiring: Object.fromEntries(Object.entries(one.wiring).filter(([, wire]) => "net" in wire)),
    })),
  };
  expect(supplyChain(solved(bare))).toBeUndefined();
});
