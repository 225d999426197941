/** Names and remarks as every part of the schema accepts them. */
import { z } from "zod";

export const id = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/, "a short name of letters, digits, _ . -");
export const note = z.string().max(2000);
