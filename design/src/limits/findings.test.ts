/** Rules on the demo and on spoilt copies of it: each says ok where it should, and stops where it should. */
import { readFileSync } from "node:fs";
import { openCatalogue } from "../../../library/src/index.ts";
import { describe, expect, test } from "vitest";
import { readDesign } from "../document/read.ts";
import type { Document, DocumentPart } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Finding } from "../findings.ts";
import { judgeDesign } from "../judge-design.ts";
import { solveDesign } from "../solved/solve.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

function findings(document: Document): readonly Finding[] {
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  const judged = judgeDesign(document, catalogue, solved.value);
  if (!judged.ok) throw new Error(judged.failure);
  return judged.value;
}
const of = (all: readonly Finding[], id: string): Finding => {
  const found = all.find((one) => one.id === id);
  if (found === undefined) throw new Error(`no finding ${id}; there are ${all.map((one) => one.id).join(", ")}`);
  return found;
};
const withPart = (id: string, edit: Partial<DocumentPart>, block = "channel"): Document => ({
  ...base,
  blocks: {
    ...base.blocks,
    [block]: {
      ...base.blocks[block]!,
      parts: base.blocks[block]!.parts.map((part) => (part.id === id ? ({ ...part, ...edit } as DocumentPart) : part)),
    },
  },
});
const without = (id: string): Document => ({
  ...base,
  blocks: {
    ...base.blocks,
    channel: { ...base.blocks.channel!, parts: base.blocks.channel!.parts.filter((part) => part.id !== id) },
  },
});
const asType = (type: string): Document => ({
  ...base,
  envelopes: base.envelopes.map((one) => (one.id === "V3" ? one : { ...one, type })),
});

const demo = findings(base);

test("the demo: nothing at stop; every finding says number, condition and source; ids are unique", () => {
  expect(demo.filter((one) => one.level === "stop")).toEqual([]);
  expect(new Set(demo.map((one) => one.id)).size).toBe(demo.length);
  for (const one of demo) {
    expect(one.condition).not.toBe("");
    expect(one.source).not.toBe("");
    expect(one.title).not.toMatch(/NaN|undefined|Infinity/);
  }
});

test("a limit that only a page of unknown system knows never says ok", () => {
  for (const one of demo.filter((f) => f.rule === "plate-watts")) {
    expect(one.ratingSystem).toBe("unknown");
    expect(one.level).toBe("watch");
  }
});

/** Every part given in both channels. */
const withValues = (document: Document, values: Readonly<Record<string, string>>): Document =>
  Object.entries(values).reduce((now, [id, value]) => setPart(now, ["L", "R"], id, { value }), document);

test("dissipation: a small cathode resistor, load and dropper burn the plate", () => {
  const plate = of(findings(withValues(base, { R4: "10", R3: "1k", R11: "100" })), "plate-watts/L.V1a");
  expect(plate.level).toBe("stop");
  expect(plate.value).toBeGreaterThan(plate.limit ?? Infinity);
});

test("a cathode resistor fix brings a 12BH7A inside its current, by a solve and not by words", () => {
  const hot = withValues(asType("12BH7A"), { R4: "100", R3: "2k2", R11: "220" });
  const current = of(findings(hot), "cathode-current/L.V1a");
  expect(current.level).not.toBe("ok");
  const [fix] = current.fixes;
  expect(fix?.title).toMatch(/^R4 100 → /);
  const after = String(fix?.changes[0]?.after);
  expect(of(findings(withValues(hot, { R4: after })), "cathode-current/L.V1a").level).not.toBe("stop");
  expect(of(findings(withValues(hot, { R4: after })), "cathode-current/L.V1a").value).toBeLessThan(current.value ?? 0);
});

describe("heater to cathode is signed", () => {
  const grounded: Document = {
    ...base,
    supply: {
      ...base.supply!,
      transformer: {
        ...base.supply!.transformer,
        heaters: base.supply!.transformer.heaters.map((one) => ({ ...one, reference: "0" })),
      },
    },
  };
  test("lifted, the follower is inside; grounded, a 5687's follower is past its limit with signal", () => {
    expect(of(demo, "heater-cathode-peak-positive/L.V1b").level).not.toBe("stop");
    expect(of(findings(grounded), "heater-cathode-peak-positive/L.V1b").level).toBe("stop");
  });
  test("cold, the lifted heater stands above the cathode: the other sign is judged", () => {
    const negative = of(demo, "heater-cathode-dc-negative/L.V1a");
    expect(negative.condition).toMatch(/cold/);
    // 22k of 122k of the cold supply.
    expect(negative.value).toBeGreaterThan(55);
    expect(findings(grounded).some((one) => one.id === "heater-cathode-dc-negative/L.V1a")).toBe(false);
  });
});

test("heater winding: less load lifts the volts, too much is over its amperes", () => {
  const light = of(findings(asType("12AU7A")), "heater-pins/V3");
  expect(light.value).toBeGreaterThan(of(demo, "heater-pins/V3").value ?? Infinity);
  const heavy: Document = {
    ...base,
    supply: {
      ...base.supply!,
      transformer: {
        ...base.supply!.transformer,
        heaters: base.supply!.transformer.heaters.map((one) => ({ ...one, ratedAmps: 2 })),
      },
    },
  };
  expect(of(findings(heavy), "heater-winding-amps/H1").level).toBe("stop");
});

