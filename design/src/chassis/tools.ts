/**
 * The builder's own tool for each hole, by what the tool really cuts; and the order in which the holes are made.
 *
 * Law     A tool is right when it cuts within the hole's range and takes the plate's thickness. Of several: a drill for what is
 *         small, then punch, step drill, hole saw, nearest to the size first. A hole without one is made by the next smaller
 *         and opened with a reamer or file. Trade sizes name the pipe that goes through, not the hole: only what is cut counts.
 * Sources common practice: pilots of 3 mm, punches up to 2 mm of aluminium or 1.6 mm of steel by hand, step drills to 4 mm a land.
 */
import { parseValue } from "@platewright/engine";
import type { Chassis, ChassisPlate, ChassisTool } from "../document/chassis-schema.ts";
import { CAUTION_SHORT } from "../limits/caution.ts";
import type { ChassisHole, ChassisHoles } from "./holes.ts";

export interface ToolChoice {
  readonly hole: string;
  /** The tool that finishes it; undefined: none of the list does. */
  readonly tool?: ChassisTool;
  /** What the tool really cuts. */
  readonly cutMillimetres?: number;
  /** Holes to make before, smallest first. */
  readonly pilotsMillimetres: readonly number[];
  /** Made smaller by this tool first, then opened. */
  readonly before?: { readonly tool: ChassisTool; readonly cutMillimetres: number };
  readonly words: string;
  /** A trap, in words: a trade size that is not the cut, a plate too thick for the punch. */
  readonly traps: readonly string[];
}

const PILOT = 3;
/** Up to this a drill goes straight after its pilot. */
const DRILL_LARGEST = 13;
/** By hand, where the tool does not say. */
const PUNCH_THICKEST: { readonly [M in ChassisPlate["material"]]: number } = {
  aluminium: 2,
  copper: 1.6,
  brass: 1.6,
  steel: 1.6,
};
const STEP_LAND = 4;
const PUNCH_PILOT = 10;
const SAW_PILOT = 6.5;

export const thickestFor = (tool: ChassisTool, plate: ChassisPlate): number =>
  tool.thickestMillimetres ??
  (tool.kind === "punch" ? PUNCH_THICKEST[plate.material] : tool.kind === "step-drill" ? STEP_LAND : Infinity);

const mm = (millimetres: number): string => `${Math.round(millimetres * 10) / 10} mm`;
const nameOf = (tool: ChassisTool): string => tool.name ?? `${tool.kind.replace("-", " ")} ${tool.id}`;

/** Sizes of a tool within a range, nearest to the wanted one first. */
function cutsWithin(tool: ChassisTool, from: number, to: number, wanted: number): number | undefined {
  const cuts = tool.cutsMillimetres;
  if (!("from" in cuts))
    return cuts
      .filter((one) => one >= from - 1e-9 && one <= to + 1e-9)
      .reduce<number | undefined>(
        (best, one) => (best === undefined || Math.abs(one - wanted) < Math.abs(best - wanted) ? one : best),
        undefined,
      );
  if (cuts.to < from || cuts.from > to) return undefined;
  return Math.min(Math.max(wanted, cuts.from), cuts.to);
}

const RANK: { readonly [K in ChassisTool["kind"]]: number } = {
  drill: 0,
  punch: 1,
  "step-drill": 2,
  "hole-saw": 3,
  reamer: 4,
  file: 5,
  fabricator: 6,
};
const BORING: ReadonlySet<ChassisTool["kind"]> = new Set(["drill", "punch", "step-drill", "hole-saw", "fabricator"]);

/**
 * A trade size in a tool's name that is not what it cuts: `1/2 in` on a punch that cuts 22.5 mm. "4 to 30 mm" is no trade size.
 * Undefined where the name says nothing or the truth.
 */
