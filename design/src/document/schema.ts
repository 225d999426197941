/**
 * The design document, `platewright/design@1`, in zod. Values stand as a builder writes them ("47k", "0.47u").
 * Nets are the truth: parts name the nets their pins are tied to; "0" is the common ground of the unit.
 * Unknown fields are errors. Meaning that crosses fields (duplicate ids, lonely nets, unknown sections) is checked in
 * `read.ts`, which turns every complaint into one sentence with its place.
 */
import { z } from "zod";
import { chassisSchema } from "./chassis-schema.ts";
import { id, note } from "./ids.ts";

const net = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9_+.-]{0,39}$/, "a short net name of letters, digits, + _ . -");
const value = z.string().min(1).max(24);
const fraction = z.number().min(0).max(1);

const common = {
  id,
  label: z.string().max(80).optional(),
  tolerancePercent: z.number().min(0).max(100).optional(),
  note: note.optional(),
};

export const partSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("resistor"),
    ...common,
    value,
    watts: z.number().positive().optional(),
    volts: z.number().positive().optional(),
    pins: z.strictObject({ a: net, b: net }),
  }),
  z.strictObject({
    kind: z.literal("capacitor"),
    ...common,
    value,
    volts: z.number().positive().optional(),
    polarised: z.boolean().optional(),
    pins: z.strictObject({ a: net, b: net }),
  }),
  z.strictObject({
    kind: z.literal("inductor"),
    ...common,
    value,
    seriesOhms: value,
    amps: z.number().positive().optional(),
    pins: z.strictObject({ a: net, b: net }),
  }),
  z.strictObject({
    kind: z.literal("potentiometer"),
    ...common,
    value,
    taper: z.enum(["linear", "log", "reverse-log"]),
    /** 0 fully counter-clockwise, 1 fully clockwise. */
    position: fraction,
    pins: z.strictObject({ top: net, wiper: net, bottom: net }),
  }),
  z.strictObject({
    kind: z.literal("triode"),
    ...common,
    pins: z.strictObject({ plate: net, grid: net, cathode: net }),
  }),
  z.strictObject({
    kind: z.literal("diode"),
    ...common,
    type: z.string().max(40),
    volts: z.number().positive().optional(),
    pins: z.strictObject({ anode: net, cathode: net }),
  }),
  /** It stands at `value` + `ohms` times its current. A gas tube's anode is positive, a Zener's cathode. */
  z.strictObject({
    kind: z.literal("regulator"),
    ...common,
    technology: z.enum(["gas-tube", "zener"]),
    type: z.string().max(40).optional(),
    value,
    /** Slope resistance within the range. */
    ohms: value,
    /** Range in which it regulates; left out: the library's, for a type that it knows. */
    ampsFrom: z.number().positive().optional(),
    ampsTo: z.number().positive().optional(),
    /** Volts that a gas tube needs before it conducts. */
    strikingVolts: z.number().positive().optional(),
    watts: z.number().positive().optional(),
    pins: z.strictObject({ anode: net, cathode: net }),
  }),
  /** A field-effect follower: `siemens` at `atAmps` as its sheet gives them. */
  z.strictObject({
    kind: z.literal("follower"),
    ...common,
    type: z.string().max(40).optional(),
    thresholdVolts: z.number().min(-20).max(20),
    siemens: z.number().positive().max(100),
    atAmps: z.number().positive().max(100),
    /** What it may turn into heat as it is mounted. */
    watts: z.number().positive().optional(),
    /** Drain to source. */
    volts: z.number().positive().optional(),
    pins: z.strictObject({ gate: net, drain: net, source: net }),
  }),
  z.strictObject({
    kind: z.literal("dc-source"),
    ...common,
    value,
    seriesOhms: value.optional(),
    pins: z.strictObject({ plus: net, minus: net }),
  }),
  z.strictObject({
    kind: z.literal("current-sink"),
    ...common,
    value,
    parallelOhms: value.optional(),
    pins: z.strictObject({ from: net, to: net }),
  }),
  z.strictObject({
    kind: z.literal("switch"),
    ...common,
    closed: z.boolean(),
    pins: z.strictObject({ a: net, b: net }),
  }),
  z.strictObject({
    kind: z.literal("jack"),
    ...common,
    role: z.enum(["input", "output"]),
    pins: z.strictObject({ tip: net, sleeve: net }),
  }),
]);