describe("grids", () => {
  test("no stopper above 5 mA/V is said; with one it is ok", () => {
    expect(of(demo, "grid-stopper/L.V1a").level).toBe("ok");
    const bare = findings(withPart("R2", { value: "10" }));
    expect(of(bare, "grid-stopper/L.V1a").level).toBe("watch");
  });
  test("a grid on the wiper alone is said", () => {
    expect(demo.some((one) => one.rule === "grid-on-wiper")).toBe(false);
    expect(of(findings(without("R1")), "grid-on-wiper/L.V1a").level).toBe("watch");
  });
  test("onset below the largest input stops", () => {
    const loud = findings({ ...base, targets: { ...base.targets, largestInputVolts: 3.5 } });
    expect(of(loud, "grid-onset/L.V1a").level).toBe("stop");
    expect(of(demo, "grid-onset/L.V1a").level).toBe("ok");
  });
  test("a directly coupled follower has its grid at B+ when cold", () => {
    const coupled = withPart("C2", { kind: "resistor", id: "C2", value: "100" } as Partial<DocumentPart>);
    const cleaned: Document = {
      ...coupled,
      blocks: {
        ...coupled.blocks,
        channel: {
          ...coupled.blocks.channel!,
          parts: coupled.blocks
            .channel!.parts.map((part) =>
              part.id === "C2"
                ? ({ kind: "resistor", id: "C2", value: "100", watts: 0.5, pins: { a: "p1", b: "c2" } } as DocumentPart)
                : part,
            )
            .map((part) => (part.id === "R8" ? ({ ...part, value: "15k" } as DocumentPart) : part)),
        },
      },
    };
    const cold = of(findings(cleaned), "cold-grid/L.V1b");
    expect(cold.level).toBe("stop");
    expect(cold.value).toBeGreaterThan(100);
    expect(cold.title).toMatch(/put a diode/);
    const clamped: Document = {
      ...cleaned,
      blocks: {
        ...cleaned.blocks,
        channel: {
          ...cleaned.blocks.channel!,
          parts: [
            ...cleaned.blocks.channel!.parts,
            { kind: "diode", id: "D1", type: "1N4148", pins: { anode: "g2", cathode: "k2" } },
          ],
        },
      },
    };
    expect(of(findings(clamped), "cold-grid/L.V1b").level).toBe("ok");
  });
});

describe("parts", () => {
  test("a capacitor below the cold supply stops, one the wrong way round stops", () => {
    expect(of(findings(withPart("C2", { volts: 250 })), "capacitor-volts/L.C2").level).toBe("stop");
    const turned = findings(withPart("C4", { pins: { a: "0", b: "b" } } as Partial<DocumentPart>));
    expect(of(turned, "capacitor-reversed/L.C4").level).toBe("stop");
  });
  test("a resistor beyond its watts stops, beyond the house share is watched", () => {
    const watts = (value: number) => of(findings(withPart("R3", { watts: value })), "resistor-watts/L.R3").level;
    expect(watts(0.5)).toBe("stop");
    expect(watts(1.5)).toBe("watch");
  });
});

describe("rectifier", () => {
  const x4: Document = {
    ...base,
    envelopes: base.envelopes.map((one) =>
      one.id === "V3"
        ? {
            ...one,
            type: "6X4",
            socket: "7-pin miniature",
            wiring: {
              "1": { winding: "HT", lead: "a" },
              "6": { winding: "HT", lead: "b" },
              "7": { net: "B1" },
              "3": { winding: "H1", lead: "a" },
              "4": { winding: "H1", lead: "b" },
            },
          }
        : one,
    ),
  };
  test("a 6X4 behind this transformer wants more series resistance and a smaller first capacitor, and the fix says both", () => {
    const all = findings(x4);
    expect(of(all, "rectifier-series/V3").level).toBe("stop");
    expect(of(all, "rectifier-first-capacitor/V3").level).toBe("stop");
    const [fix] = of(all, "rectifier-series/V3").fixes;
    expect(fix?.changes.map((one) => one.target).sort()).toEqual([
      "blocks.power.parts[C1].value",
      "supply.rectifier.seriesOhms",
    ]);
  });
  test("a transformer of 20 mA is over", () => {
    const small: Document = {
      ...base,
      supply: {
        ...base.supply!,
        transformer: {
          ...base.supply!.transformer,
          highTension: { ...base.supply!.transformer.highTension, ratedAmps: 0.02 },
        },
      },
    };
    expect(of(findings(small), "transformer-amps/HT").level).toBe("stop");
  });
});

test("a type of a 6.3 V basing in the 5687's socket stays dark or burns: stop, with the wires to move", () => {
  const all = findings(asType("6FQ7"));
  const socket = of(all, "socket/V1");
  expect(socket.level).toBe("stop");
  expect(socket.title).toMatch(/dark|burns/);
  expect(socket.fixes[0]?.title).toMatch(/pins seen from below/);
});
