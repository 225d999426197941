/** The commands end to end, as a builder types them. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { BadInput } from "./outcome.ts";
import type { Io } from "./io.ts";
import { run } from "./run.ts";

interface Tried {
  readonly status: number;
  readonly out: string;
  readonly error: string;
  readonly written: ReadonlyMap<string, string>;
}

function tried(line: string, files: Readonly<Record<string, string>> = {}): Tried {
  let out = "";
  let error = "";
  const written = new Map<string, string>();
  const io: Io = {
    out: (text) => void (out += text),
    error: (text) => void (error += text),
    read: (path) => {
      if (files[path] !== undefined) return files[path];
      if (!path.startsWith("examples/")) throw new BadInput(`${path}: there is no such file.`);
      return readFileSync(path, "utf8");
    },
    write: (path, text) => void written.set(path, text),
    exists: () => false,
    errorIsTerminal: false,
    now: () => 0,
  };
  const status = run(
    line.split(" ").filter((word) => word !== ""),
    io,
  );
  return { status, out, error, written };
}

const json = (one: Tried): Record<string, unknown> => JSON.parse(one.out) as Record<string, unknown>;
const DEMO = "examples/hearth/hearth.design.json";
const SHELF = "examples/hearth/shelf.json";
const demoText = readFileSync(DEMO, "utf8");
const STAGE =
  "stage --tube 12AU7A --supply 250 --plate-load 47k --cathode 1k2 --bypass 50u --grid-leak 1M --coupling 10n --next-grid 150k --output 34 --json";

describe("stage", () => {
  test("answers with the field names that outside checks read", () => {
    const one = tried(STAGE);
    expect(one.status).toBe(0);
    const answer = json(one) as {
      bias: Record<string, number>;
      harmonics: { outputVolts: number; inputVolts: number; percent: number[]; totalPercent: number }[];
      gridCurrentOnset: { inputVolts: number };
      gain: number;
      outputOhms: number;
      effort: Record<string, number>;
    };
    for (const field of ["plateAmps", "plateVolts", "cathodeVolts", "plateWatts"])
      expect(answer.bias[field]).toBeGreaterThan(0);
    const [level] = answer.harmonics;
    expect(level?.outputVolts).toBeCloseTo(34, 6);
    expect(level?.percent.length).toBeGreaterThan(4);
    expect(Math.hypot(...(level?.percent ?? []))).toBeCloseTo(level?.totalPercent ?? 0, 9);
    expect(answer.gridCurrentOnset.inputVolts).toBeGreaterThan(1);
    expect(answer.effort.steps).toBeGreaterThan(0);
    // Kirchhoff: supply = plate load + plate to cathode + cathode.
    const { plateAmps, plateVolts, cathodeVolts } = answer.bias as {
      plateAmps: number;
      plateVolts: number;
      cathodeVolts: number;
    };
    expect(plateAmps * 47e3 + plateVolts + cathodeVolts).toBeCloseTo(250, 6);
    expect(cathodeVolts / 1200).toBeCloseTo(plateAmps, 9);
  });

  test("an unbypassed cathode lowers the gain, no next grid raises it", () => {
    const gain = (line: string) => json(tried(line)).gain as number;
    expect(gain(STAGE.replace("--bypass 50u", "--bypass none"))).toBeLessThan(gain(STAGE) * 0.8);
    expect(gain(STAGE.replace("--next-grid 150k", "--next-grid none"))).toBeGreaterThan(gain(STAGE));
  });

  test.each([
    ["--tube 12BH7Q", /12BH7Q.*did you mean 12BH7A\?/],
    ["--tube EZ80", /EZ80 is a rectifier/],
    ["--supply NaN", /--supply: 'NaN'/],
    ["--plate-load 47kk", /--plate-load: '47kk'/],
    ["--cathode -1k", /--cathode: '-1k'|--cathode/],
    ["--frob 1", /unknown option/i],
  ])("one sentence and status 2: %s", (flag, sentence) => {
    const [name] = flag.split(" ");
    const one = tried(STAGE.replace(new RegExp(`${name ?? ""} \\S+`), "") + ` ${flag}`);
    expect(one.status).toBe(2);
    expect(one.error).toMatch(sentence);
    expect(one.error.trim().split("\n")).toHaveLength(1);
    expect(one.out).toBe("");
  });
});

describe("rectify", () => {
  const RECTIFY =
    "rectify --tube EZ80 --winding 300 --hertz 50 --series 215 --first-capacitor 50u --load-amps 60m --json";
  test("answers with the field names that outside checks read", () => {
    const answer = json(tried(RECTIFY));
    for (const field of ["dcVolts", "ripplePeakToPeakVolts", "platePeakAmps", "plateRmsAmps", "peakInverseVolts"])
      expect(answer[field], field).toBeGreaterThan(0);
    expect(answer.dcVolts).toBeGreaterThan(320);
    expect(answer.dcVolts).toBeLessThan(350);
  });
  test("load ohms, half-wave, ideal switch", () => {
    const answer = json(
      tried(
        "rectify --tube ideal --winding 212.132034 --series 250 --first-capacitor 100000u --load-ohms 5k --circuit half-wave --json",
      ),
    );
    expect((answer.dcVolts as number) / 300).toBeCloseTo(0.7518, 3);
  });
  test.each([
    ["two loads", `${RECTIFY} --load-ohms 5k`, /Give the load once/],
    ["no such circuit", `${RECTIFY} --circuit bridge`, /full-wave or half-wave/],
    ["a triode", RECTIFY.replace("EZ80", "12AU7A"), /no rectifier curve/],
  ])("one sentence and status 2: %s", (_, line, sentence) => {
    const one = tried(line);
    expect(one.status).toBe(2);
    expect(one.error).toMatch(sentence);
  });
});

describe("tubes", () => {
  test("finds, shows and compares", () => {
    expect(tried("tubes noval 6.3V").out).toMatch(/6922/);
    expect(tried("tubes 12BH7A").out).toMatch(/pins from below/);
    expect(tried("tubes 5687 12BH7A").out).toMatch(/6 → 8 .*8 → 9 .*9 → 6/s);
  });
  test("an unknown name gets the nearest", () => {
    const one = tried("tubes 12BH7Q");
    expect(one.status).toBe(2);
    expect(one.error).toMatch(/did you mean 12BH7A\?/);
  });
});

describe("check and voice", () => {
  test("check lists findings with their stable fields", () => {
    const one = tried(`check ${DEMO} --json`);
    expect(one.status).toBe(0);
    const { findings } = json(one) as { findings: Record<string, unknown>[] };
    expect(findings.length).toBeGreaterThan(20);
    for (const finding of findings)
      for (const field of ["id", "level", "title", "value", "limit", "condition", "source", "where"])
        expect(finding, field).toHaveProperty(field);
  });
  test("a finding at stop is exit status 1", () => {
    const stopped = demoText.replace('"volts": 450', '"volts": 300');
    const one = tried("check bad.json", { "bad.json": stopped });
    expect(one.status).toBe(1);
    expect(one.out).toMatch(/STOP .*sees .*of 300 V/);
  });
  test("voice: less drive, less colour, at every level", () => {
    const { voices } = json(tried(`voice ${DEMO} --drive 0.5,1 --levels 0.3,1 --json`)) as {
      voices: { drive: number; instance: string; levels: { ratios: number[] }[] }[];
    };
    const h2 = (drive: number, level: number) =>
      voices.find((one) => one.drive === drive && one.instance === "L")?.levels[level]?.ratios[0] ?? Number.NaN;
    expect(h2(0.5, 0)).toBeLessThan(h2(1, 0));
    expect(h2(0.5, 1)).toBeLessThan(h2(1, 1));
    // Second harmonic goes with level: 0.3 V to 1 V is 3.33 times.
    expect(h2(1, 1) / h2(1, 0)).toBeCloseTo(10 / 3, 1);
  });
});

describe("rework", () => {
  test("12BH7A for 5687: three wires move per socket, the voicing holds, the revised design is written", () => {
    const one = tried(`rework ${DEMO} --shelf ${SHELF} --put V1=12BH7A --out revised.json --json`);
    expect(one.status).toBe(0);
    const answer = json(one) as {
      held: boolean;
      moves: { envelope: string; moves: { from: string; to: string }[] }[];
      differences: { id: string; proven: number | null; now: number | null; unit: string }[];
      candidates: { tube: string; level: string; reason: string; changes: unknown[] }[];
    };
    expect(answer.held).toBe(true);
    expect(answer.moves.map((m) => m.moves.map((w) => `${w.from}→${w.to}`).join(" "))).toEqual([
      "6→8 8→9 9→6",
      "6→8 8→9 9→6",
    ]);
    const heater = answer.differences.find((d) => d.id === "heater.volts/H1");
    expect(heater?.now).toBeGreaterThan(heater?.proven ?? Infinity);
    const by = (tube: string) => answer.candidates.find((c) => c.tube === tube);
    expect(by("12AY7")?.reason).toMatch(/grid current below the largest input/);
    expect(by("6922")?.level).toBe("stop");
    expect(by("6X4")?.reason).toMatch(/C1 33u → .*in each plate lead/);
    const revised = JSON.parse(one.written.get("revised.json") ?? "") as {
      now: { envelopes: { id: string; type: string }[] };
    };
    expect(revised.now.envelopes.filter((e) => e.type === "12BH7A").map((e) => e.id)).toEqual(["V1", "V2"]);
    // What was written reads and checks.
    const again = tried("check revised.json --json", { "revised.json": one.written.get("revised.json") ?? "" });
    expect(again.status).toBe(0);
  }, 60_000);

  test("unmoved, a 12BH7A in the wired socket is a stop: the plate supply stands on a heater pin", () => {
    const unmoved = demoText.replaceAll('"type": "5687"', '"type": "12BH7A"');
    const one = tried("check unmoved.json", { "unmoved.json": unmoved });
    expect(one.status).toBe(1);
    const words = one.out.replace(/\s+/g, " ");
    expect(words).toMatch(/STOP .*pin 9 \(heater tap\) gets plate supply/);
    expect(words).toMatch(/move 6 → 8 .*8 → 9 .*9 → 6/);
  });

  test.each([
    [`rework ${DEMO} --put V9=12BH7A`, /there is no bottle V9/],
    [`rework ${DEMO} --put V1=12BH7Q`, /did you mean 12BH7A\?/],
    [`rework ${DEMO} --put V1`, /write it like V1=12BH7A/],
    [`rework ${DEMO} --keep colour`, /voicing or current/],
    [`rework ${DEMO} --h2 lots`, /write it like 1%@1V/],
    [`rework ${DEMO} --shelf nowhere.json`, /nowhere.json: there is no such file/],
    ["rework nowhere.json", /there is no such file/],
    ["frob", /unknown command/i],
  ])("one sentence, status 2, nothing written: %s", (line, sentence) => {
    const one = tried(line);
    expect(one.status).toBe(2);
    expect(one.error).toMatch(sentence);
    expect(one.error.trim().split("\n")).toHaveLength(1);
    expect(one.written.size).toBe(0);
  });

  test("the base itself is never overwritten", () => {
    const one = tried(`rework ${DEMO} --put V1=5687 --out ${DEMO}`);
    expect(one.status).toBe(2);
    expect(one.written.size).toBe(0);
  }, 60_000);
});
