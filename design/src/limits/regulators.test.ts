import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import type { JudgedCondition, SolvedDesign } from "../solved/types.ts";
import { chokeFindings } from "./choke.ts";
import { levelRank } from "./judge.ts";
import { partFindings } from "./parts.ts";
import { regulatorFindings } from "./regulators.ts";
import { gas, GAS_150, part, volts, zener, type Edit, testDocuments } from "./test-documents.ts";

const catalogue = openCatalogue();
const { complaint, judgedAs, made, solvedAll } = testDocuments(
  readFileSync("examples/hearth/hearth.design.json", "utf8"),
  catalogue,
);

describe("gas tubes on B2", () => {
  test("each stands at its volts and slope times one current; Kirchhoff with feed and load", () => {
    const { nominal } = solvedAll(made(gas("390")));
    const b2 = volts(nominal, "B2");
    const m = volts(nominal, "PS.m");
    const lower = (m - 107) / 60;
    expect((b2 - m - 149) / 80).toBeCloseTo(lower, 5);
    const tubes = [...nominal.bias.triodes.values()].reduce((sum, one) => sum + one.plateAmps, 0);
    const feed = (volts(nominal, "B1") - b2) / 390;
    expect(feed).toBeCloseTo(tubes + b2 / 122e3 + lower, 4);
  });
  test("it holds B2 against the mains as slope over feed says", () => {
    const { at } = solvedAll(made(gas("390")));
    const free = solvedAll(made(() => undefined));
    const move = (of: (id: JudgedCondition) => SolvedDesign, net: string) =>
      volts(of("mains-high"), net) - volts(of("nominal"), net);
    // 140 ohms of slope against the 390 of feed, in parallel with what the tubes' loads give way: below 140/530.
    const factor = move(at, "B2") / move(at, "B1");
    expect(factor).toBeGreaterThan(0.8 * (140 / 530));
    expect(factor).toBeLessThan(140 / 530);
    expect(move(free.at, "B2") / move(free.at, "B1")).toBeGreaterThan(0.8);
  });
  test("out of range with mains low, and over it with tubes that do not draw: said, with numbers of the library", () => {
    const found = judgedAs(made(gas("390")), regulatorFindings);
    expect(found.get("regulator-least/PS.VR1")).toMatchObject({
      level: "stop",
      limit: 0.005,
      condition: "running, mains low",
    });
    expect(found.get("regulator-striking/PS.VR1")).toMatchObject({ level: "stop", limit: 185 + 133 });
    expect(found.get("regulator-starting/PS.VR1")?.level).toBe("watch");
    expect(found.get("regulator-capacitor/PS.VR1")?.level).toBe("watch");
  });
  test("no limit of the library says ok: no sheet's rating system is known; one that the document writes may", () => {
    for (const one of judgedAs(made(gas("390")), regulatorFindings).values()) expect(one.level).not.toBe("ok");
    const written = judgedAs(
      made((power) => {
        part(power, "R1").value = "3k3";
        power.parts.push({
          kind: "regulator",
          id: "VR1",
          technology: "gas-tube",
          value: "149",
          ohms: "80",
          ampsFrom: 0.001,
          ampsTo: 0.05,
          strikingVolts: 160,
          pins: { anode: "b2", cathode: "0" },
        });
      }),
      regulatorFindings,
    );
    expect(written.get("regulator-most/PS.VR1")).toMatchObject({ level: "ok", source: "rating of the part" });
    expect(written.get("regulator-striking/PS.VR1")).toMatchObject({ limit: 160 });
  });
});

