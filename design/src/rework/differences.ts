/**
 * Differences between two solved designs, quantity by quantity, in SI and in the unit a builder thinks in.
 * Channels that are equal to an earlier one in both designs are not repeated.
 */
import type { Catalogue } from "@platewright/engine";
import type { Difference } from "../findings.ts";
import type { SolvedChannel, SolvedDesign } from "../solved/types.ts";
import { signedRatio } from "./goal.ts";
import { stagesOf } from "../solved/roles.ts";

type Row = Omit<Difference, "proven" | "now"> & { readonly of: (solved: SolvedDesign) => number | null | undefined };

/** The difference table of a rework. Nominal conditions. */
export function differencesOf(proven: SolvedDesign, now: SolvedDesign, catalogue: Catalogue): readonly Difference[] {
  const rows: Row[] = [
    ...now.channels.flatMap((channel) => channelRows(proven, now, channel, catalogue)),
    ...supplyRows(now),
  ];
  return rows.map(({ of, ...row }) => ({ ...row, proven: of(proven) ?? null, now: of(now) ?? null }));
}

function channelRows(
  proven: SolvedDesign,
  now: SolvedDesign,
  { instance, sameAs, levels }: SolvedChannel,
  catalogue: Catalogue,
): readonly Row[] {
  const before = proven.channels.find((one) => one.instance === instance);
  if (sameAs !== undefined && before?.sameAs !== undefined) return [];
  const equal = now.channels.filter((one) => one.sameAs === instance).map((one) => one.instance);
  const channel = [instance, ...equal].join(", ");
  const rows: Row[] = [];
  const add = (id: string, label: string, unit: string, of: Row["of"], band?: number) =>
    rows.push({ id: `${instance}.${id}`, label, channel, unit, of, ...(band === undefined ? {} : { band }) });
  const channelOf = (solved: SolvedDesign) => solved.channels.find((one) => one.instance === instance);

  for (const stage of stagesOf(now)) {
    const { triode } = stage;
    if (triode.instance !== instance) continue;
    const name = now.expanded.parts.find((part) => part.id === triode.id)?.written.label ?? triode.part;
    const bias = (solved: SolvedDesign) => solved.bias.triodes.get(triode.id);
    const own = (solved: SolvedDesign) => solved.expanded.triodes.find((one) => one.id === triode.id);
    const net = (solved: SolvedDesign, which: "plate" | "cathode") => {
      const at = own(solved)?.[which];
      return at === undefined ? null : at === "0" ? 0 : solved.bias.netVolts.get(at);
    };
    add(`plateAmps/${triode.part}`, `${name}: plate current`, "A", (solved) => bias(solved)?.plateAmps);
    add(`plateVolts/${triode.part}`, `${name}: plate to ground`, "V", (solved) => net(solved, "plate"));
    add(`cathodeVolts/${triode.part}`, `${name}: cathode to ground`, "V", (solved) => net(solved, "cathode"));
    add(`plateWatts/${triode.part}`, `${name}: dissipation of its limit`, "ratio", (solved) => {
      const section = own(solved);
      const limit = section === undefined ? undefined : catalogue.limit(section.type, "plateWatts", section.variant);
      const watts = bias(solved)?.plateWatts;
      return limit === undefined || watts === undefined ? null : watts / limit.value;
    });
  }

  add("gain", "gain at 1 kHz", "dB", (solved) => decibels(channelOf(solved)?.gain));
  add("inverts", "inverts", "yes/no", (solved) => {
    const inverts = channelOf(solved)?.inverts;
    return inverts === undefined ? null : Number(inverts);
  });
  const bands = bandsOf(now, instance);
  for (const { inputVolts } of levels) {
    const level = `${inputVolts}V`;
    for (const k of [2, 3] as const) {
      const ratio = (solved: SolvedDesign) => {
        const there = channelOf(solved);
        return there === undefined ? undefined : signedRatio(there, inputVolts, k);
      };
      const band = k === 2 ? bands.h2 : bands.h3;
      add(`h${k}/${level}`, `H${k} at ${inputVolts} V in`, "ratio", ratio);
      add(
        `h${k}Decibels/${level}`,
        `H${k} at ${inputVolts} V in`,
        "dBc",
        (solved) => decibels(abs(ratio(solved))),
        band,
      );
    }
  }
  for (const { triode } of stagesOf(now)) {
    if (triode.instance !== instance) continue;
    const name = now.expanded.parts.find((part) => part.id === triode.id)?.written.label ?? triode.part;
    add(`onsetVolts/${triode.part}`, `${name}: grid current begins at, input`, "V", (solved) => {
      const there = channelOf(solved);
      const from = there?.sameAs ?? instance;
      return there?.onset.find((one) => one.triode === triode.id || one.triode === `${from}.${triode.part}`)
        ?.inputVolts;
    });
  }
  add("outputOhms", "output impedance at 1 kHz", "Ω", (solved) => channelOf(solved)?.outputOhms);
  add("minusOneDecibelLow", "−1 dB below", "Hz", (solved) => channelOf(solved)?.minusOneDecibelLow);
  add("minusOneDecibelHigh", "−1 dB above", "Hz", (solved) => channelOf(solved)?.minusOneDecibelHigh);
  return rows;
}

function supplyRows(now: SolvedDesign): readonly Row[] {
  const rows: Row[] = [];
  const add = (id: string, label: string, unit: string, of: Row["of"]) => rows.push({ id, label, unit, of });
  if (now.supply !== undefined) {
    const output = now.document.supply?.rectifier.output ?? "";
    add("supply.volts/first", "B+ at the first capacitor", "V", (solved) => solved.bias.netVolts.get(output));
    add("supply.loadAmps", "B+ current", "A", (solved) => solved.supply?.loadAmps);
  }
  for (const channel of now.channels) {
    if (channel.sameAs !== undefined) continue;
    const follower = stagesOf(now).find((s) => s.triode.instance === channel.instance && s.role === "follower");
    const net = follower?.triode.plate;
    if (net !== undefined)
      add(`${channel.instance}.supplyVolts`, `B+ of the channel (${net})`, "V", (solved) =>
        solved.bias.netVolts.get(net),
      );
  }
  for (const { winding } of now.heaters) {
    const there = (solved: SolvedDesign) => solved.heaters.find((one) => one.winding === winding);
    add(`heater.amps/${winding}`, `heater winding ${winding}: current`, "A", (solved) => there(solved)?.amps);
    add(`heater.volts/${winding}`, `heater winding ${winding}: volts`, "V", (solved) => there(solved)?.volts);
  }
  return rows;
}

/** Bands of H2 and H3 in dB (90 %): the widest of the gain stages in the channel, whose harmonics these are. */
export function bandsOf(solved: SolvedDesign, instance: string): { readonly h2?: number; readonly h3?: number } {
  let h2: number | undefined;
  let h3: number | undefined;
  for (const stage of stagesOf(solved)) {
    if (stage.triode.instance !== instance || stage.role !== "gain") continue;
    const law = solved.laws.get(stage.triode.id);
    if (law === undefined) continue;
    h2 = Math.max(h2 ?? 0, law.h2BandDecibels);
    h3 = Math.max(h3 ?? 0, law.h3BandDecibels);
  }
  return { ...(h2 === undefined ? {} : { h2 }), ...(h3 === undefined ? {} : { h3 }) };
}

const abs = (value: number | undefined): number | undefined => (value === undefined ? undefined : Math.abs(value));
const decibels = (ratio: number | undefined): number | null =>
  ratio === undefined || !(ratio > 0) ? null : 20 * Math.log10(ratio);