/** A block is stored once; `ports` are the nets an instance ties to the outside; its other nets are local. */
export const blockSchema = z.strictObject({
  ports: z.array(net).max(20),
  parts: z.array(partSchema).min(1).max(300),
});

/** One use of a block. Expanded ids are "instance.part" and "instance.net"; ports take the outside net's name. */
export const instanceSchema = z.strictObject({
  id,
  block: id,
  label: z.string().max(80).optional(),
  /** port name -> outside net. "0" needs no entry. */
  ports: z.record(net, net),
  /** Values that differ in this instance, by part id. */
  overrides: z
    .record(
      id,
      z.strictObject({
        value: value.optional(),
        tolerancePercent: z.number().min(0).max(100).optional(),
        watts: z.number().positive().optional(),
        volts: z.number().positive().optional(),
        position: fraction.optional(),
      }),
    )
    .optional(),
  /** triode part id -> the envelope and section that serves it. */
  sections: z.record(id, z.strictObject({ envelope: id, section: z.union([z.literal(1), z.literal(2)]) })).optional(),
});

/** What the wire on a pin brings: an expanded net, or a lead of a winding: a heater winding's id, or "HT" for the high tension. */
export const pinWireSchema = z.union([
  z.strictObject({ net }),
  z.strictObject({ winding: id, lead: z.enum(["a", "b"]) }),
]);

/** One bottle and its socket, wired pin by pin. The wiring belongs to the unit and stays when another type goes in. */
export const envelopeSchema = z.strictObject({
  id,
  type: z.string().min(1).max(40),
  /** Rating variant when the bottle is known: "5687WA", "6922EH" ... */
  variant: z.string().max(40).optional(),
  socket: z.enum(["noval", "octal", "7-pin miniature", "UX4", "UY5"]),
  wiring: z.record(z.string().regex(/^[1-9]$/, "a pin number 1 to 9"), pinWireSchema),
});

/** One reading under load: rms volts at rms amperes into a resistor, and the mains it was taken at when not the same. */
const loadedReadingSchema = z.strictObject({
  amps: z.number().positive(),
  volts: z.number().positive(),
  mainsVolts: z.number().positive().optional(),
});

/** What hangs between a heater winding and its pins, and what the winding is referred by. All of it may be left out. */
const heaterWindingExtras = {
  /** How the winding's centre is made; left out: its own centre tap. */
  referredBy: z.enum(["centre-tap", "two-resistors", "hum-pot", "one-end"]).optional(),
  /** Each of the two resistors, or the whole hum pot. */
  referredByOhms: value.optional(),
  humPotPosition: fraction.optional(),
  /** Wire from winding to sockets, one way; copper. */
  wire: z
    .strictObject({
      awg: z.number().int().min(0).max(40).optional(),
      squareMillimetres: z.number().positive().optional(),
      metres: z.number().positive(),
    })
    .optional(),
  /** Resistance put in each leg, for a winding that runs high. */
  dropOhmsPerLeg: value.optional(),
  /** Heaters on dc: bridge and capacitor; left out: ac. */
  direct: z
    .strictObject({ bridge: z.enum(["silicon", "schottky"]), farads: value, dropOhms: value.optional() })
    .optional(),
} as const;

