/** The pack in a real browser: its papers, what changed, files as they are saved, prints under a ruler. */
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { unzipSync } from "fflate";
import type { Download, Page } from "playwright-core";
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import { canBrowse, openPage, serve, typeIn, workbench } from "./around.ts";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const HAS_POPPLER = existsSync("/usr/bin/pdftoppm");
/** At 254 dots to the inch a dot is 0.1 mm. */
const DOTS_PER_MILLIMETRE = 10;
/** The browser's sheets are whole pixels wide. */
const PIXEL_MILLIMETRES = 25.4 / 96;

/** The thumbnail of a paper names other papers; what it is called stands beside it. */
const item = (page: Page, title: string) => page.locator(".pack-item", { has: page.locator("b", { hasText: title }) });
const itemWords = (page: Page, title: string) => item(page, title).locator(".pack-item-words").textContent();
const side = (page: Page, id: string) => page.locator(`section[aria-labelledby=pack-${id}]`);
const papersThere = (page: Page) => page.locator(".pack-item .scene").first().waitFor({ timeout: 60_000 });
/** Made and compared: the newest edit is on the papers. */
const settled = async (page: Page) => {
  await papersThere(page);
  await expect
    .poll(() => page.locator(".pack-item-words, .pack-turn").allTextContents(), { timeout: 60_000 })
    .not.toContainEqual(expect.stringMatching(/comparing|anew/));
};
const printAll = (page: Page) => page.getByRole("button", { name: /^Print all/ });
const sha256 = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

async function bytesOf(download: Download): Promise<Uint8Array> {
  return new Uint8Array(readFileSync(await download.path()));
}

