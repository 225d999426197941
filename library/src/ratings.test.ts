import { describe, expect, test } from "vitest";
import type { LimitName, RatingRow, RatingSystem, Status, Confidence, TubeLimits, Sourced } from "@platewright/engine";
import { openCatalogue } from "./catalogue.ts";
import { effectiveLimit } from "./ratings.ts";
import { readRating } from "./read-tube.ts";
import { seededRandom } from "./test-random.ts";
import { trustOf, trustRank } from "./trust.ts";

const catalogue = openCatalogue();
const LIMITS: readonly LimitName[] = [
  "plateVolts",
  "coldPlateVolts",
  "plateWatts",
  "plateWattsTogether",
  "cathodeAmps",
  "peakCathodeAmps",
  "cathodePositiveDcVolts",
  "cathodePositivePeakVolts",
  "cathodeNegativeDcVolts",
  "cathodeNegativePeakVolts",
  "gridNegativeVolts",
  "gridPositiveVolts",
  "gridOhmsFixedBias",
  "gridOhmsCathodeBias",
  "heaterCathodeOhms",
];

/** The signed limits that a printed row sets, as [cathode above dc, above peak, below dc, below peak]. */
function signed(limits: Parameters<typeof readRating>[0]["limits"]): readonly (number | undefined)[] {
  const row = readRating({
    variant: "T",
    label: "",
    system: "design-centre",
    systemFrom: "stated",
    source: "X",
    status: "published",
    limits,
  });
  return (
    [
      "cathodePositiveDcVolts",
      "cathodePositivePeakVolts",
      "cathodeNegativeDcVolts",
      "cathodeNegativePeakVolts",
    ] as const
  ).map((name) => row.limits[name]?.value);
}

describe("heater-cathode, signed cathode minus heater", () => {
  test("a heater positive is a cathode negative", () => {
    expect(signed({ heaterPositiveDcVolts: 100 })).toEqual([undefined, undefined, 100, undefined]);
    expect(signed({ heaterPositivePeakVolts: 200 })).toEqual([undefined, undefined, undefined, 200]);
    expect(signed({ heaterNegativePeakVolts: 450 })).toEqual([undefined, 450, undefined, undefined]);
  });
  test("cathode-signed volts keep their side", () => {
    expect(signed({ cathodePositiveVolts: 150, cathodeNegativeVolts: 50 })).toEqual([150, 150, 50, 50]);
  });
  test("one unsigned number counts both ways; where it says dc, for dc only", () => {
    expect(signed({ heaterCathodeVolts: 90 })).toEqual([90, 90, 90, 90]);
    expect(signed({ heaterCathodeDcVolts: 250 })).toEqual([250, undefined, 250, undefined]);
  });
  test("an unsigned number and a lower signed one: the lower stands on its side", () => {
    expect(signed({ heaterCathodeVolts: 200, heaterPositiveDcVolts: 100 })).toEqual([200, 200, 100, 200]);
    expect(signed({ heaterPositiveDcVolts: 100, heaterCathodeVolts: 200 })).toEqual([200, 200, 100, 200]);
  });
  test("a peak rating bounds the dc of its side", () => {
    // Tung-Sol 12AU7, 1962: heater negative 200 peak; heater positive 200 peak, 100 dc. Philips ECC82, 1959: 180.
    expect(catalogue.limit("12AX7A", "cathodePositiveDcVolts")).toMatchObject({ value: 200, trust: "ok" });
    expect(catalogue.limit("12AU7A", "cathodePositiveDcVolts")?.value).toBe(180);
    expect(catalogue.limit("12AU7A", "cathodeNegativeDcVolts")?.value).toBe(100);
  });
  test("6DJ8 and 6922: 150 V with the cathode above, 50 and 100 V below (Philips)", () => {
    expect(catalogue.limit("6DJ8", "cathodePositiveDcVolts")?.value).toBe(150);
    expect(catalogue.limit("6DJ8", "cathodeNegativeDcVolts")?.value).toBe(50);
    expect(catalogue.limit("6922", "cathodePositivePeakVolts")?.value).toBe(150);
    expect(catalogue.limit("6922", "cathodeNegativePeakVolts")?.value).toBe(100);
  });
  test("6X4: cathode 450 V above a grounded heater, 100 V dc below (General Electric)", () => {
    expect(catalogue.limit("6X4", "cathodePositivePeakVolts")?.value).toBe(450);
    expect(catalogue.limit("6X4", "cathodeNegativeDcVolts")?.value).toBe(100);
    expect(catalogue.tube("6X4")?.rectifier?.limits.heaterCathodePeakVolts?.[0]?.value).toBe(450);
  });
});

