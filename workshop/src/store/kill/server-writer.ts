/** Two pages that write over HTTP to a real server, which is killed under them. */
import { spawn } from "node:child_process";
import { dirname } from "node:path";
import { applyChanges, type Change } from "@platewright/design";
import { type Workshop, workshopAt } from "../../client/client.ts";
import type { Step } from "../../client/contract.ts";
import { DEMO, handOf } from "../test-shop.ts";
import type { KilledWriter, Said } from "./run.ts";

interface Heard {
  readonly asked: (readonly string[])[];
  readonly acknowledged: string[];
  readonly revisions: string[];
}

/** The writer of `platewright serve`, bundled to `script`; the file it writes to is the shop's of its folder. */
export const serverWriter =
  (script: string): KilledWriter =>
  async (path, seed, random): Promise<Said> => {
    const flags = ["serve", "--port", "0", "--no-open", "--data", dirname(path)];
    const server = spawn(process.execPath, [script, ...flags], { stdio: ["ignore", "pipe", "pipe"] });
    const ended = new Promise<NodeJS.Signals | null>((resolve) => server.on("exit", (_, signal) => resolve(signal)));
    let error = "";
    server.stderr.setEncoding("utf8").on("data", (more: string) => void (error += more));
    const heard: Heard = { asked: [], acknowledged: [], revisions: [] };
    const address = new Promise<string>((resolve) => {
      let text = "";
      server.stdout.setEncoding("utf8").on("data", (more: string) => {
        text += more;
        const found = /http:\/\/127\.0\.0\.1:\d+/.exec(text)?.[0];
        if (found !== undefined) resolve(found);
      });
    });
    const base = await Promise.race([address, ended.then(() => Promise.reject(new Error(`ended early: ${error}`)))]);
    const workshop = workshopAt(base, (to, init) =>
      fetch(to, { ...init, headers: { ...(init?.headers as Record<string, string>), origin: base } }),
    );
    setTimeout(() => server.kill("SIGKILL"), 800 * random.uniform() ** 2);
    await Promise.all([0, 1].map((page) => writeUntilGone(workshop, seed * 10 + page, heard)));
    if ((await ended) !== "SIGKILL") throw new Error(`the server ended by itself: ${error}`);
    return heard;
  };

/** Edits and sends until the server does not answer any more. */
async function writeUntilGone(workshop: Workshop, seed: number, heard: Heard): Promise<void> {
  const hand = handOf(seed, "page");
  const open = await workshop.open(DEMO);
  if (!open.ok) return;
  let { document } = open.value;
  let { key, seq } = open.value.line;
  for (let n = 1; ; n++) {
    const steps: Step[] = [];
    for (let i = 0; i <= n % 3; i++) {
      const step = hand(document);
      const next = applyChanges(document, step.changes as readonly Change[]);
      if (!next.ok) throw new Error(next.failure.sentence);
      document = next.value;
      steps.push(step);
    }
    const ids = steps.map((step) => step.id);
    heard.asked.push(ids);
    const kept = await workshop.keep(DEMO, key, { after: seq, steps });
    if (!kept.ok && kept.failure.code !== "unreachable") throw new Error(kept.failure.sentence);
    if (!kept.ok) return;
    heard.acknowledged.push(...ids);
    ({ line: key, seq } = kept.value);
    if (n % 12 === 0) {
      const id = `K${seed}.${n}`;
      const cut = await workshop.cut(DEMO, { line: key, seq, id });
      if (!cut.ok) return;
      heard.revisions.push(id);
    }
  }
}
