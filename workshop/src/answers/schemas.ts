/** Shape of every --json answer; `npm run schemas` writes them as JSON Schema. SI units, stable names. */
import { z } from "zod";

const number = z.number();
const maybe = number.nullable();

const effort = z.strictObject({ steps: number, factorings: number, lawCalls: number, residual: number });
const change = z.strictObject({ target: z.string(), before: z.unknown().optional(), after: z.unknown().optional() });
const fix = z.strictObject({ title: z.string(), changes: z.array(change) });
const level = z.enum(["ok", "watch", "stop"]);
const outcome = z.enum(["settled", "tail-not-reached"]);
const point = z.strictObject({
  inputVolts: number,
  outputVolts: number,
  /** H2, H3, ... over the fundamental. */
  ratios: z.array(number),
  signs: z.array(z.union([z.literal(1), z.literal(-1)])),
  outcome,
  tailDecibels: number,
});

export const stageAnswer = z.strictObject({
  tube: z.string(),
  bias: z.strictObject({
    plateAmps: number,
    /** Plate to cathode. */
    plateVolts: number,
    cathodeVolts: number,
    gridVolts: number,
    plateWatts: number,
    siemens: number,
    plateOhms: number,
    mu: number,
  }),
  gain: number,
  inverts: z.boolean(),
  outputOhms: number,
  harmonics: z.array(
    z.strictObject({
      outputVolts: number,
      inputVolts: number,
      percent: z.array(number),
      totalPercent: number,
      outcome,
      tailDecibels: number,
    }),
  ),
  gridCurrentOnset: z.strictObject({ inputVolts: maybe, outputVolts: maybe }),
  band: z.strictObject({ h2Decibels: number, h3Decibels: number, basis: z.string() }),
  effort,
});

export const rectifyAnswer = z.strictObject({
  /** A type, "silicon" or "ideal". */
  tube: z.string(),
  circuit: z.enum(["full-wave", "half-wave", "bridge"]),
  dcVolts: number,
  loadAmps: number,
  ripplePeakToPeakVolts: number,
  platePeakAmps: number,
  plateRmsAmps: number,
  windingRmsAmps: number,
  capacitorRmsAmps: number,
  peakInverseVolts: number,
  conductionDegrees: number,
  slopeOhms: number,
  effort,
});

const finding = z.strictObject({
  id: z.string(),
  level,
  title: z.string(),
  value: maybe,
  limit: maybe,
  unit: z.string(),
  condition: z.string(),
  source: z.string(),
  where: z.string(),
  ratingSystem: z.string().optional(),
  channel: z.string().optional(),
  fixes: z.array(fix),
});

const solved = {
  name: z.string(),
  condition: z.string(),
  supply: z.strictObject({ dcVolts: number, loadAmps: number, ripplePeakToPeakVolts: number }).optional(),
  netVolts: z.record(z.string(), number),
  triodes: z.record(
    z.string(),
    z.strictObject({
      plateAmps: number,
      plateVolts: number,
      gridVolts: number,
      plateWatts: number,
      siemens: number,
      mu: number,
    }),
  ),
  heaters: z.array(z.strictObject({ winding: z.string(), amps: number, volts: number, referenceVolts: number })),
  channels: z.array(
    z.strictObject({
      instance: z.string(),
      sameAs: z.string().optional(),
      gain: number,
      inverts: z.boolean(),
      outputOhms: number,
      minusOneDecibelLow: maybe,
      minusOneDecibelHigh: maybe,
      onset: z.array(z.strictObject({ triode: z.string(), inputVolts: maybe, searchedTo: number })),
      levels: z.array(point),
    }),
  ),
  effort,
};

const discharge = z.strictObject({ seconds: maybe });

export const checkAnswer = z.strictObject({ ...solved, discharge, findings: z.array(finding) });

