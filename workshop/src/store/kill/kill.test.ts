/** A process that writes is killed at random moments: nothing that was acknowledged is lost. `npm run kill` does it 200 times. */
import { rmSync } from "node:fs";
import { afterAll, expect, test } from "vitest";
import { testFolder } from "../test-shop.ts";
import { bundled } from "./bundle.ts";
import { killAgain, storeWriter } from "./run.ts";

const folder = testFolder();
afterAll(folder.remove);

test("10 kills of a writer lose nothing that was acknowledged (seed 5)", async () => {
  const script = await bundled("workshop/src/store/kill/child.ts", "kill-child");
  const summary = await killAgain(folder.path("killed.sqlite"), 10, 5, storeWriter(script));
  rmSync(script);
  expect(summary.lost).toEqual([]);
  expect(summary.wrong).toEqual([]);
  expect(summary.acknowledged).toBeGreaterThan(10);
});
