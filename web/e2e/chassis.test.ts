/** The Chassis section in a real browser: the plate is worked on by pointer and by keys, one deed is one step. */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { canBrowse, lastDone, openPage, tally, typeIn, undoButton, workbench } from "./around.ts";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const part = (page: Page, id: string) => page.locator(`[data-item="${id}"]`);
/** Where the pointer takes hold of a part. */
async function middleOf(page: Page, id: string): Promise<{ readonly x: number; readonly y: number }> {
  const box = await part(page, id).boundingBox();
  if (box === null) throw new Error(`${id} is not on the plate`);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}
const spoken = (page: Page, id: string) => part(page, id).getAttribute("aria-label");

describe.skipIf(!canBrowse)("the chassis", { timeout: 60_000 }, () => {
  const around = workbench();
  const open = async (how: { readonly theme?: "day" | "night"; readonly width?: number } = {}) => {
    const watched = await openPage(around.browser, around.serving.address, { ...how, at: "chassis" });
    await part(watched.page, "V1").waitFor();
    return watched;
  };

  test("a tube is dragged: it follows, its place is in hand and is one step with its name; undo puts it back", async () => {
    const { page, clean } = await open();
    const [before, told] = [await lastDone(page), await spoken(page, "V1")];
    const { x, y } = await middleOf(page, "V1");
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 30, y - 40, { steps: 5 });
    await expect.poll(() => page.locator(".top .hand b").textContent()).toMatch(/^V1 to \d+(\.\d+)?, \d+(\.\d+)?$/);
    expect(await lastDone(page)).toBe(before);
    const named = await page.locator(".top .hand b").textContent();
    await page.mouse.up();
    await expect.poll(() => lastDone(page)).toBe(named);
    await expect.poll(() => spoken(page, "V1")).not.toBe(told);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await expect.poll(() => spoken(page, "V1")).toBe(told);
    clean();
    await page.context().close();
  });

  test("Escape while dragging leaves everything as it was", async () => {
    const { page, clean } = await open();
    const [before, told] = [await lastDone(page), await spoken(page, "C1")];
    const { x, y } = await middleOf(page, "C1");
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x - 60, y + 20, { steps: 5 });
    await expect.poll(() => page.locator(".top .hand b").count()).toBe(1);
    await page.keyboard.press("Escape");
    await expect.poll(() => page.locator(".top .hand").count()).toBe(0);
    await page.mouse.move(x - 80, y + 20);
    await page.mouse.up();
    expect(await lastDone(page)).toBe(before);
    await expect.poll(() => spoken(page, "C1")).toBe(told);
    clean();
    await page.context().close();
  });

  test("by keys alone: Tab to a part in the order of reading, arrows move it, R turns it, one step for a run of keys", async () => {
    const { page, clean } = await open();
    const before = await lastDone(page);
    await part(page, "IN-L").focus();
    await page.keyboard.press("Tab");
    await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute("data-item"))).toBe("IN-R");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Shift+ArrowDown");
    await page.keyboard.press("r");
    await expect.poll(() => lastDone(page)).toBe("IN-R to 52, 148, turned to 15°");
    await page.keyboard.press("Control+z");
    await expect.poll(() => lastDone(page)).toBe(before);
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.press("Control+z");
    await expect.poll(() => lastDone(page)).toBe(before);
    await expect.poll(() => spoken(page, "IN-R")).toContain("x 50, y 158");
    clean();
    await page.context().close();
  });

  test("a place is typed in inches and kept in millimetres", async () => {
    const { page, clean } = await open();
    const before = await lastDone(page);
    await part(page, "LAMP").click();
    const field = page.getByRole("region", { name: "LAMP" }).getByLabel("x", { exact: true });
    await field.fill("8 1/2 in");
    await expect.poll(() => page.locator(".top .hand b").textContent()).toBe("LAMP to 215.9, 24");
    await field.press("Enter");
    await expect.poll(() => lastDone(page)).toBe("LAMP to 215.9, 24");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("the wrong hole: its finding chooses it, a ring is looked at and then fitted, the stop goes", async () => {
    const { page, clean } = await open();
    const before = await lastDone(page);
    const findings = page.getByRole("region", { name: "To decide" });
    const ring = findings.getByRole("button", { name: /Adapter ring on H3/ });
    await ring.waitFor();
    const stops = await tally(page);
    await findings.getByRole("button", { name: /H3 is 22 mm/ }).click();
    await expect.poll(() => part(page, "V3").getAttribute("aria-pressed")).toBe("true");
    await ring.hover();
    await expect.poll(() => page.locator(".top .hand").textContent()).toContain("Adapter ring on H3");
    await expect.poll(() => findings.getByRole("status").textContent()).toMatch(/1 → 0 stop/);
    await page.mouse.move(700, 300);
    await expect.poll(() => page.locator(".top .hand").count()).toBe(0);
    await ring.click();
    await expect.poll(() => lastDone(page)).toContain("Adapter ring on H3");
    await expect.poll(() => findings.getByText(/H3 is 22 mm/).count()).toBe(0);
    await expect.poll(() => tally(page)).not.toBe(stops);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("the other face is mirrored: what stands left stands right, and moves as it is seen", async () => {
    const { page, clean } = await open();
    const before = await lastDone(page);
    const [v1, t1] = [await middleOf(page, "V1"), await middleOf(page, "T1")];
    expect(v1.x).toBeLessThan(t1.x);
    await page.getByRole("radio", { name: "Below" }).click();
    await page.getByRole("group", { name: /from below, mirrored/ }).waitFor();
    const [from, to] = [await middleOf(page, "V1"), await middleOf(page, "T1")];
    expect(from.x).toBeGreaterThan(to.x);
    await part(page, "V1").focus();
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => lastDone(page)).toBe("V1 to 59, 104");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    for (const name of ["Front", "Left", "Above"]) {
      await page.getByRole("radio", { name }).click();
      await page.locator(".chassis-window svg").first().waitFor();
    }
    clean();
    await page.context().close();
  });

  test("what is taken off waits beside the plate, and a press puts it where there is room", async () => {
    const { page, clean } = await open();
    await part(page, "V2").focus();
    await page.keyboard.press("Delete");
    await expect.poll(() => lastDone(page)).toContain("V2 off the plate");
    const tray = page.getByRole("region", { name: "Not on the plate yet" });
    await tray.getByRole("button", { name: /V2/ }).click();
    await part(page, "V2").waitFor();
    await expect.poll(() => tray.count()).toBe(0);
    await undoButton(page).click();
    await undoButton(page).click();
    await expect.poll(() => spoken(page, "V2")).toContain("x 115, y 104");
    clean();
    await page.context().close();
  });

  test("what waits is dragged onto the plate, and is one step where it is let go", async () => {
    const { page, clean } = await open();
    await part(page, "LAMP").focus();
    const before = await middleOf(page, "LAMP");
    await page.keyboard.press("Delete");
    await part(page, "V2").focus();
    await page.keyboard.press("Delete");
    const button = page.getByRole("region", { name: "Not on the plate yet" }).getByRole("button", { name: /V2/ });
    const box = await button.boundingBox();
    if (box === null) throw new Error("V2 waits beside the plate");
    await page.mouse.move(box.x + 20, box.y + 10);
    await page.mouse.down();
    await page.mouse.move(before.x, before.y, { steps: 6 });
    await expect.poll(() => page.locator(".top .hand b").textContent()).toContain("V2 on the plate");
    await page.mouse.up();
    await expect.poll(() => lastDone(page)).toContain("V2 on the plate");
    await expect.poll(() => spoken(page, "V2")).toContain("x 215, y 24");
    for (let n = 0; n < 3; n++) await undoButton(page).click();
    await expect.poll(() => spoken(page, "V2")).toContain("x 115, y 104");
    clean();
    await page.context().close();
  });

  test("several are chosen and spaced evenly; the second channel is mirrored by name; a place is typed", async () => {
    const { page, clean } = await open();
    const before = await lastDone(page);
    await part(page, "IN-L").click();
    for (const id of ["IN-R", "OUT-L", "OUT-R"]) await part(page, id).click({ modifiers: ["Shift"] });
    await page.getByRole("button", { name: "Space evenly across" }).click();
    await expect.poll(() => spoken(page, "IN-R")).toContain("x 54.667");
    await page.keyboard.press("Control+z");
    await expect.poll(() => lastDone(page)).toBe(before);
    await typeIn(page, "mirror");
    await expect.poll(() => lastDone(page)).toBe("R mirrored from L about x 150");
    await expect.poll(() => spoken(page, "V2")).toContain("x 240, y 104");
    await undoButton(page).click();
    await typeIn(page, "V2 120, 100");
    await expect.poll(() => lastDone(page)).toBe("V2 to 120, 100");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("a design without metal says so, begins a plate with one press, and every part of it waits", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const design = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as {
      now: { name: string; chassis?: unknown };
      revisions: unknown[];
      proven?: string;
    };
    design.now.name = "Bare circuit";
    delete design.now.chassis;
    const brought = await page.evaluate(
      async (text) =>
        (
          await fetch("/api/import", {
            method: "POST",
            headers: { "content-type": "application/octet-stream" },
            body: new TextEncoder().encode(text),
          })
        ).text(),
      JSON.stringify(design),
    );
    const key = /"design":"([^"]+)"/.exec(brought)?.[1];
    expect(key, brought).toBeDefined();
    await page.evaluate((of) => localStorage.setItem("platewright.open", JSON.stringify({ design: of })), key);
    await page.goto(`${around.serving.address}/#chassis`);
    await page.reload();
    await page.getByText(/Bare circuit is a circuit so far: 3 tubes/).waitFor();
    await page.getByRole("button", { name: "Begin a plate" }).click();
    await expect.poll(() => lastDone(page)).toContain("Begin a plate");
    const tray = page.getByRole("region", { name: "Not on the plate yet" });
    for (const name of [/^V1 /, /^V2 /, /^V3 /, /transformer/]) await tray.getByRole("button", { name }).waitFor();
    await tray.getByRole("button", { name: /^V1 / }).click();
    await part(page, "V1").waitFor();
    clean();
    await page.context().close();
  });

  test.each(["day", "night"] as const)(
    "axe finds nothing, with something chosen and with nothing, by %s",
    async (theme) => {
      const { page, clean } = await open({ theme });
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
      await page.evaluate(AXE);
      await look();
      await part(page, "V3").click();
      await page.getByRole("region", { name: "V3 6X4" }).waitFor();
      await look();
      await page.getByRole("radio", { name: "Below" }).click();
      await page.waitForTimeout(300);
      await look();
      clean();
      await page.context().close();
    },
  );
});
