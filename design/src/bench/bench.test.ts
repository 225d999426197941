/** Bench figures against other ways to the same numbers: a network solved by hand, bands by drawing builds, parabolas. */
import { readFileSync } from "node:fs";
import { ohms, type Part, seededRandom } from "@platewright/engine";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import type { Expanded, ExpandedPart } from "../document/expanded.ts";
import { readDesign } from "../document/read.ts";
import { judgeDesign } from "../judge-design.ts";
import { toleranceOf } from "../solved/sensitivity-steps.ts";
import { solveConditions, solveDesign } from "../solved/solve.ts";
import { netBands } from "./bands.ts";
import { mainsScales, parabola } from "./mains-scale.ts";
import { placeWords, testPoints } from "./probe-points.ts";
import { tubeVerdicts } from "./tube-verdicts.ts";
import { unpluggedOhms } from "./unplugged-ohms.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const document = file.value.now;
const answer = solveDesign(document, catalogue);
if (!answer.ok) throw new Error(answer.failure.sentence);
const solved = answer.value;

const ohmsOf = (expanded: Expanded, from: string, to?: string): number => {
  const found = unpluggedOhms(expanded, from, to);
  if (!found.ok) throw new Error(found.failure);
  return found.value;
};

describe("ohms of the unplugged unit", () => {
  test("the demo by series and parallel", () => {
    const { expanded } = solved;
    expect(ohmsOf(expanded, "L.k1")).toBeCloseTo(680, 6);
    expect(ohmsOf(expanded, "L.k2")).toBeCloseTo(820 + 8200, 4);
    // Drive fully down: the stopper alone.
    expect(ohmsOf(expanded, "R.g1")).toBeCloseTo(220, 1);
    expect(ohmsOf(expanded, "L.p1", "B1")).toBeCloseTo(15_000 + 2200 + 1000, 4);
    expect(ohmsOf(expanded, "B1")).toBeCloseTo(1000 + 100_000 + 22_000, 3);
    expect(ohmsOf(expanded, "lift")).toBeCloseTo(22_000, 4);
    expect(ohmsOf(expanded, "L.p1", "L.c2")).toBeGreaterThan(100_000);
    expect(unpluggedOhms(expanded, "nowhere").ok).toBe(false);
  });

  const SEED = 60_301;
  test(`any network against its Laplacian by elimination (seed ${SEED})`, () => {
    const nets = ["0", "a", "b", "c", "d", "e"];
    const resistor = fc.record({
      a: fc.constantFrom(...nets),
      b: fc.constantFrom(...nets),
      ohms: fc.constantFrom(1, 10, 47, 220, 1000, 4700, 1e5, 1e6),
    });
    fc.assert(
      fc.property(fc.array(resistor, { minLength: 1, maxLength: 14 }), (list) => {
        const parts = list.map((one, n) => ({
          id: `x.R${n}`,
          instance: "x",
          block: "x",
          kind: "resistor",
          written: {},
          electrical: { kind: "resistor", id: `x.R${n}`, ...one } as Part,
        })) as unknown as readonly ExpandedPart[];
        const expanded: Expanded = { parts, triodes: [], nets, channels: [], equalTo: new Map() };
        const found = unpluggedOhms(expanded, "a", "b");
        const wanted = byElimination(list, "a", "b");
        expect(found.ok).toBe(true);
        if (!found.ok) return;
        if (wanted === Infinity) expect(found.value).toBe(Infinity);
        else expect(Math.abs(found.value / wanted - 1)).toBeLessThan(1e-6);
      }),
      { seed: SEED, numRuns: 400 },
    );
  });
});