export const transformerSchema = z.strictObject({
  label: z.string().max(120),
  highTension: z.strictObject({
    ratedRmsVoltsPerHalf: z.number().positive(),
    ratedAmps: z.number().positive(),
    unloadedRmsVoltsPerHalf: z.number().positive(),
    /** Source resistance seen by one plate: half winding plus reflected primary. */
    ohmsPerHalf: z.number().positive(),
  }),
  heaters: z
    .array(
      z.strictObject({
        id,
        ratedVolts: z.number().positive(),
        ratedAmps: z.number().positive(),
        /** Volts with nothing connected; the drop to ratedVolts at ratedAmps is taken as linear. */
        unloadedVolts: z.number().positive(),
        /** The net the winding's centre is referred to ("0", or the tap of an elevation divider). */
        reference: net,
        ...heaterWindingExtras,
      }),
    )
    .max(6),
  /** What a rating of current means; left out: dc after a capacitor input. */
  currentRating: z.enum(["dc-after-capacitor", "ac-rms"]).optional(),
  /** Taps as marked and the one in use; left out: wound for the mains of the document. */
  primary: z
    .strictObject({
      tapVolts: z.array(z.number().positive()).min(1).max(8),
      usedTapVolts: z.number().positive(),
      ratedHertz: z.number().min(40).max(70).optional(),
    })
    .optional(),
  ratedVoltAmps: z.number().positive().optional(),
  /** The builder's own readings; where given they go before the numbers above. */
  measured: z
    .strictObject({
      mainsVolts: z.number().positive(),
      primaryOhms: z.number().positive(),
      highTension: z.strictObject({
        ohmsPerHalf: z.number().positive(),
        unloadedRmsVoltsPerHalf: z.number().positive(),
        loaded: loadedReadingSchema.optional(),
      }),
      heaters: z.record(
        id,
        z.strictObject({
          unloadedVolts: z.number().positive(),
          ohms: z.number().positive().optional(),
          loaded: loadedReadingSchema.optional(),
        }),
      ),
    })
    .optional(),
  /** Iron of unknown rating: what could be read off it. The numbers above are then only what it is tried with. */
  unknown: z
    .strictObject({
      mainsVolts: z.number().positive(),
      unloadedRmsVoltsPerHalf: z.number().positive(),
      ohmsPerHalf: z.number().positive().optional(),
      primaryOhms: z.number().positive().optional(),
      kilograms: z.number().positive().optional(),
      tongueMillimetres: z.number().positive().optional(),
      stackMillimetres: z.number().positive().optional(),
    })
    .optional(),
  /** Insulation of every winding tested at voltage; rating established by a load test with its temperature. */
  insulationTested: z.boolean().optional(),
  ratingEstablished: z.boolean().optional(),
});

export const supplySchema = z.strictObject({
  mains: z.strictObject({
    volts: z.number().positive(),
    hertz: z.number().min(40).max(70),
    lowPercent: z.number().min(-30).max(0),
    highPercent: z.number().min(0).max(30),
  }),
  transformer: transformerSchema,
  rectifier: z.strictObject({
    /** How the winding is rectified; left out: full-wave from a centre tap. A bridge takes the whole winding as one half. */
    circuit: z.enum(["full-wave", "half-wave", "bridge", "hybrid-bridge"]).optional(),
    /** The rectifier tube's bottle; left out: silicon alone. */
    envelope: id.optional(),
    /** Silicon diodes: alone, under a tube in a hybrid bridge, or in series with each plate. */
    silicon: z
      .strictObject({ type: z.string().min(1).max(40), volts: z.number().positive(), amps: z.number().positive() })
      .optional(),
    /** Added resistance in each plate lead (or diode lead). */
    seriesOhms: value.optional(),
    /** The net of the first capacitor; the capacitor from it to "0" belongs to the rectifier's solve. */
    output: net,
    firstCapacitor: z.string().max(80),
    /** Choke input: the choke between rectifier and first capacitor. */
    choke: z.strictObject({ value, seriesOhms: value, amps: z.number().positive().optional() }).optional(),
  }),
  /** In the live lead of the primary. */
  fuse: z
    .strictObject({
      amps: z.number().positive(),
      kind: z.enum(["slow", "fast"]),
      breaking: z.enum(["high", "low"]),
    })
    .optional(),
  /** The lamp of the bench limiter; left out: 60 W for the rated mains. */
  lamp: z.strictObject({ watts: z.number().positive(), volts: z.number().positive() }).optional(),
});

export const targetsSchema = z.strictObject({
  largestInputVolts: z.number().positive(),
  sourceOhms: value.optional(),
  loadOhms: value,
  loadFarads: value,
  /** Input levels, V rms at the input jack, at which the voicing is kept and printed. */
  voicingVolts: z.array(z.number().positive()).min(1).max(12),
  cableFarads: value.optional(),
  /** H2 as the builder read it on the proven unit: input at the jack, and the reading as written ("0.57 %", "-45 dB"). */
  measuredH2: z
    .array(
      z.strictObject({
        inputVolts: z.number().positive(),
        reading: z.string().min(1).max(24),
        /** Where the drive stood; left out: as in the proven document. */
        drivePosition: fraction.optional(),
      }),
    )
    .max(24)
    .optional(),
  /** H2 that the builder wants, in percent of the fundamental, at a level at the input jack with the drive as set. */
  wantedH2: z.strictObject({ inputVolts: z.number().positive(), percent: z.number().positive().max(50) }).optional(),
});

