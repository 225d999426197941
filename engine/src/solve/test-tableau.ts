/**
 * A slow clear solve of a linear circuit, for the tests to compare with: straight from the parts, one unknown per net and
 * one per source, switch and inductor, dense, nothing eliminated and nothing shared with the solves under test.
 */
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { type SeededRandom, seededRandom } from "../numerics/random.ts";
import { amps, henries, ohms } from "../units/quantities.ts";
import type { Bias, Complex } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { SLOPES } from "./network.ts";
import { capacitor, GRID, ISLAND_12AU7, NO_GRID, resistor, signal, supply, triode } from "./test-circuits.ts";

export interface TableauAsk {
  readonly radiansPerSecond: number;
  /** E.m.f. of each source by id; 0 when not named. */
  readonly emf?: ReadonlyMap<string, number>;
  /** Whether current sinks draw. */
  readonly sinks?: boolean;
  /** dia/dvg, dia/dva, dig/dvg, dig/dva of triodes; di/dv of diodes. A device not named draws nothing. */
  readonly slopes?: ReadonlyMap<string, readonly number[]>;
  /** Amperes that leave the circuit at `out` and return at `back`. */
  readonly drawn?: readonly { readonly out: string; readonly back: string; readonly amps: number }[];
}

/** Volts of every net to ground. Throws when the equations have no solution. */
export function solveTableau(parts: readonly Part[], ask: TableauAsk): ReadonlyMap<string, Complex> {
  const w = ask.radiansPerSecond;
  const rows = new Map<string, Map<string, Complex>>();
  const right = new Map<string, number>();
  const names = new Set<string>();
  const put = (row: string, column: string, re: number, im = 0) => {
    if (row === "0") return;
    names.add(row);
    if (column === "0") return;
    names.add(column);
    const at = rows.get(row) ?? rows.set(row, new Map()).get(row);
    const old = at?.get(column) ?? { re: 0, im: 0 };
    at?.set(column, { re: old.re + re, im: old.im + im });
  };
  const draw = (out: string, back: string, current: number) => {
    right.set(out, (right.get(out) ?? 0) - current);
    right.set(back, (right.get(back) ?? 0) + current);
  };
  /** A current from `out` to `back` of (g + jb) times the volts from plus to minus. */
  const admit = (out: string, back: string, plus: string, minus: string, g: number, b: number) => {
    put(out, plus, g, b);
    put(out, minus, -g, -b);
    put(back, plus, -g, -b);
    put(back, minus, g, b);
  };
  const two = (a: string, b: string, siemens: number, farads = 0) => admit(a, b, a, b, siemens, w * farads);
  /** A branch whose current is an unknown: v_plus - v_minus - (r + jx) i = e. */
  const branch = (id: string, plus: string, minus: string, r: number, x: number, e: number) => {
    const current = `i ${id}`;
    put(plus, current, 1);
    put(minus, current, -1);
    put(current, plus, 1);
    put(current, minus, -1);
    put(current, current, -r, -x);
    right.set(current, e);
  };
  for (const part of parts) {
    const slopes = ask.slopes?.get(part.id) ?? [0, 0, 0, 0];
    const [s0 = 0, s1 = 0, s2 = 0, s3 = 0] = slopes;
    switch (part.kind) {
      case "resistor":
        two(part.a, part.b, 1 / part.ohms);
        break;
      case "capacitor":
        two(part.a, part.b, 0, part.farads);
        break;
      case "inductor":
        branch(part.id, part.a, part.b, part.seriesOhms, w * part.henries, 0);
        break;
      case "potentiometer":
        two(part.top, part.wiper, 1 / (part.ohms * (1 - part.fraction)));
        two(part.wiper, part.bottom, 1 / (part.ohms * part.fraction));
        break;
      case "dc-source":
      case "ac-source":
        // The current flows from plus through the source to minus: less volts by r i when it delivers (i below 0).
        branch(part.id, part.plus, part.minus, part.seriesOhms, 0, ask.emf?.get(part.id) ?? 0);
        break;
      case "switch":
        if (part.closed) branch(part.id, part.a, part.b, 0, 0, 0);
        break;
      case "current-sink":
        two(part.from, part.to, 1 / part.parallelOhms);
        if (ask.sinks === true) draw(part.from, part.to, part.amps);
        break;
      case "triode": {
        const { plate, grid, cathode } = part;
        two(grid, plate, 0, part.gridPlateFarads);
        two(grid, cathode, 0, part.gridCathodeFarads);
        two(plate, cathode, 0, part.plateCathodeFarads);
        admit(plate, cathode, grid, cathode, s0, 0);
        admit(plate, cathode, plate, cathode, s1, 0);
        admit(grid, cathode, grid, cathode, s2, 0);
        admit(grid, cathode, plate, cathode, s3, 0);
        break;
      }
      case "diode":
        two(part.anode, part.cathode, s0);
        break;
      case "jack":
        break;
    }
  }
  for (const { out, back, amps: current } of ask.drawn ?? []) draw(out, back, current);
  const order = [...names];
  const table = order.map((row) => [
    ...order.map((column) => rows.get(row)?.get(column) ?? { re: 0, im: 0 }),
    { re: right.get(row) ?? 0, im: 0 },
  ]);
  const solution = eliminate(table);
  const volts = new Map<string, Complex>([["0", { re: 0, im: 0 }]]);
  for (const [i, name] of order.entries()) volts.set(name, solution[i] as Complex);
  return volts;
}