/** Star-mesh elimination of every net but two. */
function byElimination(list: readonly { a: string; b: string; ohms: number }[], from: string, to: string): number {
  const nets = [...new Set(list.flatMap((one) => [one.a, one.b]).concat(from, to))];
  const siemens = new Map<string, number>();
  const key = (a: string, b: string) => [a, b].sort().join("~");
  const add = (a: string, b: string, g: number) => {
    if (a !== b) siemens.set(key(a, b), (siemens.get(key(a, b)) ?? 0) + g);
  };
  for (const { a, b, ohms } of list) add(a, b, 1 / ohms);
  for (const gone of nets) {
    if (gone === from || gone === to) continue;
    const arms = nets.flatMap((net) => {
      const g = net === gone ? undefined : siemens.get(key(gone, net));
      siemens.delete(key(gone, net));
      return g === undefined ? [] : [{ net, g }];
    });
    const sum = arms.reduce((total, one) => total + one.g, 0);
    for (const [n, one] of arms.entries())
      for (const other of arms.slice(n + 1)) add(one.net, other.net, (one.g * other.g) / sum);
  }
  const g = siemens.get(key(from, to));
  return g === undefined ? Infinity : 1 / g;
}

describe("bands", () => {
  const SEED = 60_302;
  test(`nine builds of ten read within the band (seed ${SEED})`, () => {
    const nets = ["L.p1", "L.k1", "L.k2", "lift"];
    const bands = netBands(solved, nets);
    if (!bands.ok) throw new Error(bands.failure);
    const random = seededRandom(SEED);
    const spans = new Map(
      solved.expanded.parts.flatMap((part) => {
        const tolerance = toleranceOf(part, solved.laws.get(part.id));
        return tolerance === undefined ? [] : [[part.id, tolerance] as const];
      }),
    );
    const builds = 300;
    const inside = new Map(nets.map((net) => [net, 0]));
    for (let build = 0; build < builds; build++) {
      const drawn = solveDesign(document, catalogue, {
        detail: "bias",
        near: solved,
        fault: (parts) =>
          parts.map((part): Part => {
            const [first, second, third] = spans.get(part.id)?.spans ?? [];
            if (part.kind === "resistor")
              return { ...part, ohms: ohms(part.ohms * (1 + (first?.nepers ?? 0) * (2 * random.uniform() - 1))) };
            if (part.kind !== "triode" || !("G" in part.law.space)) return part;
            const { space } = part.law;
            const moved = {
              ...space,
              G: space.G * Math.exp((first?.nepers ?? 0) * random.normal()),
              mu: space.mu * Math.exp((second?.nepers ?? 0) * random.normal()),
              Vct: space.Vct + (third?.nepers ?? 0) * random.normal(),
            };
            return { ...part, law: { ...part.law, space: moved } };
          }),
      });
      if (!drawn.ok) throw new Error(drawn.failure.sentence);
      for (const net of nets) {
        const band = bands.value.get(net);
        const at = drawn.value.bias.netVolts.get(net) ?? Number.NaN;
        if (band !== undefined && Math.abs(at - band.volts) <= band.bandVolts)
          inside.set(net, (inside.get(net) ?? 0) + 1);
      }
    }
    // The winding is held here, so that bands of nets that hang on it alone are a little wide.
    for (const net of nets) {
      expect((inside.get(net) ?? 0) / builds).toBeGreaterThan(0.85);
    }
    expect((inside.get("L.k1") ?? 0) / builds).toBeLessThan(0.999);
  });

  test("a net that does not exist is said", () => {
    expect(netBands(solved, ["nowhere"]).ok).toBe(false);
  });
});

