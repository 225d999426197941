import { useCallback } from "react";
import { useAround } from "../../state/use-session.ts";
import { saveFile } from "./save-file.ts";
import type { Pack } from "./use-pack.ts";

/** Asks the workshop for a file of the pack as the screen shows it, and gives it to the browser to keep. */
export function useFiles({ chosen, size, date, prices }: Pack): (what: string) => Promise<void> {
  const { session, hands, workshop, flush } = useAround();
  return useCallback(
    async (what) => {
      // The workshop's papers are of what it holds: it gets every step first.
      await flush();
      const { design, line, book } = session.getState();
      const answer = await workshop.pack(design.key, {
        line: line.key,
        seq: book.seq,
        ...(chosen === undefined ? {} : { revision: chosen }),
        paper: size,
        date,
        ...(prices === undefined
          ? {}
          : { prices: { ...prices, parts: { ...prices.parts }, work: prices.work.map((one) => ({ ...one })) } }),
        what,
      });
      if (answer.ok) saveFile(answer.value.name, answer.value.content);
      else hands.say({ level: "stop", sentence: `Nothing was saved: ${answer.failure.sentence}` });
    },
    [session, hands, workshop, flush, chosen, size, date, prices],
  );
}
