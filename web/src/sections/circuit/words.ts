/** How the Circuit screen says its numbers. */
import type { ChannelFigures, Document } from "@platewright/design";
import { digits, printPercent, printValue } from "@platewright/engine";
import type { Said } from "@platewright/drawing";

const THIN = "\u202f";

/** Narrow no-break spaces between a number and its unit. */
export const thin = (text: string): string =>
  text.replace(/(?<=\d) (?=[kMmµnp]?(?:Ω|V|A|W|F|H|Hz|dB|s|%|S|mA\/V)(?![A-Za-z]))/gu, THIN);

export const printed = (value: number, unit: string, significant = 3): string =>
  thin(printValue(value, unit, significant));

/** A level of the signal: "1.00 V", "84 mV". */
export function levelWords(value: number): string {
  if (value >= 0.1) return `${value.toPrecision(3)}${THIN}V`;
  return value >= 1e-6 ? printed(value, "V") : `0${THIN}V`;
}

export const percentWords = (ratio: number, significant = 2): string => thin(printPercent(ratio, significant));

/** Levels of the ladder, with what the proven unit has where that is said otherwise, and what the hand moves. */
export function levelsSaid(
  now: Readonly<Record<string, number>>,
  was: Readonly<Record<string, number>> | null,
  kept: Readonly<Record<string, number>> | undefined,
): Readonly<Record<string, Said>> {
  return Object.fromEntries(
    Object.entries(now).map(([net, value]): [string, Said] => {
      const words = levelWords(value);
      const before = was?.[net];
      const then = before === undefined ? words : levelWords(before);
      const held = kept?.[net];
      return [
        net,
        {
          now: words,
          ...(then === words ? {} : { was: then }),
          ...(held === undefined || levelWords(held) === words ? {} : { live: true }),
        },
      ];
    }),
  );
}

/** One figure that a step moves. */
export interface MovedFigure {
  readonly id: string;
  readonly label: string;
  readonly now: string;
  /** By step: the change in the unit a builder thinks in, and its size against what he notices; null: not solved. */
  readonly changes: readonly ({ readonly words: string; readonly size: number } | null)[];
}

const MINUS = "−";
const signed = (value: number, places: number, unit: string): string => {
  const text = Math.abs(value).toFixed(places);
  return Number(text) === 0 ? `0${THIN}${unit}` : `${value < 0 ? MINUS : "+"}${text}${THIN}${unit}`;
};

/** What a builder notices (common practice): 1 dB of H2, 0.5 dB of gain, 5 % of a current, volts or impedance. */
const NOTICED = { h2: 1, gain: 0.5, share: 0.05 } as const;

/** Figures as they stand and what each step does to them: H2 and gain in dB, currents and impedance in percent, volts in volts. */
export function movedFigures(
  now: ChannelFigures,
  steps: readonly (ChannelFigures | null)[],
  levelVolts: number,
): readonly MovedFigure[] {
  const rows: MovedFigure[] = [];
  const share = (id: string, label: string, unit: string, read: (of: ChannelFigures) => number | undefined) => {
    const value = read(now);
    if (value === undefined || !Number.isFinite(value)) return;
    rows.push({
      id,
      label,
      now: printed(value, unit),
      changes: steps.map((one) => {
        const after = one === null ? undefined : read(one);
        if (after === undefined) return null;
        const change = after / value - 1;
        return { words: signed(100 * change, 1, "%"), size: change / NOTICED.share };
      }),
    });
  };
  const { h2Ratio } = now;
  if (h2Ratio !== null)
    rows.push({
      id: "h2",
      label: `H2 at ${levelWords(levelVolts)}`,
      now: percentWords(h2Ratio),
      changes: steps.map((one) => {
        if (one === null || one.h2Ratio === null) return null;
        const change = 20 * Math.log10(one.h2Ratio / h2Ratio);
        return { words: signed(change, 1, "dB"), size: change / NOTICED.h2 };
      }),
    });
  rows.push({
    id: "gain",
    label: "Gain",
    now: `${now.gainDecibels < 0 ? MINUS : ""}${Math.abs(now.gainDecibels).toFixed(1)}${THIN}dB`,
    changes: steps.map((one) => {
      if (one === null) return null;
      const change = one.gainDecibels - now.gainDecibels;
      return { words: signed(change, 1, "dB"), size: change / NOTICED.gain };
    }),
  });
  for (const [n, { part, plateVolts }] of now.triodes.entries()) {
    share(`amps/${part}`, `${part} current`, "A", (of) => of.triodes[n]?.plateAmps);
    rows.push({
      id: `volts/${part}`,
      label: `${part} plate`,
      now: printed(plateVolts, "V"),
      changes: steps.map((one) => {
        const after = one?.triodes[n]?.plateVolts;
        if (after === undefined) return null;
        const change = after - plateVolts;
        return { words: signed(change, 1, "V"), size: change / plateVolts / NOTICED.share };
      }),
    });
  }
  share("ohms", "Output impedance", "Ω", (of) => of.outputOhms);
  share("supply", "B+", "V", (of) => of.supplyVolts ?? undefined);
  return rows;
}

/** What an instance is called on the screen: "left", "power supply". */
export function instanceWords(document: Document, instance: string): string {
  return document.instances.find((one) => one.id === instance)?.label ?? instance;
}

/** "drive 10", as on the panel. */
export const turnWords = (position: number): string => digits(10 * position, 2);
