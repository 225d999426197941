/** Shops for tests: in a folder that goes away, with a clock that ticks and hands that edit by a seed. */
import { copyFileSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Document } from "@platewright/design";
import { type Result, type SeededRandom, seededRandom } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import type { Refusal, Step } from "../client/contract.ts";
import { stepIdOf } from "./step-id.ts";
import { openStore } from "./open-store.ts";
import type { Store } from "./store.ts";

export const DEMO = "hearth-line-box";

/** The value, or a failed test with the refusal's sentence. */
export function valueOf<T>(result: Result<T, Refusal>): T {
  if (!result.ok) throw new Error(`${result.failure.code}: ${result.failure.sentence}`);
  return result.value;
}

export const codeOf = <T>(result: Result<T, Refusal>): string => (result.ok ? "not refused" : result.failure.code);

/** A folder for the files of one test file; its demo shop is solved once and copied. */
export interface TestFolder {
  readonly path: (name: string) => string;
  /** A new shop with the demo, open. */
  readonly shop: (name: string) => Store;
  readonly remove: () => void;
}

export function testFolder(): TestFolder {
  const folder = mkdtempSync(join(tmpdir(), "platewright-store-"));
  const path = (name: string) => join(folder, name);
  return {
    path,
    shop: (name) => {
      const template = path("template.sqlite");
      if (!existsSync(template)) testStore(template).close();
      copyFileSync(template, path(name));
      return testStore(path(name));
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

const catalogue = openCatalogue();

/** One second passes with each look at it. */
export function tickingClock(): () => string {
  let seconds = Date.parse("2026-11-27T12:00:00.000Z") / 1000;
  return () => new Date(1000 * seconds++).toISOString();
}

export const openTestStore = (path: string, how: { readonly demo?: boolean; readonly now?: () => string } = {}) =>
  openStore(path, { now: tickingClock(), catalogue, ...how });

export const testStore = (path: string, how: { readonly demo?: boolean } = {}): Store =>
  valueOf(openTestStore(path, how));

const VALUES = ["220", "330", "470", "680", "820", "1k", "1k5", "2k2", "3k3", "4k7", "10k", "47k", "100k", "220k"];

/** A hand that makes sound steps on a document; no two of its steps have one id. */
export function handOf(seed: number, name = "hand"): (document: Document) => Step {
  const random: SeededRandom = seededRandom(seed);
  let count = 0;
  return (document) => {
    const parts = Object.entries(document.blocks).flatMap(([block, { parts }]) =>
      parts.flatMap((part) => (part.kind === "resistor" ? [{ block, part }] : [])),
    );
    const found = parts[random.below(parts.length)];
    if (found === undefined) throw new Error("a design without a resistor");
    const { block, part } = found;
    const others = VALUES.filter((value) => value !== part.value);
    const after = others[random.below(others.length)] ?? "1k";
    return {
      id: stepIdOf(name, seed, count++),
      title: `${part.id} ${part.value} → ${after}`,
      changes: [{ target: `blocks.${block}.parts[${part.id}].value`, before: part.value, after }],
    };
  };
}