/** House rules: defaults of common practice that the builder may change. */
export const houseRulesSchema = z.strictObject({
  ratingFraction: z.number().min(0.1).max(1).optional(),
  resistorFraction: z.number().min(0.1).max(1).optional(),
  /** Each hum line at the output with the level at unity, dBV; common practice -90. */
  humDecibelVolts: z.number().min(-140).max(0).optional(),
  /** Time to 60 V after the switch is opened, seconds; common practice 60. */
  dischargeSeconds: z.number().min(1).max(600).optional(),
  /** Peak at the output jack at switch-on and switch-off, volts; common practice 1. */
  thumpVolts: z.number().min(0.01).max(100).optional(),
  /** A mute relay or switch keeps the output shorted at switch-on and switch-off. */
  mute: z.boolean().optional(),
});

export const documentSchema = z.strictObject({
  name: z.string().min(1).max(120),
  invented: z.boolean().optional(),
  note: note.optional(),
  blocks: z.record(id, blockSchema),
  instances: z.array(instanceSchema).min(1).max(20),
  envelopes: z.array(envelopeSchema).max(20),
  supply: supplySchema.optional(),
  targets: targetsSchema,
  houseRules: houseRulesSchema.optional(),
  chassis: chassisSchema.optional(),
});

/** A frozen revision: the document and copies of what it was solved with. `frozen` is data of the library, as it was. */
export const revisionSchema = z.strictObject({
  id,
  note: note.optional(),
  cutOn: z.string().max(40).optional(),
  document: documentSchema,
  frozen: z.strictObject({
    engineVersion: z.string().max(40),
    tubes: z.record(z.string(), z.unknown()),
    laws: z.record(z.string(), z.unknown()),
    /** Limits in use by "type name" or "type/variant name". */
    limits: z.record(z.string(), z.unknown()).optional(),
    /** Footprints in use, by id. */
    footprints: z.record(z.string(), z.unknown()).optional(),
  }),
});

export const designFileSchema = z.strictObject({
  format: z.literal("platewright/design@1"),
  migrations: z.array(z.string()).max(200),
  now: documentSchema,
  revisions: z.array(revisionSchema).max(500),
  proven: id.optional(),
});

export const shelfFileSchema = z.strictObject({
  format: z.literal("platewright/shelf@1"),
  name: z.string().max(120),
  invented: z.boolean().optional(),
  tubes: z.array(
    z.strictObject({
      type: z.string().min(1).max(40),
      count: z.number().int().min(0).max(100000),
      variant: z.string().max(40).optional(),
      note: note.optional(),
    }),
  ),
  transformers: z.array(z.strictObject({ count: z.number().int().min(0).max(100000), transformer: transformerSchema })),
  /** Values on hand. A whole series may be named instead of single values. */
  resistors: z.array(
    z.union([
      z.strictObject({ series: z.enum(["E12", "E24"]), from: value, to: value, watts: z.number().positive() }),
      z.strictObject({
        value,
        watts: z.number().positive(),
        volts: z.number().positive().optional(),
        count: z.number().int().min(0).max(100000),
      }),
    ]),
  ),
  capacitors: z.array(
    z.strictObject({
      value,
      volts: z.number().positive(),
      count: z.number().int().min(0).max(100000),
      note: note.optional(),
    }),
  ),
});

export type DocumentPart = z.infer<typeof partSchema>;
export type Block = z.infer<typeof blockSchema>;
export type Instance = z.infer<typeof instanceSchema>;
export type Envelope = z.infer<typeof envelopeSchema>;
export type PinWire = z.infer<typeof pinWireSchema>;
export type Transformer = z.infer<typeof transformerSchema>;
export type Supply = z.infer<typeof supplySchema>;
export type Targets = z.infer<typeof targetsSchema>;
export type Document = z.infer<typeof documentSchema>;
export type Revision = z.infer<typeof revisionSchema>;
export type DesignFile = z.infer<typeof designFileSchema>;
export type ShelfFile = z.infer<typeof shelfFileSchema>;