describe("versions are kept apart", () => {
  const watts = (type: string, variant?: string): number | undefined =>
    catalogue.limit(type, "plateWatts", variant)?.value;
  test("by the name asked for, or by the variant of the bottle", () => {
    expect([watts("5687"), watts("5687WA"), watts("5687", "5687WA")]).toEqual([4.2, 3.75, 3.75]);
    expect([watts("6SN7GT"), watts("6SN7GTB"), watts("6SN7GTA")]).toEqual([2.5, 5, 5]);
    expect([watts("6922"), watts("6922EH"), watts("6922", "rt 6922")]).toEqual([1.5, 2, 1.6]);
    expect([watts("12AX7A"), watts("12AX7"), watts("ECC83"), watts("12AX7A", "12AX7")]).toEqual([1.2, 1, 1, 1]);
    expect(catalogue.limit("5U4G", "plateVolts")).toBeUndefined();
  });
  test("a variant that is none of the type's says nothing of ratings", () => {
    expect(catalogue.limit("6922", "plateWatts", "gold pins")).toEqual(catalogue.limit("6922", "plateWatts"));
    expect(catalogue.limit("6922", "plateWatts", "5687WA")).toEqual(catalogue.limit("6922", "plateWatts"));
  });
  test("a later version takes what its sheet leaves out from the one it superseded, never better than from memory", () => {
    expect(catalogue.limit("12AX7A", "cathodeAmps")).toMatchObject({
      value: 0.008,
      variant: "12AX7",
      trust: "ok-from-memory",
    });
  });
  test("from any other version at best watch", () => {
    expect(catalogue.limit("RT-6922", "coldPlateVolts")).toMatchObject({ variant: "6922", trust: "watch-at-best" });
  });
  test("5U4GB's dc falls with the winding; 5U4G has its own", () => {
    const dc = (type: string) => catalogue.tube(type)?.rectifier?.limits.dcAmps?.map((one) => one.value);
    expect(dc("5U4GB")?.[0]).toBe(0.162);
    expect(
      catalogue.tube("5U4GB")?.rectifier?.limits.dcAmps?.find((one) => one.upToRmsVoltsPerPlate === 300)?.value,
    ).toBe(0.3);
    expect(dc("5U4G")).toEqual([0.225]);
  });
});

describe("what a limit of doubtful source may say", () => {
  test.each([
    ["published", undefined, "design-centre", "ok"],
    ["quoted", undefined, "design-maximum", "ok"],
    ["published", undefined, "unknown", "watch-at-best"],
    ["memory", "high", "design-centre", "ok-from-memory"],
    ["memory", "high", "unknown", "watch-at-best"],
    ["memory", "medium", "design-centre", "watch-at-best"],
    ["memory", "low", "absolute", "watch-at-best"],
    ["derived", undefined, "design-centre", "watch-at-best"],
  ] as const)("%s %s, %s: %s", (status, confidence, system, trust) => {
    expect(trustOf({ status, ...(confidence === undefined ? {} : { confidence }) }, system)).toBe(trust);
  });

  test("medium and low memory never say ok, in any type, version or limit", () => {
    for (const type of catalogue.types)
      for (const variant of new Set(catalogue.tube(type)?.ratings.map((row) => row.variant)))
        for (const name of LIMITS) {
          const limit = catalogue.limit(type, name, variant);
          if (limit === undefined) continue;
          const doubtful = limit.provenance.status === "memory" && limit.provenance.confidence !== "high";
          if (doubtful || limit.system === "unknown") expect(limit.trust, `${type} ${name}`).toBe("watch-at-best");
          if (limit.provenance.status === "memory") expect(limit.trust).not.toBe("ok");
        }
  });
});

// ---- Properties of the rule on invented rows.

const SYSTEMS: readonly RatingSystem[] = ["design-centre", "design-maximum", "absolute", "unknown"];
const STATUSES: readonly Status[] = ["published", "quoted", "memory", "derived"];
const CONFIDENCES: readonly Confidence[] = ["high", "medium", "low"];

