/** Real answers of every verb have the shape that is published. */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import type { Io } from "../io.ts";
import { run } from "../run.ts";
import { ANSWERS } from "./schemas.ts";

const DEMO = "examples/hearth/hearth.design.json";

test.each([
  ["stage", "--tube 12AX7A --supply 250 --plate-load 100k --cathode 1k5 --bypass 22u --next-grid 330k --output 5,26"],
  ["rectify", "--tube 6X4 --winding 250 --series 525 --first-capacitor 8u2 --load-ohms 10k"],
  ["rectify", "--tube silicon --winding 250 --series 50 --first-capacitor 47u --load-amps 40m --circuit bridge"],
  ["rectify", "--tube EZ80 --winding 250 --series 150 --first-capacitor 47u --load-amps 40m --silicon"],
  ["check", DEMO],
  ["chassis", `${DEMO} --every`],
  ["supply", DEMO],
  ["voice", `${DEMO} --drive 0.5,1`],
  ["rework", `${DEMO} --put V1=12BH7A`],
  ["rework", `${DEMO} --put V1=12BH7A --keep current`],
  ["rework", `${DEMO} --put V1=6FQ7 --h2 1.5%@1V`],
  ["tubes", "noval"],
  ["tubes", "6922"],
  ["tubes", "5687 12BH7A"],
] as const)(
  "%s %s",
  (verb, flags) => {
    let out = "";
    const io: Io = {
      out: (text) => void (out += text),
      error: (text) => {
        throw new Error(text);
      },
      read: (path) => readFileSync(path, "utf8"),
      write: () => undefined,
      exists: () => false,
      errorIsTerminal: false,
      now: () => 0,
    };
    run([verb, ...flags.split(" "), "--json"], io);
    const checked = ANSWERS[verb].safeParse(JSON.parse(out));
    expect(checked.error?.issues ?? []).toEqual([]);
  },
  60_000,
);
