/** The socket: a free port, Node's server around the app, and a close that leaves nobody hanging. */
import { createServer, type RequestListener, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { getRequestListener } from "@hono/node-server";
import { fail, ok, type Result } from "@platewright/engine";
import type { Hono } from "hono";
import type { Refusal } from "../client/contract.ts";
import { refusal } from "./refusals.ts";

export interface Listening {
  readonly port: number;
  /** Answers from now on. */
  readonly answerWith: (app: Hono) => void;
  readonly close: () => Promise<void>;
}

/** Open answers are given this long to end. */
const GRACE_MILLISECONDS = 500;

/** Takes the first port that is free. */
export async function listen(host: string, ports: readonly number[]): Promise<Result<Listening, Refusal>> {
  let why = "";
  for (const port of ports) {
    const server = createServer({ requestTimeout: 60_000, headersTimeout: 20_000 });
    const failure = await bound(server, host, port);
    if (failure === undefined) return ok(listeningOn(server));
    why = failure.code ?? failure.message;
    if (why !== "EADDRINUSE") break;
  }
  const [first] = ports;
  const last = ports.at(-1);
  const named = first === last ? `Port ${first}` : `Every port from ${first} to ${last}`;
  return fail(
    why === "EADDRINUSE"
      ? refusal(
          "port-taken",
          `${named} is taken by another program; --port names another, --port 0 takes any free one.`,
        )
      : refusal("no-port", `${named} cannot be opened on ${host} (${why}); --port names another.`),
  );
}

const bound = (server: Server, host: string, port: number): Promise<NodeJS.ErrnoException | undefined> =>
  new Promise((resolve) => {
    server.once("error", resolve);
    server.listen({ host, port, exclusive: true }, () => {
      server.removeListener("error", resolve);
      resolve(undefined);
    });
  });

const listeningOn = (server: Server): Listening => ({
  port: (server.address() as AddressInfo).port,
  answerWith: (app) => void server.on("request", answering(app)),
  close: () =>
    new Promise((resolve) => {
      const hurry = setTimeout(() => server.closeAllConnections(), GRACE_MILLISECONDS);
      server.close(() => {
        clearTimeout(hurry);
        resolve();
      });
      server.closeIdleConnections();
    }),
});

function answering(app: Hono): RequestListener {
  const listener = getRequestListener(app.fetch, {
    overrideGlobalObjects: false,
    // A request that is none: its address or host is written as no address is.
    errorHandler: () =>
      new Response(JSON.stringify(refusal("bad-request", "That is not a request as HTTP writes them.")), {
        status: 400,
        headers: { "content-type": "application/json; charset=utf-8", "x-content-type-options": "nosniff" },
      }),
  });
  return (incoming, outgoing) => void listener(incoming, outgoing);
}