describe("mains of the day", () => {
  test("a parabola goes through what it is made of, and a second-degree curve is met everywhere", () => {
    const curve = (x: number) => 3 - 2 * x + 5 * x * x;
    const xs = [0.9, 1, 1.1];
    for (const x of [0.85, 0.9, 0.97, 1, 1.06, 1.1]) expect(parabola(xs, xs.map(curve), x)).toBeCloseTo(curve(x), 10);
    expect(parabola([1, 1, 1.1], [2, 2, 4], 1.05)).toBeCloseTo(3, 10);
  });

  test("factors are one at the nominal mains and those of the solves at the ends", () => {
    const all = solveConditions(document, catalogue, solved);
    if (!all.ok) throw new Error(all.failure.sentence);
    const scales = mainsScales(all.value);
    expect(scales.find((one) => one.mainsVolts === 230)?.direct).toBeCloseTo(1, 12);
    const { supply } = document;
    if (supply === undefined) throw new Error("the demo has a supply");
    const mains = { ...supply.mains, highPercent: (100 * 10) / 230 };
    const at = solveDesign({ ...document, supply: { ...supply, mains } }, catalogue, {
      condition: "mains-high",
      detail: "bias",
    });
    if (!at.ok) throw new Error(at.failure.sentence);
    const measured = (at.value.bias.netVolts.get("B1") ?? 0) / (solved.bias.netVolts.get("B1") ?? 1);
    expect(scales.find((one) => one.mainsVolts === 240)?.direct).toBeCloseTo(measured, 4);
  });
});

describe("test points", () => {
  const points = testPoints(solved);
  test("every net with volts on it is read, or stands behind one that is", () => {
    const nets = points.flatMap((point) => point.places.map((place) => place.net));
    expect(new Set(nets).size).toBe(nets.length);
    for (const net of ["B1", "B2", "lift", "L.p1", "R.p1", "L.k1", "L.g2", "R.k2", "L.b", "R.b"])
      expect(nets).toContain(net);
    // Behind the output stopper nothing drops.
    expect(nets).not.toContain("L.o1");
  });
  test("places are what the wiring says", () => {
    for (const point of points)
      for (const { net, words } of point.places) {
        const pin = /^(V\d) pin (\d)/.exec(words);
        if (pin === null) continue;
        const wire = document.envelopes.find((one) => one.id === pin[1])?.wiring[pin[2] ?? ""];
        expect(wire).toEqual({ net });
      }
    expect(placeWords(solved, "L.tap")).toBe("joint of R5, R7 and R8");
  });
});

describe("what an owner may plug in", () => {
  const findings = judgeDesign(document, catalogue, solved, { fixes: false, supply: false });
  if (!findings.ok) throw new Error(findings.failure);
  const verdicts = tubeVerdicts(document, solved, catalogue, findings.value);
  const of = (type: string, envelope = "V1") =>
    verdicts.find((one) => one.type === type && one.envelopes.includes(envelope));

  test("every type of the kind has one verdict in every group, and a reason", () => {
    const types = catalogue.types.filter((type) => {
      const record = catalogue.tube(type);
      return record?.kind === "triode" && record.sections === 2;
    });
    expect(
      verdicts
        .filter((one) => one.envelopes.includes("V1"))
        .map((one) => one.type)
        .sort(),
    ).toEqual([...types].sort());
    for (const one of verdicts) if (one.verdict === "must-not") expect(one.words).not.toBe("");
  });
  test("the fitted type may be used, its other names with it", () => {
    expect(of("5687")).toMatchObject({ verdict: "may", fitted: true });
    expect(of("EZ80", "V3")).toMatchObject({ verdict: "may", names: ["6V4"] });
  });
  test("another basing puts the plate supply on the heater: never", () => {
    expect(of("12AX7A")).toMatchObject({ verdict: "must-not", because: "pins" });
    expect(of("12AX7A")?.words).toMatch(/^pin 9 \(heater tap\) gets .*L\.p1, 113/);
    expect(of("6SN7GT")?.words).toMatch(/octal/);
  });
  test("a limit of doubtful source never yields a yes", () => {
    expect(of("7119")).toMatchObject({ verdict: "must-not", because: "unverified" });
  });
  test("a rectifier of the same pins that drops a little less sounds alike", () => {
    expect(of("EZ81", "V3")).toMatchObject({ verdict: "may", because: "alike" });
  });
});
