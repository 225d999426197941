/** `platewright chassis`: holes with their tools, ways for holes in the way, findings; and an outline brought in from a DXF. */
import {
  applyChanges,
  CAUTION_SHORT,
  chassisFindings,
  type ChassisJudged,
  type DesignFile,
  type DxfPlate,
  type DxfUnits,
  dxfChanges,
  importDxf,
  judgedChassis,
  orderOfWork,
  plateWords,
  readDesign,
  salvageOptions,
  solveDesign,
} from "@platewright/design";
import type { Catalogue } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { printHoles, printOrder, printWays, toolOf, type Ways } from "../print/chassis.ts";
import { findingJson, printFindings } from "../print/findings.ts";
import { wrap } from "../print/table.ts";
import { exitOf } from "./check.ts";
import { openDesign } from "./files.ts";
import { isInShop } from "./shop.ts";

export interface ChassisFlags {
  readonly every: boolean;
  readonly import?: string;
  readonly out?: string;
  readonly units?: string;
  readonly holes?: string;
}

export function chassisCommand(io: Io, path: string, flags: ChassisFlags, catalogue: Catalogue): Outcome {
  const file = openDesign(io, path);
  const brought = flags.import === undefined ? noImport(flags) : bringIn(io, path, file, flags.import, flags);
  const document = brought?.document ?? file.now;
  const solved = solveDesign(document, catalogue, { detail: "brief" });
  const ask = { document, catalogue, footprints, ...(solved.ok ? { solved: solved.value } : {}) };
  const judged = judgedChassis(ask);
  if (judged === undefined)
    return badInput(`${path}: the design has no chassis; lay one out on the bench, or bring one in with --import.`);
  const findings = chassisFindings(ask);
  const ways = waysOf(judged, flags.every);
  const spare = judged.holes.holes.filter((one) => one.work === "spare").length;
  const order = printOrder(judged);
  const text = [
    `${document.name}${document.invented === true ? " (an invented design)" : ""}: ${plateWords(judged.chassis)}; mm from the front left corner seen from above`,
    "",
    ...(brought === undefined ? [] : [importWords(flags, brought.read), ""]),
    printHoles(judged),
    ...(ways.length === 0 ? [] : ["", printWays(ways)]),
    ...(spare === 0 || flags.every ? [] : ["", `${spare} holes serve nothing; --every says what can be done.`]),
    ...(order === "" ? [] : ["", "Order of work", order]),
    "",
    printFindings(findings, flags.every),
    "",
    ...(solved.ok ? [] : [wrap(`Heat is not judged: ${solved.failure.sentence}`, 98), ""]),
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
  return {
    exit: exitOf(findings),
    json: {
      name: document.name,
      plate: judged.chassis.plate,
      holes: judged.holes.holes.map((hole) => holeJson(judged, hole)),
      refused: judged.holes.refused.map(({ choice, why }) => ({ hole: choice.hole, by: choice.by, why })),
      ways: ways.flatMap(({ options }) =>
        options.map(({ carrier: _, opened: __, fix, ...one }) => ({ ...one, ...(fix === undefined ? {} : { fix }) })),
      ),
      order: orderOfWork(judged.chassis, judged.holes),
      imported: brought === undefined ? null : importJson(brought.read),
      findings: findings.map(findingJson),
    },
    text,
  };
}

/** For every hole that is in the way; with `every` also for those that serve nothing. */
function waysOf(judged: ChassisJudged, every: boolean): readonly Ways[] {
  const ask = { chassis: judged.chassis, library: judged.footprints, found: judged.holes };
  const seen = new Set<string>();
  return judged.holes.holes.flatMap(({ work, existing, item }): readonly Ways[] => {
    if (existing === undefined || seen.has(existing)) return [];
    if (work !== "unresolved" && !(every && work === "spare")) return [];
    seen.add(existing);
    const options = salvageOptions(ask, existing, work === "spare" ? undefined : item);
    return options.ok ? [{ hole: existing, ...(item === undefined ? {} : { item }), options: options.value }] : [];
  });
}

function holeJson(judged: ChassisJudged, hole: ChassisJudged["holes"]["holes"][number]) {
  const tool = toolOf(judged, hole);
  return {
    id: hole.id,
    label: hole.label,
    item: hole.item ?? null,
    purpose: hole.purpose,
    xMillimetres: hole.x,
    yMillimetres: hole.y,
    shape: hole.shape,
    underMillimetres: hole.underMillimetres,
    overMillimetres: hole.overMillimetres,
    in: hole.in,
    work: hole.work,
    existing: hole.existing ?? null,
    thread: hole.thread ?? null,
    tool:
      tool === undefined
        ? null
        : {
            id: tool.tool?.id ?? null,
            cutMillimetres: tool.cutMillimetres ?? null,
            pilotsMillimetres: tool.pilotsMillimetres,
            words: tool.words,
            traps: tool.traps,
          },
  };
}

interface Brought {
  readonly document: DesignFile["now"];
  readonly read: DxfPlate;
}

function noImport({ out, units, holes }: ChassisFlags): undefined {
  const [extra] = Object.entries({ out, units, holes }).filter(([, value]) => value !== undefined);
  if (extra !== undefined) badInput(`--${extra[0]} goes with --import FILE.dxf; alone it does nothing.`);
  return undefined;
}

const UNITS: readonly DxfUnits[] = ["mm", "cm", "inch", "m"];

/** The design with the outline and the holes of a DXF, written to a new file. */
function bringIn(io: Io, path: string, file: DesignFile, dxf: string, flags: ChassisFlags): Brought {
  const { out } = flags;
  if (out === undefined) return badInput("--import needs --out FILE: the design with the new plate is written there.");
  if (isInShop(out)) return badInput(`--out ${out}: name a file; the bench itself brings a DXF into the shop.`);
  if (out === path) return badInput(`--out: ${out} is the design itself; name another file, it stays as it is.`);
  const units = UNITS.find((one) => one === flags.units);
  if (flags.units !== undefined && units === undefined)
    return badInput(`--units: '${flags.units.slice(0, 20)}' is not known; mm, cm, inch or m.`);
  const state = flags.holes ?? "there";
  if (state !== "there" && state !== "planned")
    return badInput(`--holes: '${state.slice(0, 20)}' is not known; there (cut already) or planned.`);
  const read = importDxf(io.read(dxf), { state: state === "there" ? "cut" : "planned", units });
  if (!read.ok)
    return badInput(`${dxf} ${read.failure.sentence}${read.failure.kind === "units" ? " Give it with --units." : ""}`);
  const changed = applyChanges(file.now, dxfChanges(file.now.chassis, read.value));
  if (!changed.ok) return badInput(`${path}: the plate of ${dxf} does not go in.`);
  const text = `${JSON.stringify({ ...file, now: changed.value }, undefined, 1)}\n`;
  // What is written must be read again.
  const again = readDesign(text);
  if (!again.ok) return badInput(`${dxf}: ${again.failure.sentence}`);
  io.write(out, text);
  return { document: again.value.now, read: read.value };
}

const importWords = ({ import: dxf = "", out = "" }: ChassisFlags, read: DxfPlate): string =>
  [
    `From ${dxf}: ${read.widthMillimetres} × ${read.depthMillimetres} mm, ${read.holes.length} holes; written to ${out}.`,
    ...read.notes.map((note) => wrap(`  ${note}`, 98, "    ")),
    ...read.refused.map((one) => wrap(`  not read: ${one}`, 98, "    ")),
  ].join("\n");

const importJson = ({ widthMillimetres, depthMillimetres, holes, units, notes, refused }: DxfPlate) => ({
  widthMillimetres,
  depthMillimetres,
  holes: holes.length,
  units,
  notes,
  refused,
});
