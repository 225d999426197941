import { readFileSync } from "node:fs";
import { type Document, type DocumentPart, expand, readDesign } from "@platewright/design";
import { seededRandom, type SeededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import { complaints, expectAllDrawn, expectConnected } from "../../test/read-schematic.ts";
import { schematicScene } from "../schematic.ts";
import { schematicLayout } from "./layout.ts";
import { sheetOf } from "./sheet.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;

const pick = <T>(random: SeededRandom, list: readonly T[]): T => list[random.below(list.length)] as T;

/** Any part between any nets. */
function anyPart(random: SeededRandom, id: string, nets: readonly string[]): DocumentPart {
  const net = () => pick(random, nets);
  const two = () => ({ a: net(), b: net() });
  const poles = () => ({ anode: net(), cathode: net() });
  const makers: readonly (() => DocumentPart)[] = [
    () => ({ kind: "resistor", id, value: pick(random, ["220", "4k7", "100k", "2.2M"]), pins: two() }),
    () => ({ kind: "resistor", id, value: "47k", pins: two() }),
    () => ({
      kind: "capacitor",
      id,
      value: pick(random, ["100p", "0.47u", "100u"]),
      polarised: random.below(2) === 0,
      pins: two(),
    }),
    () => ({ kind: "inductor", id, value: "10", seriesOhms: "300", pins: two() }),
    () => ({
      kind: "potentiometer",
      id,
      value: "50k",
      taper: "linear",
      position: 0.5,
      pins: { top: net(), wiper: net(), bottom: net() },
    }),
    () => ({ kind: "triode", id, pins: { plate: net(), grid: net(), cathode: net() } }),
    () => ({ kind: "diode", id, type: "1N4007", pins: poles() }),
    () => ({
      kind: "regulator",
      id,
      technology: pick(random, ["gas-tube", "zener"]),
      value: "150",
      ohms: "100",
      pins: poles(),
    }),
    () => ({
      kind: "follower",
      id,
      thresholdVolts: 3,
      siemens: 1,
      atAmps: 0.1,
      pins: { gate: net(), drain: net(), source: net() },
    }),
    () => ({ kind: "dc-source", id, value: "9", pins: { plus: net(), minus: net() } }),
    () => ({ kind: "current-sink", id, value: "5m", pins: { from: net(), to: net() } }),
    () => ({ kind: "switch", id, closed: random.below(2) === 0, pins: two() }),
    () => ({ kind: "jack", id, role: pick(random, ["input", "output"]), pins: { tip: net(), sleeve: net() } }),
  ];
  return pick(random, makers)();
}

/** A stage with parts added, taken away and tied elsewhere, or parts thrown together. */
function anyDocument(seed: number): { readonly document: Document; readonly instance: string } {
  const random = seededRandom(seed);
  const wild = seed % 4 === 0;
  const instance = wild || random.below(3) > 0 ? "L" : "PS";
  const block = instance === "L" ? "channel" : "power";
  const own = demo.blocks[block];
  if (own === undefined) throw new Error(block);
  const parts: DocumentPart[] = wild ? [] : own.parts.filter(() => random.below(12) > 0);
  const nets = ["0", ...new Set(own.parts.flatMap((part): string[] => Object.values(part.pins)))];
  const few = wild ? nets.slice(0, 3 + random.below(8)) : nets;
  for (let n = random.below(wild ? 24 : 7); n >= 0; n--) parts.push(anyPart(random, `X${n}`, few));
  const triodes = parts.filter(({ kind }) => kind === "triode").map(({ id }) => id);
  const envelopes = triodes.map((id) => ({ id: `E${id}`, type: "6SN7GT", socket: "octal" as const, wiring: {} }));
  const sections = Object.fromEntries(triodes.map((id) => [id, { envelope: `E${id}`, section: 1 as const }]));
  const document: Document = {
    ...demo,
    blocks: { ...demo.blocks, [block]: { ports: own.ports, parts } },
    instances: demo.instances
      .filter((one) => one.id === instance)
      .map((one) => ({ ...one, ...(triodes.length === 0 ? {} : { sections }) })),
    envelopes: [...demo.envelopes, ...envelopes],
  };
  return { document, instance };
}

test.each([0, 1, 2, 3])(
  "no part is ever missing and nothing touches: random circuits, seeds 50 n to 50 n + 49, n = %i",
  (n) => {
    for (let seed = 50 * n; seed < 50 * n + 50; seed++) {
      const { document, instance } = anyDocument(seed);
      const scene = schematicScene(document, { channel: instance, title: `Seed ${seed}` });
      expectAllDrawn(document, instance, scene);
      expectConnected(document, instance, scene);
      expect(complaints(scene), `seed ${seed}`).toEqual([]);
    }
  },
);

test("room for volts of every net and for what was, and smaller: random circuits, seeds 1000 to 1039", () => {
  for (let seed = 1000; seed < 1040; seed++) {
    const { document, instance } = anyDocument(seed);
    const all = expand(document);
    if (!all.ok) throw new Error(all.failure.sentence);
    const volts = all.value.nets.filter((net) => net !== "0");
    const options = { channel: instance, document, volts, was: true, scale: [1, 0.85, 0.71][seed % 3] ?? 1 };
    const said = { values: {}, settings: {}, currents: {}, volts: Object.fromEntries(volts.map((net) => [net, SAID])) };
    const layout = schematicLayout(all.value, options);
    const scene = sheetOf(layout, said, { title: "", description: "", note: "" });
    expectAllDrawn(document, instance, scene);
    expectConnected(document, instance, scene);
    expect(complaints(scene), `seed ${seed}`).toEqual([]);
  }
});

const SAID = { now: "−8.88\u202fV", was: "−8.88\u202fV", dangerous: true };
