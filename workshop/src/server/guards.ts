/**
 * What stands before every answer. A page of another site can make the builder's browser send requests here, and a name of
 * its own can be made to lead here; neither may read or change the shop.
 */
import type { Context, MiddlewareHandler } from "hono";
import { secureHeaders } from "hono/secure-headers";
import { isLoopback } from "./hosts.ts";
import { refusal, refused } from "./refusals.ts";

/** Nothing comes from elsewhere, nothing goes elsewhere, nobody frames the page. */
export function policies(): MiddlewareHandler {
  // Browsers part a page from others only where they trust its address: here, and not over plain HTTP from elsewhere.
  const [here, elsewhere] = [policy(true), policy(false)];
  return (c, next) => (isLoopback(hostOf(c)) ? here : elsewhere)(c, next);
}

const policy = (parted: boolean): MiddlewareHandler =>
  secureHeaders({
    crossOriginOpenerPolicy: parted,
    originAgentCluster: parted,
    contentSecurityPolicy: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      imgSrc: ["'self'", "data:"],
      fontSrc: ["'self'"],
      connectSrc: ["'self'"],
      workerSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'self'"],
      frameAncestors: ["'none'"],
    },
    permissionsPolicy: {
      camera: [],
      displayCapture: [],
      geolocation: [],
      hid: [],
      microphone: [],
      midi: [],
      payment: [],
      serial: [],
      usb: [],
    },
    xFrameOptions: "DENY",
    // Plain HTTP on the loopback address: there is no secure transport to insist on.
    strictTransportSecurity: false,
    overwrite: false,
  });

const hostOf = (c: Context): string => (c.req.header("host") ?? "").toLowerCase();

/** What the server answers to is a kept list of hosts: a name that another site points at this address is not in it. */
export const ownHost =
  (isOurs: (host: string) => boolean): MiddlewareHandler =>
  async (c, next) =>
    isOurs(hostOf(c))
      ? next()
      : refused(
          c,
          refusal("wrong-host", "This workshop does not answer under that name; use the address that it printed."),
        );

/** Only our own page changes anything; other pages may not even ask for what is here. */
export const ownPage: MiddlewareHandler = async (c, next) => {
  const { method } = c.req;
  if (method !== "GET" && method !== "HEAD" && method !== "POST")
    return refused(c, refusal("unknown-method", "GET and POST are the methods known here."));
  const origin = c.req.header("origin");
  const site = c.req.header("sec-fetch-site");
  const ours = `http://${hostOf(c)}`;
  const asks = method !== "POST";
  if (asks && !c.req.path.startsWith("/api/")) return next();
  const originIsOurs = origin === undefined ? asks : origin.toLowerCase() === ours;
  // "none": typed by the builder, or a download link followed by him.
  const siteIsOurs = site === undefined || site === "same-origin" || (asks && site === "none");
  if (originIsOurs && siteIsOurs) return next();
  return refused(
    c,
    refusal(
      "cross-site",
      "That did not come from the workbench's own page, so nothing was done; open it and try there.",
    ),
  );
};

/** A form of another site cannot send these types without being asked first, and we do not answer that asking. */
export const typed =
  (type: string): MiddlewareHandler =>
  async (c, next) => {
    const [given = ""] = (c.req.header("content-type") ?? "").split(";");
    return given.trim().toLowerCase() === type
      ? next()
      : refused(c, refusal("wrong-type", `${type} is the content type wanted here.`));
  };