describe.skipIf(!canBrowse)("the pack", { timeout: 120_000 }, () => {
  const around = workbench();
  const open = (how: Parameters<typeof openPage>[2] = {}) =>
    openPage(around.browser, around.serving.address, { at: "pack", ...how });

  test("every paper is listed with its first page; keys turn the pages and walk the list", async () => {
    const { page, clean } = await open();
    await settled(page);
    const many = await page.locator(".pack-item").count();
    expect(many).toBeGreaterThanOrEqual(10);
    expect(await page.locator(".pack-thumb svg").count()).toBe(many);
    const head = () => page.locator(".pack-middle .section-head").textContent();
    await item(page, "Bench sheet").click();
    await expect.poll(head).toMatch(/Bench sheet.*page 1 of 2/);
    await page.keyboard.press("ArrowRight");
    await expect.poll(head).toMatch(/Bench sheet.*page 2 of 2/);
    await page.keyboard.press("ArrowRight");
    await expect.poll(head).toMatch(/Measurement sheet.*page 1/);
    await page.keyboard.press("PageUp");
    await expect.poll(head).toMatch(/Bench sheet.*page 2 of 2/);
    await item(page, "Bench sheet").focus();
    await page.keyboard.press("ArrowDown");
    await expect.poll(head).toMatch(/Measurement sheet.*page 1/);
    // A page at true size is as wide as the paper.
    await page.getByRole("radio", { name: "100 %" }).click();
    const box = await page.locator(".pack-sheet svg").first().boundingBox();
    expect(Math.abs((box?.width ?? 0) - (210 * 96) / 25.4)).toBeLessThan(1);
    clean();
    await page.context().close();
  });

  test("what stands at stop is said before the buttons, and on every page", async () => {
    const { page, clean } = await open();
    await settled(page);
    const stops = Number(/(\d+) stop/.exec((await page.locator(".tally").textContent()) ?? "")?.[1] ?? 0);
    expect(stops).toBeGreaterThan(0);
    await expect(side(page, "output").textContent()).resolves.toMatch(
      new RegExp(`${stops} findings? at stop: do not build`),
    );
    await expect(page.locator(".pack-sheet").textContent()).resolves.toContain("at stop: do not build.");
    clean();
    await page.context().close();
  });

  test("cut, every paper is as the revision; one value later the papers it moves are marked, and undo takes that back", async () => {
    const shop = await serve();
    const { page, clean } = await openPage(around.browser, shop.address, { at: "revisions" });
    await page.getByLabel("Cut as").fill("B");
    await page.getByRole("button", { name: "Cut revision" }).click();
    await page.locator("section[aria-labelledby=revisions-timeline] li", { hasText: /^B/ }).waitFor();
    await page.goto(`${shop.address}/#pack`);
    await settled(page);
    await expect(page.locator(".pack-list h2").textContent()).resolves.toBe("Papers, Rev B");
    await expect(side(page, "changed").textContent()).resolves.toContain("These are the papers of Rev B");
    for (const words of await page.locator(".pack-item-words").allTextContents()) expect(words).toContain("as Rev B");
    await typeIn(page, "R4 1k5");
    await expect.poll(() => page.locator(".pack-list h2").textContent(), { timeout: 30_000 }).toBe("Papers, draft");
    await settled(page);
    await expect.poll(() => itemWords(page, "Bench sheet"), { timeout: 30_000 }).toMatch(/changed\d+ figures/);
    await item(page, "Bench sheet").click();
    await expect.poll(() => side(page, "changed").textContent()).toMatch(/since Rev B.*V → .*V/);
    expect(await page.locator(".pack-edge").count()).toBeGreaterThan(0);
    // The plate did not move: its papers say what they said, and the others are printed alone.
    await expect(itemWords(page, "Template")).resolves.toContain("as Rev B");
    const changed = page.getByRole("button", { name: /^Print \d+ changed$/ });
    await page.evaluate(() => {
      window.print = () => undefined;
    });
    await changed.click();
    const printed = await page.locator(".pack-print-page").count();
    expect(printed).toBeGreaterThan(5);
    expect(printed).toBeLessThan(Number(/\d+/.exec((await printAll(page).textContent()) ?? "")?.[0]));
    await page.evaluate(() => dispatchEvent(new Event("afterprint")));
    await page.keyboard.press("Control+z");
    await expect.poll(() => page.locator(".pack-list h2").textContent(), { timeout: 30_000 }).toBe("Papers, Rev B");
    expect(await page.locator(".pack-edge").count()).toBe(0);
    // The papers of an earlier revision are a choice away, with their own date.
    await page.getByLabel("Papers of").selectOption("A");
    await expect.poll(() => page.locator(".pack-list h2").textContent(), { timeout: 30_000 }).toBe("Papers, Rev A");
    await expect.poll(() => page.locator(".pack-sheet").textContent()).toContain("25 Nov 2026");
    clean();
    await page.context().close();
    await shop.end();
    shop.remove();
  });

  test("the zip is saved whole: every file of its manifest, with the hash that stands there", async () => {
    const { page, clean } = await open();
    await settled(page);
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save Everything, Zip" }).click(),
    ]);
    expect(download.suggestedFilename()).toBe("hearth-line-box-rev-draft.zip");
    const files = unzipSync(await bytesOf(download));
    const manifest = JSON.parse(new TextDecoder().decode(files["manifest.json"])) as {
      readonly revision: string;
      readonly files: readonly { readonly kind: string; readonly file: string; readonly sha256: string }[];
    };
    expect(manifest.revision).toBe("draft");
    expect(manifest.files.map((one) => one.file).sort()).toEqual(
      Object.keys(files)
        .filter((name) => name !== "manifest.json")
        .sort(),
    );
    for (const one of manifest.files) expect(sha256(files[one.file] ?? new Uint8Array()), one.file).toBe(one.sha256);
    // What the list shows is what the zip holds.
    const titles = await page.locator(".pack-item b").allTextContents();
    expect(manifest.files.filter((one) => one.file.endsWith(".pdf") && one.kind !== "pack")).toHaveLength(
      titles.length,
    );
    // One paper alone is the same file.
    await item(page, "Bench sheet").click();
    const [alone] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save Bench sheet, PDF" }).click(),
    ]);
    expect(sha256(await bytesOf(alone))).toBe(manifest.files.find((one) => one.kind === "bench-sheet")?.sha256);
    // So is what the fabricator cuts.
    const [cut] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save Plate, DXF", exact: true }).click(),
    ]);
    expect(cut.suggestedFilename()).toBe("hearth-line-box-rev-draft-plate.dxf");
    expect(sha256(await bytesOf(cut))).toBe(manifest.files.find((one) => one.kind === "plate-dxf")?.sha256);
    clean();
    await page.context().close();
  });

  test("from any section, by name, the whole pack is saved", async () => {
    const { page, clean } = await open({ at: "shelf" });
    const saved = page.waitForEvent("download", { timeout: 60_000 });
    await typeIn(page, "save all papers");
    expect((await saved).suggestedFilename()).toMatch(/\.zip$/);
    expect(await page.evaluate(() => location.hash)).toBe("#pack");
    clean();
    await page.context().close();
  });

  test("from any section, by name, every paper is printed", async () => {
    const { page, clean } = await open({ at: "curves" });
    await page.evaluate(() => {
      window.print = () =>
        document.body.setAttribute("data-printed", String(document.querySelectorAll(".pack-print-page").length));
    });
    await typeIn(page, "print all papers");
    const printed = () => page.evaluate(() => Number(document.body.getAttribute("data-printed")));
    await expect.poll(printed, { timeout: 60_000 }).toBeGreaterThan(15);
    await expect(printAll(page).textContent()).resolves.toBe(`Print all, ${await printed()} pages`);
    clean();
    await page.context().close();
  });

  test("a workshop that is gone is said, and no file is saved", async () => {
    const shop = await serve();
    const { page, clean } = await openPage(around.browser, shop.address, { at: "pack" });
    await settled(page);
    await shop.end("SIGKILL");
    await page.getByRole("button", { name: "Save All papers, PDF" }).click();
    await page.getByText(/Nothing was saved: The workshop does not answer/).waitFor();
    clean(/ERR_|Failed to load/);
    await page.context().close();
    shop.remove();
  });

  test("a design that makes no papers says why, and nothing is printed or saved of the ones before", async () => {
    const shop = await serve();
    const { page, clean } = await openPage(around.browser, shop.address, { at: "pack" });
    await settled(page);
    // A hole past the plate cannot be drawn.
    const design = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as {
      now: { name: string; chassis: { items: { id: string; x: number }[] } };
    };
    design.now.name = "Off the plate";
    for (const one of design.now.chassis.items) if (one.id === "V1") one.x = 298;
    await page.goto(`${shop.address}/#revisions`);
    await page.locator("input[type=file]").setInputFiles({
      name: "off.json",
      mimeType: "application/json",
      buffer: Buffer.from(JSON.stringify(design)),
    });
    await page.getByRole("button", { name: /^Open Off the plate/ }).click();
    await page.goto(`${shop.address}/#pack`);
    await page.getByText(/^No paper can be made: .*V1/).waitFor({ timeout: 60_000 });
    expect(await page.locator(".pack-item").count()).toBe(0);
    expect(await printAll(page).isDisabled()).toBe(true);
    expect(await page.getByRole("button", { name: "Save Everything, Zip" }).isDisabled()).toBe(true);
    clean();
    await page.context().close();
    await shop.end();
    shop.remove();
  });

  test("a template printed at 97 % is not cut by; two true bars are", async () => {
    const { page, clean } = await open();
    await settled(page);
    const words = () => page.locator(".pack-true-words").textContent();
    await expect.poll(words).toContain("Do not cut before both bars are measured");
    await page.getByLabel("Bar across").fill("97.0");
    await expect.poll(words).toMatch(/do not cut.*3\.0 % small/);
    await page.getByLabel("Bar across").fill("99.8");
    await expect.poll(words).toContain("Measure the other bar too");
    await page.getByLabel("Bar up").fill("100.2");
    await expect.poll(words).toMatch(/^ok/);
    await page.getByLabel("Bar up").fill("far");
    await expect.poll(() => side(page, "true").getByRole("alert").textContent()).toContain("millimetres");
    clean();
    await page.context().close();
  });

  test("prices from a file make the price sheet, stay over a reload, and a file that is none is named", async () => {
    const { page, clean } = await open();
    await settled(page);
    const sheet = () => page.locator(".pack-sheet").textContent();
    await item(page, "Price sheet").click();
    await page.locator("input[type=file]").setInputFiles("examples/hearth/prices.json");
    await expect.poll(sheet, { timeout: 30_000 }).toContain("EUR");
    await page.reload();
    await settled(page);
    await item(page, "Price sheet").click();
    await expect.poll(sheet).toContain("EUR");
    await page.getByRole("button", { name: "Change…" }).click();
    await page.getByLabel("Currency").fill("GBP");
    await page.getByRole("button", { name: "Keep" }).click();
    await expect.poll(sheet, { timeout: 30_000 }).toContain("GBP");
    await page.locator("input[type=file]").setInputFiles("package.json");
    await page.getByText(/package\.json: /).waitFor();
    await page.getByRole("button", { name: "Remove prices" }).click();
    await expect.poll(sheet, { timeout: 30_000 }).not.toContain("GBP");
    clean();
    await page.context().close();
  });

  test.skipIf(!HAS_POPPLER).each(["A4", "A3", "Letter"] as const)(
    "printed by the browser on %s: one page to the sheet at its own size, lines as long as they are drawn",
    async (size) => {
      const { page, clean } = await open({ theme: "night" });
      await settled(page);
      await page.getByRole("radio", { name: size, exact: true }).click();
      await settled(page);
      await expect.poll(() => printAll(page).isEnabled(), { timeout: 30_000 }).toBe(true);
      await page.evaluate(() => {
        window.print = () => undefined;
      });
      await printAll(page).click();
      const drawn = await page.evaluate(sheetsDrawn);
      const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
      const sizes = pageSizes(pdf);
      expect(sizes).toHaveLength(drawn.length);
      for (const [n, sheet] of drawn.entries()) {
        expect(Math.abs((sizes[n]?.width ?? 0) - sheet.width), `page ${n + 1}`).toBeLessThan(PIXEL_MILLIMETRES);
        expect(Math.abs((sizes[n]?.height ?? 0) - sheet.height), `page ${n + 1}`).toBeLessThan(PIXEL_MILLIMETRES);
      }
      for (const n of [
        drawn.findIndex((one) => one.width < one.height),
        drawn.findIndex((one) => one.bars.length > 0),
      ]) {
        const sheet = drawn[n];
        if (sheet === undefined) throw new Error("no such sheet");
        const png = render(pdf, n + 1);
        const rule = inkExtent(png, "across", sheet.rule.y, 0, sheet.width);
        expect(Math.abs(rule - sheet.rule.length)).toBeLessThanOrEqual(0.1);
        for (const { way, x, y } of sheet.bars) {
          const [at, from] = way === "across" ? [y, x] : [x, y];
          const bar = inkExtent(png, way, at, from - 1, from + 101);
          expect(Math.abs(bar - 100), `${way} on page ${n + 1}`).toBeLessThanOrEqual(0.1);
        }
      }
      expect(new Set(drawn.flatMap((one) => one.bars.map((bar) => bar.way)))).toEqual(new Set(["across", "up"]));
      clean();
      await page.context().close();
    },
  );

  test.each(["day", "night"] as const)(
    "axe finds nothing, with papers, their marks and the price form, by %s",
    async (theme) => {
      const { page, clean } = await open({ theme });
      await settled(page);
      await page.getByLabel("Bar across").fill("97.0");
      await page.evaluate(AXE);
      const look = async () => {
        const found = await page.evaluate(async () => {
          const { axe } = window as unknown as {
            axe: {
              run: () => Promise<{ violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[] }>;
            };
          };
          return (await axe.run()).violations.map(({ id, nodes }) => ({
            id,
            nodes: nodes.slice(0, 3).map((one) => `${one.html.slice(0, 160)} ${one.failureSummary ?? ""}`),
          }));
        });
        expect(found).toEqual([]);
      };
      await look();
      await page.getByRole("radio", { name: "100 %" }).click();
      await page.getByRole("button", { name: "Write…" }).click();
      await look();
      clean();
      await page.context().close();
    },
  );
});