const discharged = z
  .strictObject({
    /** To 60 V on every reservoir; null: not within ten minutes. */
    seconds: maybe,
    fromVolts: number,
    net: z.string(),
    joules: number,
    coulombs: number,
    thumpVolts: number,
    condition: z.string(),
  })
  .nullable();

export const supplyAnswer = z.strictObject({
  name: z.string(),
  /** By id: nominal, mains-low, mains-high, cold, cold-mains-high, pulled, without-V1, lamp-all ... */
  conditions: z.record(
    z.string(),
    z.strictObject({
      words: z.string(),
      mainsFactor: number,
      mainsWatts: number,
      nodes: z.record(z.string(), z.strictObject({ volts: number })),
      parts: z.record(
        z.string(),
        z.strictObject({ value: number, limit: number, fraction: number, unit: z.enum(["V", "A", "W", "VA"]) }),
      ),
    }),
  ),
  lamp: z.array(z.strictObject({ step: z.string(), lampVolts: number, mainsAmps: number })),
  discharge: discharged,
  dischargeHot: discharged,
  hum: z
    .strictObject({
      level: z.string(),
      gain: number,
      lines: z.array(
        z.strictObject({
          hertz: number,
          voltsRms: number,
          dbv: number,
          from: z.enum(["ripple", "heaters"]),
          channel: z.string(),
        }),
      ),
      ripple: z.array(z.strictObject({ net: z.string(), voltsRms: number })),
      capacitors: z.array(z.strictObject({ part: z.string(), ampsRms: number })),
      crosstalk: z.array(z.strictObject({ hertz: number, decibels: number })),
      noise: z.array(z.strictObject({ channel: z.string(), flatVoltsRms: number, weightedVoltsRms: number })),
      /** What is assumed of heaters and strays, not known. */
      assumptions: z.strictObject({
        leakageOhms: number,
        leakageFarads: number,
        strayFarads: number,
        balance: number,
      }),
    })
    .nullable(),
  startUp: z
    .strictObject({
      peaks: z.record(z.string(), z.strictObject({ volts: number, seconds: number })),
      thumpVolts: number,
    })
    .nullable(),
  transformer: z
    .strictObject({
      knownBy: z.enum(["label", "measured", "unknown"]),
      saleStop: z.boolean(),
      /** Lowest and highest that it may be. */
      ranges: z.record(z.string(), z.tuple([number, number])),
      notes: z.array(z.string()),
    })
    .nullable(),
  wishes: z.array(z.strictObject({ wish: z.string(), words: z.string(), changes: z.array(change) })),
  surgeAmps: maybe,
  mainsAmps: number,
  suggestedFuseAmps: number,
  faults: z.array(
    z.strictObject({
      id: z.string(),
      words: z.string(),
      burns: z.array(z.strictObject({ part: z.string(), times: number, unit: z.string() })),
      mainsAmps: maybe,
      fuse: z.string(),
      outputVolts: maybe,
      unsolved: z.string().optional(),
    }),
  ),
  unsolved: z.array(z.strictObject({ words: z.string(), sentence: z.string() })),
  findings: z.array(finding),
});

const holeShape = z.union([
  z.strictObject({ kind: z.literal("circle"), diameterMillimetres: number }),
  z.strictObject({
    kind: z.literal("rectangle"),
    widthMillimetres: number,
    heightMillimetres: number,
    cornerMillimetres: number.optional(),
    degrees: number.optional(),
  }),
]);

