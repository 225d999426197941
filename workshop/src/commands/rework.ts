/** `platewright rework`: the main job. */
import {
  CAUTION_SHORT,
  type Candidate,
  type Change,
  type DesignFile,
  type Document,
  type Goal,
  itemWords,
  judgeDesign,
  movesWords,
  type NewerData,
  type ReworkAnswer,
  rework,
  reworkItems,
} from "@platewright/design";
import { type Catalogue, digits } from "@platewright/engine";
import { footprints } from "@platewright/library";
import { knownTube } from "../flags.ts";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { printDifferences } from "../print/differences.ts";
import { dischargeJson, dischargeLine, findingJson, printFindings } from "../print/findings.ts";
import { wrap } from "../print/table.ts";
import { exitOf, solvedJson } from "./check.ts";
import { openDesign, openShelf, provenOf } from "./files.ts";
import { isInShop, keepRework } from "./shop.ts";
import { readH2 } from "./voice.ts";

export interface ReworkFlags {
  readonly shelf?: string;
  readonly put: readonly string[];
  readonly keep?: string;
  readonly h2?: string;
  readonly all: boolean;
  readonly every: boolean;
  readonly output?: string;
}

/** Progress is shown when the board takes longer than this. */
const SLOW_MILLISECONDS = 1500;

export function reworkCommand(io: Io, path: string, flags: ReworkFlags, catalogue: Catalogue): Outcome {
  const file = openDesign(io, path);
  const shelf = flags.shelf === undefined ? undefined : openShelf(io, flags.shelf);
  for (const entry of shelf?.tubes ?? []) knownTube(catalogue, `${flags.shelf ?? "shelf"}: tubes`, entry.type);
  const { document: proven, catalogue: provenCatalogue, newer, revision } = provenOf(file, catalogue);
  const put = new Map<string, string>();
  for (const one of flags.put) {
    const [envelope, type] = one.split("=");
    if (envelope === undefined || type === undefined || type === "")
      return badInput(`--put: '${one.slice(0, 40)}' is not a bottle and a type; write it like V1=12BH7A.`);
    knownTube(catalogue, `--put ${envelope}`, type);
    put.set(envelope, type);
  }
  const goal = goalOf(flags);
  const started = io.now();
  const types = flags.all
    ? catalogue.types.filter((type) => {
        const record = catalogue.tube(type);
        return record?.kind === "rectifier" || (record?.kind === "triode" && record.sections === 2);
      })
    : undefined;
  const answer = rework({
    proven,
    catalogue,
    provenCatalogue,
    goal,
    // The board tries types by the circuit alone; what is chosen is judged with its chassis.
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how ?? { footprints }),
    put,
    ...(shelf === undefined ? {} : { shelf }),
    ...(types === undefined ? {} : { types }),
    onCandidate: (type, done, total) => {
      if (io.errorIsTerminal && io.now() - started > SLOW_MILLISECONDS)
        io.error(`\rtrying ${type} (${done + 1} of ${total})   `);
    },
  });
  if (io.errorIsTerminal && io.now() - started > SLOW_MILLISECONDS) io.error("\r\u001b[K");
  if (!answer.ok) return badInput(`${path}: ${answer.failure.sentence}`);
  const done = answer.value;
  const kept = flags.output === undefined ? undefined : keep(io, path, flags.output, file, proven, done);
  const json = {
    ...(revision === undefined ? {} : { proven: revision }),
    newer,
    goal: done.goal,
    held: done.held,
    distanceDecibels: Number.isFinite(done.distanceDecibels) ? done.distanceDecibels : null,
    fitted: done.fitted,
    changes: done.changes,
    moves: done.moves,
    differences: done.differences.map(({ id, proven: was, now, unit, label, channel, band }) => ({
      id,
      proven: was,
      now,
      unit,
      label,
      ...(channel === undefined ? {} : { channel }),
      ...(band === undefined ? {} : { band }),
    })),
    discharge: dischargeJson(done.findings),
    findings: done.findings.map(findingJson),
    candidates: done.candidates.map((one) => ({
      tube: one.tube,
      level: one.level,
      reason: one.reason,
      changes: one.changes,
      where: one.where,
      onShelf: one.onShelf,
      voicingErrorDecibels: one.voicingErrorDecibels,
      figures: one.figures,
    })),
    now: solvedJson(done.now),
    document: done.document,
  };
  return {
    exit: exitOf(done.findings),
    json,
    text: report(
      `${proven.name}${revision === undefined ? "" : `, from proven revision ${revision}`}`,
      proven.invented === true,
      done,
      flags,
      newer,
      kept,
    ),
  };
}

function goalOf(flags: ReworkFlags): Goal {
  if (flags.h2 !== undefined && flags.keep !== undefined) return badInput("Give one goal: --keep or --h2.");
  if (flags.h2 !== undefined) return { kind: "move-voicing", ...readH2(flags.h2) };
  switch (flags.keep ?? "voicing") {
    case "voicing":
      return { kind: "keep-voicing" };
    case "current":
      return { kind: "keep-current" };
    default:
      return badInput(`--keep: '${(flags.keep ?? "").slice(0, 20)}' is not known; voicing or current.`);
  }
}