const times = (a: Complex, b: Complex): Complex => ({ re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re });
const over = (a: Complex, b: Complex): Complex => {
  const size = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / size, im: (a.im * b.re - a.re * b.im) / size };
};

/** Gauss and Jordan with the largest pivot of each column; the right side is the last column. */
function eliminate(table: Complex[][]): readonly Complex[] {
  const n = table.length;
  for (let k = 0; k < n; k++) {
    let best = k;
    const size = (row: number) => Math.hypot(table[row]?.[k]?.re ?? 0, table[row]?.[k]?.im ?? 0);
    for (let row = k + 1; row < n; row++) if (size(row) > size(best)) best = row;
    if (!(size(best) > 0)) throw new Error("no solution");
    const pivot = table[best] as Complex[];
    table[best] = table[k] as Complex[];
    table[k] = pivot.map((entry) => over(entry, pivot[k] as Complex));
    for (let row = 0; row < n; row++) {
      const factor = table[row]?.[k] as Complex;
      if (row === k || (factor.re === 0 && factor.im === 0)) continue;
      table[row] = (table[row] as Complex[]).map((entry, c) => {
        const less = times(factor, table[k]?.[c] as Complex);
        return { re: entry.re - less.re, im: entry.im - less.im };
      });
    }
  }
  return table.map((row) => row[n] as Complex);
}

/**
 * Any wiring of every kind of part: sources ideal or not, either way round, between any two nets; tubes and diodes
 * anywhere. Not every one compiles or has a bias.
 */
export function anyCircuit(seed: number): readonly Part[] {
  const random = seededRandom(seed);
  const nets = ["0", "hv", "n1", "n2", "n3", "n4", "n5", "n6"];
  const between = (low: number, high: number) => low * (high / low) ** random.uniform();
  const pair = () => differentPair(random, nets);
  const tube = (id: string, grid: boolean): Part => {
    const [plate, cathode] = pair();
    const gate = nets[random.below(nets.length)] as string;
    const law = { space: ISLAND_12AU7, grid: grid ? GRID : NO_GRID };
    const pico = () => between(1e-12, 1e-9);
    return triode(id, [plate, gate, cathode], law, [pico(), pico(), pico()]);
  };
  const parts: Part[] = [supply("B", "hv", between(100, 300), random.uniform() < 0.5 ? 0 : between(10, 1000))];
  for (let i = 1; i < nets.length; i++)
    parts.push(resistor(`tree${i}`, nets[i] as string, nets[random.below(i)] as string, between(1e3, 1e5)));
  const [a, b, c, d, e] = [pair(), pair(), pair(), pair(), pair()];
  const ideal = () => (random.uniform() < 0.6 ? 0 : between(10, 1e4));
  parts.push(
    signal("in", a[0], a[1], ideal()),
    signal("other", b[0], b[1], between(10, 1e4)),
    { ...supply("float", c[0], between(1, 10), ideal()), minus: c[1] } as Part,
    capacitor("C1", ...pair(), between(1e-11, 1e-7)),
    capacitor("C2", ...pair(), between(1e-9, 1e-6)),
    capacitor("C3", a[0], d[0] === a[0] ? d[1] : d[0], between(1e-10, 1e-7)),
    {
      kind: "inductor",
      id: "L1",
      a: d[0],
      b: d[1],
      henries: henries(between(0.1, 10)),
      seriesOhms: ohms(between(50, 2000)),
    },
    { kind: "inductor", id: "L2", a: a[1], b: e[0] === a[1] ? e[1] : e[0], henries: henries(1), seriesOhms: ohms(800) },
    {
      kind: "potentiometer",
      id: "P",
      top: e[0],
      wiper: "w",
      bottom: e[1],
      ohms: ohms(5e4),
      fraction: random.uniform(),
    },
    resistor("Rw", "w", nets[random.below(nets.length)] as string, between(1e4, 1e6)),
    { kind: "switch", id: "K", a: "w2", b: nets[random.below(nets.length)] as string, closed: true },
    resistor("Rw2", "w2", nets[random.below(nets.length)] as string, between(1e3, 1e5)),
    {
      kind: "current-sink",
      id: "S",
      from: b[1],
      to: c[1] === b[1] ? c[0] : c[1],
      amps: amps(between(1e-5, 1e-3)),
      parallelOhms: ohms(between(1e5, 1e7)),
    },
    tube("V1", true),
    tube("V2", false),
    { kind: "diode", id: "D", anode: e[1], cathode: e[0], law: { form: "power", K: 1e-4, p: 1.5 } },
  );
  return parts;
}

