/** Mutants of the demo through the whole check: never a crash, and no number that did not converge. */
import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import type { Io } from "./io.ts";
import { run } from "./run.ts";

const demo = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as { readonly now: object };
// Millimetres change no volt: the chassis has mutants of its own in the design room.
const small = JSON.stringify({ ...demo, now: { ...demo.now, chassis: undefined }, revisions: [], proven: undefined });
const VALUES = ["1", "10", "47", "470", "2k2", "100k", "1M", "22M", "1p", "100n", "1", "0.1", "1m", "4700u"];
const TYPES = ["12AX7A", "6922", "6SN7GT", "6X4", "300B", "6H30", "5687", "0A3", "12AU7A"];

/** Numbers of an answer that are not finite would be null in JSON: where null is allowed is the schema's business. */
const noNonsense = (text: string): void => expect(text).not.toMatch(/NaN|Infinity|undefined|\[object/);

test("200 mutants that read, solved and judged (seed 21)", () => {
  const random = seededRandom(21);
  const at = (length: number) => Math.floor(random.uniform() * length);
  let solved = 0;
  for (let n = 0; n < 200; n++) {
    let mutant = small;
    for (let m = 0; m <= at(3); m++) {
      const kind = at(4);
      const pick = (pattern: RegExp, put: () => string) => {
        const found = [...mutant.matchAll(pattern)];
        const one = found[at(found.length)];
        if (one !== undefined) mutant = mutant.slice(0, one.index) + put() + mutant.slice(one.index + one[0].length);
      };
      if (kind === 0) pick(/"value":"[^"]*"/g, () => `"value":"${VALUES[at(VALUES.length)] ?? "1k"}"`);
      else if (kind === 1) pick(/"type":"[^"]*"/g, () => `"type":"${TYPES[at(TYPES.length)] ?? "5687"}"`);
      else if (kind === 2) pick(/:\d+(\.\d+)?(?=[,}])/g, () => `:${(random.uniform() * 10 ** at(4)).toFixed(2)}`);
      else pick(/"net":"[^"]*"/g, () => `"net":"L.${["p1", "k1", "g1", "b", "k2"][at(5)] ?? "b"}"`);
    }
    let out = "";
    let error = "";
    const io: Io = {
      out: (text) => void (out += text),
      error: (text) => void (error += text),
      read: () => mutant,
      write: () => undefined,
      exists: () => false,
      errorIsTerminal: false,
      now: () => 0,
    };
    const status = run(["check", "mutant.json"], io);
    expect([0, 1, 2]).toContain(status);
    if (status === 2) {
      expect(error.trim().split("\n")).toHaveLength(1);
      expect(error.length).toBeGreaterThan(15);
      expect(out).toBe("");
    } else {
      solved++;
      noNonsense(out);
    }
  }
  expect(solved).toBeGreaterThan(40);
}, 400_000);
