import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { chokeFindings } from "./choke.ts";
import { volts, testDocuments } from "./test-documents.ts";

const catalogue = openCatalogue();
const { judgedAs, made, solvedAll } = testDocuments(
  readFileSync("examples/hearth/hearth.design.json", "utf8"),
  catalogue,
);

describe("choke input", () => {
  const choked = (henries: string, bleeder?: string) =>
    made((power, now) => {
      Object.assign(now.supply.rectifier, {
        choke: { value: henries, seriesOhms: "200", amps: 0.05 },
      });
      if (bleeder !== undefined)
        power.parts.push({ kind: "resistor", id: "R99", value: bleeder, watts: 20, pins: { a: "b1", b: "0" } });
    });
  test("enough choke and load: 0.9 of the winding less the drops, in every condition; all ok", () => {
    const document = choked("30", "10k");
    const { nominal } = solvedAll(document);
    const supply = nominal.supply;
    if (supply?.choke === undefined) throw new Error("no choke");
    expect(supply.choke.outcome).toBe("continuous");
    // Mean of the rectified sine less winding and choke resistance and the tube's drop at this current.
    const drop = 250 * ((2 * Math.SQRT2) / Math.PI) - 450 * supply.loadAmps - volts(nominal, "B1");
    expect(drop).toBeGreaterThan(5);
    expect(drop).toBeLessThan(25);
    const found = judgedAs(document, chokeFindings);
    expect(found.get("choke-critical/choke")?.level).toBe("ok");
    expect(found.get("choke-critical-cold/choke")?.level).toBe("ok");
    expect(found.get("choke-amps/choke")).toMatchObject({ limit: 0.05, condition: "running, mains high" });
    expect(found.get("choke-crest/PS.C1")?.value).toBeCloseTo(250 * 1.1 * Math.SQRT2, 6);
  });
  test("too little: a stop while running; cold, with a bleeder alone, the volts go towards the crest", () => {
    const document = choked("3");
    const { at } = solvedAll(document);
    const crest = 250 * Math.SQRT2;
    expect(volts(at("cold"), "B1")).toBeGreaterThan(0.9 * crest);
    expect(volts(at("cold"), "B1")).toBeLessThan(crest);
    const found = judgedAs(document, chokeFindings);
    expect(found.get("choke-critical/choke")?.level).toBe("stop");
    expect(found.get("choke-critical-cold/choke")?.level).toBe("watch");
  });
  test("the sentence's bleeder is enough", () => {
    const thin = judgedAs(choked("12"), chokeFindings).get("choke-critical-cold/choke");
    const ohms = /\(([\d.]+) kΩ/.exec(thin?.title ?? "")?.[1];
    expect(judgedAs(choked("12", `${ohms ?? ""}k`), chokeFindings).get("choke-critical-cold/choke")?.title).toMatch(
      /never falls below/,
    );
  });
});