describe("a follower behind a Zener", () => {
  test("B2 stands the threshold and the overdrive below the reference, and moves with the reference alone", () => {
    const { nominal, at } = solvedAll(made(zener("200")));
    const i = nominal.bias.triodes.get("PS.Q1")?.plateAmps ?? Number.NaN;
    expect(volts(nominal, "PS.gate") - volts(nominal, "B2")).toBeCloseTo(3.5 + Math.sqrt(i / 0.375), 1);
    const reference = volts(at("mains-high"), "PS.reference") - volts(nominal, "PS.reference");
    expect(volts(at("mains-high"), "B2") - volts(nominal, "B2")).toBeCloseTo(reference, 1);
    // Zener slope over its feed:
    const b1 = volts(at("mains-high"), "B1") - volts(nominal, "B1");
    // At four tenths of a milliampere the bend still adds a tenth.
    expect(reference / b1 / (1500 / 221500)).toBeGreaterThan(1);
    expect(reference / b1 / (1500 / 221500)).toBeLessThan(1.15);
  });
  test("headroom, heat and volts inside: ok; a gate without its Zener is watched, with one not", () => {
    const found = judgedAs(made(zener("200")), regulatorFindings);
    expect(found.get("follower-drop-out/PS.Q1")?.level).toBe("ok");
    expect(found.get("follower-watts/PS.Q1")?.level).toBe("ok");
    expect(found.get("follower-volts/PS.Q1")?.level).toBe("ok");
    expect(found.get("regulator-watts/PS.D1")?.level).toBe("ok");
    expect(found.get("follower-gate/PS.Q1")?.level).toBe("watch");
    const guarded = judgedAs(
      made((power) => {
        zener("200")(power);
        power.parts.push({
          kind: "regulator",
          id: "D2",
          technology: "zener",
          value: "12",
          ohms: "10",
          pins: { cathode: "gate", anode: "b2" },
        });
      }),
      regulatorFindings,
    );
    expect(guarded.has("follower-gate/PS.Q1")).toBe(false);
  });
  test("a reference above what low mains gives: it drops out, a stop", () => {
    const found = judgedAs(made(zener("240")), regulatorFindings);
    expect(found.get("follower-drop-out/PS.Q1")).toMatchObject({ level: "stop", condition: "running, mains low" });
  });
  test("a Zener the wrong way round drops 0.7 V: said", () => {
    const turned = made((power) => {
      zener("200")(power);
      part(power, "D1").pins = { cathode: "0", anode: "reference" };
    });
    const { nominal } = solvedAll(turned);
    expect(volts(nominal, "PS.reference")).toBeGreaterThan(0.7);
    expect(volts(nominal, "PS.reference")).toBeLessThan(4);
    expect(judgedAs(turned, regulatorFindings).get("regulator-polarity/PS.D1")?.level).toBe("stop");
  });
});

test("series capacitors share their volts as the resistors across them say", () => {
  const { at, nominal } = solvedAll(
    made((power) => {
      part(power, "C2").pins = { a: "b2", b: "half" };
      power.parts.push(
        { kind: "capacitor", id: "C7", value: "100u", volts: 250, pins: { a: "half", b: "0" } },
        { kind: "resistor", id: "R6", value: "220k", watts: 1, pins: { a: "b2", b: "half" } },
        { kind: "resistor", id: "R7", value: "180k", watts: 1, pins: { a: "half", b: "0" } },
      );
    }),
  );
  for (const one of [nominal, at("cold-mains-high")])
    expect(volts(one, "PS.half") / volts(one, "B2")).toBeCloseTo(180 / 400, 9);
});

