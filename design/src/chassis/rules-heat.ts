/** Heat: bulbs to each other, to electrolytic capacitors and to hands; the whole of it against surface and vents. */
import type { Finding } from "../findings.ts";
import { list, say } from "../limits/say.ts";
import { type ChassisJudged, isControl, mm, nameOf, practised, tightest } from "./context.ts";
import { distance, gapBetween } from "./geometry.ts";
import { boxHeat, RISE_MOST, RISE_WANTED } from "./heat.ts";
import { BULB_TO_CAN, BULB_TO_CAN_LEAST, BULB_TO_CONTROL, TUBE_SPACING, TUBE_SPACING_SAFER } from "./practice.ts";
import { tracer } from "./trace.ts";

export function heatFindings(judged: ChassisJudged): readonly Finding[] {
  return [
    ...tightest(betweenTubes(judged)),
    ...tightest(tubesToCapacitors(judged)),
    ...tightest(glassToHands(judged)),
    ...openGlass(judged),
    ...boxFinding(judged),
  ];
}

function betweenTubes({ tubes }: ChassisJudged): readonly Finding[] {
  return tubes.flatMap((one, i) =>
    tubes.slice(i + 1).flatMap((other) => {
      if (one.item.face !== other.item.face) return [];
      const apart = distance(one.item.item, other.item.item);
      const bulb = Math.max(one.bulbMillimetres, other.bulbMillimetres);
      const wanted = TUBE_SPACING * bulb;
      const gap = gapBetween(one.bulb.solid, other.bulb.solid);
      return [
        practised({
          rule: "chassis-tube-spacing",
          where: `${one.envelope}+${other.envelope}`,
          level: gap <= 0 ? "stop" : apart < wanted ? "watch" : "ok",
          title:
            gap <= 0
              ? `bulbs of ${one.envelope} and ${other.envelope} stand in each other`
              : `${one.envelope} to ${other.envelope} ${mm(apart)} mm between centres, at least ${mm(wanted)} mm wanted (${TUBE_SPACING} bulbs; ${mm(TUBE_SPACING_SAFER * bulb)} mm is safer)`,
          value: apart,
          limit: wanted,
          sense: "above",
        }),
      ];
    }),
  );
}

function tubesToCapacitors(judged: ChassisJudged): readonly Finding[] {
  const trace = judged.expanded === undefined ? undefined : tracer(judged.document, judged.expanded, judged.items);
  const cans = judged.items.filter(
    (item) =>
      item.footprint.kind === "can" ||
      trace?.partsOf(item).some((part) => part.written.kind === "capacitor" && part.written.polarised === true) ===
        true,
  );
  return judged.tubes.flatMap((tube) =>
    cans.flatMap((can) => {
      const bodies = can.bodies.filter((body) => body.face === tube.item.face && body.what !== "clamp");
      if (bodies.length === 0) return [];
      const gap = Math.min(...bodies.map((body) => gapBetween(body.solid, tube.bulb.solid)));
      const wanted = tube.rectifier ? BULB_TO_CAN : BULB_TO_CAN_LEAST;
      return [
        practised({
          rule: "chassis-tube-capacitor",
          where: `${tube.envelope}+${can.item.id}`,
          level: gap < wanted / 2 ? "stop" : gap < wanted ? "watch" : "ok",
          title: `${tube.envelope} ${tube.type} to the electrolytic ${nameOf(judged, can.item.id)} ${mm(gap)} mm, ${wanted} mm wanted: heat halves its life for every 10 K`,
          value: gap,
          limit: wanted,
          sense: "above",
        }),
      ];
    }),
  );
}

/** What a hand turns stands clear of hot glass. */
function glassToHands(judged: ChassisJudged): readonly Finding[] {
  if (judged.chassis.plate.coverMillimetres !== undefined) return [];
  const controls = judged.items.filter(isControl);
  return judged.tubes.flatMap((tube) =>
    controls.flatMap((control) => {
      const bodies = control.bodies.filter((body) => body.face === tube.item.face);
      if (bodies.length === 0 || control.face !== tube.item.face) return [];
      const gap = Math.min(...bodies.map((body) => gapBetween(body.solid, tube.bulb.solid)));
      return [
        practised({
          rule: "chassis-hot-glass",
          where: `${tube.envelope}+${control.item.id}`,
          level: gap < BULB_TO_CONTROL ? "watch" : "ok",
          title: `hot glass of ${tube.envelope} ${mm(gap)} mm from ${nameOf(judged, control.item.id)}, ${BULB_TO_CONTROL} mm wanted for a hand`,
          value: gap,
          limit: BULB_TO_CONTROL,
          sense: "above",
        }),
      ];
    }),
  );
}

function openGlass({ chassis, tubes }: ChassisJudged): readonly Finding[] {
  const bare = tubes.filter((tube) => tube.item.face === "top");
  if (chassis.plate.coverMillimetres !== undefined || bare.length === 0) return [];
  return [
    practised({
      rule: "chassis-open-glass",
      where: "chassis",
      level: "watch",
      unit: "",
      title: `no cover: hot glass of ${list(bare.map((tube) => tube.envelope))} is within reach; the owner's sheet says so, and keeps children and curtains away`,
    }),
  ];
}

function boxFinding(judged: ChassisJudged): readonly Finding[] {
  const { chassis, solved, document } = judged;
  if (document.supply === undefined) return [];
  const { plate } = chassis;
  if (solved === undefined) return [];
  const heat = boxHeat(plate, solved, document.supply);
  if (!Number.isFinite(heat.riseKelvin))
    return [
      practised({
        rule: "chassis-heat",
        where: "chassis",
        level: "stop",
        title: "heat of the box could not be computed: it is not judged, so treat it as too hot",
        unit: "K",
      }),
    ];
  const covered = plate.coverMillimetres !== undefined;
  const vents = covered ? `, vents of ${Math.round((plate.ventSquareMillimetres ?? 0) / 100)} cm²` : "";
  const what = covered
    ? `${say(heat.watts, "W")} under the cover${vents}`
    : `no cover: of ${say(heat.watts, "W")} the resistors make ${say(heat.underWatts, "W")} under the plate`;
  const more =
    heat.ventsWanted === undefined
      ? ""
      : `; ${Math.ceil(heat.ventsWanted / 100)} cm² of vents, half low and half high, keep ${RISE_WANTED} K`;
  const rounded = heat.ventsWanted === undefined ? undefined : Math.ceil(heat.ventsWanted / 500) * 500;
  return [
    practised({
      rule: "chassis-heat",
      where: "chassis",
      level: heat.riseKelvin > RISE_MOST ? "stop" : heat.riseKelvin > RISE_WANTED ? "watch" : "ok",
      title: `${what}: about ${Math.round(heat.riseKelvin)} K above the room inside, ${RISE_WANTED} K wanted${more}`,
      value: heat.riseKelvin,
      limit: RISE_WANTED,
      unit: "K",
      sense: "below",
      condition: solved.condition.words,
      source: "common practice; coefficients of cabinet makers, quoted; good to a third",
      fixes:
        rounded === undefined
          ? []
          : [
              {
                title: `Vents of ${rounded / 100} cm² in all`,
                changes: [
                  {
                    target: "chassis.plate.ventSquareMillimetres",
                    ...(plate.ventSquareMillimetres === undefined ? {} : { before: plate.ventSquareMillimetres }),
                    after: rounded,
                  },
                ],
              },
            ],
    }),
  ];
}
