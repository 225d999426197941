/** Asks whoever comes to a shared workshop for the passphrase: one plain form, no script. */
import { type Context, Hono, type MiddlewareHandler } from "hono";
import { getCookie, setCookie } from "hono/cookie";
import { readBytes } from "./body.ts";
import type { Gate } from "./gate.ts";
import { typed } from "./guards.ts";
import { refusal, refused } from "./refusals.ts";

const COOKIE = "platewright";
const LARGEST_FORM = 8000;

/** Lets through who has entered; shows others the way to the form. */
export const behind =
  (gate: Gate): MiddlewareHandler =>
  async (c, next) => {
    if (gate.knows(getCookie(c, COOKIE))) return next();
    if (c.req.path === "/" || c.req.path === "/index.html") return c.redirect("/login", 303);
    return refused(
      c,
      refusal("passphrase-wanted", "This workshop asks for its passphrase; load the page again to enter it."),
    );
  };

export function loginRoutes(gate: Gate): Hono {
  const login = new Hono();
  login.get("/login", (c) => form(c, 200));
  login.get("/login.css", (c) => c.body(STYLE, 200, { "content-type": "text/css; charset=utf-8" }));
  login.post("/login", typed("application/x-www-form-urlencoded"), async (c) => {
    const bytes = await readBytes(c, LARGEST_FORM);
    if (!bytes.ok) return refused(c, bytes.failure);
    const passphrase = new URLSearchParams(new TextDecoder().decode(bytes.value)).get("passphrase") ?? "";
    const entered = await gate.enter(passphrase, senderOf(c));
    switch (entered.outcome) {
      case "in":
        setCookie(c, COOKIE, entered.token, { httpOnly: true, sameSite: "Strict", path: "/" });
        return c.redirect("/", 303);
      case "wrong":
        return form(c, 401, "That is not the passphrase of this workshop. Wait a moment, then try again.");
      case "wait":
        c.header("retry-after", `${entered.seconds}`);
        return form(c, 429, `Too soon after a wrong one: wait ${entered.seconds} s, then try again.`);
    }
  });
  return login;
}

/** The address at the other end of the socket; nothing that the request says of itself. */
function senderOf(c: Context): string {
  const { incoming } = (c.env ?? {}) as {
    readonly incoming?: { readonly socket?: { readonly remoteAddress?: string } };
  };
  return incoming?.socket?.remoteAddress ?? "";
}

function form(c: Context, status: 200 | 401 | 429, complaint?: string): Response {
  // With no referrer at all the browser would not say either where the form was sent from.
  c.header("referrer-policy", "same-origin");
  c.header("cache-control", "no-store");
  return c.html(
    `<!doctype html>
<html lang="en">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <meta name="color-scheme" content="light dark">
    <title>Platewright: passphrase</title>
    <link rel="icon" href="data:,">
    <link rel="stylesheet" href="/login.css">
  </head>
  <body>
    <main>
      <h1>Platewright</h1>
      <form method="post" action="/login">
        <label for="passphrase">Passphrase of this workshop</label>
        <input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required autofocus${complaint === undefined ? "" : ' aria-describedby="complaint" aria-invalid="true"'}>
        ${complaint === undefined ? "" : `<p id="complaint" role="alert">${complaint}</p>`}
        <button>Open the workbench</button>
      </form>
      <p>What is sent is not encrypted. Enter it only on a network that you trust.</p>
    </main>
  </body>
</html>
`,
    status,
  );
}

/** In the page's colours; a file of its own, as the page's policy allows no style inside. */
const STYLE = `:root { --paper: #f4efe4; --ink: #1a1712; --ink-2: #4a443a; --control: #857b68; --stop: #9e1f17; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #12100c; --ink: #f1e9da; --ink-2: #c9bfad; --control: #877b68; --stop: #ff8b78; }
}
body { margin: 0; background: var(--paper); color: var(--ink); font: 16px/1.5 system-ui, sans-serif; }
main { max-width: 26rem; margin: 12vh auto; padding: 0 1rem; }
h1 { font-size: 1.25rem; margin: 0 0 1.5rem; padding-top: 0.75rem; border-top: 2px solid var(--ink); }
form { display: grid; gap: 0.5rem; }
input, button { font: inherit; padding: 0.5rem 0.75rem; border-radius: 2px; border: 1px solid var(--control); }
input { background: transparent; color: inherit; }
button { justify-self: start; margin-top: 0.5rem; background: var(--ink); color: var(--paper); border-color: var(--ink); }
:focus-visible { outline: 2px solid var(--ink); outline-offset: 2px; }
p { color: var(--ink-2); margin: 1rem 0 0; }
p[role="alert"] { color: var(--stop); margin: 0; }
`;
