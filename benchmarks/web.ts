/**
 * The page in a real browser (DESIGN §8): what the first load weighs, when the demo is painted and solved, and how a value
 * follows the hand. Beside it, in the same browser, a bare page that only moves a box: what the machine itself gives.
 *
 * Run `npm run build` first. `npm run bench:web`
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { manyParts } from "./many-parts.ts";
import { canBrowse, openBrowser, serve, solved } from "../web/e2e/around.ts";

if (!canBrowse) {
  console.log("Chromium or the built page is missing: apt install chromium, npm run build.");
  process.exit(77);
}

const RUNS = 7;
const MOVES = 240;
const PARTS = 150;
const SEED = 61;

const sorted = (values: readonly number[]) => [...values].sort((a, b) => a - b);
const quantile = (values: readonly number[], share: number) =>
  sorted(values)[Math.min(values.length - 1, Math.floor(share * values.length))] ?? Number.NaN;
const ms = (value: number) => `${value.toFixed(1)} ms`;

interface Load {
  readonly paint: number;
  readonly solved: number;
  readonly bytes: number;
  readonly files: readonly (readonly [string, number])[];
}

async function load(page: Page, address: string): Promise<Load> {
  const started = Date.now();
  await page.goto(address);
  await solved(page);
  const whole = Date.now() - started;
  const seen = await page.evaluate(() => ({
    paint: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? Number.NaN,
    files: [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")].map(
      (one) => [one.name, (one as PerformanceResourceTiming).encodedBodySize] as const,
    ),
  }));
  const files = seen.files.filter(([name]) => !name.includes("/api/"));
  return { paint: seen.paint, solved: whole, bytes: files.reduce((sum, [, size]) => sum + size, 0), files };
}

interface Drag {
  /** Times between frames. */
  readonly frames: readonly number[];
  /** How often a second the figure that is watched changed. */
  readonly changesPerSecond?: number;
}

/** Drags a slider by its handle; beside the frames it counts how often a figure on the sheet followed. */
async function drag(page: Page, name: RegExp, watch?: string): Promise<Drag | undefined> {
  const slider = page.getByRole("slider", { name }).first();
  if ((await slider.count()) === 0) return undefined;
  // A handle in a drawing is held by its mark, not by its words.
  const mark = slider.locator("circle").first();
  const box = await ((await mark.count()) > 0 && (await slider.evaluate((one) => one.tagName)) === "g"
    ? mark
    : slider
  ).boundingBox();
  if (box === null) return undefined;
  return dragAt(page, box.x + box.width / 2, box.y + box.height / 2, watch);
}

/** Drags what lies there in a loop, and puts it back. */
async function dragAt(page: Page, x: number, y: number, watch?: string): Promise<Drag> {
  await page.mouse.move(x, y);
  await page.mouse.down();
  // As text: what a compiler adds to functions is not known in the page.
  await page.evaluate(`
    window.frames_ = [];
    window.changes_ = 0;
    let last = performance.now();
    let said = "";
    const watch = ${JSON.stringify(watch ?? "")};
    const tick = (now) => {
      window.frames_.push(now - last);
      last = now;
      const seen = watch === "" ? "" : (document.querySelector(watch)?.textContent ?? "");
      if (seen !== said) { said = seen; window.changes_++; }
      requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  `);
  // Sixty a second, whether the page has answered the last one or not, as a hand does.
  const moves: Promise<void>[] = [];
  for (let n = 0; n < MOVES; n++) {
    moves.push(page.mouse.move(x + Math.sin(n / 18) * 30, y + Math.cos(n / 18) * 30));
    await new Promise((resolve) => setTimeout(resolve, 1000 / 60));
  }
  await Promise.all(moves);
  await page.keyboard.press("Escape");
  await page.mouse.up();
  const frames = await page.evaluate<number[]>("window.frames_.slice(5)");
  const changes = await page.evaluate<number>("window.changes_");
  const seconds = frames.reduce((sum, one) => sum + one, 0) / 1000;
  return { frames, ...(watch === undefined ? {} : { changesPerSecond: changes / seconds }) };
}