function randomRow(random: () => number): RatingRow {
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)] ?? (list[0] as T);
  const status = pick(STATUSES);
  const value = (): Sourced<number> => ({
    value: 100 + 10 * Math.floor(random() * 30),
    status,
    source: pick(["A", "B", "C"]),
    ...(status === "memory" ? { confidence: pick(CONFIDENCES) } : {}),
  });
  const limits: { [N in LimitName]?: Sourced<number> } = {};
  for (const name of ["plateVolts", "cathodePositiveDcVolts", "cathodePositivePeakVolts"] as const)
    if (random() < 0.7) limits[name] = value();
  return {
    variant: pick(["T", "T", "T", "TA"]),
    label: "",
    system: pick(SYSTEMS),
    systemFrom: "",
    limits: limits as { [N in LimitName]?: Sourced<TubeLimits[N]> },
  };
}

for (const seed of [1, 2, 3, 20261125])
  describe(`the lower of two (seed ${seed})`, () => {
    const random = seededRandom(seed);
    const cases = Array.from({ length: 400 }, () =>
      Array.from({ length: 1 + Math.floor(random() * 6) }, () => randomRow(random)),
    );
    const names = ["plateVolts", "cathodePositiveDcVolts"] as const;

    test("never above a source of the same variant and system, nor above one of unknown system", () => {
      for (const rows of cases)
        for (const name of names) {
          const limit = effectiveLimit(rows, name, "T");
          if (limit === undefined) continue;
          for (const row of rows) {
            const claim = row.limits[name]?.value;
            if (claim === undefined || row.variant !== limit.variant) continue;
            if (row.system === limit.system || row.system === "unknown") expect(limit.value).toBeLessThanOrEqual(claim);
          }
        }
    });

    test("adding a source of the variant in the system in use, or of unknown system, never raises it", () => {
      for (const rows of cases) {
        const before = effectiveLimit(rows, "plateVolts", "T");
        if (before === undefined || before.variant !== "T") continue;
        const added = {
          ...randomRow(random),
          variant: "T",
          system: random() < 0.5 ? before.system : ("unknown" as const),
        };
        const after = effectiveLimit([...rows, added], "plateVolts", "T");
        expect(after?.value).toBeLessThanOrEqual(before.value);
      }
    });

    test("another system is taken only when it is known better or, as well known, lower", () => {
      for (const rows of cases) {
        const before = effectiveLimit(rows, "plateVolts", "T");
        if (before === undefined || before.variant !== "T") continue;
        const added = { ...randomRow(random), variant: "T" };
        const after = effectiveLimit([...rows, added], "plateVolts", "T");
        if (after === undefined || after.value <= before.value) continue;
        expect(["unknown", added.system]).toContain(after.system);
        expect(before.system).not.toBe(added.system);
        const known = (list: readonly RatingRow[]): number =>
          Math.min(
            ...list.flatMap((row) => {
              const claim = row.limits.plateVolts;
              return claim === undefined ? [] : trustRank(trustOf(claim, row.system));
            }),
          );
        expect(known([added])).toBeLessThanOrEqual(
          known(rows.filter((row) => row.variant === "T" && row.system === before.system)),
        );
      }
    });

    test("a source of another version never changes a limit the version has", () => {
      for (const rows of cases) {
        const before = effectiveLimit(rows, "plateVolts", "T");
        if (before?.variant !== "T") continue;
        expect(effectiveLimit([...rows, { ...randomRow(random), variant: "TA" }], "plateVolts", "T")).toEqual(before);
      }
    });

    test("order of the rows is nothing", () => {
      for (const rows of cases)
        for (const name of names)
          expect(effectiveLimit([...rows].reverse(), name, "T")?.value).toBe(effectiveLimit(rows, name, "T")?.value);
    });

    test("disagreements are the other numbers of the same variant and system", () => {
      for (const rows of cases) {
        const limit = effectiveLimit(rows, "plateVolts", "T");
        if (limit === undefined) continue;
        const expected = rows
          .filter((row) => row.variant === limit.variant && row.system === limit.system)
          .flatMap((row) => row.limits.plateVolts?.value ?? [])
          .filter((value) => value !== limit.value);
        const sorted = (values: readonly number[]): readonly number[] => [...values].sort((one, other) => one - other);
        expect(sorted(limit.disagreements.map((one) => one.value))).toEqual(sorted(expected));
      }
    });
  });
