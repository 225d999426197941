/** The page's worker: messages in, answers out; between two pieces of work it listens, so that the latest edit wins. */
import { openCatalogue } from "@platewright/library";
import { HOME_ASKS } from "./home-asks.ts";
import type { FromWorker, ToWorker } from "./protocol.ts";
import { openQueue } from "./queue.ts";

const post = (message: FromWorker) => self.postMessage(message);
const asks: Record<string, unknown> = { ...HOME_ASKS };
const queue = openQueue(asks, openCatalogue(), post);

// A channel's message comes behind the page's messages that wait already; a timer would add milliseconds.
const turn = new MessageChannel();
let turning = false;
const wake = () => {
  if (turning) return;
  turning = true;
  turn.port2.postMessage(undefined);
};
/** Until a hand has rested this long, only what is live is answered: what takes longer would hold up its next move. */
const REST_MILLISECONDS = 100;
let movedAt = Number.NEGATIVE_INFINITY;
let resting: ReturnType<typeof setTimeout> | undefined;

turn.port1.addEventListener("message", () => {
  turning = false;
  const moving = performance.now() - movedAt < REST_MILLISECONDS;
  if (queue.work(moving)) wake();
  else if (moving) {
    clearTimeout(resting);
    resting = setTimeout(wake, REST_MILLISECONDS);
  }
});
turn.port1.start();

/** While the other sections' questions are fetched, messages wait in their order. */
let waiting: ToWorker[] | undefined;

const take = (message: ToWorker): void => {
  // What is in hand comes with the document as it would be.
  if (message.kind === "bench" && message.document !== undefined) movedAt = performance.now();
  if (waiting !== undefined) {
    waiting.push(message);
    return;
  }
  if (message.kind === "ask" && !(message.name in asks)) {
    waiting = [message];
    void import("./more-asks.ts").then(({ MORE_ASKS }) => {
      Object.assign(asks, MORE_ASKS);
      const held = waiting ?? [];
      waiting = undefined;
      for (const one of held) queue.take(one);
      wake();
    });
    return;
  }
  queue.take(message);
  wake();
};

self.addEventListener("message", (event: MessageEvent<ToWorker>) => take(event.data));
post({ kind: "ready" });
