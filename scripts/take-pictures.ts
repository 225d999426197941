/**
 * Pictures of every section at two sizes, by day and by night, into docs/pictures; for the eye, and for the README.
 * Run `npm run build` first: `npm run pictures [SECTION]`.
 */
import { mkdirSync } from "node:fs";
import { openBrowser, openPage, serve } from "../web/e2e/around.ts";

const FOLDER = "docs/pictures";
const SIZES = [
  [1440, 900],
  [1100, 800],
] as const;
/** What stands still a while after the last figure: candidates and faults come last. */
const SETTLE_MILLISECONDS = 6000;

mkdirSync(FOLDER, { recursive: true });
const only = process.argv[2];
const serving = await serve();
const browser = await openBrowser();
for (const theme of ["day", "night"] as const)
  for (const [width, height] of SIZES) {
    const { page } = await openPage(browser, serving.address, { theme, width, height });
    const places = await page
      .locator(".rail ol a")
      .evaluateAll((links) => links.map((link) => link.getAttribute("href") ?? ""));
    for (const place of places) {
      const name = place.replace("#", "");
      if (only !== undefined && only !== name) continue;
      await page.goto(`${serving.address}/${place}`);
      await page.locator("main h2:visible").first().waitFor();
      await page.waitForTimeout(SETTLE_MILLISECONDS);
      const file = `${FOLDER}/${name}-${width}-${theme}.png`;
      await page.screenshot({ path: file });
      console.log(file);
    }
    await page.context().close();
  }
await browser.close();
await serving.end();
serving.remove();
