/** What another site, another name, or a hand-made request tries: refused by name, and nothing changed. */
import { type AddressInfo, connect, type Socket } from "node:net";
import { createServer, request } from "node:http";
import { getRequestListener } from "@hono/node-server";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { LARGEST_IMPORT, LARGEST_STEPS } from "./body.ts";
import { ownHosts } from "./hosts.ts";
import { beginTrial, HOST, OWN, PORT, refusalOf, type Trial } from "./trial.ts";

const DEMO = "hearth-line-box";
const STEPS = `/api/designs/${DEMO}/lines/now/steps`;
const JSON_TYPE = { "content-type": "application/json" };
let trial: Trial;
let before: string;
const holding = () => JSON.stringify([trial.store.shop(), trial.store.exportDesign(DEMO), trial.store.shelf()]);
beforeAll(() => {
  trial = beginTrial({ others: () => ["192.168.1.20"] });
  before = holding();
});
afterAll(() => {
  // Whatever was tried above, nothing is otherwise than it was.
  expect(holding()).toBe(before);
  trial.end();
});

const step = {
  id: "7b0f3a0e-5b43-4c6e-9c0e-1f6a8d3b2c11",
  title: "Another name",
  changes: [{ target: "name", before: "Hearth line box", after: "Taken over" }],
};
const ask = JSON.stringify({ after: 0, steps: [step] });

describe("Host", () => {
  test.each([
    "evil.example",
    `evil.example:${PORT}`,
    "127.0.0.1",
    "127.0.0.1:80",
    `127.0.0.1:${PORT}.evil.example`,
    `127.0.0.1.evil.example:${PORT}`,
    `localhost.evil.example:${PORT}`,
    `evil.example@127.0.0.1:${PORT}`,
    `127.0.0.1:${PORT}/`,
    `127.0.0.2:${PORT}`,
    `0.0.0.0:${PORT}`,
    `192.168.1.21:${PORT}`,
    `[::ffff:127.0.0.1]:${PORT}`,
    `2130706433:${PORT}`,
    "",
    "localhost:99999",
  ])("'%s' is none of ours", async (host) => {
    expect(await refusalOf(await trial.ask("/api/shop", { headers: { host } }))).toMatchObject({
      status: 403,
      code: "wrong-host",
    });
    expect((await trial.ask("/", { headers: { host } })).status).toBe(403);
  });
  test.each([HOST, `localhost:${PORT}`, `LOCALHOST:${PORT}`, `[::1]:${PORT}`, `192.168.1.20:${PORT}`])(
    "'%s' is",
    async (host) => {
      expect((await trial.ask("/api/shop", { headers: { host } })).status).toBe(200);
    },
  );
  test("a page opened over the network gets no header that a browser would only complain of", async () => {
    const page = await trial.ask("/", { headers: { host: `192.168.1.20:${PORT}` } });
    expect(page.headers.get("cross-origin-opener-policy")).toBeNull();
    expect(page.headers.get("cross-origin-resource-policy")).toBe("same-origin");
    expect(page.headers.get("content-security-policy")).toContain("frame-ancestors 'none'");
  });
  test("on port 80 a browser leaves the port out; addresses of the network are ours only when shared", () => {
    expect(ownHosts(80)("localhost")).toBe(true);
    expect(ownHosts(80)("localhost:80")).toBe(true);
    expect(ownHosts(4780)("192.168.1.20:4780")).toBe(false);
  });
});