describe("each fix removes its finding and adds no stop", () => {
  const withFixes = (document: Document) => {
    const { nominal, all } = solvedAll(document);
    const resolve = () => nominal;
    const judged = { document, catalogue, nominal, conditions: all, resolve };
    return [...regulatorFindings(judged), ...chokeFindings(judged), ...partFindings(judged, new Set())];
  };
  const stops = (found: readonly Finding[]) => found.filter((one) => one.level === "stop").map((one) => one.id);
  test.each<[string, Edit, readonly string[]]>([
    [
      "a gas tube starved by its feed",
      (power) => {
        part(power, "R1").value = "8k2";
        power.parts.push({ ...GAS_150, ampsFrom: 0.002, ampsTo: 0.06 });
      },
      ["regulator-least/PS.VR1"],
    ],
    [
      "a gas tube fed too much",
      (power) => {
        part(power, "R1").value = "470";
        power.parts.push({ ...GAS_150, ampsFrom: 0.002, ampsTo: 0.06 });
      },
      ["regulator-most/PS.VR1"],
    ],
    ["a gate without its guard", zener("200"), ["follower-gate/PS.Q1"]],
    [
      "a choke that is too small for the load",
      (_, now) => void Object.assign(now.supply.rectifier, { choke: { value: "10", seriesOhms: "200", amps: 0.08 } }),
      ["choke-critical/choke", "choke-critical-cold/choke"],
    ],
  ])("%s", (_, edit, ids) => {
    const document = made(edit);
    const before = withFixes(document);
    for (const id of ids) {
      const one = before.find((found) => found.id === id);
      const [fix] = one?.fixes ?? [];
      if (one === undefined || fix === undefined) throw new Error(`${id}: ${one?.title ?? "no finding"}`);
      const changed = applyChanges(document, fix.changes);
      if (!changed.ok) throw new Error(changed.failure.sentence);
      const text = JSON.stringify({
        format: "platewright/design@1",
        migrations: [],
        now: changed.value,
        revisions: [],
      });
      expect(readDesign(text).ok).toBe(true);
      const after = withFixes(changed.value);
      const same = after.find((found) => found.id === id);
      expect(same === undefined || levelRank(same.level) < levelRank(one.level), fix.title).toBe(true);
      expect(
        stops(after).filter((stop) => !stops(before).includes(stop)),
        fix.title,
      ).toEqual([]);
    }
  });
});

describe("what is wrong is one sentence with its place", () => {
  test.each<[string, Edit, RegExp]>([
    [
      "a regulator on the rectifier's own output",
      (power) => {
        gas("390")(power);
        part(power, "VR1").pins = { anode: "b1", cathode: "m" };
      },
      /parts\[VR1\]\.pins\.anode: nothing limits the current of regulator VR1 at B1; put a resistor/,
    ],
    [
      "a regulator behind a choke alone",
      (power) =>
        void power.parts.push(
          { kind: "inductor", id: "L1", value: "10", seriesOhms: "200", pins: { a: "b1", b: "x" } },
          {
            kind: "regulator",
            id: "VR1",
            technology: "gas-tube",
            value: "150",
            ohms: "80",
            pins: { anode: "x", cathode: "0" },
          },
        ),
      /nothing limits the current of regulator VR1 at PS\.x/,
    ],
    [
      "negative volts",
      (power) => {
        gas("390")(power);
        part(power, "VR1").value = "-149";
      },
      /parts\[VR1\]\.value: '-149' is not a voltage/,
    ],
    [
      "negative volts in an override",
      (power, now) => {
        gas("390")(power);
        Object.assign(now.instances.find((one) => one.id === "PS") ?? {}, {
          overrides: { VR1: { value: "-149" } },
        });
      },
      /overrides\.VR1\.value: '-149' is not a voltage/,
    ],
    [
      "a slope that is none",
      (power) => {
        gas("390")(power);
        part(power, "VR1").ohms = "0";
      },
      /parts\[VR1\]\.ohms: '0'/,
    ],
    [
      "a range from more to less",
      (power) => {
        gas("390")(power);
        Object.assign(part(power, "VR1"), { ampsFrom: 0.03, ampsTo: 0.005 });
      },
      /ampsFrom: 0\.03 A is not below ampsTo/,
    ],
    [
      "striking below running",
      (power) => {
        gas("390")(power);
        part(power, "VR1").strikingVolts = 120;
      },
      /strikingVolts: 120 V is below the running volts/,
    ],
    [
      "both pins on one net",
      (power) => {
        gas("390")(power);
        part(power, "VR2").pins = { anode: "m", cathode: "m" };
      },
      /both pins of the regulator are on one net/,
    ],
    [
      "a follower without its law",
      (power) => {
        zener("200")(power);
        delete part(power, "Q1").siemens;
      },
      /parts\[Q1\]\.siemens: is missing/,
    ],
  ])("%s", (_, edit, sentence) => {
    const says = complaint(edit);
    expect(says).toMatch(sentence);
    expect(says.split("\n")).toHaveLength(1);
  });
});
