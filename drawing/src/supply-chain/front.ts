/** Mains, fuse, iron, heater windings and rectifier: what stands ahead of a supply's first net. */
import type { SupplyChain } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { bridge, rectifierTube, siliconPair } from "../schematic/front-symbols.ts";
import { arc, stroke, turned } from "../schematic/symbol.ts";
import { ground } from "../schematic/symbols-more.ts";
import { inductor } from "../schematic/symbols-two.ts";
import { shorten } from "../text/index.ts";
import { boxOf, draw, type Line, press, type Sheet, wire, type Word, write } from "./sheet.ts";
import { heaterLines, type Said } from "./words.ts";

/** Across, from the mains leads: primary, core, secondary and where its leads end. */
const IRON = { primary: 24, core: 30.2, secondary: 34, ends: 36.5 } as const;
const HALF = 7.5;
const RECTIFIER_AT = 51;
/** Where the front ends and the first net's wire begins. */
const FRONT_END = 58.5;
const CHOKE_WIDTH = 20;
/** First heater winding below the wire of the high tension, and the pitch of the next. */
const HEATERS_BELOW = 25.5;
const HEATER_PITCH = 12;

/** Draws the front with the high tension's middle at (0, y); answers where the wire to the first net begins. */
export function layFront(sheet: Sheet, said: Said, chain: SupplyChain, y: number): number {
  const { choke, rectifier, heaters } = chain;
  const tapped = rectifier.circuit === "full-wave";
  layMains(sheet, said, chain, y);
  const heatersAt = Math.max(y + HEATERS_BELOW, layRectifier(sheet, said, chain, y) + 3.2);
  const low = heaters.length === 0 ? y + HALF + 1 : heatersAt + 6 + HEATER_PITCH * (heaters.length - 1);
  const core = [0, 1].map((n) =>
    stroke(
      [
        [IRON.core + n, y - HALF - 0.8],
        [IRON.core + n, low],
      ],
      WEIGHTS.body,
    ),
  );
  draw(
    sheet,
    [winding(IRON.primary + 3.4, y - HALF, 6, 1), ...core, winding(IRON.secondary, y - HALF, 6, -1)],
    [0, 0],
    ["transformer"],
  );
  press(sheet, ["transformer"], boxOf(IRON.primary, y - HALF - 3, IRON.ends, low));
  layIronWords(sheet, said, chain, y);
  for (const [n, heater] of heaters.entries()) {
    const top = heatersAt + HEATER_PITCH * n;
    draw(
      sheet,
      [
        winding(IRON.secondary, top, 2, -1),
        ...[top, top + 5].map((at) =>
          stroke(
            [
              [IRON.secondary, at],
              [IRON.ends, at],
            ],
            WEIGHTS.wire,
          ),
        ),
      ],
      [0, 0],
      [heater.id],
    );
    const room = write(sheet, heaterLines(said, heater), [IRON.ends + 2, top + 2], "start", [heater.id]);
    press(sheet, [heater.id], boxOf(IRON.secondary - 1.5, top - 1, room.right, Math.max(room.bottom, top + 6)));
  }
  wire(sheet, [
    [IRON.secondary, y - HALF],
    [IRON.ends, y - HALF],
  ]);
  wire(sheet, [
    [IRON.secondary, y + HALF],
    [IRON.ends, y + HALF],
  ]);
  if (tapped || rectifier.circuit === "half-wave") {
    const from = tapped ? y : y + HALF;
    const x = IRON.ends + 1.5;
    wire(sheet, [
      [IRON.secondary, from],
      [x, from],
      [x, from + 1.5],
    ]);
    draw(sheet, ground().items, [x, from + 1.5], []);
  }
  if (choke === undefined) return FRONT_END;
  const words: readonly Line[] = [
    [{ text: "Choke", bold: true }, { text: `${choke.value}${/\d$/.test(choke.value) ? "\u202fH" : ""}` }],
  ];
  wire(sheet, [
    [FRONT_END, y],
    [FRONT_END + 5, y],
  ]);
  wire(sheet, [
    [FRONT_END + 17.5, y],
    [FRONT_END + CHOKE_WIDTH, y],
  ]);
  draw(sheet, turned(inductor(), "right").items, [FRONT_END + 5, y], ["choke"]);
  press(sheet, ["choke"], boxOf(FRONT_END + 3, y - 8, FRONT_END + 18, y + 7));
  write(sheet, words, [FRONT_END + 11.2, y - 4.4], "middle", ["choke"]);
  write(
    sheet,
    [[{ text: choke.outcome, role: choke.outcome === "continuous" ? "quiet" : "stop" }]],
    [FRONT_END + 11.2, y + 5.4],
    "middle",
    ["choke"],
  );
  return FRONT_END + CHOKE_WIDTH;
}