export function tradeTrap(tool: ChassisTool, cutMillimetres: number): string | undefined {
  const named = /(\d+\s+\d+\/\d+|\d+\/\d+|\d+(?:\.\d+)?)\s*(?:in\b|inch|")/i.exec(tool.name ?? "");
  if (named?.[1] === undefined) return undefined;
  const parsed = parseValue("length", `${named[1]} in`);
  if (!parsed.ok) return undefined;
  const nominal = parsed.value * 1e3;
  if (Math.abs(nominal - cutMillimetres) <= 0.02 * cutMillimetres) return undefined;
  return `${nameOf(tool)} is a trade size: ${named[1]} in names the pipe (${mm(nominal)}), the hole is ${mm(cutMillimetres)}; go by what it cuts`;
}

/** A tool of the list for a hole that is to be made. */
export function toolFor(
  chassis: Chassis,
  hole: ChassisHole,
  thickness = chassis.plate.thicknessMillimetres,
): ToolChoice {
  const tools = chassis.tools ?? [];
  if (hole.shape.kind === "rectangle") return rectangleTool(hole, tools);
  const wanted = hole.shape.diameterMillimetres;
  const [from, to] = [wanted - hole.underMillimetres, wanted + hole.overMillimetres];
  const traps: string[] = [];
  const fitting = tools.flatMap((tool) => {
    if (!BORING.has(tool.kind)) return [];
    if (tool.kind === "drill" && wanted > DRILL_LARGEST) return [];
    const cut = cutsWithin(tool, from, to, wanted);
    if (cut === undefined) return [];
    const trap = tradeTrap(tool, cut);
    if (thickness > thickestFor(tool, chassis.plate)) {
      traps.push(`${nameOf(tool)} takes ${mm(thickestFor(tool, chassis.plate))}, the plate has ${mm(thickness)}`);
      return [];
    }
    return [{ tool, cut, ...(trap === undefined ? {} : { trap }) }];
  });
  // A punch whose trade size seems right and whose cut is not is the trap itself.
  for (const tool of tools) {
    if (tool.kind !== "punch" || "from" in tool.cutsMillimetres) continue;
    for (const cut of tool.cutsMillimetres) {
      const trap = tradeTrap(tool, cut);
      const nominal = nominalOf(tool);
      if (
        trap !== undefined &&
        nominal !== undefined &&
        nominal >= from - 0.5 &&
        nominal <= to + 0.5 &&
        (cut < from || cut > to)
      )
        traps.push(trap);
    }
  }
  const [best] = fitting.sort(
    (one, other) =>
      RANK[one.tool.kind] - RANK[other.tool.kind] || Math.abs(one.cut - wanted) - Math.abs(other.cut - wanted),
  );
  if (best !== undefined) {
    if (best.trap !== undefined) traps.push(best.trap);
    return {
      hole: hole.id,
      tool: best.tool,
      cutMillimetres: best.cut,
      pilotsMillimetres: pilotsFor(best.tool, best.cut),
      words: `${nameOf(best.tool)}, ${mm(best.cut)}${hole.thread === undefined ? "" : `, then tap ${hole.thread}`}`,
      traps,
    };
  }
  return openedAfter(hole, tools, wanted, from, to, chassis.plate, thickness, traps);
}

const nominalOf = (tool: ChassisTool): number | undefined => {
  const named = /(\d+\s+\d+\/\d+|\d+\/\d+|\d+(?:\.\d+)?)\s*(?:in\b|inch|")/i.exec(tool.name ?? "")?.[1];
  const parsed = named === undefined ? undefined : parseValue("length", `${named} in`);
  return parsed?.ok === true ? parsed.value * 1e3 : undefined;
};

function pilotsFor(tool: ChassisTool, cut: number): readonly number[] {
  if (tool.kind === "fabricator") return [];
  if (tool.kind === "punch") return [PILOT, tool.pilotMillimetres ?? PUNCH_PILOT];
  if (tool.kind === "hole-saw") return [PILOT, tool.pilotMillimetres ?? SAW_PILOT];
  return cut > PILOT + 0.5 ? [PILOT] : [];
}

/** The largest that is still under the size, then reamer or file. */
function openedAfter(
  hole: ChassisHole,
  tools: readonly ChassisTool[],
  wanted: number,
  from: number,
  to: number,
  plate: ChassisPlate,
  thickness: number,
  traps: readonly string[],
): ToolChoice {
  const opener = tools.find(
    (tool) => (tool.kind === "reamer" || tool.kind === "file") && cutsWithin(tool, from, to, wanted) !== undefined,
  );
  const first = tools
    .filter((tool) => BORING.has(tool.kind) && tool.kind !== "fabricator" && thickness <= thickestFor(tool, plate))
    .filter((tool) => tool.kind !== "drill" || !("from" in tool.cutsMillimetres))
    .flatMap((tool) => {
      const cut = cutsWithin(tool, 0, from, from);
      return cut === undefined || (tool.kind === "drill" && cut > DRILL_LARGEST) ? [] : [{ tool, cut }];
    })
    .sort((one, other) => other.cut - one.cut)[0];
  if (opener === undefined || first === undefined)
    return {
      hole: hole.id,
      pilotsMillimetres: [PILOT],
      words: `no tool of the list cuts ${mm(from)} to ${mm(to)}; order it, or add a tool`,
      traps,
    };
  const trap = tradeTrap(first.tool, first.cut);
  return {
    hole: hole.id,
    tool: opener,
    cutMillimetres: wanted,
    pilotsMillimetres: pilotsFor(first.tool, first.cut),
    before: { tool: first.tool, cutMillimetres: first.cut },
    words: `${nameOf(first.tool)}, ${mm(first.cut)}, then ${nameOf(opener)} to ${mm(wanted)}`,
    traps: [...traps, ...(trap === undefined ? [] : [trap])],
  };
}

/** Corners drilled, sawn between, filed; or ordered. */
function rectangleTool(hole: ChassisHole, tools: readonly ChassisTool[]): ToolChoice {
  const fabricator = tools.find((tool) => tool.kind === "fabricator");
  const file = tools.find((tool) => tool.kind === "file");
  const size =
    hole.shape.kind === "rectangle" ? `${mm(hole.shape.widthMillimetres)} × ${mm(hole.shape.heightMillimetres)}` : "";
  if (file === undefined && fabricator !== undefined)
    return {
      hole: hole.id,
      tool: fabricator,
      pilotsMillimetres: [],
      words: `${nameOf(fabricator)}, ${size}`,
      traps: [],
    };
  if (file === undefined)
    return {
      hole: hole.id,
      pilotsMillimetres: [],
      words: `no tool of the list makes an opening of ${size}; order it, or add a file`,
      traps: [],
    };
  return {
    hole: hole.id,
    tool: file,
    pilotsMillimetres: [PILOT, 2 * PILOT],
    words: `drill ${mm(2 * PILOT)} inside each corner, saw between, ${nameOf(file)} to ${size}`,
    traps: [],
  };
}

/** What holds a screw in metal of this thickness: a nut, or a thread of one diameter at least. */
export function threadOrNut(screwMillimetres: number, thicknessMillimetres: number): string {
  return thicknessMillimetres >= screwMillimetres
    ? `M${screwMillimetres} may be tapped: ${mm(thicknessMillimetres)} holds one diameter of thread`
    : `M${screwMillimetres} with nut and lock washer, or a rivet nut: ${mm(thicknessMillimetres)} holds too few threads`;
}

export interface WorkStep {
  readonly words: string;
  readonly holes: readonly string[];
  readonly tool?: string;
  /** The caution that stands before the step. */
  readonly caution?: string;
}

/** Rough size, for the order: small before large, round before rectangular. */
const sizeOf = (hole: ChassisHole): number =>
  hole.shape.kind === "circle" ? hole.shape.diameterMillimetres : 1000 + hole.shape.widthMillimetres;

/** The holes that are to be made, in order: marked from one datum, piloted, checked, enlarged small to large, then what lies over them. */
export function orderOfWork(chassis: Chassis, found: ChassisHoles): readonly WorkStep[] {
  const due = found.holes.filter((hole) => hole.work === "cut" || hole.work === "open-up");
  const inPlate = due.filter((hole) => hole.in === "plate");
  const built = chassis.holes.some((hole) => hole.state === "cut");
  const steps: WorkStep[] = [];
  const step = (words: string, holes: readonly ChassisHole[] = [], more: Partial<WorkStep> = {}) =>
    steps.push({ words, holes: holes.map((hole) => hole.id), ...more });
  if (due.length > 0) step("Have every part in hand and measure it against this list before anything is cut.");
  if (built && inPlate.length > 0)
    step("Take out tubes, iron and everything that swarf can reach; cover what stays.", [], { caution: CAUTION_SHORT });
  const fresh = inPlate.filter((hole) => hole.work === "cut" && hole.in === "plate");
  if (inPlate.length > 0)
    step("Cover both faces with tape; mark every centre from the front left corner, none from another hole.", inPlate);
  const byCarrier = fresh.filter((hole) => hole.purpose === "fixing");
  const direct = fresh.filter((hole) => hole.purpose !== "fixing");
  if (direct.length > 0) {
    step("Centre punch, then pilot all with 3 mm.", direct);
    step("Lay the template or the parts over the pilots; check every centre before anything is made larger.", direct);
  }
  const opened = inPlate.filter((hole) => hole.work === "open-up");
  for (const group of byTool(chassis, [...direct, ...opened]))
    step(
      `${group.words}${group.pilot === undefined ? "" : `; open the pilot to ${mm(group.pilot)} first`}.`,
      group.holes,
      {
        tool: group.tool,
      },
    );
  for (const carrier of found.carriers) {
    const own = due.filter((hole) => hole.in !== "plate" && hole.item === carrier.item);
    step(
      `Make the ${carrier.kind.replace("-", " ")} for ${carrier.item}: ${mm(carrier.thicknessMillimetres)} ${carrier.material}; its holes first, its outline last.`,
      own,
    );
    const fixings = byCarrier.filter((hole) => hole.item === carrier.item);
    if (fixings.length > 0)
      step(`Lay it in place and mark its screws through it, not from paper; centre punch, pilot 3 mm, drill.`, fixings);
  }
  if (due.length > 0) step("Deburr both faces of every hole; no swarf stays inside.", inPlate);
  const stud = found.items.filter((item) => item.footprint.kind === "earth-stud");
  if (chassis.plate.finish !== undefined && chassis.plate.finish !== "bare" && stud.length > 0)
    step(
      `Mask ${stud.map((item) => `${item.item.id} (${mm(item.footprint.bareMillimetres ?? 14)} round it, both faces)`).join(", ")} before the coat, or bare the metal after it.`,
    );
  const closed = found.holes.filter((hole) => hole.work === "close");
  if (closed.length > 0) step("Close what stays open with plugs.", closed);
  return steps;
}

interface ToolGroup {
  readonly words: string;
  readonly tool: string;
  readonly pilot: number | undefined;
  readonly holes: readonly ChassisHole[];
}

/** Holes of one tool and size together, small first. */
function byTool(chassis: Chassis, holes: readonly ChassisHole[]): readonly ToolGroup[] {
  const groups = new Map<string, { words: string; tool: string; pilot: number | undefined; holes: ChassisHole[] }>();
  for (const hole of [...holes].sort((one, other) => sizeOf(one) - sizeOf(other))) {
    const choice = toolFor(chassis, hole);
    const there = groups.get(choice.words);
    if (there !== undefined) there.holes.push(hole);
    else
      groups.set(choice.words, {
        words: `${choice.words.charAt(0).toUpperCase()}${choice.words.slice(1)}`,
        tool: choice.tool?.id ?? "",
        pilot: choice.pilotsMillimetres.find((one) => one > PILOT),
        holes: [hole],
      });
  }
  return [...groups.values()];
}
