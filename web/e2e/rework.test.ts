/** The main job by hand: a tube tried from the board, a fix looked at and pressed, a value dragged; each one undo back. */
import { describe, expect, test } from "vitest";
import { canBrowse, lastDone, openPage, tally, typeIn, undoButton, workbench } from "./around.ts";

describe.skipIf(!canBrowse)("a rework by hand", { timeout: 90_000 }, () => {
  const around = workbench();

  test("a candidate is tried with one press, and one undo takes all of it back", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const before = await lastDone(page);
    const row = page.locator(".rework-changes");
    const was = await row.textContent();
    await page.getByRole("button", { name: /^Try 6FQ7 in/ }).click({ timeout: 60_000 });
    await expect.poll(() => lastDone(page), { timeout: 20_000 }).toMatch(/6FQ7/);
    await expect.poll(() => row.textContent()).toContain("6FQ7");
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await expect.poll(() => row.textContent()).toBe(was);
    clean();
    await page.context().close();
  });

  test("a first capacitor too large is a stop with a fix: looked at without keeping, pressed, undone", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const stops = async () => Number(/(\d+) stop/.exec((await tally(page)) ?? "")?.[1] ?? 0);
    const before = await stops();
    await typeIn(page, "PS.C1 100u");
    await expect.poll(stops, { timeout: 20_000 }).toBe(before + 1);
    const fix = page.locator(".rework-fixes .button").first();
    await fix.waitFor();
    const kept = await lastDone(page);
    await fix.hover();
    await page.locator(".hand", { hasText: "Would do" }).waitFor();
    expect(await lastDone(page)).toBe(kept);
    await fix.click();
    await expect.poll(() => lastDone(page)).not.toBe(kept);
    await expect.poll(stops, { timeout: 20_000 }).toBe(before);
    await undoButton(page).click();
    await expect.poll(stops, { timeout: 20_000 }).toBe(before + 1);
    await undoButton(page).click();
    await expect.poll(stops, { timeout: 20_000 }).toBe(before);
    clean();
    await page.context().close();
  });

  test("a resistor is chosen in the schematic and dragged on its slider: live while held, one step let go", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "circuit" });
    await page.getByRole("button", { name: /^R4\b/ }).first().click();
    const slider = page.getByRole("slider", { name: /R4/ }).first();
    await slider.waitFor();
    const before = await lastDone(page);
    const box = await slider.boundingBox();
    if (box === null) throw new Error("no slider");
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + box.width / 5, y, { steps: 15 });
    await page.locator(".hand", { hasText: "In hand" }).waitFor();
    expect(await lastDone(page)).toBe(before);
    await page.mouse.up();
    await expect.poll(() => lastDone(page)).toMatch(/^R4 /);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("the operating point is dragged: the resistor follows live and becomes one step; Escape would put it back", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "curves" });
    const point = page.getByRole("slider", { name: /Operating point/ });
    await point.waitFor();
    const before = await lastDone(page);
    const words = await point.getAttribute("aria-valuetext");
    const box = await page.locator(".curves-handle circle").boundingBox();
    if (box === null) throw new Error("no handle");
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x - 10, y - 24, { steps: 12 });
    await page.locator(".hand", { hasText: "In hand" }).waitFor();
    await expect.poll(() => point.getAttribute("aria-valuetext")).not.toBe(words);
    expect(await lastDone(page)).toBe(before);
    await page.mouse.up();
    await expect.poll(() => lastDone(page)).toMatch(/R4 .* → /);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await point.focus();
    await page.keyboard.press("ArrowUp");
    await page.locator(".hand", { hasText: "In hand" }).waitFor();
    await page.keyboard.press("Escape");
    await expect.poll(() => page.locator(".hand").count()).toBe(0);
    expect(await lastDone(page)).toBe(before);
    clean();
    await page.context().close();
  });

  test("the drive knob is turned by keys and becomes one step when it is left", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "voicing" });
    const knob = page.getByRole("slider", { name: "Drive" });
    await knob.waitFor();
    const before = await lastDone(page);
    const h2 = page.locator(".voicing-big b");
    const was = await h2.textContent();
    await knob.focus();
    for (let n = 0; n < 10; n++) await page.keyboard.press("ArrowDown");
    await expect.poll(() => h2.textContent()).not.toBe(was);
    await page.keyboard.press("Enter");
    await expect.poll(() => lastDone(page)).toMatch(/^Drive /);
    await undoButton(page).click();
    await expect.poll(() => lastDone(page)).toBe(before);
    await expect.poll(() => h2.textContent()).toBe(was);
    clean();
    await page.context().close();
  });

  test("a wish for volts is answered with the part that brings it", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address, { at: "supply" });
    await page.getByRole("combobox", { name: "Net" }).waitFor();
    const nets = await page.getByRole("combobox", { name: "Net" }).locator("option").allTextContents();
    const volts = page.getByRole("textbox", { name: `Volts at ${nets.at(-1)}` });
    await volts.fill("240");
    await volts.press("Enter");
    const offer = page.locator("section[aria-labelledby=supply-wishes] .button.primary");
    await offer.waitFor({ timeout: 20_000 });
    expect(await offer.textContent()).toMatch(/R1/);
    await offer.click();
    await expect.poll(() => lastDone(page)).toMatch(/R1/);
    await undoButton(page).click();
    clean();
    await page.context().close();
  });

  test("pieces on the shelf are counted and undone apart from the design", async () => {
    const { page, clean } = await openPage(around.browser, around.serving.address);
    const design = await lastDone(page);
    await page.getByRole("link", { name: "Shelf" }).click();
    const count = page.getByRole("textbox", { name: "12BH7A on hand" });
    await count.waitFor();
    const was = await count.inputValue();
    await count.fill("9");
    await count.press("Enter");
    await expect.poll(() => count.inputValue()).toBe("9");
    expect(await lastDone(page)).toBe("12BH7A: 9 on the shelf");
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    await page.keyboard.press("Control+z");
    await expect.poll(() => count.inputValue()).toBe(was);
    await page.getByRole("link", { name: /Rework/ }).click();
    await expect.poll(() => lastDone(page)).toBe(design);
    clean();
    await page.context().close();
  });
});