/** Bumps of a winding from `top` down, open to the right (1) or to the left (-1). */
const winding = (x: number, top: number, turns: number, toward: 1 | -1): Item =>
  stroke(
    Array.from({ length: turns }, (_, n) => arc(x, top + 2.5 * n + 1.25, 1.25, toward > 0 ? -90 : 270, 90)).flat(),
  );

function layMains(sheet: Sheet, said: Said, { mains, fuse }: SupplyChain, y: number): void {
  const [left, right] = [7, 15];
  wire(sheet, [
    [1, y - HALF],
    [left, y - HALF],
  ]);
  wire(sheet, [
    [right, y - HALF],
    [IRON.primary + 3.4, y - HALF],
  ]);
  wire(sheet, [
    [1, y + HALF],
    [IRON.primary + 3.4, y + HALF],
  ]);
  for (const at of [y - HALF, y + HALF])
    sheet.items.push({ kind: "circle", at: [0.6, at], radius: 0.6, weight: WEIGHTS.wire, ids: ["mains"] });
  const box: Item = {
    kind: "rect",
    at: [left, y - HALF - 1.4],
    width: right - left,
    height: 2.8,
    weight: WEIGHTS.body,
  };
  const through = stroke(
    [
      [left, y - HALF],
      [right, y - HALF],
    ],
    WEIGHTS.wire,
  );
  draw(sheet, fuse === undefined ? [box] : [box, through], [0, 0], ["fuse"]);
  const words: readonly Line[] =
    fuse === undefined
      ? [[{ text: "no fuse", bold: true }], [{ text: "named", bold: true }]]
      : [[{ text: printValue(fuse.amps, "A"), bold: true }], [{ text: fuse.kind, role: "quiet" }]];
  const role = said.look.stops?.has("fuse") === true ? [{ role: "stop" } as const] : [];
  const room = write(
    sheet,
    words.map((line) => line.map((word) => ({ ...word, ...role[0] }))),
    [(left + right) / 2, y - HALF + 5.6],
    "middle",
    ["fuse"],
  );
  press(sheet, ["fuse"], boxOf(left - 1, y - HALF - 2.5, right + 1, room.bottom));
  const line: Line = [{ text: `${printValue(mains.volts, "V")} ${printValue(mains.hertz, "Hz")}`, bold: true }];
  const tap: readonly Line[] =
    mains.tapVolts === undefined ? [] : [[{ text: `on the ${printValue(mains.tapVolts, "V")} tap`, role: "quiet" }]];
  const named = write(sheet, [line, ...tap], [0, y + HALF + 5], "start", ["mains"]);
  press(sheet, ["mains"], boxOf(-0.5, y + HALF - 2, named.right, named.bottom));
}

