/**
 * A socket seen from below, turned as it is on the underside of the plate, with what each pin is and where its wire goes.
 *
 * Method  Pins stand as on the plate, mirrored; words in two columns, in the order of the pins' heights, pushed apart to whole lines,
 *         each on a leader.
 */
import { type Document, endWords, pinPlace, type PlacedItem, roleName, type WiringList } from "@platewright/design";
import { type Item, type Scene, SIZES, WEIGHTS } from "@platewright/drawing";
import type { PinRole } from "@platewright/engine";

type Envelope = Document["envelopes"][number];

export interface PinsAsk {
  readonly placed: PlacedItem;
  readonly envelope: Envelope;
  readonly pins: { readonly [pin: string]: PinRole };
  readonly list: WiringList | undefined;
  readonly width: number;
}

/** What a pin is wired to, in the words of the wiring list. */
export function goesTo({ envelope, list }: Pick<PinsAsk, "envelope" | "list">, pin: string): string {
  const wire = envelope.wiring[pin];
  if (wire === undefined) return "nothing";
  const own = (item: string, at: string) => item === envelope.id && at.replace(/^pin /, "").split(" + ").includes(pin);
  const ends = (list?.wires ?? []).flatMap(({ from, to }) =>
    own(from.item, from.at) ? [endWords(to)] : own(to.item, to.at) ? [endWords(from)] : [],
  );
  const at = (words: string) => new RegExp(`^${envelope.id} pin (?:\\d+ \\+ )*${pin}(?: \\+ \\d+)*$`).test(words);
  const carried = (list?.carried ?? []).flatMap(({ id, from, to }) => (at(from) || at(to) ? [id] : []));
  const all = [...new Set([...ends, ...carried].map((words) => words.replace(/ at .*$/, "")))];
  if (all.length > 0) return all.join(", ");
  return "net" in wire ? wire.net : `${wire.winding} ${wire.lead}`;
}

const RADIUS = 13;
const PIN_CIRCLE = 9.4;
const PIN = 2.4;
const LINE = 4.9;
/** From the socket to the words. */
const REACH = 7;

export function pinsScene({ placed, envelope, pins, list, width }: PinsAsk): Scene {
  const middle = width / 2;
  const numbers = Object.keys(pins).filter((pin) => pinPlace(placed, Number(pin)) !== undefined);
  const rows = numbers.map((pin) => {
    const at = pinPlace(placed, Number(pin)) ?? placed.item;
    // Seen from below: left is right.
    const [dx, dy] = [placed.item.x - at.x, placed.item.y - at.y];
    const long = Math.hypot(dx, dy) || 1;
    const role = pins[pin];
    return {
      pin,
      role: role === undefined || role.kind === "none" ? "no connection" : roleName(role),
      to: role?.kind === "none" && envelope.wiring[pin] === undefined ? "" : goesTo({ envelope, list }, pin),
      ux: dx / long,
      uy: dy / long,
    };
  });
  const sides = [rows.filter((row) => row.ux < -1e-6), rows.filter((row) => row.ux >= -1e-6)] as const;
  const balanced = sides.map((side) => spread(side.toSorted((a, b) => a.uy - b.uy)));
  const ys = balanced.flatMap((side) => side.map(({ y }) => y));
  const [top, bottom] = [Math.min(-RADIUS - 1, ...ys.map((y) => y - 4)), Math.max(RADIUS + 1, ...ys.map((y) => y + 3))];
  const height = bottom - top;
  const centre = -top;
  const items: Item[] = [
    { kind: "circle", at: [middle, centre], radius: RADIUS, weight: WEIGHTS.body, fill: "paper" },
    ...keyOf(placed, middle, centre),
  ];
  for (const [n, side] of balanced.entries()) {
    const sign = n === 0 ? -1 : 1;
    for (const { row, y } of side) {
      const at = [middle + row.ux * PIN_CIRCLE, centre + row.uy * PIN_CIRCLE] as const;
      const end = [middle + sign * (RADIUS + REACH - 1), centre + y] as const;
      items.push(
        {
          kind: "polyline",
          points: [
            [at[0] + row.ux * PIN, at[1] + row.uy * PIN],
            [middle + row.ux * (RADIUS + 1.5), centre + row.uy * (RADIUS + 1.5)],
            end,
          ],
          weight: WEIGHTS.hair,
          role: "faint",
        },
        { kind: "circle", at, radius: PIN, weight: WEIGHTS.light, fill: "paper" },
        { kind: "text", at: [at[0], at[1] + 1.2], text: row.pin, size: SIZES.small, anchor: "middle", bold: true },
        ...wordsOf(row, end[0] + sign * 1, end[1] + 1.2, sign),
      );
    }
  }
  items.push({
    kind: "text",
    at: [middle, centre + 1.2],
    text: envelope.id,
    size: SIZES.text,
    anchor: "middle",
    bold: true,
  });
  return {
    units: "mm",
    width,
    height,
    title: `${envelope.id} ${envelope.type}, pins from below`,
    description: rows.map(({ pin, role, to }) => `pin ${pin} ${role}${to === "" ? "" : ` to ${to}`}`).join("; "),
    items,
  };
}

/** Role in bold, where it goes after it; on the left side the text ends at the leader. */
function wordsOf(
  { role, to }: { readonly role: string; readonly to: string },
  x: number,
  y: number,
  sign: number,
): Item[] {
  return [
    {
      kind: "text",
      at: [x, y],
      text: to === "" ? role : `${role} → ${to}`,
      size: SIZES.small,
      anchor: sign < 0 ? "end" : "start",
      role: to === "" ? "faint" : "ink",
    },
  ];
}

/** Whole lines round the middle, as near to the pins as they fit. */
function spread<T extends { readonly uy: number }>(
  rows: readonly T[],
): readonly { readonly row: T; readonly y: number }[] {
  const wanted = rows.map((row) => row.uy * (RADIUS + 2));
  const ys = [...wanted];
  for (let n = 1; n < ys.length; n++) ys[n] = Math.max(ys[n] ?? 0, (ys[n - 1] ?? 0) + LINE);
  const shift = ys.length === 0 ? 0 : ys.reduce((sum, y, n) => sum + y - (wanted[n] ?? 0), 0) / ys.length;
  return rows.map((row, n) => ({ row, y: (ys[n] ?? 0) - shift }));
}

/** The key, where the socket has it. */
function keyOf({ item }: PlacedItem, x: number, y: number): Item[] {
  // At 0° to the front; mirrored, turned clockwise, y down.
  const angle = ((90 + item.degrees) * Math.PI) / 180;
  const [ux, uy] = [Math.cos(angle), Math.sin(angle)];
  const tip = [x + ux * (RADIUS - 0.6), y + uy * (RADIUS - 0.6)] as const;
  const back = [x + ux * (RADIUS - 3.2), y + uy * (RADIUS - 3.2)] as const;
  return [
    {
      kind: "path",
      points: [tip, [back[0] - 1.5 * uy, back[1] + 1.5 * ux], [back[0] + 1.5 * uy, back[1] - 1.5 * ux]],
      weight: 0,
      fill: "ink",
    },
  ];
}
