/** Findings of the supply's study: discharge, hum, thump, fuse, transformer, surge, single faults. */
import type { Catalogue } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import type { Finding, Level } from "../findings.ts";
import { FAULT_ADVICE, type FaultAnswer } from "../supply/faults.ts";
import type { SupplyStudy } from "../supply/study.ts";
import { leastSeriesOhms } from "../supply/rectifier-fit.ts";
import { transformerFindings } from "../supply/transformer-findings.ts";
import { bleederFix, fuseFix, humFix } from "../supply/values.ts";
import { finding } from "./build.ts";
import { HAZARDOUS_VOLTS } from "./caution.ts";
import { list, say } from "./say.ts";

/** House rules where the document says nothing; common practice, each of them. */
const HUM_DECIBEL_VOLTS = -90;
const DISCHARGE_SECONDS = 60;
const THUMP_VOLTS = 1;

/** What the house asks of a supply: as the document says, else the defaults. */
export const supplyHouse = ({ houseRules }: Pick<Document, "houseRules">) => ({
  humDecibelVolts: houseRules?.humDecibelVolts ?? HUM_DECIBEL_VOLTS,
  dischargeSeconds: houseRules?.dischargeSeconds ?? DISCHARGE_SECONDS,
  thumpVolts: houseRules?.thumpVolts ?? THUMP_VOLTS,
});

export function supplyFindings(study: SupplyStudy, catalogue: Catalogue, fixes = true): readonly Finding[] {
  return [
    ...study.unsolved.map(({ words, sentence }) =>
      finding({
        rule: "supply-unsolved",
        where: words,
        level: "stop",
        title: `${words}: not solved, so not judged: ${sentence}`,
        condition: words,
        source: "no solve",
      }),
    ),
    ...discharge(study, catalogue, fixes),
    ...fuse(study),
    ...(study.transformer === undefined ? [] : transformerFindings(study.transformer, study.copper)),
    ...neverCharges(study),
    ...darkRectifier(study),
    ...pulledHeaters(study),
    ...surge(study, catalogue),
    ...hum(study, catalogue, fixes),
    ...thump(study),
    ...study.faults.map((answer) => faultFinding(study, answer)),
  ];
}

function discharge(study: SupplyStudy, catalogue: Catalogue, fixes: boolean): readonly Finding[] {
  const { discharge: slow, document } = study;
  if (slow === undefined) return [];
  const limit = supplyHouse(document).dischargeSeconds;
  const cold = study.solved.get("cold-mains-high");
  const level: Level = slow.seconds <= limit ? "ok" : Number.isFinite(slow.seconds) ? "watch" : "stop";
  const fix = level === "ok" || !fixes || cold === undefined ? undefined : bleederFix(document, catalogue, cold, limit);
  const time = Number.isFinite(slow.seconds) ? `${slow.seconds.toFixed(0)} s` : "more than ten minutes";
  return [
    finding({
      rule: "discharge",
      where: slow.slowestNet === "" ? "supply" : slow.slowestNet,
      level,
      title: `after switching off, ${slow.slowestNet} stands above ${TOUCH} V for ${time} (from ${say(slow.fromVolts, "V")}, ${say(slow.joules, "J")}); the house asks for ${limit} s; measure before touching, whatever the clock says${fix === undefined ? "" : `; ${fix.title}`}`,
      value: slow.seconds,
      limit,
      unit: "s",
      sense: "below",
      condition: slow.words,
      source: "common practice, 60 V within a minute",
      fixes: fix === undefined ? [] : [fix],
    }),
  ];
}

const TOUCH = HAZARDOUS_VOLTS;

function fuse(study: SupplyStudy): readonly Finding[] {
  const { document, mainsAmps, suggestedFuseAmps } = study;
  const fitted = document.supply?.fuse;
  const fix = fuseFix(document, suggestedFuseAmps);
  const draft = {
    rule: "fuse",
    where: "mains",
    value: mainsAmps,
    unit: "A",
    sense: "below" as const,
    condition: "running, mains high",
    source: "common practice, 1.5 to 2 times the running current; the local code goes before it",
  };
  const drawn = `the primary draws ${say(mainsAmps, "A")} with mains high`;
  if (fitted === undefined)
    return [
      finding({ ...draft, level: "watch", title: `no mains fuse is named; ${drawn}: ${fix.title}`, fixes: [fix] }),
    ];
  if (fitted.amps < 1.25 * mainsAmps)
    return [
      finding({
        ...draft,
        level: "stop",
        limit: fitted.amps,
        title: `${drawn}; a fuse of ${say(fitted.amps, "A")} tires and blows: ${fix.title}`,
        fixes: [fix],
      }),
    ];
  const large = fitted.amps > 3 * mainsAmps;
  const weak = fitted.breaking === "low";
  if (large || weak)
    return [
      finding({
        ...draft,
        level: "watch",
        limit: fitted.amps,
        title: `${drawn}; the fuse of ${say(fitted.amps, "A")} is ${list([...(large ? ["large for it"] : []), ...(weak ? ["of low breaking capacity"] : [])])}: ${fix.title}`,
        fixes: [fix],
      }),
    ];
  return [
    finding({
      ...draft,
      level: "ok",
      limit: fitted.amps,
      title: `${drawn} of the ${fitted.kind} fuse's ${say(fitted.amps, "A")}`,
    }),
  ];
}

