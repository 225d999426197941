/** The chassis as tables: holes with place, size, range, work and tool; ways for holes in the way; the order of work. */
import {
  type ChassisHole,
  type ChassisJudged,
  orderOfWork,
  type SalvageOption,
  type ToolChoice,
  toolFor,
} from "@platewright/design";
import { table, wrap } from "./table.ts";

const WIDTH = 98;

/** Hundredths at the most. */
export const millimetres = (value: number): string => String(Math.round(value * 100) / 100);

export const sizeOf = ({ shape }: Pick<ChassisHole, "shape">): string => {
  if (shape.kind === "circle") return millimetres(shape.diameterMillimetres);
  const corner = shape.cornerMillimetres ?? 0;
  const turn = shape.degrees ?? 0;
  return [
    `${millimetres(shape.widthMillimetres)} x ${millimetres(shape.heightMillimetres)}`,
    ...(corner === 0 ? [] : [`R${millimetres(corner)}`]),
    ...(turn === 0 ? [] : [`at ${millimetres(turn)}°`]),
  ].join(" ");
};

const WORK: { readonly [W in ChassisHole["work"]]: string } = {
  done: "there",
  cut: "cut",
  "open-up": "open up",
  unresolved: "IN THE WAY",
  spare: "spare",
  close: "close",
};

const isDue = (hole: ChassisHole): boolean => hole.work === "cut" || hole.work === "open-up";

/** The tool for what is to be made; none for what is there. */
export function toolOf({ chassis, holes }: ChassisJudged, hole: ChassisHole): ToolChoice | undefined {
  if (!isDue(hole)) return undefined;
  const carrier = hole.in === "plate" ? undefined : holes.carriers.find((one) => one.item === hole.item);
  return toolFor(chassis, hole, carrier?.thicknessMillimetres);
}

export function printHoles(judged: ChassisJudged): string {
  const { holes } = judged.holes;
  const count = (work: ChassisHole["work"]) => holes.filter((one) => one.work === work).length;
  const counts = (["cut", "open-up", "unresolved", "spare", "close", "done"] as const)
    .filter((work) => count(work) > 0)
    .map((work) => `${count(work)} ${WORK[work].toLowerCase()}`);
  const rows = holes.map((hole) => {
    const tool = toolOf(judged, hole);
    return [
      hole.id,
      millimetres(hole.x),
      millimetres(hole.y),
      sizeOf(hole),
      hole.underMillimetres === 0 && hole.overMillimetres === 0
        ? ""
        : `-${millimetres(hole.underMillimetres)} +${millimetres(hole.overMillimetres)}`,
      hole.in === "plate" ? "" : hole.in,
      `${WORK[hole.work]}${hole.work === "unresolved" && hole.existing !== undefined ? `: ${hole.existing}` : ""}`,
      tool?.words ?? "",
    ];
  });
  const traps = [...new Set(holes.flatMap((hole) => toolOf(judged, hole)?.traps ?? []))];
  return [
    holes.length === 0 ? "No holes." : `${holes.length} holes: ${counts.join(", ")}`,
    ...(holes.length === 0
      ? []
      : [
          table(
            [
              { title: "hole" },
              { title: "x", align: "right" },
              { title: "y", align: "right" },
              { title: "size", align: "right" },
              { title: "range", align: "right" },
              { title: "in" },
              { title: "work" },
              { title: "tool" },
            ],
            rows,
          ),
        ]),
    ...traps.map((trap) => wrap(`trap: ${trap}`, WIDTH, "      ")),
  ].join("\n");
}

export interface Ways {
  readonly hole: string;
  readonly item?: string;
  readonly options: readonly SalvageOption[];
}

export const printWays = (all: readonly Ways[]): string =>
  all
    .map(({ hole, item, options }) =>
      [
        item === undefined ? `${hole} serves nothing. What can be done:` : `${hole} is in the way of ${item}. Ways:`,
        ...options.map((one) =>
          one.obstacle === undefined
            ? wrap(
                `  ${one.title}${one.words === "" ? "" : `: ${one.words}`} (about ${Math.round(one.minutes)} min, ${Math.round(one.cost)} in the shop's money)`,
                WIDTH,
                "    ",
              )
            : wrap(`  not: ${one.title}; ${one.obstacle}`, WIDTH, "    "),
        ),
      ].join("\n"),
    )
    .join("\n\n");

export function printOrder({ chassis, holes }: ChassisJudged): string {
  const steps = orderOfWork(chassis, holes);
  return steps
    .map((step, n) =>
      wrap(
        `${String(n + 1).padStart(2)} ${step.caution === undefined ? "" : `${step.caution} `}${step.words}${step.holes.length === 0 || step.holes.length > 12 ? "" : ` ${step.holes.join(", ")}`}`,
        WIDTH,
        "   ",
      ),
    )
    .join("\n");
}
