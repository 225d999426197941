/**
 * Findings of a choke input: its inductance against the critical one, its current, and what the first capacitor sees when
 * nothing draws.
 *
 * Law     Below the critical inductance (docs/rectifiers.md) the choke's current falls to zero in each cycle and the volts
 *         rise from 0.9 of the winding's rms towards its crest.
 * Sources Outcome from the solve; margins are common practice.
 */
import type { Finding, Level } from "../findings.ts";
import type { JudgedCondition, SolvedDesign } from "../solved/types.ts";
import { against, finding, unsolved } from "./build.ts";
import { partRating } from "./judge.ts";
import { type Judged, ratingFraction } from "./judged.ts";
import { bleederForChoke } from "./regulator-fixes.ts";
import { say } from "./say.ts";

/** A choke's inductance falls with its direct current and is given within some tens of per cent; common practice. */
const MARGIN = 1.2;
const WHERE = "choke";

export function chokeFindings(judged: Judged): readonly Finding[] {
  const { supply } = judged.document;
  const choke = supply?.rectifier.choke;
  if (supply === undefined || choke === undefined) return [];
  if (judged.nominal.supply?.choke === undefined) return [unsolved("choke", WHERE, "choke input", "running")];
  const among = [judged.nominal, ...judged.conditions.filter((one) => one.condition.id !== "nominal")];
  const running = among.filter((one) => one.condition.tubes === "running");
  const cold = among.filter((one) => one.condition.tubes === "cold");
  const heaviest = mostLoaded(running);
  return [
    ...critical(judged, running, "running"),
    ...critical(judged, cold, "cold"),
    ...(heaviest === undefined
      ? []
      : [
          against(judged, {
            rule: "choke-amps",
            where: WHERE,
            what: "direct current",
            reading: { value: heaviest.supply?.loadAmps ?? Number.NaN, words: heaviest.condition.words, missing: [] },
            limit: choke.amps === undefined ? undefined : partRating(choke.amps),
            unit: "A",
            houseFraction: ratingFraction(judged),
          }),
        ]),
    ...crest(judged, among),
  ];
}

function mostLoaded(among: readonly SolvedDesign[]): SolvedDesign | undefined {
  return [...among].sort((one, other) => (other.supply?.loadAmps ?? 0) - (one.supply?.loadAmps ?? 0))[0];
}

/** The lightest load of a state: there the most inductance is needed. */
function critical(judged: Judged, among: readonly SolvedDesign[], state: "running" | "cold"): readonly Finding[] {
  const lightest = [...among].sort(
    (one, other) => (other.supply?.choke?.criticalHenries ?? 0) - (one.supply?.choke?.criticalHenries ?? 0),
  )[0];
  const solved = lightest?.supply;
  const choke = solved?.choke;
  if (lightest === undefined || solved === undefined || choke === undefined) return [];
  const { words } = lightest.condition;
  const near = choke.henries < MARGIN * choke.criticalHenries;
  const falls = choke.outcome === "discontinuous";
  const level: Level = falls ? (state === "running" ? "stop" : "watch") : near ? "watch" : "ok";
  // What the load takes falls with the volts; a bleeder for the margin, at a tenth less than the ideal 0.9 of the winding.
  const steady = 0.81 * solved.unloadedRmsVolts;
  const needed = MARGIN * (choke.criticalHenries / choke.henries) * solved.loadAmps;
  const more = needed - solved.loadAmps * Math.min(1, steady / solved.rectifier.dcVolts);
  const fixes =
    falls && choke.criticalHenries < Infinity
      ? bleederForChoke(judged, lightest.condition.id as JudgedCondition, steady / Math.max(more, 1e-9))
      : [];
  const help =
    choke.criticalHenries === Infinity
      ? "; behind a half-wave rectifier no choke is large enough: use full-wave, or a capacitor input"
      : falls
        ? `; ${say(MARGIN * choke.criticalHenries, "H")}, or ${say(more, "A")} more through a bleeder (${say(steady / Math.max(more, 1e-9), "Ω")}, ${say(steady * more, "W")}), keeps it steady`
        : "";
  return [
    finding({
      rule: state === "running" ? "choke-critical" : "choke-critical-cold",
      where: WHERE,
      level,
      title: `choke of ${say(choke.henries, "H")} at ${say(solved.loadAmps, "A")}, ${words}: ${
        falls
          ? `its current falls to zero in every cycle and the first capacitor stands at ${say(solved.rectifier.dcVolts, "V")}`
          : `its current never falls below ${say(choke.leastAmps, "A")}${near ? `, with little margin over the critical ${say(choke.criticalHenries, "H")}` : ""}`
      }${help}`,
      value: choke.henries,
      limit: choke.criticalHenries,
      unit: "H",
      sense: "above",
      condition: words,
      source: "solved; critical inductance in closed form",
      fixes,
    }),
  ];
}

/** With nothing drawing at all, the first capacitor charges to the winding's crest. */
function crest(judged: Judged, among: readonly SolvedDesign[]): readonly Finding[] {
  const id = judged.document.supply?.rectifier.firstCapacitor;
  const part = judged.nominal.expanded.parts.find((one) => one.id === id);
  if (part?.written.kind !== "capacitor") return [];
  const highest = [...among].sort(
    (one, other) => (other.supply?.unloadedRmsVolts ?? 0) - (one.supply?.unloadedRmsVolts ?? 0),
  )[0];
  const volts = (highest?.supply?.unloadedRmsVolts ?? Number.NaN) * Math.SQRT2;
  const rating = part.written.volts;
  const level: Level = rating === undefined || !(volts <= rating) ? "watch" : "ok";
  return [
    finding({
      rule: "choke-crest",
      where: part.id,
      level,
      title: `${part.id} ${part.written.value} charges to the winding's crest, ${say(volts, "V")}${rating === undefined ? "" : ` of ${say(rating, "V")}`}, when nothing draws with mains high${level === "ok" ? "" : ": rate it for the crest, a bleeder may open"}`,
      value: volts,
      limit: rating ?? null,
      unit: "V",
      sense: "below",
      condition: "no load at all, mains high",
      source: rating === undefined ? "no rating in the document" : "rating of the part",
    }),
  ];
}
