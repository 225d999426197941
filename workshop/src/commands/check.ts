/** `platewright check`: solve a design in every condition and list what was found. */
import { CAUTION_SHORT, type Finding, judgeDesign, type SolvedDesign, solveDesign } from "@platewright/design";
import { type Catalogue, printValue } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { Io } from "../io.ts";
import { badInput, type ExitStatus, type Outcome } from "../outcome.ts";
import { bandWords, LEVEL_COLUMNS, levelRow, printReadings } from "../print/channel.ts";
import { dischargeJson, dischargeLine, findingJson, printFindings } from "../print/findings.ts";
import { table, wrap } from "../print/table.ts";
import { openDesign } from "./files.ts";

export const exitOf = (findings: readonly Finding[]): ExitStatus =>
  findings.some((one) => one.level === "stop") ? 1 : 0;

export function checkCommand(io: Io, path: string, flags: { readonly every: boolean }, catalogue: Catalogue): Outcome {
  const { now } = openDesign(io, path);
  const solved = solveDesign(now, catalogue);
  if (!solved.ok) return badInput(`${path}: ${solved.failure.sentence}`);
  const findings = judgeDesign(now, catalogue, solved.value, { footprints });
  if (!findings.ok) return badInput(`${path}: ${findings.failure}`);
  const text = [
    `${now.name}${now.invented === true ? " (an invented design)" : ""}, solved at ${supplyWords(solved.value)}`,
    "",
    printReadings(solved.value),
    "",
    ...solved.value.channels
      .filter((channel) => channel.sameAs === undefined)
      .flatMap((channel) => [
        table(LEVEL_COLUMNS, channel.levels.map(levelRow)),
        bandWords(solved.value, channel.instance),
        "",
      ]),
    printFindings(findings.value, flags.every),
    "",
    ...dischargeLine(findings.value),
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
  return {
    exit: exitOf(findings.value),
    json: {
      ...solvedJson(solved.value),
      discharge: dischargeJson(findings.value),
      findings: findings.value.map(findingJson),
    },
    text,
  };
}

export function supplyWords(solved: SolvedDesign): string {
  const { supply } = solved;
  if (supply === undefined) return "the volts given";
  return `nominal mains: B+ ${printValue(supply.rectifier.dcVolts, "V", 4)} at ${printValue(supply.loadAmps, "A")}, ripple ${printValue(supply.rectifier.ripplePeakToPeakVolts, "V", 2)} peak to peak`;
}

export function solvedJson(solved: SolvedDesign) {
  return {
    name: solved.document.name,
    condition: solved.condition.words,
    ...(solved.supply === undefined
      ? {}
      : {
          supply: {
            dcVolts: solved.supply.rectifier.dcVolts,
            loadAmps: solved.supply.loadAmps,
            ripplePeakToPeakVolts: solved.supply.rectifier.ripplePeakToPeakVolts,
          },
        }),
    netVolts: Object.fromEntries(solved.bias.netVolts),
    triodes: Object.fromEntries(
      [...solved.bias.triodes].map(([id, t]) => [
        id,
        {
          plateAmps: t.plateAmps,
          plateVolts: t.plateVolts,
          gridVolts: t.gridVolts,
          plateWatts: t.plateWatts,
          siemens: t.siemens,
          mu: t.mu,
        },
      ]),
    ),
    heaters: solved.heaters.map((one) => ({
      winding: one.winding,
      amps: one.amps,
      volts: one.volts,
      referenceVolts: one.referenceVolts,
    })),
    channels: solved.channels.map((channel) => ({
      instance: channel.instance,
      ...(channel.sameAs === undefined ? {} : { sameAs: channel.sameAs }),
      gain: channel.gain,
      inverts: channel.inverts,
      outputOhms: channel.outputOhms,
      minusOneDecibelLow: channel.minusOneDecibelLow,
      minusOneDecibelHigh: channel.minusOneDecibelHigh,
      onset: channel.onset.map((one) => ({
        triode: one.triode,
        inputVolts: one.inputVolts,
        searchedTo: one.searchedTo,
      })),
      levels: channel.levels.map((level) => ({
        inputVolts: level.inputVolts,
        outputVolts: level.outputVolts,
        ratios: level.ratios.slice(0, 8),
        signs: level.signs.slice(0, 8),
        outcome: level.answer.outcome,
        tailDecibels: level.answer.tailDecibels,
      })),
    })),
    effort: solved.effort,
  };
}
