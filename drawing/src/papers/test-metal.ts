/** For tests: what the figures of metal say, worked out again from the document. */
import { type Document, holesOf } from "@platewright/design";
import type { Footprints } from "@platewright/engine";

/** Sizes and places of the plate, from the document alone; blanks by the law of the bend, mass hole by hole. */
export function metalOf({ chassis }: Document, footprints: Footprints, of: string): number | undefined {
  if (chassis === undefined) return undefined;
  const [what = "", first = "", ...rest] = of.split("/");
  const { plate } = chassis;
  const { salvage: _, ...bare } = chassis;
  const now = holesOf(chassis, footprints);
  const asNew = holesOf({ ...bare, holes: chassis.holes.filter((one) => one.state === "planned") }, footprints);
  const bends = (plate.bends ?? []).map((bend) => {
    const { thicknessMillimetres: t } = plate;
    const allowance = (Math.PI / 2) * (bend.insideRadiusMillimetres + 0.44 * t);
    return { ...bend, allowance, deduction: 2 * (t + bend.insideRadiusMillimetres) - allowance };
  });
  const past = (...edges: readonly string[]) =>
    bends
      .filter((one) => edges.includes(one.edge))
      .reduce((sum, one) => sum + one.flangeMillimetres - one.deduction, 0);
  const measure = (hole: (typeof now.holes)[number] | undefined, what: string): number | undefined => {
    if (hole === undefined) return undefined;
    const { shape } = hole;
    if (what === "x" || what === "y") return hole[what];
    if (shape.kind === "circle") return what === "diameter" ? shape.diameterMillimetres : undefined;
    return what === "width" ? shape.widthMillimetres : what === "height" ? shape.heightMillimetres : undefined;
  };
  const id = rest.join("/");
  const find = (holes: typeof now.holes, inPlate: boolean) =>
    holes.find((one) => one.id === id && (one.in === "plate") === inPlate);
  switch (what) {
    case "hole":
      return measure(find(now.holes, true), first);
    case "new-hole":
      return measure(find(asNew.holes, true), first);
    case "carrier":
      if (first.startsWith("from-")) return fromCorner(now, id, first);
      return measure(find(now.holes, false) ?? find(now.holes, true), first);
    case "plate":
      return {
        width: plate.widthMillimetres,
        depth: plate.depthMillimetres,
        thickness: plate.thicknessMillimetres,
        corner: plate.cornerRadiusMillimetres,
      }[first];
    case "flat":
      return first === "width"
        ? plate.widthMillimetres + past("left", "right")
        : plate.depthMillimetres + past("front", "rear");
    case "bend": {
      const bend = bends.find((one) => one.edge === id);
      if (bend === undefined) return undefined;
      return {
        flange: bend.flangeMillimetres,
        radius: bend.insideRadiusMillimetres,
        allowance: bend.allowance,
        deduction: bend.deduction,
        past: bend.flangeMillimetres - bend.deduction,
        line: plate.thicknessMillimetres + bend.insideRadiusMillimetres - bend.allowance / 2,
      }[first];
    }
    case "apart": {
      const [one, other] = [first, ...rest]
        .join("/")
        .split("|")
        .map((name) => asNew.holes.find((hole) => hole.id === name));
      return one === undefined || other === undefined ? undefined : Math.hypot(one.x - other.x, one.y - other.y);
    }
    case "cut": {
      // A flat plate with square corners: its rectangle less every hole.
      const area = asNew.holes.reduce((sum, { shape }) => {
        if (shape.kind === "circle") return sum - (Math.PI / 4) * shape.diameterMillimetres ** 2;
        const corner = shape.cornerMillimetres ?? 0;
        return sum - shape.widthMillimetres * shape.heightMillimetres + (4 - Math.PI) * corner ** 2;
      }, plate.widthMillimetres * plate.depthMillimetres);
      return plate.material === "aluminium" && bends.length === 0
        ? area * plate.thicknessMillimetres * 2.7e-6
        : undefined;
    }
    default:
      return undefined;
  }
}

/** From the left or the front of the ring or plate that a hole is in. */
function fromCorner({ carriers, holes }: ReturnType<typeof holesOf>, id: string, way: string): number | undefined {
  const hole = holes.find((one) => one.id === id && one.in !== "plate") ?? holes.find((one) => one.id === id);
  const outline = carriers.find((one) => one.item === hole?.item)?.outline;
  if (hole === undefined || outline === undefined || outline.kind === "polygon") return undefined;
  const [wide, deep] =
    outline.kind === "circle"
      ? [outline.diameterMillimetres, outline.diameterMillimetres]
      : [outline.widthMillimetres, outline.heightMillimetres];
  return way === "from-left" ? hole.x - outline.x + wide / 2 : hole.y - outline.y + deep / 2;
}
