/** Sizes and places of holes as figures, in millimetres: "Ø 22", "27.5 × 20.2". */
import type { ChassisHole } from "@platewright/design";
import type { HoleShape } from "@platewright/engine";
import type { Figure } from "./letters.ts";

/** Hundredths at the most, without needless noughts. */
export const millimetres = (value: number): string => String(Math.round(value * 100) / 100).replace("-", "−");

export const lengthFigure = (of: string, value: number): Figure => ({ of, value, unit: "", text: millimetres(value) });

export interface HoleFigures {
  readonly text: string;
  readonly figures: readonly Figure[];
}

/** "hole/diameter/V1/body"; of a rectangle "hole/width/…" and "hole/height/…". */
export function sizeFigures(of: string, shape: HoleShape): HoleFigures {
  const [what = "", ...id] = of.split("/");
  const named = (measure: string, value: number) => lengthFigure(`${what}/${measure}/${id.join("/")}`, value);
  if (shape.kind === "circle") {
    const only = named("diameter", shape.diameterMillimetres);
    return { text: `Ø\u202f${only.text}`, figures: [only] };
  }
  const [width, height] = [named("width", shape.widthMillimetres), named("height", shape.heightMillimetres)];
  return { text: `${width.text}\u202f×\u202f${height.text}`, figures: [width, height] };
}

export const holeFigures = (hole: Pick<ChassisHole, "id" | "shape">): HoleFigures =>
  sizeFigures(`hole/${hole.id}`, hole.shape);
