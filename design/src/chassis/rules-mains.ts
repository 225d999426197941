/** Mains parts: an earth stud of its own on bare metal, a cable that is held, live terminals away from all else. Advice; local codes decide. */
import type { Finding } from "../findings.ts";
import { list } from "../limits/say.ts";
import { type ChassisJudged, isMains, mm, nameOf, practised, tightest } from "./context.ts";
import { distance } from "./geometry.ts";
import { leastGap } from "./placed.ts";
import { INLET_TO_STUD, LIVE_TO_EARTHED, LIVE_TO_SIGNAL } from "./practice.ts";

/** Terminals farther away than this are not spoken of. */
const NEAR = 60;

const CODE = "common practice for 230 V, from memory; the electrical code of your country decides";

export function mainsFindings(judged: ChassisJudged): readonly Finding[] {
  if (judged.document.supply === undefined) return [];
  return [...earth(judged), ...entry(judged), ...creepage(judged), ...boots(judged)];
}

function earth(judged: ChassisJudged): readonly Finding[] {
  const { chassis, items } = judged;
  const studs = items.filter((item) => item.footprint.kind === "earth-stud");
  const [stud] = studs;
  if (stud === undefined)
    return [
      practised({
        rule: "chassis-earth",
        where: "chassis",
        level: "stop",
        unit: "",
        title:
          "no earth stud on the plate: the safety earth wants a bolt of its own on bare metal, with star washer and lock nut, never a transformer's bolt",
        source: CODE,
      }),
    ];
  const coated = chassis.plate.finish !== undefined && chassis.plate.finish !== "bare";
  const found = studs
    .filter((one) => coated && one.item.masked !== true)
    .map((one) =>
      practised({
        rule: "chassis-earth-bare",
        where: one.item.id,
        level: "stop",
        title: `${nameOf(judged, one.item.id)} stands on ${chassis.plate.finish === "anodised" ? "anodised metal, which insulates" : "powder coat"}: mask ${mm(one.footprint.bareMillimetres ?? 14)} mm round it on both faces, or bare the metal`,
        source: CODE,
        fixes: [
          {
            title: `Mask ${nameOf(judged, one.item.id)} from the coat`,
            changes: [
              {
                target: `chassis.items[${one.item.id}].masked`,
                ...(one.item.masked === undefined ? {} : { before: one.item.masked }),
                after: true,
              },
            ],
          },
        ],
      }),
    );
  const inlets = items.filter((item) => item.footprint.kind === "inlet" || item.footprint.kind === "gland");
  const apart = Math.min(...inlets.flatMap((one) => studs.map((each) => distance(one.item, each.item))));
  return [
    ...found,
    practised({
      rule: "chassis-earth",
      where: stud.item.id,
      level: inlets.length > 0 && apart > INLET_TO_STUD ? "watch" : "ok",
      title: `${nameOf(judged, stud.item.id)} is the earth's own bolt${inlets.length === 0 ? "" : `, ${mm(apart)} mm from where the mains comes in, ${INLET_TO_STUD} mm at most wanted`}${coated && found.length === 0 ? "; masked from the coat" : ""}`,
      value: inlets.length === 0 ? null : apart,
      limit: INLET_TO_STUD,
      sense: "below",
      source: CODE,
    }),
  ];
}

function entry(judged: ChassisJudged): readonly Finding[] {
  const inlets = judged.items.filter((item) => item.footprint.kind === "inlet");
  const glands = judged.items.filter((item) => item.footprint.kind === "gland");
  const loose = glands.filter((item) => item.footprint.strainRelief !== true);
  const none = inlets.length === 0 && glands.length === 0;
  return [
    practised({
      rule: "chassis-strain-relief",
      where: loose[0]?.item.id ?? inlets[0]?.item.id ?? glands[0]?.item.id ?? "chassis",
      level: loose.length > 0 ? "stop" : none ? "watch" : "ok",
      unit: "",
      title:
        loose.length > 0
          ? `${list(loose.map((item) => nameOf(judged, item.item.id)))} holds no cable against pull and turn`
          : none
            ? "no inlet or gland on this plate: where the mains comes in, the cable is held against pull and turn, the earth wire longest"
            : inlets.length > 0
              ? `${list(inlets.map((item) => nameOf(judged, item.item.id)))}: a socket inlet, no cable to hold`
              : `${list(glands.map((item) => nameOf(judged, item.item.id)))} holds the cable`,
      source: CODE,
    }),
  ];
}

/** Live terminals to what is earthed, and to what is touched or carries the signal. */
function creepage(judged: ChassisJudged): readonly Finding[] {
  const live = judged.items.filter(isMains);
  const found = live.flatMap((one) =>
    one.bodies
      .filter((body) => body.face !== one.face)
      .flatMap((terminals) =>
        judged.items.flatMap((other) => {
          if (other === one || isMains(other) || "transformer" in other.item.what) return [];
          const gap = leastGap(
            [terminals],
            other.bodies.filter((body) => body.face === terminals.face),
            NEAR,
          );
          if (gap === Infinity) return [];
          const earthed = ["earth-stud", "stand-off", "tag-strip"].includes(other.footprint.kind);
          const wanted = earthed ? LIVE_TO_EARTHED : LIVE_TO_SIGNAL;
          return [
            practised({
              rule: "chassis-creepage",
              where: `${one.item.id}+${other.item.id}`,
              level: gap < LIVE_TO_EARTHED ? "stop" : gap < wanted ? "watch" : "ok",
              title: `live terminals of ${nameOf(judged, one.item.id)} ${mm(gap)} mm from ${nameOf(judged, other.item.id)}, ${wanted} mm at least (${earthed ? "basic" : "reinforced"})`,
              value: gap,
              limit: wanted,
              sense: "above",
              source: CODE,
            }),
          ];
        }),
      ),
  );
  return tightest(found);
}

function boots(judged: ChassisJudged): readonly Finding[] {
  const bare = judged.items.filter(
    (item) => isMains(item) && item.footprint.kind !== "gland" && item.item.booted !== true,
  );
  if (bare.length === 0) return [];
  return [
    practised({
      rule: "chassis-boots",
      where: bare[0]?.item.id ?? "chassis",
      level: "watch",
      unit: "",
      title: `terminals of ${list(bare.map((item) => nameOf(judged, item.item.id)))} are live with the lid off: an insulating boot or sleeve on each`,
      source: CODE,
      fixes: [
        {
          title: `Boots on ${list(bare.map((item) => nameOf(judged, item.item.id)))}`,
          changes: bare.map(({ item }) => ({
            target: `chassis.items[${item.id}].booted`,
            ...(item.booted === undefined ? {} : { before: item.booted }),
            after: true,
          })),
        },
      ],
    }),
  ];
}