describe("a page of elsewhere", () => {
  test.each<[string, Readonly<Record<string, string>>]>([
    ["posts with its own origin", { origin: "https://evil.example" }],
    ["posts from another port of this machine", { origin: "http://127.0.0.1:3000" }],
    ["posts over another scheme", { origin: `https://${HOST}` }],
    ["posts from localhost to 127.0.0.1", { origin: `http://localhost:${PORT}` }],
    ["posts from a frame without an origin", { origin: "null" }],
    ["posts with an origin that begins like ours", { origin: `http://${HOST}.evil.example` }],
    ["posts without saying where from", {}],
    ["has the browser say cross-site", { origin: OWN.origin, "sec-fetch-site": "cross-site" }],
    ["has the browser say same-site", { origin: OWN.origin, "sec-fetch-site": "same-site" }],
    ["is no page at all", { origin: OWN.origin, "sec-fetch-site": "none" }],
  ])("%s", async (_, headers) => {
    for (const path of [STEPS, "/api/import", "/api/backup", "/api/shelf/steps", `/api/designs/${DEMO}/proven`])
      expect(
        await refusalOf(await trial.ask(path, { method: "POST", headers: { ...JSON_TYPE, ...headers }, body: ask })),
      ).toMatchObject({ status: 403, code: "cross-site" });
  });

  test.each<[string, Readonly<Record<string, string>>]>([
    ["asks for the shop", { "sec-fetch-site": "cross-site" }],
    ["asks from another port", { "sec-fetch-site": "same-site", origin: "http://127.0.0.1:3000" }],
    ["asks with an origin only", { origin: "https://evil.example" }],
  ])("%s", async (_, headers) => {
    for (const path of ["/api/shop", "/api/shop/archive", `/api/designs/${DEMO}/export`, "/api/events"])
      expect(await refusalOf(await trial.ask(path, { headers }))).toMatchObject({ status: 403, code: "cross-site" });
  });

  test("asks first, as browsers do before JSON is sent elsewhere: no yes is given", async () => {
    const response = await trial.ask(STEPS, {
      method: "OPTIONS",
      headers: { origin: "https://evil.example", "access-control-request-method": "POST" },
    });
    expect([...response.headers.keys()].filter((name) => name.startsWith("access-control"))).toEqual([]);
    expect(await refusalOf(response)).toMatchObject({ status: 405 });
  });

  test("may link to the page itself, which says what it is and cannot be framed", async () => {
    const response = await trial.ask("/", { headers: { "sec-fetch-site": "cross-site" } });
    expect(response.status).toBe(200);
    expect(response.headers.get("x-frame-options")).toBe("DENY");
  });
});

describe("content types and methods", () => {
  test.each([
    "text/plain",
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "",
    "application/jsonp",
  ])("'%s' is not how a step is sent", async (type) => {
    for (const path of [STEPS, "/api/import"])
      expect(await refusalOf(await trial.post(path, ask, { "content-type": type }))).toMatchObject({
        status: 415,
        code: "wrong-type",
      });
  });
  test("JSON is not how a file is sent", async () => {
    expect(await refusalOf(await trial.post("/api/import", ask))).toMatchObject({ code: "wrong-type" });
  });
  test.each(["PUT", "PATCH", "DELETE", "OPTIONS", "PROPFIND"])("%s is not known", async (method) => {
    const response = await trial.ask("/api/shop", { method, headers: OWN });
    expect(await refusalOf(response)).toMatchObject({ status: 405, code: "unknown-method" });
  });
  test("what is read cannot be posted, what is posted cannot be read", async () => {
    const posted = await trial.post("/api/shop", {});
    expect(posted.headers.get("allow")).toBe("GET, HEAD");
    expect(await refusalOf(posted)).toMatchObject({ status: 405 });
    const read = await trial.ask("/api/import");
    expect(read.headers.get("allow")).toBe("POST");
    expect(await refusalOf(read)).toMatchObject({ status: 405 });
  });
});

