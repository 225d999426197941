/** Entry of the command line. */
import { processIo } from "./io.ts";
import { run } from "./run.ts";

const [verb, ...rest] = process.argv.slice(2);
if (verb === "serve") {
  // Only here is the server loaded, and with it SQLite.
  const { serve } = await import("./commands/serve.ts");
  process.exitCode = await serve(rest, processIo());
} else process.exitCode = run(process.argv.slice(2), processIo());