/** Millimetres from the front left corner of the top plate seen from above. */
export const chassisAnswer = z.strictObject({
  name: z.string(),
  plate: z.looseObject({ widthMillimetres: number, depthMillimetres: number, thicknessMillimetres: number }),
  holes: z.array(
    z.strictObject({
      id: z.string(),
      label: z.string(),
      item: z.string().nullable(),
      purpose: z.string(),
      xMillimetres: number,
      yMillimetres: number,
      shape: holeShape,
      underMillimetres: number,
      overMillimetres: number,
      in: z.enum(["plate", "adapter-ring", "cover-plate", "sub-plate"]),
      work: z.enum(["done", "cut", "open-up", "unresolved", "spare", "close"]),
      existing: z.string().nullable(),
      thread: z.string().nullable(),
      /** null: nothing is to be made. */
      tool: z
        .strictObject({
          id: z.string().nullable(),
          cutMillimetres: maybe,
          pilotsMillimetres: z.array(number),
          words: z.string(),
          traps: z.array(z.string()),
        })
        .nullable(),
    }),
  ),
  refused: z.array(z.strictObject({ hole: z.string(), by: z.string(), why: z.string() })),
  ways: z.array(
    z.strictObject({
      by: z.string(),
      hole: z.string(),
      item: z.string().optional(),
      title: z.string(),
      words: z.string(),
      obstacle: z.string().optional(),
      plugMillimetres: number.optional(),
      uses: z.array(z.strictObject({ footprint: z.string(), label: z.string() })).optional(),
      minutes: number,
      materialCost: number,
      cost: number,
      fix: fix.optional(),
    }),
  ),
  order: z.array(
    z.strictObject({
      words: z.string(),
      holes: z.array(z.string()),
      tool: z.string().optional(),
      caution: z.string().optional(),
    }),
  ),
  imported: z
    .strictObject({
      widthMillimetres: number,
      depthMillimetres: number,
      holes: number,
      units: z.enum(["mm", "cm", "inch", "m"]),
      notes: z.array(z.string()),
      refused: z.array(z.string()),
    })
    .nullable(),
  findings: z.array(finding),
});

export const voiceAnswer = z.strictObject({
  name: z.string(),
  voices: z.array(z.strictObject({ instance: z.string(), drive: maybe, gain: number, levels: z.array(point) })),
});

const wireMove = z.strictObject({ from: z.string().optional(), to: z.string().optional(), wire: z.unknown() });

export const reworkAnswer = z.strictObject({
  proven: z.string().optional(),
  newer: z.array(z.unknown()),
  goal: z.looseObject({ kind: z.string() }),
  held: z.boolean(),
  distanceDecibels: maybe,
  fitted: z.array(z.strictObject({ envelopes: z.array(z.string()), type: z.string(), proposed: z.boolean() })),
  changes: z.array(change),
  moves: z.array(z.strictObject({ envelope: z.string(), moves: z.array(wireMove) })),
  differences: z.array(
    z.strictObject({
      id: z.string(),
      proven: maybe,
      now: maybe,
      unit: z.string(),
      label: z.string(),
      channel: z.string().optional(),
      band: number.optional(),
    }),
  ),
  discharge,
  findings: z.array(finding),
  candidates: z.array(
    z.strictObject({
      tube: z.string(),
      level,
      reason: z.string(),
      changes: z.array(change),
      where: z.string(),
      onShelf: number,
      voicingErrorDecibels: maybe,
      figures: z.record(z.string(), maybe),
    }),
  ),
  now: z.strictObject(solved),
  document: z.looseObject({ name: z.string() }),
});

export const tubesAnswer = z.union([
  z.strictObject({
    tubes: z.array(z.looseObject({ type: z.string(), kind: z.string(), sections: number })),
  }),
  z.strictObject({
    tube: z.looseObject({ type: z.string(), kind: z.string() }),
    limits: z.array(z.looseObject({ name: z.string(), value: number })),
    law: z.looseObject({ type: z.string() }).optional(),
  }),
  z.strictObject({
    tubes: z.array(z.string()),
    lines: z.array(z.looseObject({ id: z.string(), label: z.string() })),
    moves: z.array(z.looseObject({ from: z.string(), to: z.string() })).optional(),
  }),
]);

export const ANSWERS = {
  chassis: chassisAnswer,
  stage: stageAnswer,
  rectify: rectifyAnswer,
  check: checkAnswer,
  voice: voiceAnswer,
  supply: supplyAnswer,
  rework: reworkAnswer,
  tubes: tubesAnswer,
} as const;
