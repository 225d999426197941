/** A price book while it is typed: every number as it is written, read when it is kept. */
import type { PriceBook } from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";

export interface PriceDraft {
  readonly currency: string;
  readonly perHour: string;
  readonly rejectPercent: string;
  readonly overheadPercent: string;
  readonly marginPercent: string;
  readonly batch: string;
  readonly work: readonly { readonly what: string; readonly hours: string; readonly once: boolean }[];
  readonly parts: readonly { readonly of: string; readonly price: string }[];
}

/** Work of one unit, hours still to be written; common practice names these. */
const USUAL_WORK = [
  "design, as far as it changes",
  "metal",
  "wiring",
  "first power and readings",
  "measurement",
  "papers and packing",
];
const USUAL_PARTS = ["transformer", "tube", "rectifier", "capacitor", "resistor", "potentiometer", "socket"];

const EMPTY: PriceDraft = {
  currency: "",
  perHour: "",
  rejectPercent: "0",
  overheadPercent: "0",
  marginPercent: "0",
  batch: "1",
  work: USUAL_WORK.map((what, n) => ({ what, hours: "", once: n === 0 })),
  parts: USUAL_PARTS.map((of) => ({ of, price: "" })),
};

export function draftOf(book: PriceBook | undefined): PriceDraft {
  if (book === undefined) return EMPTY;
  return {
    currency: book.currency,
    perHour: String(book.perHour),
    rejectPercent: String(book.rejectPercent),
    overheadPercent: String(book.overheadPercent),
    marginPercent: String(book.marginPercent),
    batch: String(book.batch),
    work: book.work.map(({ what, hours, once }) => ({ what, hours: String(hours), once: once === true })),
    parts: Object.entries(book.parts).map(([of, price]) => ({ of, price: String(price) })),
  };
}

/** The book; or what is wrong with which field. Rows without a number are left out. */
export function bookOf(draft: PriceDraft): Result<PriceBook, string> {
  if (draft.currency.trim() === "") return fail("Currency: write three letters, like EUR.");
  const amounts = {
    perHour: amount("Per hour", draft.perHour, 1e6),
    rejectPercent: amount("Rejects", draft.rejectPercent, 1000),
    overheadPercent: amount("Overhead", draft.overheadPercent, 1000),
    marginPercent: amount("Margin", draft.marginPercent, 95),
    batch: amount("Batch", draft.batch, 10_000),
  };
  for (const one of Object.values(amounts)) if (!one.ok) return one;
  const batch = Math.round(valueOf(amounts.batch));
  if (batch < 1) return fail("Batch: write the units of a batch, 1 or more.");
  const work: PriceBook["work"][number][] = [];
  for (const { what, hours, once } of draft.work) {
    if (hours.trim() === "" || what.trim() === "") continue;
    const read = amount(what, hours, 1000);
    if (!read.ok) return read;
    work.push({ what: what.trim().slice(0, 80), hours: read.value, ...(once ? { once } : {}) });
  }
  const parts: [string, number][] = [];
  for (const { of, price } of draft.parts) {
    if (price.trim() === "" || of.trim() === "") continue;
    const read = amount(of, price, 1e6);
    if (!read.ok) return read;
    parts.push([of.trim().slice(0, 120), read.value]);
  }
  return ok({
    currency: draft.currency.trim().slice(0, 8),
    perHour: valueOf(amounts.perHour),
    rejectPercent: valueOf(amounts.rejectPercent),
    overheadPercent: valueOf(amounts.overheadPercent),
    marginPercent: valueOf(amounts.marginPercent),
    batch,
    work,
    parts: Object.fromEntries(parts),
  });
}

const valueOf = (read: Result<number, string>): number => (read.ok ? read.value : 0);

function amount(what: string, written: string, most: number): Result<number, string> {
  const text = written.trim().replace(",", ".");
  const value = /^\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN;
  return value <= most ? ok(value) : fail(`${what}: write a number from 0 to ${most}, like 3.5.`);
}

/** As `platewright pack --prices` reads it. */
export const pricesFile = (book: PriceBook): string =>
  `${JSON.stringify({ format: "platewright/prices@1", ...book }, undefined, 1)}\n`;
