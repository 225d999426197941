/** A schematic read back from its scene, and everything that can be wrong with one, for tests. */
import { type Document, expand } from "@platewright/design";
import { expect } from "vitest";
import { type Box, flatten, itemBox, outside, overlap } from "../src/bounds.ts";
import { type CircleItem, type GroupItem, type Item, type LineItem, type Scene, WEIGHTS } from "../src/scene.ts";

export interface Symbol {
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

export interface Word {
  readonly text: string;
  readonly ids: readonly string[];
  readonly box: Box;
}

/** What a drawing consists of, read back from the scene alone: symbols are groups, leads their lines of a wire's weight. */
export function read(scene: Scene) {
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
export function complaints(scene: Scene): readonly string[] {
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
export function expectAllDrawn(document: Document, instance: string, scene: Scene): void {
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
export function expectConnected(document: Document, instance: string, scene: Scene): void {
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