/** Of every sheet in the page's print, in millimetres: its size, the rule under its title, its check bars at their middle. */
function sheetsDrawn() {
  return [...document.querySelectorAll(".pack-print-page svg")].map((svg) => {
    const [, , width = 0, height = 0] = (svg.getAttribute("viewBox") ?? "").split(" ").map(Number);
    const number = (one: Element, name: string) => Number(one.getAttribute(name));
    const rules = [...svg.querySelectorAll(":scope > line")].map((line) => ({
      length: number(line, "x2") - number(line, "x1"),
      y: number(line, "y1"),
    }));
    const bars = [...svg.querySelectorAll("rect")].flatMap((rect) => {
      const [w, h] = [number(rect, "width"), number(rect, "height")];
      // The outline of a bar is drawn inside its 100 mm.
      if (rect.getAttribute("class")?.includes("fill-none") !== true || Math.abs(Math.max(w, h) - 99.9) > 0.1)
        return [];
      if (Math.min(w, h) > 4) return [];
      let [x, y] = [number(rect, "x"), number(rect, "y")];
      for (let around = rect.parentElement; around !== null && around.tagName === "g"; around = around.parentElement) {
        const [dx = 0, dy = 0] = (/translate\(([^)]*)\)/.exec(around.getAttribute("transform") ?? "")?.[1] ?? "")
          .split(" ")
          .map(Number);
        [x, y] = [x + dx, y + dy];
      }
      return [w > h ? ({ way: "across", x, y: y + h / 2 } as const) : ({ way: "up", x: x + w / 2, y } as const)];
    });
    return { width, height, rule: rules.sort((a, b) => b.length - a.length)[0] ?? { length: 0, y: 0 }, bars };
  });
}

