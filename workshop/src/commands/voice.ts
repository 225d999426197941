/** `platewright voice`: harmonics against level and drive. */
import { CAUTION_SHORT, type Document, setPart, type SolvedDesign, solveDesign } from "@platewright/design";
import { type Catalogue, clockPosition, parseValue } from "@platewright/engine";
import { flagList } from "../flags.ts";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { bandWords, LEVEL_COLUMNS, levelRow } from "../print/channel.ts";
import { table, wrap } from "../print/table.ts";
import { openDesign } from "./files.ts";

export interface VoiceFlags {
  readonly levels?: string;
  /** Turns of the drive control, 0 to 1. */
  readonly drive?: string;
}

export function voiceCommand(io: Io, path: string, flags: VoiceFlags, catalogue: Catalogue): Outcome {
  const { now } = openDesign(io, path);
  const levels = flags.levels === undefined ? now.targets.voicingVolts : flagList("levels", "voltage", flags.levels);
  const drive = drivePot(now);
  if (flags.drive !== undefined && drive === undefined)
    return badInput(`${path}: no drive control was found at the input jack.`);
  const turns = flags.drive === undefined ? [undefined] : flags.drive.split(",").map((one) => turnOf(one));
  const solved = turns.map((turn) => {
    const document =
      turn === undefined || drive === undefined ? now : setPart(now, drive.instances, drive.part, { position: turn });
    const answer = solveDesign(document, catalogue, { levels, detail: "levels" });
    if (!answer.ok) return badInput(`${path}: ${answer.failure.sentence}`);
    return { turn: turn ?? drive?.position ?? null, solved: answer.value };
  });
  const first = solved[0]?.solved as SolvedDesign;
  const channels = first.channels.filter((channel) => channel.sameAs === undefined).map((channel) => channel.instance);
  const text = [
    `${now.name}: harmonics at the output jack against level${flags.drive === undefined ? "" : " and drive"}; signs relative to the fundamental`,
    ...channels.flatMap((instance) => [
      "",
      ...solved.flatMap(({ turn, solved: at }) => [
        `channel ${instance}${turn === null ? "" : `, drive at ${clockPosition(turn)}`}`,
        table(LEVEL_COLUMNS, (at.channels.find((one) => one.instance === instance)?.levels ?? []).map(levelRow)),
        "",
      ]),
      bandWords(first, instance),
    ]),
    "",
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
  const json = {
    name: now.name,
    voices: solved.flatMap(({ turn, solved: at }) =>
      at.channels.map((channel) => ({
        instance: channel.instance,
        drive: turn,
        gain: channel.gain,
        levels: channel.levels.map((level) => ({
          inputVolts: level.inputVolts,
          outputVolts: level.outputVolts,
          ratios: level.ratios.slice(0, 8),
          signs: level.signs.slice(0, 8),
          outcome: level.answer.outcome,
          tailDecibels: level.answer.tailDecibels,
        })),
      })),
    ),
  };
  return { exit: 0, json, text };
}

function turnOf(written: string): number {
  const turn = Number(written);
  return turn >= 0 && turn <= 1 && written.trim() !== ""
    ? turn
    : badInput(`--drive: '${written.slice(0, 20)}' is not a turn from 0 (down) to 1 (up).`);
}

/** The potentiometer whose track stands across the input jack. */
function drivePot(
  document: Document,
): { readonly part: string; readonly instances: readonly string[]; readonly position: number } | undefined {
  for (const [name, block] of Object.entries(document.blocks)) {
    const jack = block.parts.find((part) => part.kind === "jack" && part.role === "input");
    const pot = block.parts.find(
      (part) => part.kind === "potentiometer" && jack?.kind === "jack" && part.pins.top === jack.pins.tip,
    );
    if (pot?.kind !== "potentiometer") continue;
    const instances = document.instances.filter((one) => one.block === name).map((one) => one.id);
    return { part: pot.id, instances, position: pot.position };
  }
  return undefined;
}

/** "1%@1V" → 0.01 at 1 V. */
export function readH2(written: string): { readonly ratio: number; readonly inputVolts: number } {
  const match = /^([\d.,]+)\s*%\s*@\s*(.+)$/.exec(written.trim());
  const ratio = Number(match?.[1]?.replace(",", ".")) / 100;
  const level = parseValue("voltage", match?.[2] ?? "");
  if (!(ratio > 0 && ratio < 0.5) || !level.ok)
    return badInput(`--h2: '${written.slice(0, 24)}' is not a target; write it like 1%@1V, at most 50 %.`);
  return { ratio, inputVolts: level.value };
}
