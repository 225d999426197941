/**
 * The order of work in the worker: asks of the newest bench, the quick ones first, long ones in steps; a newer bench ends
 * whatever is under way. Knows no worker and no screen, so that it is tested as a plain function of messages.
 */
import type { Catalogue } from "@platewright/engine";
import type { Answer, Ask, Progress } from "./ask.ts";
import { type Bench, type BenchInput, openBench } from "./bench.ts";
import type { FromWorker, ToWorker } from "./protocol.ts";

type AnyAsk = Ask<never, unknown>;

interface Standing {
  readonly key: string;
  readonly ask: AnyAsk;
  readonly params: unknown;
  /** The version it was last answered, or stopped, for. */
  done: number;
  /** What it read of the bench it was last begun for, when it says so. */
  read?: readonly unknown[];
  running?: { version: number; turns: number; readonly steps: Generator<Progress<unknown>, Answer<unknown>> };
}

const PACES = ["live", "settled", "long"] as const;

export interface Queue {
  readonly take: (message: ToWorker) => void;
  /** Does one piece of work, of the live ones alone when asked so; false when none of them is left to do. */
  readonly work: (liveAlone?: boolean) => boolean;
}

export function openQueue(
  asks: Readonly<Record<string, unknown>>,
  catalogue: Catalogue,
  post: (message: FromWorker) => void,
): Queue {
  const standing = new Map<string, Standing>();
  let bench: Bench | undefined;
  let version = 0;

  const take = (message: ToWorker): void => {
    switch (message.kind) {
      case "bench": {
        version = message.version;
        const { provenKey } = message;
        const kept = message.kept ?? bench?.kept ?? message.document;
        const document = message.document ?? kept;
        if (kept === undefined || document === undefined) return;
        const proven = message.proven ?? (provenKey === bench?.input.provenKey ? bench.input.proven : undefined);
        const shelf = message.shelf ?? bench?.input.shelf;
        const input: BenchInput = {
          document,
          kept,
          provenKey,
          ...(proven === undefined ? {} : { proven }),
          ...(shelf === undefined ? {} : { shelf }),
        };
        const before = bench;
        bench = openBench(input, catalogue, before);
        for (const one of standing.values()) carry(one, bench, message.version - 1);
        return;
      }
      case "ask":
        standing.set(message.key, {
          key: message.key,
          ask: asks[message.name] as AnyAsk,
          params: message.params,
          done: 0,
        });
        return;
      case "end":
        standing.delete(message.key);
        return;
      case "stop": {
        const one = standing.get(message.key);
        if (one === undefined || one.done === version) return;
        one.done = version;
        delete one.running;
        post({ kind: "stopped", key: one.key, version });
      }
    }
  };

  /** An answer whose ground has not moved stands, and a run goes on. */
  const carry = (one: Standing, on: Bench, last: number): void => {
    const reads = one.ask.reads?.(on);
    if (reads === undefined || one.read?.length !== reads.length) return;
    if (!reads.every((thing, n) => thing === one.read?.[n])) return;
    if (one.running !== undefined) one.running.version = version;
    if (one.done !== last) return;
    one.done = version;
    post({ kind: "same", key: one.key, version });
  };

  const next = (on: Bench, paces: readonly Ask<never, unknown>["pace"][]): Standing | undefined => {
    const inHand = on.input.document !== on.kept;
    const waiting = [...standing.values()].filter(
      (one) => one.done !== version && !(inHand && one.ask.reads !== undefined && one.ask.inHand !== true),
    );
    for (const pace of paces) {
      // The one that has waited longest first: while edits come faster than answers, every figure still gets its turn.
      // What settles in steps takes turns, so that what is soon answered does not wait for what takes long.
      const turns = (one: Standing) => (pace !== "settled" || one.running?.version !== version ? 0 : one.running.turns);
      const [found] = waiting
        .filter((one) => one.ask.pace === pace)
        .sort((a, b) => turns(a) - turns(b) || a.done - b.done);
      if (found !== undefined) return found;
    }
    return undefined;
  };

  const answered = (one: Standing, answer: Answer<unknown>): void => {
    one.done = version;
    delete one.running;
    post(
      answer.ok
        ? { kind: "answer", key: one.key, version, value: answer.value }
        : { kind: "failed", key: one.key, version, sentence: answer.failure },
    );
  };

  const work = (liveAlone = false): boolean => {
    if (bench === undefined) return false;
    const one = next(bench, liveAlone ? ["live"] : PACES);
    if (one === undefined) return false;
    try {
      if (one.running?.version !== version) {
        const read = one.ask.reads?.(bench);
        if (read !== undefined) one.read = read;
        const begun = one.ask.run(bench, one.params as never);
        if ("ok" in begun) {
          answered(one, begun);
          return true;
        }
        one.running = { version, turns: 0, steps: begun };
      }
      one.running.turns++;
      const step = one.running.steps.next();
      if (step.done === true) answered(one, step.value);
      else post({ kind: "progress", key: one.key, version, ...step.value });
    } catch (error) {
      // A broken promise of the model: said on the screen that asked, the others go on.
      answered(one, { ok: false, failure: brokenWords(error) });
    }
    return true;
  };
  return { take, work };
}

const brokenWords = (error: unknown): string =>
  `This could not be computed: ${error instanceof Error ? error.message : "unknown cause"}. Undo the last edit and report it.`;