function layIronWords(sheet: Sheet, said: Said, { transformer }: SupplyChain, y: number): void {
  const was = said.look.was?.transformer;
  const past = transformer.dcAmps > transformer.ratedAmps || said.look.stops?.has("transformer") === true;
  const then =
    was === undefined || Math.abs(was.dcAmps - transformer.dcAmps) < 0.002 * transformer.dcAmps + 5e-5
      ? []
      : [{ text: `was ${printValue(was.dcAmps, "A")}`, role: "proven" } satisfies Word];
  const lines: readonly Line[] = [
    [
      { text: shorten(transformer.label, 74, SIZES.small, true), bold: true },
      ...(was === undefined || was.label === transformer.label
        ? []
        : [{ text: "changed", role: "proven" } satisfies Word]),
      ...(transformer.knownBy === "label" ? [] : [{ text: known(transformer.knownBy), role: "quiet" } satisfies Word]),
    ],
    [
      { text: `${transformer.unloadedVolts.toFixed(0)}\u202fV open,`, role: "quiet" },
      {
        text: `${printValue(transformer.dcAmps, "A")} of ${printValue(transformer.ratedAmps, "A")} dc`,
        role: past ? "stop" : said.look.live?.has("transformer") === true ? "live" : "ink",
      },
      ...then,
    ],
  ];
  const room = write(sheet, lines, [0, y - HALF - 9.4], "start", ["transformer"]);
  press(sheet, ["transformer"], room);
}

const known = (by: "measured" | "unknown"): string => (by === "measured" ? "by readings" : "rating unknown");

/** Answers how far down its words reach. */
function layRectifier(sheet: Sheet, said: Said, chain: SupplyChain, y: number): number {
  const { rectifier } = chain;
  const isBridge = rectifier.circuit === "bridge" || rectifier.circuit === "hybrid-bridge";
  const both = rectifier.circuit !== "half-wave";
  const id = rectifier.envelope ?? "rectifier";
  const symbol = isBridge ? bridge() : rectifier.envelope === undefined ? siliconPair(both) : rectifierTube(both);
  draw(sheet, symbol.items, [RECTIFIER_AT, y], [id]);
  const left = RECTIFIER_AT - 7.5;
  const turn = left - 1.5;
  const lead = (from: number, to: number) =>
    wire(sheet, [
      [IRON.ends, from],
      [turn, from],
      [turn, to],
      [left, to],
    ]);
  if (both) {
    lead(y - HALF, y - 2.5);
    lead(y + HALF, y + 2.5);
  } else lead(y - HALF, y);
  if (isBridge) draw(sheet, ground().items, [RECTIFIER_AT, y + HALF], []);
  const was = said.look.was?.rectifier;
  const before = was === undefined ? undefined : nameOf(was);
  const name = nameOf(rectifier);
  const stop = said.look.stops?.has(id) === true;
  const role = said.look.live?.has(id) === true ? ({ role: "live" } as const) : {};
  const words: readonly Line[] = [
    [
      ...(rectifier.envelope === undefined ? [] : [{ text: rectifier.envelope, bold: true, ...role }]),
      { text: name, bold: rectifier.envelope === undefined, ...role },
      ...(stop ? [{ text: "stop", role: "stop", bold: true } satisfies Word] : []),
    ],
    ...(before === undefined || before === name ? [] : [[{ text: `was ${before}`, role: "proven" } satisfies Word]]),
    ...(rectifier.envelope !== undefined && rectifier.silicon !== undefined
      ? [[{ text: `with ${rectifier.silicon}`, role: "quiet" } satisfies Word]]
      : []),
    ...(rectifier.seriesOhms === undefined
      ? []
      : [[{ text: `${rectifier.seriesOhms}\u202fΩ each lead`, role: "quiet" } satisfies Word]]),
  ];
  const at: Point = [left + 0.5, y + (isBridge ? 15.5 : 10.4)];
  const room = write(sheet, words, at, "start", [id]);
  press(sheet, [id], boxOf(Math.min(room.left, left), y - 6.5, Math.max(room.right, FRONT_END), room.bottom));
  return room.bottom;
}

const nameOf = ({ envelope, type, silicon, circuit }: SupplyChain["rectifier"]): string =>
  envelope === undefined ? `${silicon ?? "silicon"}${circuit === "bridge" ? " bridge" : ""}` : (type ?? "");
