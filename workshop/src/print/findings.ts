/** Findings as lines a builder can act on: stops first, then watches with their fixes, the quiet ones counted. */
import type { Finding } from "@platewright/design";
import { wrap } from "./table.ts";

const WIDTH = 98;

/** A number well inside a limit that only the standing of its source keeps from "ok". */
const onlyUnverified = (finding: Finding): boolean =>
  finding.level === "watch" && finding.title.endsWith("limit unverified");

export function printFindings(findings: readonly Finding[], every: boolean): string {
  const stops = findings.filter((one) => one.level === "stop");
  const watches = findings.filter((one) => one.level === "watch");
  const quiet = every ? [] : watches.filter(onlyUnverified);
  const faults = every ? [] : watches.filter((one) => one.rule === "single-fault");
  const loud = watches.filter((one) => !quiet.includes(one) && !faults.includes(one));
  const fine = findings.filter((one) => one.level === "ok");
  const lines = [
    `Findings: ${stops.length} stop, ${watches.length} watch, ${fine.length} ok`,
    ...stops.map((one) => line("STOP ", one)),
    ...loud.map((one) => line("watch", one)),
    ...faultLine(faults),
    ...unverified(quiet),
    ...(every ? fine.map((one) => line("ok   ", one)) : []),
  ];
  return lines.join("\n");
}

function line(level: string, finding: Finding): string {
  const channel = finding.channel?.includes(",") === true ? ` [${finding.channel}]` : "";
  const source = finding.source === "" ? "" : ` (${finding.source})`;
  const text = wrap(`${level} ${finding.title}${channel}${source}`, WIDTH, "        ");
  const fixes = finding.fixes
    .filter((fix) => !finding.title.includes(fix.title))
    .map((fix) => wrap(`        fix: ${fix.title}`, WIDTH, "          "));
  return [text, ...fixes].join("\n");
}

/** Single faults that hurt, in one line; each has its own with --every. */
function faultLine(findings: readonly Finding[]): readonly string[] {
  if (findings.length === 0) return [];
  const count = findings.length === 1 ? "one single fault ends" : `${findings.length} single faults end`;
  const named = findings.map((one) => one.title.replace(/, the mains fuse.*$/s, ""));
  return [
    wrap(
      `watch ${count} in a part past its rating or dc at the jack before the mains fuse opens, or could not be solved: ${named.join("; ")} (solved with the fault in it; platewright supply lists all)`,
      WIDTH,
      "        ",
    ),
  ];
}

/** One line per source: what it leaves open, and which number is nearest to its limit. */
function unverified(findings: readonly Finding[]): readonly string[] {
  const bySource = new Map<string, Finding[]>();
  for (const one of findings) bySource.set(one.source, [...(bySource.get(one.source) ?? []), one]);
  return [...bySource].map(([source, group]) => {
    const share = (one: Finding) => {
      const ratio = (one.value ?? 0) / (one.limit ?? Infinity);
      return one.sense === "above" && ratio > 0 ? 1 / ratio : ratio;
    };
    const nearest = [...group].sort((a, b) => share(b) - share(a))[0];
    const count = group.length === 1 ? "one number is" : `${group.length} numbers are`;
    return wrap(
      `watch ${count} inside limits known only from: ${source}. Check them on the sheet of your own tubes; nearest: ${nearest?.title.replace(/: limit unverified$/, "") ?? ""}`,
      WIDTH,
      "        ",
    );
  });
}

/** How long a hand must wait after switching off: it stands in every answer about a design with a supply. */
export function dischargeLine(findings: readonly Finding[]): readonly string[] {
  const found = findings.find((one) => one.rule === "discharge");
  if (found === undefined) return [];
  const time = found.value === null ? "more than ten minutes" : `${found.value.toFixed(0)} s`;
  return [
    wrap(
      `Discharge: ${found.where} stays above 60 V for ${time} after switching off (${found.condition}); the meter decides, not the clock.`,
      WIDTH,
    ),
  ];
}

/** The same for --json: null when it was not reached or not solved. */
export const dischargeJson = (findings: readonly Finding[]) => ({
  seconds: findings.find((one) => one.rule === "discharge")?.value ?? null,
});

/** Stable fields of a finding for --json. */
export const findingJson = (finding: Finding) => ({
  id: finding.id,
  level: finding.level,
  title: finding.title,
  value: finding.value,
  limit: finding.limit,
  unit: finding.unit,
  condition: finding.condition,
  source: finding.source,
  where: finding.where,
  ...(finding.ratingSystem === undefined ? {} : { ratingSystem: finding.ratingSystem }),
  ...(finding.channel === undefined ? {} : { channel: finding.channel }),
  fixes: finding.fixes,
});
