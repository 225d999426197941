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
  test("a bridge of silicon, a tube's bridge, silicon in series with the plates", () => {
    const at = (flags: string) => json(tried(`${RECTIFY} ${flags}`)) as Record<string, number>;
    const tube = at("");
    const padded = at("--silicon");
    const hybrid = at("--circuit bridge");
    const silicon = json(tried(`${RECTIFY.replace("EZ80", "silicon")} --circuit bridge`)) as Record<string, number>;
    // A junction takes 0.7 to 0.9 V of a tube's drop, wherever in the path it stands.
    const taken = (tube.dcVolts ?? NaN) - (padded.dcVolts ?? NaN);
    expect(taken).toBeGreaterThan(0.6);
    expect(taken).toBeLessThan(1);
    expect(hybrid.dcVolts).toBeCloseTo(padded.dcVolts ?? NaN, 9);
    expect(silicon.dcVolts).toBeGreaterThan((tube.dcVolts ?? NaN) + 20);
    // A bridge's winding carries the pulses of both paths, and each path blocks the crest once, not twice.
    expect((hybrid.windingRmsAmps ?? NaN) / (hybrid.plateRmsAmps ?? NaN)).toBeCloseTo(Math.SQRT2, 9);
    expect(hybrid.peakInverseVolts).toBeCloseTo(300 * Math.SQRT2, 6);
    expect(padded.peakInverseVolts).toBeGreaterThan(700);
    expect(tried(`${RECTIFY.replace(" --json", "")} --circuit bridge`).out).toMatch(/silicon as the other half/);
  });
  test.each([
    ["two loads", `${RECTIFY} --load-ohms 5k`, /Give the load once/],
    ["no such circuit", `${RECTIFY} --circuit doubler`, /full-wave, half-wave or bridge/],
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

interface SupplyJson {
  readonly conditions: Record<
    string,
    {
      readonly nodes: Record<string, { readonly volts: number }>;
      readonly parts: Record<string, { readonly value: number; readonly limit: number; readonly fraction: number }>;
    }
  >;
  readonly discharge: { readonly seconds: number };
  readonly hum: { readonly lines: readonly { readonly hertz: number; readonly dbv: number }[] };
}

/** The demo with a change; `now` is what is edited. */
function changedDemo(edit: (now: EditedNow) => void): string {
  const file = JSON.parse(demoText) as { now: EditedNow };
  edit(file.now);
  return JSON.stringify(file);
}
interface EditedNow {
  supply?: {
    transformer: {
      highTension: Record<string, number>;
      heaters: { ratedAmps: number; unloadedVolts: number }[];
    };
    rectifier: Record<string, unknown>;
  };
  envelopes: { id: string; wiring: Record<string, unknown> }[];
  chassis?: unknown;
  blocks: Record<string, { parts: { id: string; kind: string }[] }>;
}

describe("supply", () => {
  test("the tables of every condition, of heaters, hum, time, first power and faults", () => {
    const { status, out } = tried(`supply ${DEMO} --every`);
    expect(status).toBe(0);
    for (const head of [
      /Volts to ground/,
      /net +low +nominal +high +cold +cold high +pulled +no V1 +no V2/,
      /Parts, in % of their rating/,
      /Rectifier and winding/,
      /Heaters\n/,
      /Hum at the output/,
      /On and off/,
      /First power behind a lamp/,
      /Single faults/,
      /Findings: \d+ stop/,
      /under 60 V after \d+ s/,
      /Danger, lethal voltage/,
    ])
      expect(out).toMatch(head);
    expect(out).not.toMatch(/NaN|undefined|Infinity/);
  }, 60_000);

  test("the published fields of --json agree with each other", () => {
    const answer = json(tried(`supply ${DEMO} --json`)) as unknown as SupplyJson;
    const volts = (condition: string, net: string) => answer.conditions[condition]?.nodes[net]?.volts ?? Number.NaN;
    // Cold stands above running, mains high above nominal above low, and no cathode current flows cold.
    expect(volts("mains-low", "B1")).toBeLessThan(volts("nominal", "B1"));
    expect(volts("nominal", "B1")).toBeLessThan(volts("mains-high", "B1"));
    expect(volts("mains-high", "B1")).toBeLessThan(volts("cold-mains-high", "B1"));
    expect(volts("cold", "L.k1")).toBeCloseTo(0, 6);
    expect(volts("lamp-no-tubes", "B1")).toBeCloseTo(0, 6);
    for (const { parts } of Object.values(answer.conditions))
      for (const { value, limit, fraction } of Object.values(parts)) expect(fraction).toBeCloseTo(value / limit, 12);
    expect(answer.discharge.seconds).toBeGreaterThan(5);
    expect(answer.discharge.seconds).toBeLessThan(60);
    expect(answer.hum.lines.map((line) => line.hertz)).toEqual(expect.arrayContaining([50, 100, 200, 300]));
  }, 60_000);

  test("--plot writes the start-up and one mains cycle", () => {
    const one = tried(`supply ${DEMO} --plot plots/hearth.svg`);
    expect([...one.written.keys()]).toEqual(["plots/hearth.svg", "plots/hearth-cycle.svg"]);
    for (const svg of one.written.values()) {
      expect(svg).toMatch(/^<svg[^>]*xmlns/);
      expect(svg.trimEnd()).toMatch(/<\/svg>$/);
      expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    }
    expect(one.out).toMatch(/Written: plots\/hearth\.svg, plots\/hearth-cycle\.svg/);
  }, 60_000);

  const high = (field: string, value: number) =>
    changedDemo((now) => {
      if (now.supply !== undefined) now.supply.transformer.highTension[field] = value;
    });
  const rectifier = (field: string, value: unknown) =>
    changedDemo((now) => {
      if (now.supply !== undefined) now.supply.rectifier[field] = value;
    });
  const withoutSupply = changedDemo((now) => {
    delete now.supply;
    delete now.chassis;
    now.envelopes = now.envelopes.filter((one) => one.id !== "V3");
    for (const envelope of now.envelopes)
      envelope.wiring = Object.fromEntries(
        Object.entries(envelope.wiring).filter(([, wire]) => !JSON.stringify(wire).includes("winding")),
      );
  });
  test.each([
    ["no supply", withoutSupply, /the design has no supply; give it a transformer and a rectifier/],
    ["a winding of 0 V", high("unloadedRmsVoltsPerHalf", 0), /highTension\.unloadedRmsVoltsPerHalf: 0 is /],
    ["a winding of -5 V", high("ratedRmsVoltsPerHalf", -5), /highTension\.ratedRmsVoltsPerHalf: -5 is /],
    ["a winding of 0 Ω", high("ohmsPerHalf", 0), /highTension\.ohmsPerHalf: 0 is /],
    ["a rating of 0 A", high("ratedAmps", 0), /highTension\.ratedAmps: 0 is /],
    [
      "a heater winding of -6.8 V",
      changedDemo((now) => {
        for (const heater of now.supply?.transformer.heaters ?? []) heater.unloadedVolts = -6.8;
      }),
      /heaters\[.*\]\.unloadedVolts: -6\.8 is /,
    ],
    ["no such first capacitor", rectifier("firstCapacitor", "PS.C9"), /firstCapacitor: PS\.C9 is no capacitor/],
    ["a resistor for first capacitor", rectifier("firstCapacitor", "PS.R1"), /PS\.R1 is no capacitor/],
    ["a first capacitor elsewhere", rectifier("firstCapacitor", "PS.C2"), /PS\.C2 must stand from B1 to ground/],
    [
      "the first capacitor left out",
      changedDemo((now) => {
        const power = now.blocks.power;
        if (power !== undefined) power.parts = power.parts.filter((part) => part.id !== "C1");
      }),
      /firstCapacitor: PS\.C1 is no capacitor/,
    ],
    ["no such bottle", rectifier("envelope", "V9"), /rectifier\.envelope: there is no envelope V9/],
    ["a triode for a rectifier", rectifier("envelope", "V1"), /5687 has no rectifier curve/],
    [
      "a winding that gives nothing",
      changedDemo((now) => {
        if (now.supply !== undefined)
          Object.assign(now.supply.transformer.highTension, {
            ratedRmsVoltsPerHalf: 1e-3,
            unloadedRmsVoltsPerHalf: 1e-3,
          });
      }),
      /more than winding and rectifier can give/,
    ],
  ])("one sentence and status 2: %s", (_, text, sentence) => {
    const one = tried("supply bad.json", { "bad.json": text });
    expect(one.error).toMatch(sentence);
    expect(one.error.trim().split("\n")).toHaveLength(1);
    expect(one.error).not.toMatch(/NaN/);
    expect(one.status).toBe(2);
    expect(one.out).toBe("");
  });

  test("60 A on the label for 60 mA is asked about, never taken", () => {
    const one = tried("supply bad.json", { "bad.json": high("ratedAmps", 60) });
    const words = `${one.out}${one.error}`.replace(/\s+/g, " ");
    expect(one.status).toBeGreaterThan(0);
    expect(words).toMatch(/highTension\.ratedAmps: 60 A at 230 V is 13\.8 kVA for one winding; was 60 mA meant\?/);
    expect(words).not.toMatch(/NaN/);
  }, 60_000);

  test("a rectifier that no heater winding reaches is a stop", () => {
    const dark = changedDemo((now) => {
      for (const envelope of now.envelopes)
        if (envelope.id === "V3")
          envelope.wiring = Object.fromEntries(
            Object.entries(envelope.wiring).filter(([, wire]) => !JSON.stringify(wire).includes("H1")),
          );
    });
    const one = tried("check bad.json", { "bad.json": dark });
    expect(one.status).toBe(1);
    expect(one.out.replace(/\s+/g, " ")).toMatch(/STOP V3 wired as it is: the heater stays dark/);
    expect(one.out).not.toMatch(/NaN/);
  }, 60_000);
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

  test("a rectifier of another base: the circuit stands, the chassis has its say, the board is of the circuit alone", () => {
    const one = tried(`rework ${DEMO} --shelf ${SHELF} --put V3=6X4 --json`);
    expect(one.status).toBe(1);
    const answer = json(one) as {
      findings: { id: string; level: string; fixes: { title: string }[] }[];
      candidates: { tube: string; level: string; reason: string }[];
    };
    const stops = answer.findings.filter((finding) => finding.level === "stop");
    expect(stops.map((finding) => finding.id)).toEqual(["chassis-socket/V3"]);
    expect(stops[0]?.fixes.length).toBeGreaterThan(0);
    const board = answer.candidates.find((candidate) => candidate.tube === "6X4");
    expect(board?.level).toBe("watch");
    expect(board?.reason).toMatch(/V3 needs a 7-pin miniature socket, and its hole on the chassis a look/);
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
