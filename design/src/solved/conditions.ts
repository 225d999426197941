/** The conditions in which a design is solved: mains as the document says, tubes drawing or cold. */
import type { Document } from "../document/schema.ts";
import type { Condition, JudgedCondition } from "./types.ts";

export const CONDITION_IDS: readonly JudgedCondition[] = [
  "nominal",
  "mains-low",
  "mains-high",
  "cold",
  "cold-mains-high",
];

export function conditionOf(document: Document, id: JudgedCondition): Condition {
  const mains = document.supply?.mains;
  const high = 1 + (mains?.highPercent ?? 0) / 100;
  const low = 1 + (mains?.lowPercent ?? 0) / 100;
  switch (id) {
    case "nominal":
      return { id, words: "running, mains nominal", mainsFactor: 1, tubes: "running" };
    case "mains-low":
      return { id, words: "running, mains low", mainsFactor: low, tubes: "running" };
    case "mains-high":
      return { id, words: "running, mains high", mainsFactor: high, tubes: "running" };
    case "cold":
      return { id, words: "cold, mains nominal", mainsFactor: 1, tubes: "cold" };
    case "cold-mains-high":
      return { id, words: "cold, mains high", mainsFactor: high, tubes: "cold" };
  }
}
