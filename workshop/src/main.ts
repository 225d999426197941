/** Entry of the command line. */
import { processIo } from "./io.ts";
import { run } from "./run.ts";

const [verb, ...rest] = process.argv.slice(2);
if (verb === "serve") {
  // Only here is the server loaded; SQLite here and where the shop is named; the writers of papers for their verb.
  const { serve } = await import("./commands/serve.ts");
  process.exitCode = await serve(rest, processIo());
} else {
  const args = process.argv.slice(2);
  const named = args.some((one) => /^(?:--\w+=)?shop:/.test(one));
  const shop = named ? (await import("./commands/open-shop.ts")).openShop : undefined;
  const pack = verb === "pack" ? await import("./writers/index.ts") : undefined;
  process.exitCode = run(args, {
    ...processIo(),
    ...(shop === undefined ? {} : { shop }),
    ...(pack === undefined ? {} : { pack: { ...pack, today: () => new Date().toISOString().slice(0, 10) } }),
  });
}
