/** A builder's own prices as a file, `platewright/prices@1`: what the price sheet is worked out from. */
import { fail, ok, type Result } from "@platewright/engine";
import { z } from "zod";

/** What a price sheet is worked out from; all of it the builder's own. */
export interface PriceBook {
  /** "EUR". */
  readonly currency: string;
  /** By part id ("PS.C1"), value or type as written, kind with its rating ("resistor 3 W"), or kind; the first that is there counts. */
  readonly parts: Readonly<Record<string, number>>;
  /** Work of one unit, hours, in order. */
  readonly work: readonly { readonly what: string; readonly hours: number; readonly once?: boolean }[];
  readonly perHour: number;
  readonly rejectPercent: number;
  readonly overheadPercent: number;
  readonly marginPercent: number;
  /** Units of a batch. */
  readonly batch: number;
}

const money = z.number().min(0).max(1e6);
const percent = z.number().min(0).max(1000);

const bookShape = {
  currency: z.string().min(1).max(8),
  /** By part id ("PS.C1"), value or type as written, kind with its rating ("resistor 3 W"), or kind; the first that is there counts. */
  parts: z.record(z.string().max(120), money),
  work: z
    .array(
      z.strictObject({
        what: z.string().min(1).max(80),
        hours: z.number().min(0).max(1000),
        once: z.boolean().optional(),
      }),
    )
    .max(40),
  perHour: money,
  rejectPercent: percent,
  overheadPercent: percent,
  /** Of the price. */
  marginPercent: z.number().min(0).max(95),
  batch: z.number().int().min(1).max(10000),
};

/** A price book as it is sent. */
export const priceBookSchema = z.strictObject(bookShape);

const pricesFileSchema = z.strictObject({
  format: z.literal("platewright/prices@1"),
  invented: z.boolean().optional(),
  ...bookShape,
});

/** A price book as it was read, without what is undefined. */
export const priceBookOf = ({ work, ...rest }: z.infer<typeof priceBookSchema>): PriceBook => ({
  ...rest,
  work: work.map(({ once, ...one }) => (once === undefined ? one : { ...one, once })),
});

/** A failure says what and where, in one sentence. */
export function readPriceBook(text: string): Result<PriceBook, string> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return fail("it is no JSON; prices look like examples/hearth/prices.json.");
  }
  const read = pricesFileSchema.safeParse(data);
  if (!read.success) {
    const [issue] = read.error.issues;
    const place = issue?.path.join(".") ?? "";
    return fail(`${place === "" ? "the file" : place}: ${issue?.message ?? "not accepted"}.`);
  }
  const { format: _, invented: __, ...book } = read.data;
  return ok(priceBookOf(book));
}
