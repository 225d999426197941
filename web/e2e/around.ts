/** What the tests in a real browser stand on: a workshop of its own on a fresh folder, Debian's Chromium, and a page that is watched. */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, expect } from "vitest";

const CHROMIUM = [process.env["CHROMIUM"], "/usr/bin/chromium", "/usr/bin/chromium-browser"].find(
  (path) => path !== undefined && existsSync(path),
);
/** Without a browser or a built page these tests are skipped; with CI=true a skip is a failure. */
export const canBrowse =
  CHROMIUM !== undefined && existsSync("dist/web/index.html") && existsSync("dist/platewright.mjs");

export const openBrowser = (): Promise<Browser> =>
  chromium.launch({
    ...(CHROMIUM === undefined ? {} : { executablePath: CHROMIUM }),
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });

export interface Serving {
  readonly address: string;
  readonly folder: string;
  readonly process: ChildProcess;
  /** Ends it as a builder would, or as a power cut would. */
  readonly end: (signal?: "SIGTERM" | "SIGKILL") => Promise<void>;
  readonly remove: () => void;
}

/** Starts `platewright serve` on a folder; a given port lets a page find a restarted workshop again. */
export async function serve(folder = mkdtempSync(join(tmpdir(), "platewright-e2e-")), port = 0): Promise<Serving> {
  const child = spawn(
    process.execPath,
    ["dist/platewright.mjs", "serve", "--port", String(port), "--data", folder, "--no-open"],
    { stdio: ["ignore", "pipe", "pipe"] },
  );
  const address = await new Promise<string>((resolve, reject) => {
    let heard = "";
    const listen = (data: Buffer) => {
      heard += data.toString();
      const found = /http:\/\/[\w.]+:\d+/.exec(heard);
      if (found !== null) resolve(found[0]);
    };
    child.stdout.on("data", listen);
    child.stderr.on("data", listen);
    child.on("exit", (code) => reject(new Error(`serve ended with ${code}: ${heard}`)));
  });
  const ended = new Promise<void>((resolve) => child.on("exit", () => resolve()));
  return {
    address,
    folder,
    process: child,
    end: async (signal = "SIGTERM") => {
      child.kill(signal);
      await ended;
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

export interface Watched {
  readonly page: Page;
  /** Asserts that nothing was logged as an error and nothing was asked of any other host. */
  readonly clean: (allowed?: RegExp) => void;
}

export async function openPage(
  browser: Browser,
  address: string,
  how: {
    readonly width?: number;
    readonly height?: number;
    readonly theme?: "day" | "night";
    readonly at?: string;
  } = {},
): Promise<Watched> {
  const context = await browser.newContext({
    viewport: { width: how.width ?? 1440, height: how.height ?? 900 },
    reducedMotion: "reduce",
    deviceScaleFactor: 1,
  });
  const page = await context.newPage();
  const troubles: string[] = [];
  const elsewhere: string[] = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") troubles.push(message.text());
  });
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.origin !== new URL(address).origin && !["data:", "blob:"].includes(url.protocol))
      elsewhere.push(request.url());
  });
  await page.addInitScript((theme) => {
    if (localStorage.getItem("platewright.theme") === null) localStorage.setItem("platewright.theme", theme);
  }, how.theme ?? "day");
  await page.goto(`${address}/${how.at === undefined ? "" : `#${how.at}`}`);
  await solved(page);
  return {
    page,
    clean: (allowed) => {
      expect(troubles.filter((one) => allowed?.test(one) !== true)).toEqual([]);
      expect(elsewhere).toEqual([]);
    },
  };
}

/** Waits until the header counts what was found: the whole design is solved. */
export async function solved(page: Page): Promise<void> {
  await page.getByRole("navigation", { name: "Sections" }).waitFor();
  await page.locator(".tally .level-ok, .tally .level-watch, .tally .level-stop").first().waitFor({ timeout: 30_000 });
}

/** A browser and a workshop of its own for the tests of one group, ended after them. */
export function workbench(): { readonly browser: Browser; readonly serving: Serving } {
  const around: { browser?: Browser; serving?: Serving } = {};
  beforeAll(async () => {
    around.browser = await openBrowser();
    around.serving = await serve();
  });
  afterAll(async () => {
    await around.browser?.close();
    await around.serving?.end();
    around.serving?.remove();
  });
  const started = <T>(one: T | undefined): T => {
    if (one === undefined) throw new Error("asked for before the tests began");
    return one;
  };
  return {
    get browser() {
      return started(around.browser);
    },
    get serving() {
      return started(around.serving);
    },
  };
}

/** Types into "Do…", as a builder with both hands on the keys. */
export async function typeIn(page: Page, text: string): Promise<void> {
  await page.keyboard.press("Control+k");
  await page.getByRole("combobox", { name: "Do" }).fill(text);
  await page.keyboard.press("Enter");
}

export const undoButton = (page: Page) => page.getByRole("button", { name: "Undo", exact: true });

/** The last thing done, as the undo button names it. */
export const lastDone = (page: Page) => undoButton(page).getAttribute("title");

/** Counts of the header. */
export const tally = (page: Page) => page.locator(".tally").textContent();

/** Waits until a sheet has said all that it has to say: its words are the same twice in a row. */
export async function settled(page: Page): Promise<void> {
  let before: string | undefined;
  await expect
    .poll(
      async () => {
        const now = await page.locator("main").textContent();
        const isSame = now === before;
        before = now ?? "";
        return isSame;
      },
      { interval: 400, timeout: 30_000 },
    )
    .toBe(true);
}