function inFolder<T>(pdf: Uint8Array, work: (folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), "platewright-print-"));
  try {
    writeFileSync(join(folder, "in.pdf"), pdf);
    return work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const pageSizes = (pdf: Uint8Array): readonly { readonly width: number; readonly height: number }[] =>
  inFolder(pdf, (folder) => {
    const { stdout } = spawnSync("pdfinfo", ["-l", "999", "in.pdf"], { cwd: folder, encoding: "utf8" });
    return [...stdout.matchAll(/^Page +\d+ size: +([\d.]+) x ([\d.]+) pts/gm)].map((one) => ({
      width: (Number(one[1]) * 25.4) / 72,
      height: (Number(one[2]) * 25.4) / 72,
    }));
  });

const render = (pdf: Uint8Array, page: number): PNG =>
  inFolder(pdf, (folder) => {
    const done = spawnSync(
      "pdftoppm",
      ["-r", "254", "-png", "-gray", "-f", String(page), "-l", String(page), "-singlefile", "in.pdf", "out"],
      { cwd: folder, encoding: "utf8" },
    );
    if (done.status !== 0) throw new Error(`pdftoppm: ${done.stderr}`);
    return PNG.sync.read(readFileSync(join(folder, "out.png")));
  });

/** From the first ink to the last on a line across or up the page, millimetres; a grey dot counts by its ink. */
function inkExtent(png: PNG, way: "across" | "up", at: number, from: number, to: number): number {
  const line = Math.round(at * DOTS_PER_MILLIMETRE);
  const ink = (n: number): number => {
    const [x, y] = way === "across" ? [n, line] : [line, n];
    return 1 - (png.data[4 * (y * png.width + x)] ?? 255) / 255;
  };
  const last = Math.min(way === "across" ? png.width : png.height, Math.ceil(to * DOTS_PER_MILLIMETRE)) - 1;
  let low = Math.max(0, Math.floor(from * DOTS_PER_MILLIMETRE));
  let high = last;
  while (low < high && ink(low) < 0.05) low++;
  while (high > low && ink(high) < 0.05) high--;
  return (high + ink(high) - (low + 1 - ink(low))) / DOTS_PER_MILLIMETRE;
}
