/** A builder's own prices, from a file: `platewright/prices@1`. */
import type { PriceBook } from "@platewright/drawing";
import { z } from "zod";
import type { Io } from "../io.ts";
import { badInput } from "../outcome.ts";

const money = z.number().min(0).max(1e6);
const percent = z.number().min(0).max(1000);

export const pricesFileSchema = z.strictObject({
  format: z.literal("platewright/prices@1"),
  invented: z.boolean().optional(),
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
});

/** Throws BadInput with one sentence that names the file and the place. */
export function readPrices(io: Io, path: string): PriceBook {
  let data: unknown;
  try {
    data = JSON.parse(io.read(path));
  } catch (error) {
    if (error instanceof SyntaxError)
      return badInput(`${path}: it is no JSON; prices look like examples/hearth/prices.json.`);
    throw error;
  }
  const read = pricesFileSchema.safeParse(data);
  if (!read.success) {
    const [issue] = read.error.issues;
    const place = issue?.path.join(".") ?? "";
    return badInput(`${path}: ${place === "" ? "the file" : place}: ${issue?.message ?? "not accepted"}.`);
  }
  const { format: _, invented: __, work, ...rest } = read.data;
  return { ...rest, work: work.map(({ once, ...one }) => (once === undefined ? one : { ...one, once })) };
}
