/** The page's worker: messages in, answers out; between two pieces of work it listens, so that the latest edit wins. */
import { openCatalogue } from "@platewright/library";
import { ASKS } from "./asks.ts";
import type { FromWorker, ToWorker } from "./protocol.ts";
import { openQueue } from "./queue.ts";

const post = (message: FromWorker) => self.postMessage(message);
const queue = openQueue(ASKS, openCatalogue(), post);

// A channel's message comes behind the page's messages that wait already; a timer would add milliseconds.
const turn = new MessageChannel();
let turning = false;
const wake = () => {
  if (turning) return;
  turning = true;
  turn.port2.postMessage(undefined);
};
turn.port1.addEventListener("message", () => {
  turning = false;
  if (queue.work()) wake();
});
turn.port1.start();

self.addEventListener("message", (event: MessageEvent<ToWorker>) => {
  queue.take(event.data);
  wake();
});
post({ kind: "ready" });
