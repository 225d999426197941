/** The flags of `serve`, apart from the server, so that help needs neither. */
import type { Command } from "commander";

export interface ServeFlags {
  readonly port?: string;
  readonly data?: string;
  readonly open: boolean;
  readonly share: boolean;
  readonly passphrase?: string;
  readonly passphraseFile?: string;
}

export const serveVerb = (program: Command): Command =>
  program
    .command("serve")
    .description("the workbench, in a browser on this machine")
    .option("--port <n>", "4780, or the next that is free")
    .option("--data <folder>", "where the shop is kept; the user's data folder when not said")
    .option("--share", "let others on the local network in, with a passphrase", false)
    .option(
      "--passphrase <words>",
      "what they are asked for; other users of this machine can see it in the process list",
    )
    .option("--passphrase-file <file>", "a file with the passphrase in its first line")
    .option("--no-open", "do not open the browser");
