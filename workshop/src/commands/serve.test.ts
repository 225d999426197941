/** `serve` as a process of its own: it starts, answers, and ends when it is told to. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { shopSchema } from "../client/contract.ts";
import { processIo } from "../io.ts";
import { listen } from "../server/listen.ts";
import { serve } from "./serve.ts";

let folder: string;
const children: ChildProcess[] = [];
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "platewright-serve-"));
});
afterAll(() => {
  for (const child of children) child.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
});

function started(...flags: readonly string[]) {
  const child = spawn(
    process.execPath,
    ["--import", "tsx", join("workshop", "src", "main.ts"), "serve", "--no-open", ...flags],
    { stdio: ["ignore", "pipe", "pipe"], env: { ...process.env, CI: "true" } },
  );
  children.push(child);
  const said = { out: "", error: "" };
  child.stdout.setEncoding("utf8").on("data", (piece: string) => (said.out += piece));
  child.stderr.setEncoding("utf8").on("data", (piece: string) => (said.error += piece));
  const exit = once(child, "exit") as Promise<[number | null, string | null]>;
  const address = new Promise<string>((resolve, reject) => {
    child.stdout.on("data", () => {
      const found = /^The workbench is at (http:\/\/127\.0\.0\.1:\d+)\/\n/.exec(said.out)?.[1];
      // The line after it says that all is ready.
      if (found !== undefined && said.out.includes("Ctrl+C")) resolve(found);
    });
    child.on("exit", () => reject(new Error(`ended early: ${said.error}`)));
  });
  address.catch(() => undefined);
  return { child, said, exit, address };
}

test("starts with the demo, answers a page, and ends with status 0 on SIGTERM though a page still listens", async () => {
  const shop = join(folder, "first");
  const { child, exit, address } = started("--port", "0", "--data", shop);
  const base = await address;
  const answer = shopSchema.parse(await (await fetch(`${base}/api/shop`)).json());
  expect(answer.designs.map((one) => one.name)).toEqual(["Hearth line box"]);
  expect(answer.file).toBe(join(shop, "shop.sqlite"));
  const listening = await fetch(`${base}/api/events`);
  const reader = (listening.body as ReadableStream<Uint8Array>).getReader();
  expect((await reader.read()).done).toBe(false);
  const kept = await fetch(`${base}/api/backup`, {
    method: "POST",
    headers: { origin: base, "content-type": "application/json" },
    body: "{}",
  });
  expect(kept.status).toBe(200);
  expect(
    (await fetch(`${base}/api/backup`, { method: "POST", headers: { "content-type": "application/json" }, body: "{}" }))
      .status,
  ).toBe(403);
  child.kill("SIGTERM");
  expect(await exit).toEqual([0, null]);
  expect((await reader.read()).done).toBe(true);
  // A store that was closed leaves no log beside the file.
  expect(existsSync(join(shop, "shop.sqlite-wal"))).toBe(false);
});

test("shared: says so and warns, asks for the passphrase on this machine too, ends on SIGHUP", async () => {
  const file = join(folder, "words.txt");
  writeFileSync(file, "anvil harbour quince lantern\nnot this line\n");
  const { child, said, exit, address } = started(
    "--port",
    "0",
    "--data",
    join(folder, "second"),
    "--share",
    "--passphrase-file",
    file,
  );
  const base = await address;
  expect(said.out).toMatch(/not encrypted/);
  expect((await fetch(`${base}/api/shop`)).status).toBe(401);
  const entered = await fetch(`${base}/login`, {
    method: "POST",
    redirect: "manual",
    headers: { origin: base, "content-type": "application/x-www-form-urlencoded" },
    body: new URLSearchParams({ passphrase: "anvil harbour quince lantern" }),
  });
  expect(entered.status).toBe(303);
  const [cookie = ""] = (entered.headers.get("set-cookie") ?? "").split(";");
  expect((await fetch(`${base}/api/shop`, { headers: { cookie } })).status).toBe(200);
  child.kill("SIGHUP");
  expect(await exit).toEqual([0, null]);
});

test("what cannot be served is one sentence and status 2, and no shop is made for it", async () => {
  const blocker = createServer();
  await new Promise<void>((resolve) => blocker.listen(0, "127.0.0.1", resolve));
  const address = blocker.address();
  const taken = typeof address === "object" && address !== null ? address.port : 0;
  const file = join(folder, "a-file");
  writeFileSync(file, "");
  const data = join(folder, "never");
  const words = "anvil harbour quince lantern";
  for (const [flags, sentence] of [
    [["--port", String(taken), "--data", join(folder, "third")], /^Port \d+ is taken/],
    [["--port", "http", "--data", data], /^--port: 'http' is no port/],
    [["--port", "70000", "--data", data], /^--port: '70000' is no port/],
    [["--data", file], /a-file is a file; name the folder/],
    [["--share", "--data", data], /^--share wants a passphrase/],
    [["--share", "--passphrase", "short", "--data", data], /too easy to guess/],
    [["--share", "--passphrase", words, "--passphrase-file", file, "--data", data], /^Give one of/],
    [["--passphrase", words, "--data", data], /add --share/],
    [["--share", "--passphrase-file", join(folder, "none"), "--data", data], /none: there is no such file/],
    [["--frob"], /^unknown option '--frob'/],
    [["here", "--data", data], /^too many arguments/],
  ] as const) {
    let out = "";
    let error = "";
    const status = await serve(flags, {
      ...processIo(),
      out: (text) => void (out += text),
      error: (text) => void (error += text),
    });
    expect(status, flags.join(" ")).toBe(2);
    expect(error).toMatch(sentence);
    expect(error.trim().split("\n"), error).toHaveLength(1);
    expect(out).toBe("");
  }
  blocker.close();
  expect(existsSync(data)).toBe(false);
});

test("the next port is taken when the first is not free", async () => {
  const first = await listen("127.0.0.1", [0]);
  if (!first.ok) throw new Error(first.failure.sentence);
  const { port } = first.value;
  const next = await listen("127.0.0.1", [port, 0]);
  const none = await listen("127.0.0.1", [port, port]);
  expect(next.ok && next.value.port !== port).toBe(true);
  expect(none.ok ? "" : none.failure.code).toBe("port-taken");
  await first.value.close();
  if (next.ok) await next.value.close();
});
