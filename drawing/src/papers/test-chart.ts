/** For tests: what the figures of the hole chart and of the layout say, worked out again from the document. */
import {
  boxHeat,
  chassisFindings,
  type ChassisJudged,
  type Document,
  type Finding,
  judgedChassis,
  salvageOptions,
  type SolvedDesign,
  toolFor,
} from "@platewright/design";
import type { Catalogue, Footprints } from "@platewright/engine";

export interface ChartAsk {
  readonly document: Document;
  readonly footprints: Footprints;
  readonly catalogue: Catalogue;
  readonly solved: SolvedDesign;
  readonly hourly?: number;
}

/** Asks for figures by their names. */
export function chartOf(ask: ChartAsk): (of: string) => number | undefined {
  const judged = judgedChassis({ ...ask });
  const findings = chassisFindings(ask);
  return (of) => (judged === undefined ? undefined : valueOf(ask, judged, findings, of));
}

function valueOf(
  { document, solved, footprints, hourly }: ChartAsk,
  judged: ChassisJudged,
  findings: readonly Finding[],
  of: string,
): number | undefined {
  const [what = "", first = "", ...rest] = of.split("/");
  const id = rest.join("/");
  const places = new Map(judged.chassis.items.map((item) => [item.id, item]));
  const away = (a: string, b: string) => {
    const [one, other] = [places.get(a), places.get(b)];
    return one === undefined || other === undefined ? Number.NaN : Math.hypot(one.x - other.x, one.y - other.y);
  };
  const tube = (name: string) => judged.tubes.find((one) => one.item.item.id === name);
  const bulb = (name: string) => tube(name)?.bulbMillimetres ?? Number.NaN;
  /** The tallest round body of an item over the plate. */
  const can = (name: string) => {
    const bodies = judged.bodies.filter((one) => one.item === name && one.face === "top");
    const tall = bodies.sort((one, other) => other.heightMillimetres - one.heightMillimetres)[0]?.outline;
    return tall?.kind === "circle" ? tall.diameterMillimetres : Number.NaN;
  };
  const nearest = (of: string, others: readonly string[], by: (other: string) => number) =>
    Math.min(...others.filter((one) => one !== of).map(by));
  /** Tubes on the same face. */
  const beside = (of: string) => tubes.filter((one) => face(one) === face(of));
  const face = (name: string) => places.get(name)?.face ?? "top";
  const tubes = judged.tubes.map((one) => one.item.item.id);
  const ofKind = (...kinds: readonly string[]) =>
    judged.items.filter((one) => kinds.includes(one.footprint.kind)).map((one) => one.item.id);
  const hole = judged.holes.holes.find((one) => one.id === id);
  switch (what) {
    case "hole": {
      if (hole === undefined) return undefined;
      const inch = first.endsWith("-inch");
      const { shape } = hole;
      const values: Readonly<Record<string, number | undefined>> = {
        x: hole.x,
        y: hole.y,
        under: -hole.underMillimetres,
        over: hole.overMillimetres,
        ...(shape.kind === "circle"
          ? { diameter: shape.diameterMillimetres }
          : { width: shape.widthMillimetres, height: shape.heightMillimetres, corner: shape.cornerMillimetres }),
      };
      const value = values[first.replace("-inch", "")];
      return value === undefined ? undefined : inch ? value / 25.4 : value;
    }
    case "pilot": {
      if (hole === undefined) return undefined;
      const carrier = judged.holes.carriers.find((one) => one.kind === hole.in && one.item === hole.item);
      return toolFor(judged.chassis, hole, carrier?.thicknessMillimetres).pilotsMillimetres[Number(first)];
    }
    case "way-minutes":
    case "way-cost": {
      const item = judged.holes.holes.find((one) => one.existing === first && one.work === "unresolved")?.item;
      const options = salvageOptions(
        { chassis: judged.chassis, library: footprints, ...(hourly === undefined ? {} : { hourly }) },
        first,
        item,
      );
      const way = options.ok ? options.value.find((one) => one.by === id) : undefined;
      return way === undefined ? undefined : Math.round(what === "way-cost" ? way.cost : way.minutes);
    }
    case "finding-value":
    case "finding-limit": {
      const found = findings.find((one) => one.id === [first, ...rest].join("/"));
      return (what === "finding-value" ? found?.value : found?.limit) ?? undefined;
    }
    case "height-above":
    case "height-below":
      return Math.max(
        ...judged.bodies
          .filter((one) => one.item === first && one.face === (what === "height-above" ? "top" : "under"))
          .map((one) => one.heightMillimetres),
      );
    case "bulb":
      return bulb(first);
    case "bulb-top":
      return tube(first)?.topMillimetres;
    case "tube-to-tube":
      return nearest(first, beside(first), (other) => away(first, other));
    case "tube-in-bulbs": {
      const near = nearest(first, beside(first), (other) => away(first, other));
      const other = beside(first).find((one) => one !== first && away(first, one) === near) ?? "";
      return near / Math.max(bulb(first), bulb(other));
    }
    case "tube-to-can":
      return nearest(first, ofKind("can"), (other) => away(first, other) - (bulb(first) + can(other)) / 2);
    case "tube-to-iron":
      return nearest(first, ofKind("transformer", "toroid", "choke"), (other) => away(first, other));
    case "glass-gap": {
      const [one = "", other = ""] = first.split("~");
      const wide = (name: string) => (tubes.includes(name) ? bulb(name) : can(name));
      return away(one, other) - (wide(one) + wide(other)) / 2;
    }
    case "heat": {
      if (document.supply === undefined) return undefined;
      const { plate } = judged.chassis;
      const heat = boxHeat(plate, solved, document.supply);
      return {
        watts: heat.watts,
        under: heat.underWatts,
        enclosed: heat.enclosedWatts,
        rise: heat.riseKelvin,
        cover: plate.coverMillimetres,
        vents: (plate.ventSquareMillimetres ?? 0) / 100,
        "vents-wanted": (heat.ventsWanted ?? Number.NaN) / 100,
      }[first];
    }
    default:
      return undefined;
  }
}
