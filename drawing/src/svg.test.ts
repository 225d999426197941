import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { readXml } from "../test/read-xml.ts";
import type { Item, Role, Scene } from "./scene.ts";
import { toSvg } from "./svg.ts";
import { THEMES, type ThemeName } from "./theme.ts";

const scene = (items: readonly Item[], more: Partial<Scene> = {}): Scene => ({
  units: "mm",
  width: 50,
  height: 30,
  title: "a title",
  description: "what it shows",
  items,
  ...more,
});
const text = (words: string): Item => ({ kind: "text", at: [5, 5], text: words, size: 3.44 });

/** Texts of what breaks careless writers: markup, quotes, blanks, control codes, half pairs, other scripts. */
function nastyText(seed: number): string {
  const random = seededRandom(seed);
  const pieces = [
    "<",
    ">",
    "&",
    "&amp;",
    '"',
    "'",
    "]]>",
    "<!--",
    "-->",
    " ",
    "  ",
    "\t",
    "\n",
    "\r\n",
    "Ω",
    "µ",
    "−",
    "日本",
    "😀",
    "\u0000",
    "\u0008",
    "\u001f",
    "\ud800",
    "\udc00",
    "\ufffe",
    "\uffff",
    "\u007f",
    "a",
    "4k7",
  ];
  return Array.from({ length: 1 + random.below(12) }, () => pieces[random.below(pieces.length)]).join("");
}

/** What XML 1.0 cannot carry stands as U+FFFD (Extensible Markup Language 1.0, fifth edition, production 2). */
const carried = (words: string) =>
  Array.from(words, (char) => {
    const code = char.codePointAt(0) as number;
    const allowed =
      code === 9 ||
      code === 10 ||
      code === 13 ||
      (code >= 0x20 && code <= 0xd7ff) ||
      (code >= 0xe000 && code <= 0xfffd) ||
      code >= 0x10000;
    return allowed ? char : "\ufffd";
  }).join("");

describe("toSvg", () => {
  for (const seed of [1, 2, 3, 4])
    test(`any text comes back from the XML as it was given (seed ${seed})`, () => {
      for (let n = 0; n < 200; n++) {
        const words = nastyText(1000 * seed + n);
        const items: readonly Item[] = [{ kind: "group", at: [1, 1], ids: [words], items: [text(words)] }];
        const nodes = readXml(toSvg(scene(items, { title: words, description: words })));
        for (const tag of ["title", "desc", "text"])
          expect(nodes.find((node) => node.tag === tag)?.text).toBe(carried(words));
        expect(nodes.find((node) => node.tag === "g")?.attributes.get("data-ids")).toBe(carried(words));
      }
    });

  test("the same scene gives the same bytes, built again or copied", () => {
    const build = () =>
      scene([text("4k7"), { kind: "line", from: [1 / 3, 2], to: [0.1 + 0.2, -0], weight: 0.3, role: "now" }]);
    expect(toSvg(build())).toBe(toSvg(build()));
    expect(toSvg(structuredClone(build()), "dark")).toBe(toSvg(build(), "dark"));
    expect(toSvg(build())).toContain('x2="0.3" y2="0"');
  });

  test("one user unit is one millimetre", () => {
    const root = readXml(toSvg(scene([])))[0];
    expect(root?.attributes.get("width")).toBe("50mm");
    expect(root?.attributes.get("height")).toBe("30mm");
    expect(root?.attributes.get("viewBox")).toBe("0 0 50 30");
  });

  test("every kind of item is drawn, with its ids, in the colours of the theme alone", () => {
    const roles = Object.keys(THEMES.light.graphic) as Role[];
    const items = roles.flatMap((role): readonly Item[] => [
      { kind: "line", from: [0, 0], to: [1, 1], weight: 0.2, role, ids: ["L.R3", "V1"] },
      {
        kind: "polyline",
        points: [
          [0, 0],
          [1, 1],
        ],
        weight: 0.2,
        role,
        dash: "dash",
      },
      {
        kind: "path",
        points: [
          [0, 0],
          [1, 1],
          [0, 1],
        ],
        weight: 0.2,
        role,
        fill: role,
      },
      { kind: "rect", at: [0, 0], width: 1, height: 1, weight: 0, fill: role },
      { kind: "circle", at: [2, 2], radius: 1, weight: 0.2, role, fill: "paper" },
      { ...(text("x") as Extract<Item, { kind: "text" }>), role, halo: "paper", bold: true, anchor: "end" },
    ]);
    for (const name of ["light", "dark", "print"] as const) {
      const nodes = readXml(toSvg(scene(items), name));
      const known = new Set([...Object.values(THEMES[name].graphic), ...Object.values(THEMES[name].text), "none"]);
      for (const tag of ["line", "polyline", "polygon", "circle", "text"])
        expect(nodes.filter((n) => n.tag === tag)).toHaveLength(roles.length);
      for (const node of nodes)
        for (const key of ["fill", "stroke"]) expect(known).toContain(node.attributes.get(key) ?? "none");
      expect(nodes.find((n) => n.tag === "line")?.attributes.get("data-ids")).toBe("L.R3 V1");
    }
  });

  test("a coordinate that is no number is a broken promise", () => {
    expect(() => toSvg(scene([{ kind: "line", from: [Number.NaN, 0], to: [1, 1], weight: 0.2 }]))).toThrow(
      /coordinate NaN/,
    );
  });
});

describe("themes", () => {
  // Web Content Accessibility Guidelines 2.1: contrast ratio, and criteria 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1).
  const luminance = (colour: string) => {
    const [r, g, b] = [1, 3, 5].map((at) => {
      const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
      return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    }) as [number, number, number];
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (a: string, b: string) => {
    const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y) as [number, number];
    return (light + 0.05) / (dark + 0.05);
  };
  const words = ["ink", "quiet", "faint", "proven", "now", "live", "limit", "stop", "watch", "ok"] as const;

  test.each(["light", "dark", "print"] as const)(
    "text and lines can be told from paper and band: %s",
    (name: ThemeName) => {
      const { graphic, text } = THEMES[name];
      for (const ground of [graphic.paper, graphic.band])
        for (const role of words) {
          expect(contrast(text[role], ground), `text ${role}`).toBeGreaterThanOrEqual(4.5);
          expect(contrast(graphic[role], graphic.paper), `line ${role}`).toBeGreaterThanOrEqual(3);
        }
    },
  );
});
