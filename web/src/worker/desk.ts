/** The page's side of the worker: asks that stand, and the newest answer to each. One desk serves all screens. */
import type { Document, Revision, ShelfFile } from "@platewright/design";
import { createStore, type StoreApi } from "zustand/vanilla";
import type { AskName, ParamsOf, ValueOf } from "./asks.ts";
import type { FromWorker, ToWorker } from "./protocol.ts";

export interface Told<A = unknown> {
  /** The newest answer; of an earlier edit while `fresh` is false. */
  readonly value?: A;
  readonly fresh: boolean;
  readonly failure?: string;
  readonly progress?: { readonly done: number; readonly total: number };
  readonly stopped?: boolean;
}

interface Held {
  readonly told: Told;
  /** As the worker told it, whatever edits came after. */
  readonly last?: Told;
  /** The worker said last that its ground had not moved: it stays fresh while a hand only tries something else. */
  readonly steady?: boolean;
  readonly users: number;
}

export interface Desk {
  readonly answers: StoreApi<{ readonly version: number; readonly held: ReadonlyMap<string, Held> }>;
  /** Lays a state of the design on the bench; all standing asks are asked again. */
  readonly lay: (state: {
    readonly document: Document;
    /** The same without what is in hand. */
    readonly kept: Document;
    readonly provenKey: string;
    readonly proven?: Revision | undefined;
    readonly shelf?: ShelfFile | undefined;
  }) => void;
  /** Begins to ask; answers how to end. The key (of `keyOf`) names the ask and its parameters. */
  readonly ask: (key: string) => () => void;
  readonly stop: (key: string) => void;
  /** Asks once, without a screen: for a command that needs an answer. */
  readonly once: <K extends AskName>(name: K, params: ParamsOf<K>) => Promise<Told<ValueOf<K>>>;
}

export const keyOf = (name: string, params: unknown): string => `${name} ${JSON.stringify(params ?? null)}`;

function askOf(key: string): { readonly name: AskName; readonly params: unknown } {
  const at = key.indexOf(" ");
  return { name: key.slice(0, at) as AskName, params: JSON.parse(key.slice(at + 1)) as unknown };
}

/** Just enough of a Worker for a test to stand in. */
export interface WorkerLike {
  readonly postMessage: (message: ToWorker) => void;
  readonly addEventListener: (kind: "message", heard: (event: { readonly data: FromWorker }) => void) => void;
}

/** Runs a little later: what the worker says meanwhile changes the page once. */
export type Later = (run: () => void) => void;

export function openDesk(worker: WorkerLike, later: Later = (run) => run()): Desk {
  const answers: Desk["answers"] = createStore(() => ({ version: 0, held: new Map<string, Held>() }));
  let sent: { kept?: Document; provenKey?: string; shelf?: ShelfFile | undefined } = {};

  const set = (key: string, change: (held: Held) => Held): void => {
    const { held } = answers.getState();
    const one = held.get(key);
    if (one !== undefined) answers.setState({ held: new Map(held).set(key, change(one)) });
  };
  const tell = (key: string, telling: (before: Told) => Told): void =>
    set(key, (one) => {
      const told = telling(one.told);
      return { users: one.users, told, last: told };
    });

  const heard: FromWorker[] = [];
  worker.addEventListener("message", ({ data }) => {
    if (heard.push(data) > 1) return;
    later(() => {
      for (const message of heard.splice(0)) hear(message);
    });
  });
  const hear = (data: FromWorker): void => {
    if (data.kind === "ready") return;
    const { version } = answers.getState();
    // An answer to an edit that was overtaken is still newer than the one before it: it shows, not as fresh.
    const fresh = data.version === version;
    switch (data.kind) {
      case "answer":
        tell(data.key, () => ({ value: data.value, fresh }));
        return;
      case "failed":
        tell(data.key, (told) => ({ ...kept(told), fresh, failure: data.sentence }));
        return;
      case "progress":
        tell(data.key, (told) => ({
          ...kept(told),
          ...(data.soFar === undefined ? {} : { value: data.soFar }),
          fresh: false,
          progress: { done: data.done, total: data.total },
        }));
        return;
      case "stopped":
        tell(data.key, (told) => ({ ...kept(told), fresh: false, stopped: true }));
        return;
      case "same": {
        const one = answers.getState().held.get(data.key);
        if (one?.last === undefined) return;
        const isFresh = fresh && one.last.stopped !== true;
        // Told already: nobody has to look again.
        if (one.steady === true && one.told.fresh === isFresh) return;
        set(data.key, ({ users, last, told }) => ({
          users,
          ...(last === undefined ? {} : { last }),
          told: last === undefined ? told : last.fresh === isFresh ? last : { ...last, fresh: isFresh },
          steady: true,
        }));
      }
    }
  };

  const begin = (key: string): void => {
    const { held } = answers.getState();
    const one = held.get(key);
    answers.setState({
      held: new Map(held).set(key, { told: one?.told ?? { fresh: false }, users: (one?.users ?? 0) + 1 }),
    });
    if (one === undefined || one.users === 0) worker.postMessage({ kind: "ask", key, ...askOf(key) });
  };
  const end = (key: string): void => {
    const one = answers.getState().held.get(key);
    if (one === undefined) return;
    if (one.users > 1) {
      set(key, (held) => ({ ...held, users: held.users - 1 }));
      return;
    }
    const held = new Map(answers.getState().held);
    held.delete(key);
    answers.setState({ held });
    worker.postMessage({ kind: "end", key });
  };

  return {
    answers,
    lay: ({ document, kept: keptNow, provenKey, proven, shelf }) => {
      const version = answers.getState().version + 1;
      // Only what is in hand is another: what stands on none of it stands.
      const tried = keptNow === sent.kept && provenKey === sent.provenKey && shelf === sent.shelf;
      const held = new Map(
        [...answers.getState().held].map(([key, one]) => [
          key,
          (tried && one.steady === true) || isStale(one.told)
            ? one
            : { ...one, told: { ...kept(one.told), fresh: false } },
        ]),
      );
      answers.setState({ version, held });
      worker.postMessage({
        kind: "bench",
        version,
        provenKey,
        // What the worker has already is not copied again.
        ...(document === keptNow ? {} : { document }),
        ...(sent.kept === keptNow ? {} : { kept: keptNow }),
        ...(proven === undefined || sent.provenKey === provenKey ? {} : { proven }),
        ...(shelf === undefined || sent.shelf === shelf ? {} : { shelf }),
      });
      sent = { kept: keptNow, provenKey, shelf };
    },
    ask: (key) => {
      begin(key);
      let ended = false;
      return () => {
        if (!ended) end(key);
        ended = true;
      };
    },
    stop: (key) => worker.postMessage({ kind: "stop", key }),
    once: (name, params) =>
      new Promise((resolve) => {
        const key = keyOf(name, params);
        begin(key);
        const look = (): boolean => {
          const told = answers.getState().held.get(key)?.told;
          if (told === undefined || !told.fresh) return false;
          resolve(told as Told<ValueOf<typeof name>>);
          return true;
        };
        if (look()) {
          end(key);
          return;
        }
        const leave = answers.subscribe(() => {
          if (!look()) return;
          leave();
          end(key);
        });
      }),
  };
}

/** An older answer and no more: there is nothing to take back of it. */
const isStale = (told: Told): boolean =>
  !told.fresh && told.failure === undefined && told.progress === undefined && told.stopped === undefined;

/** What stays on the screen while the next answer is awaited. */
const kept = (told: Told): { readonly value?: unknown } => (told.value === undefined ? {} : { value: told.value });
