/** The workshop's server as a function from a request to an answer; it knows no socket, no clock and no folder. */
import type { Catalogue } from "@platewright/engine";
import { Hono } from "hono";
import { methodNotAllowed } from "hono/method-not-allowed";
import type { Store } from "../store/index.ts";
import type { Gate } from "./gate.ts";
import { ownHost, ownPage, policies } from "./guards.ts";
import { behind, loginRoutes } from "./login.ts";
import type { News } from "./news.ts";
import { openPackMaker } from "./pack-maker.ts";
import type { Page } from "./page.ts";
import { refusal, refused } from "./refusals.ts";
import { apiRoutes } from "./routes.ts";

export interface AppHow {
  readonly store: Store;
  /** What papers are computed with. */
  readonly catalogue: Catalogue;
  readonly news: News;
  readonly page: Page;
  /** Whether a Host header, in small letters, is one of the server's own. */
  readonly isOurs: (host: string) => boolean;
  readonly now: () => string;
  /** Asked for when the workshop is shared. */
  readonly gate?: Gate;
  /** Where the details of an error go that nobody expected; never to the page. */
  readonly complain: (error: unknown) => void;
}

export function makeApp({ store, catalogue, news, page, isOurs, now, gate, complain }: AppHow): Hono {
  const app = new Hono();
  app.use(policies());
  app.use(ownHost(isOurs));
  app.use(ownPage);
  app.use(
    methodNotAllowed({
      app,
      onMethodNotAllowed: (c, methods) => {
        c.header("allow", methods.join(", "));
        return refused(c, refusal("unknown-method", `${methods.join(" and ")} are the methods known here.`));
      },
    }),
  );
  if (gate !== undefined) {
    app.route("/", loginRoutes(gate));
    app.use(behind(gate));
  }
  app.route("/api", apiRoutes({ store, news, pack: openPackMaker(store, catalogue), now }));
  app.use(async (c, next) => {
    if (c.req.method === "POST" || c.req.path.startsWith("/api/")) return next();
    const file = await page(c.req.path, c.req.header("accept-encoding") ?? "");
    if (file !== undefined) return c.body(file.bytes, 200, { ...file.headers });
    if (c.req.path === "/")
      return refused(c, refusal("page-not-built", "The page is not built yet; `npm start` builds and serves it."));
    return next();
  });
  app.notFound((c) => refused(c, refusal("no-page", "There is nothing at that address.")));
  app.onError((error, c) => {
    complain(error);
    return refused(
      c,
      refusal(
        "internal",
        "Something went wrong inside the workshop; nothing was kept. Its own window says what it was.",
      ),
    );
  });
  return app;
}
