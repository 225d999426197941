/** `platewright serve`: the workbench, from a shop's folder, until it is told to stop. */
import { spawn } from "node:child_process";
import { existsSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { openCatalogue } from "@platewright/library";
import { Command, CommanderError } from "commander";
import { makeApp } from "../server/app.ts";
import { type Gate, openGate, soundPassphrase } from "../server/gate.ts";
import { ownAddresses, ownHosts } from "../server/hosts.ts";
import { listen } from "../server/listen.ts";
import { openNews } from "../server/news.ts";
import { pageIn } from "../server/page.ts";
import { dataFolder, openStore, shopFileIn } from "../store/index.ts";
import type { Io } from "../io.ts";
import { badInput, BadInput, type ExitStatus } from "../outcome.ts";
import { serveVerb, type ServeFlags } from "./serve-flags.ts";

/** The page's own storage in the browser goes with the port: it stays the same while it is free. */
const FIRST_PORT = 4780;
const PORTS_TRIED = 20;
const LOOPBACK = "127.0.0.1";
const EVERY_ADDRESS = "0.0.0.0";

/** Serves until a signal comes. Refusals are one sentence and status 2. */
export async function serve(argv: readonly string[], io: Io): Promise<ExitStatus> {
  const flags = flagsOf(argv, io);
  if (typeof flags === "number") return flags;
  try {
    return await served(flags, io);
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    io.error(`${error.message}\n`);
    return 2;
  }
}

async function served(flags: ServeFlags, io: Io): Promise<ExitStatus> {
  const folder = folderOf(flags.data);
  if (existsSync(folder) && !statSync(folder).isDirectory())
    return badInput(`--data: ${folder} is a file; name the folder that the shop is kept in.`);
  const ports = portsOf(flags.port);
  const passphrase = passphraseOf(flags, io);
  const now = () => new Date().toISOString();
  const catalogue = openCatalogue();
  const opened = openStore(shopFileIn(folder, process.platform), { now, catalogue });
  if (!opened.ok) return badInput(opened.failure.sentence);
  const store = opened.value;
  const listening = await listen(flags.share ? EVERY_ADDRESS : LOOPBACK, ports);
  if (!listening.ok) {
    store.close();
    return badInput(listening.failure.sentence);
  }
  const { port, answerWith, close } = listening.value;
  const complain = (error: unknown) =>
    io.error(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
  const news = openNews(store, { complain });
  const gate: Gate | undefined = passphrase === undefined ? undefined : await openGate(passphrase, Date.now);
  const web = join(rootFolder(), "dist", "web");
  answerWith(
    makeApp({
      store,
      catalogue,
      news,
      page: pageIn(web),
      isOurs: ownHosts(port, flags.share ? ownAddresses : undefined),
      now,
      ...(gate === undefined ? {} : { gate }),
      complain,
    }),
  );
  const address = `http://${LOOPBACK}:${port}/`;
  io.out(`The workbench is at ${address}\n`);
  if (flags.share) for (const one of sharingLines(port)) io.out(`${one}\n`);
  io.out(`The shop is kept in ${store.file}; Ctrl+C stops.\n`);
  const shop = store.shop();
  for (const trouble of shop.ok ? shop.value.troubles : [shop.failure.sentence]) io.error(`${trouble}\n`);
  if (!existsSync(join(web, "index.html")))
    io.error("The page is not built yet: `npm start` (or `npm run build`) builds it.\n");
  if (flags.open && process.stdout.isTTY && process.env.CI === undefined) openBrowser(address);
  await stopped();
  news.close();
  await close();
  store.close();
  return 0;
}

function flagsOf(argv: readonly string[], io: Io): ServeFlags | ExitStatus {
  const quiet = { writeOut: io.out, writeErr: () => undefined };
  const command = serveVerb(new Command("platewright").exitOverride().configureOutput(quiet));
  try {
    command
      .exitOverride()
      .configureOutput(quiet)
      .parse([...argv], { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.exitCode === 0) return 0;
    io.error(`${error.message.replace(/^error: /, "")}; platewright serve --help lists what is accepted.\n`);
    return 2;
  }
  return command.opts<ServeFlags>();
}

function folderOf(said: string | undefined): string {
  if (said !== undefined) return resolve(said);
  const usual = dataFolder(process.env, process.platform);
  return usual.ok ? usual.value : badInput(usual.failure.sentence);
}

function portsOf(written: string | undefined): readonly number[] {
  if (written === undefined) return Array.from({ length: PORTS_TRIED }, (_, n) => FIRST_PORT + n);
  const port = /^\d{1,5}$/.test(written) ? Number(written) : Number.NaN;
  if (port <= 65_535) return [port];
  return badInput(`--port: '${written.slice(0, 20)}' is no port; 1024 to 65535 are, and 0 takes any free one.`);
}

/** What a shared workshop asks for; nothing when it is not shared. */
function passphraseOf({ share, passphrase, passphraseFile }: ServeFlags, io: Io): string | undefined {
  if (!share) {
    if (passphrase === undefined && passphraseFile === undefined) return undefined;
    return badInput("A passphrase is asked for only when the workshop is shared; add --share, or leave it out.");
  }
  if (passphrase !== undefined && passphraseFile !== undefined)
    return badInput("Give one of --passphrase and --passphrase-file.");
  if (passphraseFile !== undefined) return soundPassphrase(io.read(passphraseFile).split(/\r?\n/)[0] ?? "");
  if (passphrase !== undefined) return soundPassphrase(passphrase);
  return badInput("--share wants a passphrase: --passphrase-file FILE, or --passphrase WORDS.");
}

function sharingLines(port: number): readonly string[] {
  const addresses = ownAddresses();
  return [
    addresses.length === 0
      ? "Shared, but this machine has no address on a network yet."
      : `Shared with the local network, for whoever has the passphrase: ${addresses.map((one) => `http://${one}:${port}/`).join(" ")}`,
    "What is sent is not encrypted (plain HTTP): share only on a network that you trust.",
  ];
}

/** The checkout, from the sources or from the bundle. */
function rootFolder(): string {
  let folder = import.meta.dirname;
  while (!existsSync(join(folder, "bin", "platewright")) && dirname(folder) !== folder) folder = dirname(folder);
  return folder;
}

function openBrowser(address: string): void {
  const [command, ...args] =
    process.platform === "win32"
      ? ["cmd", "/c", "start", "", address]
      : [process.platform === "darwin" ? "open" : "xdg-open", address];
  if (process.platform === "linux" && process.env.DISPLAY === undefined && process.env.WAYLAND_DISPLAY === undefined)
    return;
  // The address stands in the terminal: without a browser nothing is lost.
  spawn(command ?? "", args, { stdio: "ignore", detached: true })
    .on("error", () => undefined)
    .unref();
}

/** Resolves at the first signal that asks to stop; a second one ends the process at once. */
const stopped = (): Promise<void> =>
  new Promise((stop) => {
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.once(signal, () => stop());
  });
