/** The page's files: types, caching, compression, and only what the build wrote. */
import { symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { accepts } from "./page.ts";
import { beginTrial, refusalOf, type Trial } from "./trial.ts";

let trial: Trial;
beforeAll(() => {
  trial = beginTrial();
});
afterAll(() => trial.end());
const SCRIPT = "/assets/page-AbCd1234.js";

test("the first file is asked for anew each time, those named by their content never again", async () => {
  for (const path of ["/", "/index.html"]) {
    const page = await trial.ask(path);
    expect(page.headers.get("content-type")).toBe("text/html; charset=utf-8");
    expect(page.headers.get("cache-control")).toBe("no-cache");
    expect(await page.text()).toContain("Platewright");
  }
  const script = await trial.ask(SCRIPT);
  expect(script.headers.get("content-type")).toBe("text/javascript; charset=utf-8");
  expect(script.headers.get("cache-control")).toBe("public, max-age=31536000, immutable");
  expect(await script.text()).toBe("export {};");
});

test.each([
  ["br, gzip", "br", "as brotli"],
  ["gzip, deflate", "gzip", "as gzip"],
  ["gzip;q=1.0, br;q=0", "gzip", "as gzip"],
  ["*", "br", "as brotli"],
  ["BR", "br", "as brotli"],
  ["identity", null, "export {};"],
  ["brotli", null, "export {};"],
  ["br;q=0.000", null, "export {};"],
  ["", null, "export {};"],
])("accepting '%s' gets %s", async (header, encoding, content) => {
  const response = await trial.ask(SCRIPT, { headers: { "accept-encoding": header } });
  expect(response.headers.get("content-encoding")).toBe(encoding);
  expect(response.headers.get("vary")).toBe("accept-encoding");
  expect(response.headers.get("content-type")).toBe("text/javascript; charset=utf-8");
  expect(new TextDecoder().decode(await response.arrayBuffer())).toBe(content);
});

test("an encoding with weight is taken, whatever its spaces", () => {
  expect(accepts("gzip ; q=0.5 , br ; q=0.1", "br")).toBe(true);
  expect(accepts("gzip;q=0", "gzip")).toBe(false);
});

test("HEAD says the same without the content", async () => {
  const head = await trial.ask(SCRIPT, { method: "HEAD" });
  expect(head.status).toBe(200);
  expect(head.headers.get("content-type")).toBe("text/javascript; charset=utf-8");
  expect(await head.text()).toBe("");
});

test("a new build is taken up with the next load of the page; links are not followed", async () => {
  const web = join(trial.folder, "web");
  writeFileSync(join(web, "assets", "page-NewBuild1.js"), "export const again = 1;");
  symlinkSync(join(trial.folder, "secret.txt"), join(web, "assets", "link.txt"));
  await trial.ask("/");
  expect((await trial.ask("/assets/page-NewBuild1.js")).status).toBe(200);
  expect(await refusalOf(await trial.ask("/assets/link.txt"))).toMatchObject({ status: 404, code: "no-page" });
});
