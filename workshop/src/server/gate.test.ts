/** A shared workshop: the passphrase, its form, its cookie. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { openGate, soundPassphrase } from "./gate.ts";
import { beginTrial, OWN, refusalOf, type Trial } from "./trial.ts";

const WORDS = "anvil harbour quince lantern";
const form = (passphrase: string, headers: Readonly<Record<string, string>> = {}): RequestInit => ({
  method: "POST",
  headers: { ...OWN, "content-type": "application/x-www-form-urlencoded", ...headers },
  body: new URLSearchParams({ passphrase }).toString(),
});
const clock = { milliseconds: 0 };
let trial: Trial;
beforeAll(async () => {
  trial = beginTrial({ gate: await openGate(WORDS, () => clock.milliseconds) });
});
afterAll(() => trial.end());

test.each(["", "short", "aaaaaaaaaaaaaaaa", "abcabcabcabcabc", "   eleven chr ", "x".repeat(2000)])(
  "'%s' is no passphrase",
  (given) => {
    expect(() => soundPassphrase(given)).toThrow(/passphrase (is too easy|has more)/);
  },
);

test("one passphrase however its letters are composed", async () => {
  const gate = await openGate(soundPassphrase("  caf\u00e9 quince lantern "), () => 0);
  expect((await gate.enter("cafe\u0301 quince lantern", "a")).outcome).toBe("in");
});

test("without it there is the form and nothing else, from this machine too", async () => {
  const page = await trial.ask("/");
  expect([page.status, page.headers.get("location")]).toEqual([303, "/login"]);
  for (const path of ["/api/shop", "/api/events", "/api/shop/archive", "/assets/page-AbCd1234.js", "/nothing"])
    expect(await refusalOf(await trial.ask(path, { headers: OWN }))).toMatchObject({
      status: 401,
      code: "passphrase-wanted",
    });
  expect(await refusalOf(await trial.post("/api/backup", {}))).toMatchObject({ status: 401 });
  const login = await trial.ask("/login");
  expect(login.headers.get("content-security-policy")).toContain("script-src 'self'");
  // With no-referrer the browser would send "Origin: null" with the form.
  expect(login.headers.get("referrer-policy")).toBe("same-origin");
  const html = await login.text();
  expect(html).not.toMatch(/<script|style=/);
  expect(html).toMatch(/not encrypted/);
  expect((await trial.ask("/login.css")).headers.get("content-type")).toMatch(/^text\/css/);
});

test("a form of another site does not get to try", async () => {
  expect(await refusalOf(await trial.ask("/login", form(WORDS, { origin: "https://evil.example" })))).toMatchObject({
    code: "cross-site",
  });
  expect(await refusalOf(await trial.ask("/login", form(WORDS, { "content-type": "text/plain" })))).toMatchObject({
    code: "wrong-type",
  });
  expect(await refusalOf(await trial.ask("/login", form("x".repeat(10_000))))).toMatchObject({ code: "too-large" });
});

test("the right one opens by a cookie that no script reads and no other site sends", async () => {
  const entered = await trial.ask("/login", form(WORDS));
  expect([entered.status, entered.headers.get("location")]).toEqual([303, "/"]);
  const cookie = entered.headers.get("set-cookie") ?? "";
  expect(cookie).toMatch(/^platewright=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
  const [pair = ""] = cookie.split(";");
  expect((await trial.ask("/api/shop", { headers: { cookie: pair } })).status).toBe(200);
  expect((await trial.ask("/", { headers: { cookie: pair } })).status).toBe(200);
  expect((await trial.ask("/api/shop", { headers: { cookie: `${pair}x` } })).status).toBe(401);
  expect((await trial.ask("/api/shop", { headers: { cookie: "platewright=" } })).status).toBe(401);
  clock.milliseconds += 13 * 3_600_000;
  expect((await trial.ask("/api/shop", { headers: { cookie: pair } })).status).toBe(401);
});

test("each wrong one doubles the wait of who sent it, the right one too has to wait, others need not", async () => {
  const gate = await openGate(WORDS, () => clock.milliseconds);
  const waits: number[] = [];
  for (let n = 0; n < 8; n++) {
    expect((await gate.enter("wrong", "guesser")).outcome).toBe("wrong");
    const next = await gate.enter(WORDS, "guesser");
    if (next.outcome !== "wait") throw new Error(next.outcome);
    waits.push(next.seconds);
    clock.milliseconds += 1000 * next.seconds;
  }
  expect(waits).toEqual([1, 2, 4, 8, 16, 32, 60, 60]);
  expect((await gate.enter("wrong", "guesser")).outcome).toBe("wrong");
  expect((await gate.enter(WORDS, "builder")).outcome).toBe("in");
});

test("a hundred guesses at once are judged one at a time", async () => {
  const gate = await openGate(WORDS, () => 0);
  const outcomes = await Promise.all(Array.from({ length: 100 }, (_, n) => gate.enter(`guess ${n}`, `from ${n}`)));
  expect(outcomes.filter((one) => one.outcome === "wrong")).toHaveLength(1);
  expect(outcomes.filter((one) => one.outcome === "wait")).toHaveLength(99);
});

test("the form says why it did not open, in words a reader hears", async () => {
  const wrong = await trial.ask("/login", form("not the words at all"));
  expect(wrong.status).toBe(401);
  expect(await wrong.text()).toMatch(/role="alert">That is not the passphrase/);
  const soon = await trial.ask("/login", form(WORDS));
  expect([soon.status, soon.headers.get("retry-after")]).toEqual([429, "1"]);
});
