import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { solveDesign } from "../solved/solve.ts";
import { solveHum } from "../supply/hum.ts";
import { solveStartUp } from "../supply/start-up.ts";
import { gas, GAS_150, part, volts, zener, type Json, type Power, type Edit, testDocuments } from "./test-documents.ts";

const catalogue = openCatalogue();
const { edited, made } = testDocuments(readFileSync("examples/hearth/hearth.design.json", "utf8"), catalogue);

describe("the rest of a design takes them as any other part", () => {
  // Ripple of B2 over that of B1. Gas tubes: 140 ohms beside 47 uF, behind 390 ohms, at 100 Hz (nearly all of it).
  const w = 2 * Math.PI * 100 * 47e-6;
  const behind = (siemens: number, feed: number) => 1 / Math.hypot(1 + feed * siemens, feed * w);
  const reference = 1 / Math.hypot(1 / 1500, 2 * Math.PI * 100 * 1e-6) / 220e3;
  test.each<[string, Edit, number, number]>([
    ["gas tubes", gas("390"), 0.93 * behind(1 / 140, 390), 1.02 * behind(1 / 140, 390)],
    // Through its reference: 1.5k (a tenth more at this little current) beside 1 uF, behind 220k.
    ["a follower behind a Zener", zener("200"), 0.95 * reference, 1.1 * reference],
  ])(
    "%s: harmonics settle, hum gets through as it should, start-up ends where the bias stands",
    (_, edit, least, most) => {
      const document = made(edit);
      const { supply } = document;
      const full = solveDesign(document, catalogue, { detail: "levels" });
      if (!full.ok || supply === undefined) throw new Error("not solved");
      for (const { levels } of full.value.channels)
        for (const level of levels) expect(level.answer.outcome).toBe("settled");
      const hum = solveHum(document, supply, catalogue, full.value);
      if (!hum.ok) throw new Error(hum.failure);
      const ripple = (net: string) => hum.value.ripple.find((one) => one.net === net)?.voltsRms ?? Number.NaN;
      expect(ripple("B2") / ripple("B1")).toBeGreaterThan(least);
      expect(ripple("B2") / ripple("B1")).toBeLessThan(most);
      const start = solveStartUp(document, supply, catalogue, full.value, 1);
      if (!start.ok) throw new Error(start.failure);
      const last = start.value.netVolts.get("B2")?.at(-1) ?? Number.NaN;
      expect(last / volts(full.value, "B2")).toBeCloseTo(1, 2);
    },
  );
});

test("odd values in every field: one sentence, or a solve without a number that is none", () => {
  const odd = ["-1", "0", "1", "1e9", 0, 1e-12, 19];
  let refused = 0;
  let solved = 0;
  const both = (power: Power) => {
    zener("200")(power);
    power.parts.push({ ...GAS_150, ampsFrom: 0.002, ampsTo: 0.06, pins: { anode: "lamp", cathode: "0" } });
    power.parts.push({ kind: "resistor", id: "R66", value: "15k", pins: { a: "b1", b: "lamp" } });
  };
  for (const [id, fields] of [
    ["D1", ["value", "ohms", "watts", "technology"]],
    ["VR1", ["value", "ohms", "ampsFrom", "ampsTo", "strikingVolts"]],
    ["Q1", ["thresholdVolts", "siemens", "atAmps", "watts", "volts"]],
    ["choke", ["value", "seriesOhms", "amps"]],
  ] as const)
    for (const field of fields)
      for (const value of odd) {
        const read = edited((power, now) => {
          both(power);
          const choke: Json = { value: "10", seriesOhms: "200" };
          if (id === "choke") Object.assign(now.supply.rectifier, { choke: { ...choke, [field]: value } });
          else part(power, id)[field] = value;
        });
        if (!read.ok) {
          refused++;
          expect(read.failure.sentence).not.toContain("\n");
          continue;
        }
        const answer = solveDesign(read.value.now, catalogue, { detail: "bias" });
        if (answer.ok) for (const at of answer.value.bias.netVolts.values()) expect(Number.isFinite(at)).toBe(true);
        else expect(answer.failure.sentence).toMatch(/\.$/);
        if (answer.ok) solved++;
      }
  expect(refused).toBeGreaterThan(40);
  expect(solved).toBeGreaterThan(15);
});
