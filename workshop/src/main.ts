/** Entry of the command line. */
import { processIo } from "./io.ts";
import { run } from "./run.ts";

process.exitCode = run(process.argv.slice(2), processIo());
