/** Events as a stream that a page's EventSource reads. */
import type { News } from "./news.ts";

/** Each open page holds one stream. */
export const MOST_PAGES = 64;
/** A page that does not read what it is told is let go; it asks again when it wakes. */
const MOST_UNREAD = 1000;

export function eventStream(news: News): ReadableStream<Uint8Array> {
  const bytes = new TextEncoder();
  let stop: (() => void) | undefined;
  const begin = (controller: ReadableStreamDefaultController<Uint8Array>) => {
    const end = () => {
      stop?.();
      controller.close();
    };
    stop = news.hear((event) => {
      controller.enqueue(bytes.encode(event === "still-here" ? ":\n\n" : `data: ${JSON.stringify(event)}\n\n`));
      if ((controller.desiredSize ?? 0) < -MOST_UNREAD) end();
    }, end);
    controller.enqueue(bytes.encode("retry: 1000\n\n"));
  };
  return new ReadableStream<Uint8Array>(
    {
      // Heard from the first read on: an answer whose body nobody reads (to HEAD) holds no place.
      pull: (controller) => {
        if (stop === undefined) begin(controller);
      },
      cancel: () => stop?.(),
    },
    { highWaterMark: 0 },
  );
}
