/** A hole as it is typed, and what it makes. Knows no screen. */
import type { DocumentHole } from "@platewright/design";
import { mm, type Read, readLength, SMALLEST } from "./read-length.ts";

export interface HoleDraft {
  readonly kind: "circle" | "rectangle";
  readonly diameter: string;
  readonly width: string;
  readonly height: string;
  readonly corner: string;
  readonly degrees: string;
  readonly x: string;
  readonly y: string;
  readonly state: DocumentHole["state"];
}

export const EMPTY_HOLE: HoleDraft = {
  kind: "circle",
  diameter: "",
  width: "",
  height: "",
  corner: "",
  degrees: "",
  x: "",
  y: "",
  state: "cut",
};

const LARGEST = 2000;

/** The hole without its name; the first field that is wrong says so, with its own name before it. */
export function readHole(draft: HoleDraft): Read<Omit<DocumentHole, "id">> {
  const read = (name: string, text: string, least: number, negative = false) => {
    if (text.trim() === "") return { ok: false, failure: `${name}: write a length.` } as const;
    const found = readLength(text, least, LARGEST, { negative });
    return found.ok ? found : ({ ok: false, failure: `${name}: ${found.failure}` } as const);
  };
  const [x, y] = [read("x", draft.x, 0), read("y", draft.y, 0)];
  const shape = draft.kind === "circle" ? readCircle() : readRectangle();
  if (!shape.ok) return shape;
  if (!x.ok) return x;
  if (!y.ok) return y;
  return { ok: true, value: { x: x.value, y: y.value, shape: shape.value, state: draft.state } };

  function readCircle(): Read<DocumentHole["shape"]> {
    const diameter = read("Diameter", draft.diameter, SMALLEST);
    return diameter.ok ? { ok: true, value: { kind: "circle", diameterMillimetres: diameter.value } } : diameter;
  }
  function readRectangle(): Read<DocumentHole["shape"]> {
    const [width, height] = [read("Width", draft.width, SMALLEST), read("Height", draft.height, SMALLEST)];
    const corner = read("Corner radius", draft.corner.trim() === "" ? "0" : draft.corner, 0);
    const degrees = readDegrees(draft.degrees);
    if (!width.ok) return width;
    if (!height.ok) return height;
    if (!corner.ok) return corner;
    if (!degrees.ok) return degrees;
    return {
      ok: true,
      value: {
        kind: "rectangle",
        widthMillimetres: width.value,
        heightMillimetres: height.value,
        ...(corner.value === 0 ? {} : { cornerMillimetres: corner.value }),
        ...(degrees.value === 0 ? {} : { degrees: degrees.value }),
      },
    };
  }
}

/** Counter-clockwise; empty is nought. */
export function readDegrees(written: string): Read<number> {
  const text = written.trim().replace(/,/g, ".").replace(/^−/, "-").replace(/\s*°$/, "");
  const value = text === "" ? 0 : Number(text);
  return Number.isFinite(value) && Math.abs(value) <= 360
    ? { ok: true, value }
    : { ok: false, failure: "Turn: write degrees from −360 to 360, counter-clockwise." };
}

export function draftOf({ x, y, shape, state }: DocumentHole): HoleDraft {
  return {
    ...EMPTY_HOLE,
    kind: shape.kind,
    ...(shape.kind === "circle"
      ? { diameter: mm(shape.diameterMillimetres) }
      : {
          width: mm(shape.widthMillimetres),
          height: mm(shape.heightMillimetres),
          corner: mm(shape.cornerMillimetres ?? 0),
          degrees: mm(shape.degrees ?? 0),
        }),
    x: mm(x),
    y: mm(y),
    state,
  };
}
