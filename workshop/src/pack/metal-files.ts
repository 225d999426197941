/** What a fabricator cuts by: a new plate from both faces as DXF, from above as SVG, and every ring or plate over a hole as DXF. */
import { carrierDrawings, type CutDrawing, cutDrawing, dateWords, type PackInput } from "@platewright/drawing";
import { fail, ok } from "@platewright/engine";
import { toDxf } from "../writers/dxf.ts";
import { toCutSvg } from "../writers/svg-cut.ts";
import type { PlannedFile } from "./planned-file.ts";

const DXF = "image/vnd.dxf";

/** None where the design has no chassis. */
export function metalFiles({ chassis, document, revision, date }: PackInput): readonly PlannedFile[] {
  if (chassis === undefined) return [];
  const named = { design: document.name, revision, date: dateWords(date) };
  const plate = (face: "top" | "under") => cutDrawing(chassis, { face, named });
  const dxf = (kind: string, file: string, draw: () => ReturnType<typeof plate>): PlannedFile => ({
    kind,
    file: `${file}.dxf`,
    type: DXF,
    make: () => {
      const drawn = draw();
      if (!drawn.ok) return fail(drawn.failure.sentence);
      const made = toDxf(drawn.value);
      return made.ok ? made : fail(`${file}.dxf: ${made.failure.sentence}`);
    },
  });
  const carried = (drawing: CutDrawing) => () => ok(drawing);
  return [
    dxf("plate-dxf", "plate", () => plate("top")),
    dxf("plate-underside-dxf", "plate-underside", () => plate("under")),
    {
      kind: "plate-svg",
      file: "plate.svg",
      type: "image/svg+xml",
      make: () => {
        const drawn = plate("top");
        return drawn.ok ? ok(toCutSvg(drawn.value)) : fail(drawn.failure.sentence);
      },
    },
    ...carrierDrawings(chassis, named).map(({ name, drawing }) => dxf(`${name}-dxf`, name, carried(drawing))),
  ];
}