/** Keeps the revised design where the builder says, and answers in words where. */
function keep(io: Io, base: string, target: string, file: DesignFile, proven: Document, done: ReworkAnswer): string {
  if (isInShop(target)) return keepRework(io, target, proven, done);
  if (target === base)
    badInput(`--out: ${target} is the base itself; name another file, the proven design stays as it is.`);
  io.write(target, `${JSON.stringify({ ...file, now: done.document }, undefined, 1)}\n`);
  return `the revised design is in ${target}`;
}

function report(
  name: string,
  invented: boolean,
  done: ReworkAnswer,
  flags: ReworkFlags,
  newer: readonly NewerData[],
  kept: string | undefined,
): string {
  const fitted = done.fitted
    .map((one) => `${one.type} in ${one.envelopes.join(" and ")}${one.proposed ? " (proposed)" : ""}`)
    .join(", ");
  return [
    `${name}${invented ? " (an invented design)" : ""}: ${fitted === "" ? "nothing put in" : fitted}`,
    goalWords(done),
    ...(newer.length === 0
      ? []
      : [
          `The library has changed since that revision was cut (${newer.map((one) => `${one.type} ${one.what} ${one.name}`).join(", ")}); the proven unit is shown as it was.`,
        ]),
    "",
    "What to do",
    ...actions(done),
    ...(kept === undefined ? [] : [wrap(`  ${kept}`, 98, "  ")]),
    "",
    printDifferences(done.differences),
    "",
    printFindings(done.findings, flags.every),
    "",
    "Candidates",
    board(done.candidates),
    "",
    ...dischargeLine(done.findings),
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
}

function goalWords({ goal, held, distanceDecibels, differences }: ReworkAnswer): string {
  const away = Number.isFinite(distanceDecibels) ? `${distanceDecibels.toFixed(1)} dB` : "not computed";
  const band = differences.find((one) => one.unit === "dBc" && one.band !== undefined)?.band;
  switch (goal.kind) {
    case "keep-voicing":
      return `Goal: keep the voicing. ${held ? "Held" : "Not held"}: H2 within ${away} of the proven unit by the model${band === undefined ? "" : `, which knows this tube to ±${band.toFixed(1)} dB`}.`;
    case "move-voicing":
      return `Goal: H2 of ${digits(100 * goal.ratio, 2)} % at ${digits(goal.inputVolts, 3)} V in. ${held ? "Held" : "Not held"}: ${away} away by the model${band === undefined ? "" : `, which knows this tube to ±${band.toFixed(1)} dB`}.`;
    case "keep-current":
      return `Goal: keep the plate currents. ${held ? "Held" : "Not held"}: within ${away}.`;
  }
}

/** Changes in the words of the bench: tubes, wires, sockets, values. */
function actions(done: ReworkAnswer): readonly string[] {
  const lines: string[] = [];
  const byType = new Map<string, string[]>();
  for (const { target, before, after } of done.changes) {
    const envelope = /^envelopes\[(.+)\]\.type$/.exec(target)?.[1];
    if (envelope !== undefined) {
      const words = `${written(before)} → ${written(after)}`;
      byType.set(words, [...(byType.get(words) ?? []), envelope]);
    }
  }
  for (const [words, envelopes] of byType) lines.push(`  ${envelopes.join(", ")}: ${words}`);
  for (const { envelope, socket, before } of done.newSockets)
    lines.push(
      `  ${envelope}: a ${socket} socket instead of the ${before} one${onChassis(done.document, envelope) ? "; its hole on the chassis is judged below" : ""}`,
    );
  for (const { envelope, moves } of done.moves)
    if (moves.length > 0) lines.push(wrap(`  ${envelope} socket: ${movesWords(moves)}`, 98, "      "));
  const parts = [...done.changes.flatMap((change) => partWords(change) ?? []), ...ofOneChannel(done)];
  lines.push(...(parts.length === 0 ? ["no part changes its value"] : parts).map((words) => `  ${words}`));
  return lines;
}

const onChassis = (document: Document, envelope: string): boolean =>
  document.chassis?.items.some(({ what }) => "envelope" in what && what.envelope === envelope) === true;

function partWords({ target, before, after }: Change): string | undefined {
  if (target === "supply.rectifier.seriesOhms") return `add ${written(after)} in each plate lead of the rectifier`;
  const match = /^blocks\.(.+)\.parts\[(.+)\]\.(value|watts)$/.exec(target);
  if (match === null) return undefined;
  const [, block, part, field] = match;
  return field === "watts"
    ? `${part ?? ""} in every ${block ?? ""}: rating ${written(before)} W → ${written(after)} W`
    : `${part ?? ""} in every ${block ?? ""}: ${written(before)} → ${written(after)}`;
}

/** "L.R4 680 Ω → 820 Ω": parts that one channel has otherwise. */
const ofOneChannel = ({ proven, document, changes }: ReworkAnswer): readonly string[] => {
  const own = (instance: string) => changes.some(({ target }) => target.startsWith(`instances[${instance}].overrides`));
  return reworkItems(proven.document, document)
    .filter((item) => item.part?.instances.some(own) === true)
    .map(itemWords);
};

function board(candidates: readonly Candidate[]): string {
  return candidates
    .map((one) => {
      const head = `${one.level === "stop" ? "STOP " : one.level.padEnd(5)} ${one.tube.padEnd(7)} ${one.where.padEnd(7)} ${String(one.onShelf).padStart(2)} on hand  `;
      return wrap(`${head}${one.reason}`, 98, "        ");
    })
    .join("\n");
}

const written = (value: unknown): string =>
  typeof value === "string" || typeof value === "number" ? String(value) : "none";
