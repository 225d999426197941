/**
 * Small pictures that were looked at, against what is drawn today: signs, bars, a knob, a chain. A few pixels may differ,
 * as fonts are smoothed by each machine in its own way. `UPDATE_GOLDENS=1` writes them anew; look at them before keeping.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import pixelmatch from "pixelmatch";
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import { canBrowse, openPage, workbench } from "./around.ts";

const FOLDER = "web/e2e/goldens";
/** Share of pixels that may differ by more than a shade. */
const ALLOWED = 0.03;

const PICTURES = [
  { name: "tally", at: "rework", of: ".tally" },
  { name: "mark", at: "rework", of: ".mark" },
  { name: "level-knob", at: "voicing", of: "svg.knob >> nth=1" },
  { name: "bars", at: "voicing", of: "section[aria-labelledby=voicing-bars] svg" },
  { name: "drawer", at: "shelf", of: ".shelf-drawer" },
  { name: "loading", at: "supply", of: "section[aria-labelledby=supply-loading] table" },
] as const;

describe.skipIf(!canBrowse)("golden pictures", { timeout: 60_000 }, () => {
  const around = workbench();

  test.each((["day", "night"] as const).flatMap((theme) => PICTURES.map((picture) => ({ ...picture, theme }))))(
    "$name, $theme",
    async ({ name, at, of, theme }) => {
      const { page } = await openPage(around.browser, around.serving.address, { at, theme });
      await page.evaluate(() => document.fonts.ready);
      const element = page.locator(of).first();
      await element.waitFor();
      await page.waitForTimeout(1500);
      const drawn = await element.screenshot();
      await page.context().close();
      const file = `${FOLDER}/${name}-${theme}.png`;
      if (process.env["UPDATE_GOLDENS"] === "1") {
        mkdirSync(FOLDER, { recursive: true });
        writeFileSync(file, drawn);
      }
      expect(existsSync(file), `${file} is missing: make it with UPDATE_GOLDENS=1 and look at it`).toBe(true);
      const [golden, now] = [PNG.sync.read(readFileSync(file)), PNG.sync.read(drawn)];
      expect([now.width, now.height]).toEqual([golden.width, golden.height]);
      const differing = pixelmatch(golden.data, now.data, undefined, golden.width, golden.height, { threshold: 0.2 });
      expect(differing / (golden.width * golden.height)).toBeLessThan(ALLOWED);
    },
  );
});