const say = (what: string, { frames, changesPerSecond }: Drag) =>
  console.log(
    `${what}: ${frames.length} frames, median ${ms(quantile(frames, 0.5))}, 95th ${ms(quantile(frames, 0.95))}, longest ${ms(Math.max(...frames))}${changesPerSecond === undefined ? "" : `; figures followed ${changesPerSecond.toFixed(0)} times a second`}`,
  );

const folder = mkdtempSync(join(tmpdir(), "platewright-bench-"));
const serving = await serve(folder);
const browser = await openBrowser();
try {
  const loads: Load[] = [];
  for (let n = 0; n <= RUNS; n++) {
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
    const page = await context.newPage();
    const one = await load(page, serving.address);
    // The first warms the disk and the server.
    if (n > 0) loads.push(one);
    await context.close();
  }
  const first = loads[0];
  console.log(`first load: ${((first?.bytes ?? 0) / 1000).toFixed(0)} kB compressed, fonts included (goal 300 kB)`);
  for (const [name, size] of first?.files ?? [])
    if (size > 0) console.log(`  ${(size / 1000).toFixed(1).padStart(7)} kB  ${new URL(name).pathname}`);
  console.log(
    `first paint of the demo: median ${ms(
      quantile(
        loads.map((one) => one.paint),
        0.5,
      ),
    )}, worst ${ms(Math.max(...loads.map((one) => one.paint)))} (goal 1000 ms)`,
  );
  console.log(
    `every figure and finding: median ${ms(
      quantile(
        loads.map((one) => one.solved),
        0.5,
      ),
    )} from the address to the last count`,
  );

  const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
  const page = await context.newPage();
  await page.setContent(
    '<input type="range" aria-label="bare" style="width:400px"><div id="b">0</div><script>document.querySelector("input").addEventListener("input", (e) => { document.getElementById("b").textContent = e.target.value; });</script>',
  );
  const bare = await drag(page, /bare/);
  if (bare !== undefined) say("a bare page, a slider and a number", bare);
  for (const [section, name, watch] of [
    ["circuit", /R4/, ".top .hand b"],
    ["curves", /Operating point/, ".curves-big .muted"],
    ["voicing", /Drive/, ".voicing-big b"],
  ] as const) {
    await page.goto(`${serving.address}/#${section}`);
    await solved(page);
    await page.waitForTimeout(2500);
    if (section === "circuit") await page.getByRole("button", { name: /^R4\b/ }).first().click();
    const dragged = await drag(page, name, watch);
    if (dragged === undefined) console.log(`${section}: no such slider`);
    else say(`dragging in ${section}`, dragged);
  }
  const brought = await page.evaluate(
    async (bytes: number[]) => {
      const response = await fetch("/api/import", {
        method: "POST",
        headers: { "content-type": "application/octet-stream" },
        body: new Uint8Array(bytes),
      });
      return response.text();
    },
    Array.from(manyParts("examples/hearth/hearth.design.json", PARTS, SEED)),
  );
  const key = /"design":"([^"]+)"/.exec(brought)?.[1];
  if (key === undefined) throw new Error(`not brought in: ${brought.slice(0, 300)}`);
  await page.evaluate((design) => localStorage.setItem("platewright.open", JSON.stringify({ design })), key);
  await page.goto(`${serving.address}/#chassis`);
  await page.reload();
  await solved(page);
  await page.waitForTimeout(4000);
  const box = await page.locator("[data-item=P60]").boundingBox();
  if (box === null) throw new Error("the part is not on the plate");
  const dragged = await dragAt(page, box.x + box.width / 2, box.y + box.height / 2, ".chassis-clearances");
  say(`dragging one of ${PARTS} parts on the chassis (seed ${SEED})`, dragged);
} finally {
  await browser.close();
  await serving.end();
  rmSync(folder, { recursive: true, force: true });
}