/** A section whose plate stays near ground although the first capacitor charges: something between them is open. */
function neverCharges(study: SupplyStudy): readonly Finding[] {
  const nominal = study.solved.get("nominal");
  const output = study.document.supply?.rectifier.output;
  if (nominal === undefined || output === undefined) return [];
  const twins = new Set(nominal.expanded.equalTo.keys());
  const at = (net: string) => nominal.bias.netVolts.get(net) ?? 0;
  return nominal.expanded.triodes
    .filter((one) => !twins.has(one.instance) && at(one.plate) < CHARGED_SHARE * at(output))
    .map((one) =>
      finding({
        rule: "never-charges",
        where: one.id,
        level: "stop",
        title: `${one.id}: its plate stands at ${say(at(one.plate), "V")} while ${output} stands at ${say(at(output), "V")}; nothing charges what feeds it`,
        value: at(one.plate),
        limit: CHARGED_SHARE * at(output),
        unit: "V",
        sense: "above",
        condition: "running, mains nominal",
        source: "the solve",
      }),
    );
}

const CHARGED_SHARE = 0.03;

/** A tube rectifier whose heater gets nothing gives nothing, whatever the solve says of a hot one. */
function darkRectifier(study: SupplyStudy): readonly Finding[] {
  const id = study.document.supply?.rectifier.envelope;
  if (id === undefined) return [];
  const nominal = study.solved.get("nominal");
  const lit = nominal?.heaters.flatMap((one) => one.envelopes).find((one) => one.envelope === id);
  if (lit !== undefined && lit.volts > DARK_SHARE * lit.wantedVolts) return [];
  return [
    finding({
      rule: "rectifier-dark",
      where: id,
      level: "stop",
      title: `${id}: its heater gets ${lit === undefined ? "no winding" : say(lit.volts, "V")}, so it rectifies nothing; the volts shown are those of a hot one`,
      condition: "running, mains nominal",
      source: "the sockets' wiring",
    }),
  ];
}

const DARK_SHARE = 0.7;

/** With the signal tubes out, the winding is light: what stays lit gets more. */
function pulledHeaters(study: SupplyStudy): readonly Finding[] {
  const pulled = study.solved.get("pulled");
  const worst = pulled?.heaters
    .flatMap((one) => one.envelopes)
    .map((one) => ({ ...one, share: one.volts / one.wantedVolts }))
    .sort((a, b) => b.share - a.share)[0];
  if (worst === undefined || pulled === undefined) return [];
  return [
    finding({
      rule: "heater-pulled",
      where: worst.envelope,
      level: worst.share > PULLED_WATCH ? "watch" : "ok",
      title: `${worst.envelope} gets ${say(worst.volts, "V")} of ${say(worst.wantedVolts, "V")} with the signal tubes out and mains high; do not leave it on like that for long`,
      value: worst.volts,
      limit: PULLED_WATCH * worst.wantedVolts,
      unit: "V",
      sense: "below",
      condition: pulled.condition.words,
      source: "common practice: 20 % for minutes",
    }),
  ];
}

const PULLED_WATCH = 1.2;

function surge(study: SupplyStudy, catalogue: Catalogue): readonly Finding[] {
  const { supply, envelopes } = study.document;
  if (study.surgeAmps === undefined || supply === undefined) return [];
  const envelope = envelopes.find((one) => one.id === supply.rectifier.envelope);
  const silicon = envelope === undefined;
  const least =
    envelope === undefined
      ? undefined
      : leastSeriesOhms(catalogue, envelope.type, supply.transformer.highTension.ratedRmsVoltsPerHalf);
  const has = study.solved.get("nominal")?.supply?.sourceOhmsPerPlate ?? 0;
  const kept = least !== undefined && has >= least;
  const where = envelope?.id ?? supply.rectifier.silicon?.type ?? "rectifier";
  const standing = silicon ? (supply.rectifier.silicon?.amps ?? 1) * SILICON_SURGE : undefined;
  const level: Level = standing !== undefined ? (study.surgeAmps > standing ? "stop" : "ok") : kept ? "ok" : "watch";
  return [
    finding({
      rule: "rectifier-surge",
      where,
      level,
      title: `${silicon ? "switched on at a crest" : "switched on again while hot"}, ${where} passes up to ${say(study.surgeAmps, "A")} into the empty first capacitor${
        standing !== undefined
          ? ` of ${say(standing, "A")} that its kind stands once`
          : kept
            ? "; the resistance that its sheet asks for is there"
            : "; its sheet asks for more resistance per plate: wait a minute before switching on again"
      }`,
      value: study.surgeAmps,
      ...(standing === undefined ? {} : { limit: standing }),
      unit: "A",
      sense: standing === undefined ? "none" : "below",
      condition: "hot restart, mains high",
      source: silicon
        ? "common practice, thirty times the mean rating for half a cycle"
        : "the sheet's least resistance",
    }),
  ];
}

