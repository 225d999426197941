import { readFileSync } from "node:fs";
import { type DocumentPart, type Document, expand, readDesign, setPart, solveDesign } from "@platewright/design";
import { seededRandom, type SeededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../library/src/index.ts";
import { readXml } from "../test/read-xml.ts";
import { type Box, flatten, itemBox, outside, overlap } from "./bounds.ts";
import { type CircleItem, type GroupItem, type Item, type LineItem, type Scene, WEIGHTS } from "./scene.ts";
import { schematicScene } from "./schematic.ts";
import { toSvg } from "./svg.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;
const answer = solveDesign(demo, openCatalogue(), { detail: "bias" });
if (!answer.ok) throw new Error(answer.failure.sentence);
const solved = answer.value;

interface Symbol {
  readonly ids: readonly string[];
  readonly body: Box;
  readonly leads: readonly LineItem[];
}

const around = (boxes: readonly Box[]): Box => ({
  left: Math.min(...boxes.map((box) => box.left)),
  top: Math.min(...boxes.map((box) => box.top)),
  right: Math.max(...boxes.map((box) => box.right)),
  bottom: Math.max(...boxes.map((box) => box.bottom)),
});

interface Word {
  readonly text: string;
  readonly ids: readonly string[];
  readonly box: Box;
}

/** What a drawing consists of, read back from the scene alone: symbols are groups, leads their lines of a wire's weight. */
function read(scene: Scene) {
  const drawing = scene.items.find((item): item is GroupItem => item.kind === "group");
  if (drawing === undefined) throw new Error("no drawing");
  const isWire = (item: Item): item is LineItem => item.kind === "line" && item.weight === WEIGHTS.wire;
  const symbols = drawing.items
    .filter((item): item is GroupItem => item.kind === "group")
    .map((group): Symbol => {
      const items = flatten([group]);
      const body = around(items.filter((item) => !isWire(item)).map(itemBox));
      return { ids: group.ids ?? [], body, leads: items.filter(isWire) };
    });
  const wires = drawing.items.filter(isWire);
  const texts = drawing.items.flatMap((item): readonly Word[] =>
    item.kind === "text" ? [{ text: item.text, ids: item.ids ?? [], box: itemBox(item) }] : [],
  );
  const dots = drawing.items.filter((item): item is CircleItem => item.kind === "circle");
  return { symbols, wires, texts, dots };
}

const key = (point: readonly number[]): string =>
  point.map((v) => (Math.round(v * 100) / 100 || 0).toFixed(2)).join(" ");

const on = ({ from, to }: LineItem, [x, y]: readonly [number, number]): boolean =>
  x >= Math.min(from[0], to[0]) - 1e-6 &&
  x <= Math.max(from[0], to[0]) + 1e-6 &&
  y >= Math.min(from[1], to[1]) - 1e-6 &&
  y <= Math.max(from[1], to[1]) + 1e-6;

/** Every complaint about a drawing, in words; none is what each must give. */
function complaints(scene: Scene): readonly string[] {
  const { symbols, wires, texts, dots } = read(scene);
  const found: string[] = outside(scene).map((item) => `outside the sheet: ${JSON.stringify(item)}`);
  const name = (ids: readonly string[] = []) => ids.join(" ") || "ground";
  const leads = symbols.flatMap((one) => one.leads.map((lead) => ({ lead, box: itemBox(lead), of: name(one.ids) })));
  const solids = [...symbols.map(({ ids, body }) => ({ box: body, of: name(ids) })), ...leads];
  for (const wire of wires) {
    const net = name(wire.ids);
    if (wire.from[0] !== wire.to[0] && wire.from[1] !== wire.to[1]) found.push(`a slanting wire of ${net}`);
    const box = itemBox(wire);
    for (const { ids, body } of symbols) if (overlap(box, body)) found.push(`a wire of ${net} through ${name(ids)}`);
    for (const { lead, box: leadBox, of } of leads)
      if (overlap(box, leadBox) && ![lead.from, lead.to].some((end) => on(wire, end)))
        found.push(`a wire of ${net} over a lead of ${of}`);
    for (const { text, box: room } of texts) if (overlap(box, room)) found.push(`a wire of ${net} through "${text}"`);
    for (const other of wires)
      if (name(other.ids) !== net)
        for (const end of [wire.from, wire.to]) if (on(other, end)) found.push(`${net} ends on ${name(other.ids)}`);
  }
  symbols.forEach((one, n) => {
    for (const other of symbols.slice(n + 1))
      if (overlap(one.body, other.body)) found.push(`${name(one.ids)} over ${name(other.ids)}`);
  });
  texts.forEach(({ text, box }, n) => {
    for (const solid of solids) if (overlap(box, solid.box)) found.push(`"${text}" over ${solid.of}`);
    for (const other of texts.slice(n + 1))
      if (overlap(box, other.box, -0.01)) found.push(`"${text}" over "${other.text}"`);
    for (const dot of dots) if (overlap(box, itemBox(dot))) found.push(`a dot in "${text}"`);
  });
  return [...found, ...joints(scene)];
}

/** Dots stand where three or more ends meet, and nowhere else. Crossings of two nets have none. */
function joints(scene: Scene): readonly string[] {
  const { symbols, wires, dots } = read(scene);
  const ends = symbols.flatMap(({ leads }) => leads.flatMap(({ from, to }) => [from, to]));
  const arms = new Map<string, number>();
  const points = new Map([...wires.flatMap(({ from, to }) => [from, to]), ...ends].map((point) => [key(point), point]));
  for (const [at, point] of points) {
    const touching = wires.filter((wire) => on(wire, point));
    const wireArms = touching.map((wire) => (key(wire.from) === at || key(wire.to) === at ? 1 : 2));
    const leadArms = touching.length === 0 ? 0 : ends.filter((end) => key(end) === at).length;
    arms.set(at, wireArms.reduce((sum: number, one) => sum + one, 0) + leadArms);
  }
  const marked = new Set(dots.map((dot) => key(dot.at)));
  return [
    ...[...arms].filter(([at, count]) => count >= 3 && !marked.has(at)).map(([at]) => `no dot at ${at}`),
    ...[...marked].filter((at) => (arms.get(at) ?? 0) < 3).map((at) => `a dot at ${at} where nothing joins`),
  ];
}

/** Each part of an instance is drawn by exactly one symbol, and its designator stands on the sheet exactly once. */
function expectAllDrawn(document: Document, instance: string, scene: Scene): void {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  const { symbols, texts } = read(scene);
  for (const part of expanded.value.parts.filter((one) => one.instance === instance)) {
    expect(symbols.filter(({ ids }) => ids.includes(part.id)).length, part.id).toBe(1);
    const names = texts.filter(({ text, ids }) => text === part.written.id && ids.includes(part.id));
    expect(names.length, `designator of ${part.id}`).toBe(1);
  }
}

/** A wire that meets a lead of a part is of one of that part's nets: read back from the drawing. */
function expectConnected(document: Document, instance: string, scene: Scene): void {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  const { symbols, wires } = read(scene);
  for (const wire of wires)
    for (const { ids, leads } of symbols) {
      const part = expanded.value.parts.find((one) => one.instance === instance && ids.includes(one.id));
      if (part === undefined) continue;
      const nets: readonly string[] = Object.values(part.written.pins);
      for (const lead of leads)
        for (const end of [lead.from, lead.to]) if (on(wire, end)) expect(nets, part.id).toContain(wire.ids?.[0]);
    }
}

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
    expect(after.filter((line, n) => line !== before[n]).map((line) => line.replace(/<[^>]*>/g, ""))).toEqual(["18k"]);
  });

  test("an instance that is not there is refused", () => {
    expect(() => schematicScene(demo, { channel: "X", title: "?" })).toThrow(/no instance "X"/);
  });
});

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