describe("bodies", () => {
  test.each<[string, string, string]>([
    ["nothing", "", "not-json"],
    ["half of it", ask.slice(0, 60), "not-json"],
    ["a comment", `${ask}//`, "not-json"],
    ["a list", "[]", "not-understood"],
    ["null", "null", "not-understood"],
    ["a prototype", '{"after":0,"steps":[],"__proto__":{"admin":true}}', "not-understood"],
    ["a prototype inside a change", withAfter('{"__proto__":{"polluted":1}}'), "not-understood"],
    ["a prototype written in escapes", withAfter('{"\\u005f_proto__":{"polluted":1}}'), "not-understood"],
    ["a constructor's prototype", withTarget("constructor.prototype.polluted"), "does-not-apply"],
    ["a path through a prototype", withTarget("__proto__.polluted"), "does-not-apply"],
    ["a number beyond any", withAfter("1e999"), "not-understood"],
    ["half a character", withAfter('"\\ud800"'), "not-understood"],
    ["half a character as a key", withAfter('{"\\udc00":1}'), "not-understood"],
    ["a deep nest", withAfter(`${"[".repeat(100_000)}${"]".repeat(100_000)}`), "not-understood"],
    ["a nest of objects", withAfter(`${'{"a":'.repeat(5000)}1${"}".repeat(5000)}`), "not-understood"],
    ["an id that is none", ask.replace(step.id, "1"), "not-understood"],
    ["after what cannot be", ask.replace('"after":0', '"after":-1'), "not-understood"],
    ["a name of the wrong kind", withAfter("42"), "not-sound"],
  ])("%s", async (_, body, code) => {
    const refusal = await refusalOf(await trial.post(STEPS, body));
    expect(refusal.code).toBe(code);
    expect(refusal.sentence.split("\n")).toHaveLength(1);
    expect(refusal.sentence.length).toBeLessThan(400);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test("bytes that are no text", async () => {
    const response = await trial.ask(STEPS, {
      method: "POST",
      headers: { ...OWN, ...JSON_TYPE },
      body: new Uint8Array([0x22, 0xff, 0xfe, 0x22]),
    });
    expect(await refusalOf(response)).toMatchObject({ code: "not-json" });
  });

  test("too large, declared", async () => {
    expect(await refusalOf(await trial.post(STEPS, "x".repeat(LARGEST_STEPS + 1)))).toMatchObject({
      status: 413,
      code: "too-large",
    });
  });

  test("too large, not declared: given up where the limit is passed", async () => {
    for (const [path, type, limit] of [
      [STEPS, "application/json", LARGEST_STEPS],
      ["/api/import", "application/octet-stream", LARGEST_IMPORT],
    ] as const) {
      const piece = new Uint8Array(1 << 20);
      let sent = 0;
      const response = await trial.ask(path, {
        method: "POST",
        headers: { ...OWN, "content-type": type },
        // An endless body, as it comes in chunks.
        body: new ReadableStream({
          pull: (controller) => {
            sent += piece.length;
            controller.enqueue(piece);
          },
        }),
        duplex: "half",
      } as RequestInit);
      expect(await refusalOf(response)).toMatchObject({ status: 413, code: "too-large" });
      expect(sent).toBeLessThan(limit + 4 * piece.length);
    }
  });

  test("a script in a name comes back as text of JSON and nothing else", async () => {
    const odd = '</script><script>alert(1)</script>"><img src=x onerror=alert(1)>';
    const own = beginTrial();
    try {
      const kept = await own.post(STEPS, ask.replace("Taken over", odd.replaceAll('"', '\\"')));
      expect(kept.status).toBe(200);
      const response = await own.ask(`/api/designs/${DEMO}`);
      expect(response.headers.get("content-type")).toBe("application/json; charset=utf-8");
      expect(response.headers.get("x-content-type-options")).toBe("nosniff");
      const open = (await response.json()) as { document: { name: string } };
      expect(open.document.name).toBe(odd);
      const file = await own.ask(`/api/designs/${DEMO}/export`);
      expect(file.headers.get("content-disposition")).toBe(`attachment; filename="${DEMO}.design.json"`);
    } finally {
      own.end();
    }
  });
});

describe("over a real socket", () => {
  const listener = { port: 0, close: () => {} };
  beforeAll(async () => {
    const server = createServer(getRequestListener(trial.app.fetch, { overrideGlobalObjects: false }));
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    listener.port = (server.address() as AddressInfo).port;
    listener.close = () => {
      server.closeAllConnections();
      server.close();
    };
  });
  afterAll(() => listener.close());

  /** What the server says to bytes written by hand. */
  const said = (bytes: string): Promise<string> =>
    new Promise((resolve, reject) => {
      let answer = "";
      const socket: Socket = connect(listener.port, "127.0.0.1", () => socket.write(bytes));
      socket.setTimeout(5000, () => socket.destroy());
      socket.on("data", (piece) => (answer += piece.toString("latin1")));
      socket.on("close", () => resolve(answer));
      socket.on("error", reject);
    });
  const get = (target: string, more = "") =>
    said(`GET ${target} HTTP/1.1\r\nHost: ${HOST}\r\nConnection: close\r\n${more}\r\n`);

  test.each([
    "/../secret.txt",
    "/assets/../../secret.txt",
    "/%2e%2e/secret.txt",
    "/%2e%2e%2fsecret.txt",
    "/..%2fsecret.txt",
    "/assets/..%5c..%5csecret.txt",
    "/..\\secret.txt",
    "/assets\\..\\..\\secret.txt",
    "//secret.txt",
    "///etc/passwd",
    "/etc/passwd",
    "/%00",
    "/index.html%00.js",
    "/.%00./secret.txt",
    "/%252e%252e/secret.txt",
    "/%c0%ae%c0%ae/secret.txt",
    "/assets/./../../secret.txt",
    "file:///etc/passwd",
    "http://evil.example/../secret.txt",
    "/assets/page-AbCd1234.js.br",
    "/assets",
    "/assets/",
    "/%E0%A4%A",
  ])("the path %s leads nowhere", async (target) => {
    const answer = await get(target);
    expect(answer).toMatch(/^HTTP\/1\.1 (400|404) /);
    expect(answer).not.toMatch(/builder's own|root:/);
  });

  test("a body in chunks is kept within the limit, and one that lies about its length is none", async () => {
    const headers = `Host: ${HOST}\r\nOrigin: ${OWN.origin}\r\nContent-Type: application/json\r\nConnection: close\r\n`;
    const status = await new Promise<number>((resolve, reject) => {
      const sending = request(
        { port: listener.port, host: "127.0.0.1", method: "POST", path: STEPS, headers: { ...OWN, ...JSON_TYPE } },
        (response) => {
          response.resume();
          resolve(response.statusCode ?? 0);
        },
      );
      sending.on("error", reject);
      for (let n = 0; n < 20; n++) sending.write("x".repeat(100_000));
      sending.end();
    });
    expect(status).toBe(413);
    const both = await said(
      `POST ${STEPS} HTTP/1.1\r\n${headers}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n`,
    );
    expect(both).toMatch(/^HTTP\/1\.1 400 /);
    const chunked = await said(
      `POST ${STEPS} HTTP/1.1\r\n${headers}Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n`,
    );
    expect(chunked).toMatch(/^HTTP\/1\.1 400 [^]*not-understood/);
  });

  test("two hosts, no host, an old protocol without one", async () => {
    expect(await said(`GET /api/shop HTTP/1.1\r\nConnection: close\r\n\r\n`)).toMatch(/^HTTP\/1\.1 400 /);
    expect(await said(`GET /api/shop HTTP/1.0\r\n\r\n`)).toMatch(/^HTTP\/1\.1 4\d\d /);
    expect(await get("/api/shop", "Host: evil.example\r\n")).toMatch(/^HTTP\/1\.1 403 /);
    expect(
      await said(`GET /api/shop HTTP/1.1\r\nHost: evil.example\r\nHost: ${HOST}\r\nConnection: close\r\n\r\n`),
    ).toMatch(/^HTTP\/1\.1 (400|403) /);
  });
});

function withAfter(json: string): string {
  return ask.replace('"Taken over"', json);
}
function withTarget(target: string): string {
  return JSON.stringify({ after: 0, steps: [{ ...step, changes: [{ target, after: 1 }] }] });
}
