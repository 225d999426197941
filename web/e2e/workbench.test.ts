/** The workbench in a real around.browser, on a workshop of its own. */
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { canBrowse, lastDone, openPage, serve, settled, solved, typeIn, undoButton, workbench } from "./around.ts";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const redoButton = (page: Page) => page.getByRole("button", { name: "Redo", exact: true });

describe.skipIf(!canBrowse)("the workbench", { timeout: 60_000 }, () => {
  const around = workbench();

  test("first run: the invented demo is there, proven and now, solved, with something to see", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    await expect(page.getByRole("heading", { level: 1 }).textContent()).resolves.toBe("Hearth line box");
    await expect(page.getByText("An invented design").count()).resolves.toBe(1);
    await expect(page.locator(".top .revisions").textContent()).resolves.toContain("Proven A");
    expect(await page.getByRole("main").getByRole("table").count()).toBeGreaterThan(0);
    clean();
    await page.context().close();
  });

  test("a typed value is one step; undo and redo walk it, by button and by key", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const before = await lastDone(page);
    await typeIn(page, "R4 1k2");
    await expect.poll(() => lastDone(page)).toContain("R4");
    expect(await lastDone(page)).toContain("1k2");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await redoButton(page).click();
    await expect.poll(() => lastDone(page)).toContain("1k2");
    await page.keyboard.press("Control+z");
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("another tube goes in by name with its wires, and one undo takes all of it back", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "revisions" });
    const before = await lastDone(page);
    await typeIn(page, "V1 6FQ7");
    await expect.poll(() => lastDone(page)).toContain("6FQ7");
    await expect.poll(() => page.getByRole("main").textContent()).toMatch(/5687 → 6FQ7/);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("what is kept is there after a reload, and undo still reaches back", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const before = await lastDone(page);
    await typeIn(page, "R4 910");
    await expect.poll(() => lastDone(page)).toContain("910");
    await page.waitForTimeout(400);
    await page.reload();
    await solved(page);
    expect(await lastDone(page)).toContain("910");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await page.waitForTimeout(300);
    clean();
    await page.context().close();
  });

  test("two tabs on one design: the later one's work is kept beside, nothing is lost, and both can be compared", async () => {
    const shop = await serve();
    const one = await openPage(around.browser, shop.address);
    const two = await openPage(around.browser, shop.address);
    // The second tab does not hear of the first one's step before it makes its own.
    await two.page.route("**/api/events", (route) => route.abort());
    await two.page.reload();
    await solved(two.page);
    await typeIn(one.page, "R4 1k5");
    await expect.poll(() => lastDone(one.page)).toContain("1k5");
    await one.page.waitForTimeout(500);
    await typeIn(two.page, "R8 2k7");
    await two.page.getByText("kept beside").first().waitFor();
    expect(await lastDone(two.page)).toContain("2k7");
    await expect(lastDone(one.page)).resolves.toContain("1k5");
    await two.page.getByRole("link", { name: /Revisions/ }).click();
    await two.page.getByRole("button", { name: "Compare with now" }).first().waitFor();
    const lines = two.page.locator("section[aria-labelledby=revisions-lines]");
    await lines.getByRole("button", { name: "Compare with now" }).first().click();
    await expect.poll(() => two.page.locator(".revisions-changes").first().textContent()).toMatch(/R4.*|R8.*/);
    one.clean();
    two.clean(/events|ERR_FAILED/);
    await one.page.context().close();
    await two.page.context().close();
    await shop.end();
    shop.remove();
  });

  test("the server is killed while something is edited: the page keeps it, and it arrives when the server is back", async () => {
    const first = await serve();
    const { page, clean } = await openPage(around.browser, first.address);
    await first.end("SIGKILL");
    await typeIn(page, "R4 1k8");
    await page.getByText("not saved yet").waitFor();
    expect(await lastDone(page)).toContain("1k8");
    const second = await serve(first.folder, Number(new URL(first.address).port));
    await expect.poll(() => page.getByText("not saved yet").count(), { timeout: 15_000 }).toBe(0);
    const again = await openPage(around.browser, second.address);
    expect(await lastDone(again.page)).toContain("1k8");
    clean(/ERR_CONNECTION|Failed to load|ERR_INCOMPLETE|ERR_EMPTY|ERR_NETWORK/);
    await page.context().close();
    await again.page.context().close();
    await second.end();
    second.remove();
  });

  test("the tab is closed while the server is down: the next page takes up what was not sent", async () => {
    const first = await serve();
    const context = await around.browser.newContext({ reducedMotion: "reduce" });
    const page = await context.newPage();
    await page.goto(first.address);
    await solved(page);
    await first.end("SIGKILL");
    await typeIn(page, "R4 2k2");
    await page.getByText("not saved yet").waitFor();
    await page.close();
    const second = await serve(first.folder, Number(new URL(first.address).port));
    const next = await context.newPage();
    await next.goto(second.address);
    await solved(next);
    await expect.poll(() => lastDone(next)).toContain("2k2");
    await next.waitForTimeout(500);
    const other = await openPage(around.browser, second.address);
    expect(await lastDone(other.page)).toContain("2k2");
    await context.close();
    await other.page.context().close();
    await second.end();
    second.remove();
  });

  test("a broken file is refused with a sentence that says what was expected, and nothing is changed", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "revisions" });
    const broken = join(around.serving.folder, "broken.json");
    writeFileSync(broken, '{"format":"platewright/design@1","now":{"name":');
    const designs = () => page.locator("section[aria-labelledby=revisions-shop] .revisions-list > li").count();
    await expect.poll(designs).toBe(1);
    await page.locator("input[type=file]").setInputFiles(broken);
    await page.getByRole("alert").first().waitFor();
    expect(await page.getByRole("alert").first().textContent()).toMatch(/broken\.json.*Nothing was changed/);
    expect(await designs()).toBe(1);
    clean(/400|422|Bad Request|Unprocessable/);
    await page.context().close();
  });

  test("a good file is brought in beside, never over; and what was saved comes back the same", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "revisions" });
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: "Save as a file" }).first().click(),
    ]);
    const path = join(around.serving.folder, download.suggestedFilename());
    await download.saveAs(path);
    await page.locator("input[type=file]").setInputFiles(path);
    await page.getByText("is here already, just so").waitFor();
    const other = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as { now: { name: string } };
    other.now.name = "Brought <script>alert(1)</script> in";
    const changed = join(around.serving.folder, "other.json");
    writeFileSync(changed, JSON.stringify(other));
    await page.locator("input[type=file]").setInputFiles(changed);
    await page.getByText("was added").waitFor();
    await page
      .getByRole("button", { name: /^Open Brought/ })
      .first()
      .click();
    await expect
      .poll(() => page.getByRole("heading", { level: 1 }).textContent())
      .toBe("Brought <script>alert(1)</script> in");
    clean();
    await page.context().close();
  });

  test("a revision is cut, pinned and gone on from", async () => {
    const shop = await serve();
    const { page, clean } = await openPage(around.browser, shop.address, { at: "revisions" });
    await page.getByLabel("Cut as").fill("B");
    await page.getByRole("button", { name: "Cut revision" }).click();
    const row = page.locator("section[aria-labelledby=revisions-timeline] li", { hasText: /^B/ });
    await row.waitFor();
    await row.getByRole("button", { name: "Pin as proven" }).click();
    await expect.poll(() => page.locator(".top .revisions").textContent()).toContain("Proven B");
    await page
      .locator("section[aria-labelledby=revisions-timeline] li", { hasText: /^A/ })
      .getByRole("button", { name: "Go on from here" })
      .click();
    await expect.poll(() => page.locator(".top .revisions").textContent()).toContain("From A");
    clean();
    await page.context().close();
    await shop.end();
    shop.remove();
  });

  test("keyboard only: every section is reached and its first control takes the focus with a visible ring", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    await page.keyboard.press("Tab");
    await expect(page.evaluate(() => document.activeElement?.textContent)).resolves.toBe("To the sheet");
    await page.keyboard.press("Enter");
    await expect(page.evaluate(() => document.activeElement?.id)).resolves.toBe("main");
    const titles = await page
      .locator(".rail ol a")
      .evaluateAll((links) => links.map((link) => link.getAttribute("href")));
    for (const [n, href] of titles.entries()) {
      await page.keyboard.press(String(n + 1));
      await expect.poll(() => page.evaluate(() => location.hash || "#rework")).toBe(href);
      await page.locator("main h2:visible").first().waitFor();
      // What is still coming takes the place of what stands there.
      await settled(page);
      await page.evaluate(() => document.getElementById("main")?.focus());
      await page.keyboard.press("Tab");
      // A ring around it, or, for a knob or a point, its own line drawn heavier: either way it looks another.
      const drawn = await page.evaluateHandle(() => document.activeElement as Element);
      const focused = await drawn.screenshot({ animations: "disabled" });
      const ringed = await drawn.evaluate((element) => getComputedStyle(element).outlineStyle !== "none");
      await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
      const left = await drawn.screenshot({ animations: "disabled" });
      expect(ringed || !focused.equals(left), `section ${href}`).toBe(true);
      await page.keyboard.press("Escape");
      await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    }
    clean();
    await page.context().close();
  });

  test.each(["day", "night"] as const)("axe finds nothing on any section, %s", async (theme) => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { theme });
    const places = await page
      .locator(".rail ol a")
      .evaluateAll((links) => links.map((link) => link.getAttribute("href")));
    for (const place of places) {
      await page.goto(`${around.serving.address}/${place ?? ""}`);
      await solved(page);
      await page.locator("main h2:visible").first().waitFor();
      await page.waitForTimeout(700);
      // The page's own policy forbids injected tags; the browser's debugger may evaluate.
      await page.evaluate(AXE);
      const violations = await page.evaluate(async () => {
        const { axe } = window as unknown as {
          axe: {
            run: () => Promise<{ violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[] }>;
          };
        };
        const result = await axe.run();
        return result.violations.map(({ id, nodes }) => ({
          id,
          nodes: nodes.slice(0, 3).map((one) => `${one.html.slice(0, 160)} ${one.failureSummary ?? ""}`),
        }));
      });
      expect(violations, `section ${place}`).toEqual([]);
    }
    clean();
    await page.context().close();
  });

  test("every section prints: no controls, no rail, at least one page of black on white", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { theme: "night" });
    const places = await page
      .locator(".rail ol a")
      .evaluateAll((links) => links.map((link) => link.getAttribute("href")));
    for (const place of places) {
      await page.goto(`${around.serving.address}/${place ?? ""}`);
      await solved(page);
      await page.locator("main h2:visible").first().waitFor();
      await page.emulateMedia({ media: "print" });
      expect(await page.locator(".rail").isVisible(), place ?? "").toBe(false);
      expect(
        await page.locator(".button:visible, .choice:visible, input[type=range]:visible").count(),
        place ?? "",
      ).toBe(0);
      const ink = await page.evaluate(() => getComputedStyle(document.body).color);
      expect(ink).toBe("rgb(0, 0, 0)");
      const paper = await page.pdf({ preferCSSPageSize: true, printBackground: true });
      expect(paper.subarray(0, 5).toString()).toBe("%PDF-");
      expect(paper.length).toBeGreaterThan(5000);
      await page.emulateMedia({ media: null });
    }
    clean();
    await page.context().close();
  });
});