function differentPair(random: SeededRandom, nets: readonly string[]): readonly [string, string] {
  const a = random.below(nets.length);
  const b = (a + 1 + random.below(nets.length - 1)) % nets.length;
  return [nets[a] as string, nets[b] as string];
}

/** One wiring that is a circuit and has a bias, with what the tableau asks of it. */
export interface BiasedCircuit {
  readonly seed: number;
  readonly parts: readonly Part[];
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly slopes: ReadonlyMap<string, readonly number[]>;
  readonly dc: ReadonlyMap<string, number>;
}

const TIGHT = { gridStepVolts: 2, plateStepVolts: 60, steps: 200, residualAmps: 1e-14, residualFraction: 1e-13 };

/** Those of the seeds 1 to `most` that are circuits: no loop of ideal sources, tubes that find a rest. */
export const biasedCircuits = (most: number): readonly BiasedCircuit[] =>
  Array.from({ length: most }, (_, i) => i + 1).flatMap((seed) => {
    // Odd seeds the other way round: nothing may hang on which device comes first.
    const parts = seed % 2 === 0 ? anyCircuit(seed) : anyCircuit(seed).toReversed();
    const circuit = compile(parts);
    if (!circuit.ok) return [];
    const bias = solveBias(circuit.value, { limits: TIGHT });
    if (!bias.ok) return [];
    const slopes = new Map(
      circuit.value.devices.map(({ id }, d) => [id, [...bias.value.slopes.subarray(SLOPES * d, SLOPES * d + SLOPES)]]),
    );
    const dc = new Map(parts.flatMap((part) => (part.kind === "dc-source" ? [[part.id, part.volts as number]] : [])));
    return [{ seed, parts, circuit: circuit.value, bias: bias.value, slopes, dc }];
  });

/** Largest distance of two lists over the largest of the second (at least a thousandth); NaN when they are not of one length. */
export function apart(found: readonly Complex[], wanted: readonly Complex[]): number {
  if (found.length !== wanted.length) return Number.NaN;
  const size = Math.max(1e-3, ...wanted.map(({ re, im }) => Math.hypot(re, im)));
  return Math.max(...found.map((one, i) => Math.hypot(less(one, wanted[i]).re, less(one, wanted[i]).im))) / size;
}

export const less = (a: Complex | undefined, b: Complex | undefined): Complex => ({
  re: (a?.re ?? Number.NaN) - (b?.re ?? Number.NaN),
  im: (a?.im ?? Number.NaN) - (b?.im ?? Number.NaN),
});

/** Amperes drawn beyond slope times volts by the devices that `which` names, at the bias. */
export function standing({ circuit, bias, slopes }: BiasedCircuit, which: (id: string) => boolean) {
  const name = (net: number) => circuit.map.nets[net] as string;
  const at = (net: number) => bias.netVolts.get(name(net)) ?? Number.NaN;
  return circuit.devices.flatMap((device) => {
    if (!which(device.id)) return [];
    const [s0 = 0, s1 = 0, s2 = 0, s3 = 0] = slopes.get(device.id) ?? [];
    const out = new Float64Array(6);
    if (device.kind === "diode") {
      const v = at(device.anode) - at(device.cathode);
      device.evaluate(v, out);
      return [{ out: name(device.anode), back: name(device.cathode), amps: (out[0] as number) - s0 * v }];
    }
    const vg = at(device.grid) - at(device.cathode);
    const va = at(device.plate) - at(device.cathode);
    device.evaluate(vg, va, out);
    const back = name(device.cathode);
    return [
      { out: name(device.plate), back, amps: (out[0] as number) - s0 * vg - s1 * va },
      { out: name(device.grid), back, amps: (out[3] as number) - s2 * vg - s3 * va },
    ];
  });
}
