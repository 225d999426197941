/** Documents of the tests of this folder: the demo with another power block. Not exported from the folder. */
import type { Catalogue } from "@platewright/engine";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import { CONDITION_IDS } from "../solved/conditions.ts";
import { solveDesign } from "../solved/solve.ts";
import type { JudgedCondition, SolvedDesign } from "../solved/types.ts";
import type { regulatorFindings } from "./regulators.ts";

export type Json = Record<string, unknown>;
export interface Power {
  readonly parts: Json[];
}

export interface Now {
  readonly supply: { readonly rectifier: Json };
  readonly instances: readonly Json[];
}

export type Edit = (power: Power, now: Now) => void;

export const part = (power: Power, id: string): Json => power.parts.find((one) => one.id === id) ?? {};

export const volts = (solved: SolvedDesign, net: string): number => solved.bias.netVolts.get(net) ?? Number.NaN;

/** Two gas tubes hold B2. */
export const gas =
  (filter: string) =>
  (power: Power): void => {
    part(power, "R1").value = filter;
    power.parts.push(
      {
        kind: "regulator",
        id: "VR1",
        technology: "gas-tube",
        type: "0A2",
        value: "149",
        ohms: "80",
        pins: { anode: "b2", cathode: "m" },
      },
      {
        kind: "regulator",
        id: "VR2",
        technology: "gas-tube",
        type: "0B2",
        value: "107",
        ohms: "60",
        pins: { anode: "m", cathode: "0" },
      },
    );
  };

export const GAS_150 = {
  kind: "regulator",
  id: "VR1",
  technology: "gas-tube",
  value: "149",
  ohms: "80",
  strikingVolts: 185,
  pins: { anode: "b2", cathode: "0" },
};

/** A follower behind a Zener feeds B2; its drain is filtered. */
export const zener =
  (reference: string) =>
  (power: Power): void => {
    part(power, "R1").pins = { a: "b1", b: "d" };
    power.parts.push(
      { kind: "capacitor", id: "C9", value: "47u", volts: 450, pins: { a: "d", b: "0" } },
      { kind: "resistor", id: "R9", value: "220k", pins: { a: "b1", b: "reference" } },
      {
        kind: "regulator",
        id: "D1",
        technology: "zener",
        type: "string",
        value: reference,
        ohms: "1.5k",
        watts: 1,
        pins: { cathode: "reference", anode: "0" },
      },
      { kind: "capacitor", id: "C8", value: "1u", volts: 400, pins: { a: "reference", b: "0" } },
      { kind: "resistor", id: "R8", value: "1k", pins: { a: "reference", b: "gate" } },
      {
        kind: "follower",
        id: "Q1",
        type: "small",
        thresholdVolts: 3.5,
        siemens: 1.5,
        atAmps: 1.5,
        watts: 10,
        volts: 500,
        pins: { gate: "gate", drain: "d", source: "b2" },
      },
    );
  };

/** The demo, from its file, with another power block: read, solved in every condition, judged. */
export function testDocuments(text: string, catalogue: Catalogue) {
  function edited(edit: Edit) {
    const file = JSON.parse(text);
    file.revisions = [];
    delete file.proven;
    edit(file.now.blocks.power, file.now);
    return readDesign(JSON.stringify(file));
  }
  function made(edit: Edit): Document {
    const read = edited(edit);
    if (!read.ok) throw new Error(read.failure.sentence);
    return read.value.now;
  }
  const complaint = (edit: Edit): string => {
    const read = edited(edit);
    return read.ok ? "" : read.failure.sentence;
  };
  const solvedAll = (document: Document) => {
    const solved = (condition: JudgedCondition, near?: SolvedDesign): SolvedDesign => {
      const answer = solveDesign(document, catalogue, {
        condition,
        detail: "bias",
        ...(near === undefined ? {} : { near }),
      });
      if (!answer.ok) throw new Error(answer.failure.sentence);
      return answer.value;
    };
    const nominal = solved("nominal");
    const all = CONDITION_IDS.map((id) => (id === "nominal" ? nominal : solved(id, nominal)));
    return { nominal, all, at: (id: JudgedCondition): SolvedDesign => all[CONDITION_IDS.indexOf(id)] ?? nominal };
  };
  const judgedAs = (document: Document, rules: typeof regulatorFindings): ReadonlyMap<string, Finding> => {
    const { nominal, all } = solvedAll(document);
    return new Map(rules({ document, catalogue, nominal, conditions: all }).map((one) => [one.id, one]));
  };

  return { edited, made, complaint, solvedAll, judgedAs };
}