const SILICON_SURGE = 30;

function hum(study: SupplyStudy, catalogue: Catalogue, fixes: boolean): readonly Finding[] {
  const { hum: heard, document } = study;
  if (heard === undefined) return [];
  const limit = supplyHouse(document).humDecibelVolts;
  const nominal = study.solved.get("nominal");
  return [...new Set(heard.lines.map((line) => line.channel))].flatMap((channel) => {
    const worst = heard.lines.filter((line) => line.channel === channel).sort((a, b) => b.dbv - a.dbv)[0];
    if (worst === undefined) return [];
    const level: Level = worst.dbv <= limit ? "ok" : worst.dbv <= limit + 10 ? "watch" : "stop";
    const fix =
      level === "ok" || !fixes || worst.from !== "ripple" || nominal === undefined
        ? undefined
        : humFix(document, catalogue, nominal, limit);
    return [
      finding({
        rule: "hum",
        where: `${channel}.output`,
        level,
        title: `hum at the output: ${worst.hertz.toFixed(0)} Hz at ${worst.dbv.toFixed(0)} dBV (${worst.from === "ripple" ? "ripple of the supply" : "heaters, by assumed leakage"}), level at ${heard.setting.words}; the house asks for ${limit} dBV${fix === undefined ? "" : `; ${fix.title}`}`,
        value: worst.dbv,
        limit,
        unit: "dBV",
        sense: "below",
        condition: `running, mains nominal, level at ${heard.setting.words}`,
        source: "common practice; heater leakage and strays are assumed",
        channel,
        fixes: fix === undefined ? [] : [fix],
      }),
    ];
  });
}

function thump(study: SupplyStudy): readonly Finding[] {
  const { startUp, dischargeHot, document } = study;
  if (startUp === undefined || dischargeHot === undefined) return [];
  const limit = supplyHouse(document).thumpVolts;
  const on = startUp.thumpVolts;
  const off = dischargeHot.thumpVolts;
  const worst = Math.max(on, off);
  const muted = document.houseRules?.mute === true;
  const before = document.houseRules;
  const fix = {
    title: "a mute that shorts the output at switch-on and switch-off",
    changes: [
      before === undefined
        ? { target: "houseRules", after: { mute: true } }
        : { target: "houseRules.mute", ...(before.mute === undefined ? {} : { before: before.mute }), after: true },
    ],
  };
  return [
    finding({
      rule: "thump",
      where: "output",
      level: worst <= limit || muted ? "ok" : "watch",
      title: `the output jack moves by ${say(on, "V")} at switch-on and ${say(off, "V")} at switch-off; the house allows ${say(limit, "V")}${muted ? ", and a mute is fitted" : worst <= limit ? "" : `: fit ${fix.title}, or switch the amplifier on last and off first`}`,
      value: worst,
      limit,
      unit: "V",
      sense: "below",
      condition: "switch-on and switch-off, controls as set",
      source: "common practice",
      fixes: worst <= limit || muted ? [] : [fix],
    }),
  ];
}

/** More dc than this at the jack does harm to what follows; common practice. */
const JACK_VOLTS = 1;

function faultFinding(study: SupplyStudy, answer: FaultAnswer): Finding {
  const { fault } = answer;
  const jack = Math.abs(answer.outputVolts) > JACK_VOLTS;
  const burns = answer.burns.length > 0;
  const level: Level =
    answer.unsolved !== undefined || jack || (burns && answer.fuse !== "opens within seconds") ? "watch" : "ok";
  const worst = answer.burns.slice(0, 3).map((one) => `${one.part} at ${one.times.toFixed(1)} times its rating`);
  const what =
    answer.unsolved === undefined
      ? [
          burns ? list(worst) : "no part goes past its rating",
          `the mains fuse ${answer.fuse === "no fuse named" ? "is not named" : answer.fuse}`,
          ...(Math.abs(answer.outputVolts) > 0.5 ? [`${say(answer.outputVolts, "V")} dc at the output jack`] : []),
        ].join(", ")
      : `not solved: ${answer.unsolved}`;
  return finding({
    rule: "single-fault",
    where: fault.id,
    level,
    title: `${fault.words}: ${what}; ${FAULT_ADVICE[fault.kind]}`,
    value: answer.burns[0]?.times ?? null,
    unit: "times",
    condition: "single fault, mains nominal",
    source: "solved with the fault in it",
  });
}
