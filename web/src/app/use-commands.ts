import { useMemo } from "react";
import { useAround, useSession } from "../state/use-session.ts";
import { goTo } from "./place.ts";
import { SECTIONS } from "./sections.ts";
import type { Command } from "./commands.ts";
import { chassisCommands } from "./chassis-commands.ts";
import { showTheme } from "./theme.ts";

/** Everything "Do…" lists. */
export function useCommands(openKeys: () => void): readonly Command[] {
  const around = useAround();
  const { hands, workshop } = around;
  const design = useSession((session) => session.design);
  const undo = useSession((session) => session.book.history.done.at(-1)?.title);
  const redo = useSession((session) => session.book.history.undone.at(-1)?.title);
  return useMemo(
    () => [
      ...SECTIONS.map(({ id, title }, n) => ({
        id: `go-${id}`,
        words: `Go to ${title}`,
        note: `key ${n + 1}`,
        run: () => goTo(id),
      })),
      ...(undo === undefined ? [] : [{ id: "undo", words: `Undo: ${undo}`, note: "Ctrl Z", run: () => hands.undo() }]),
      ...(redo === undefined ? [] : [{ id: "redo", words: `Again: ${redo}`, note: "Ctrl Y", run: () => hands.redo() }]),
      ...chassisCommands(around),
      { id: "day", words: "Day colours", run: () => showTheme("day") },
      { id: "night", words: "Night colours", run: () => showTheme("night") },
      { id: "print", words: "Print this sheet", note: "Ctrl P", run: () => window.print() },
      { id: "print-pack", words: "Print all papers", note: "Pack", run: () => goTo("pack/print") },
      { id: "save-pack", words: "Save all papers as a zip", note: "Pack", run: () => goTo("pack/zip") },
      {
        id: "export",
        words: `Save ${design.name} as a file`,
        run: () => location.assign(workshop.exportAddress(design.key)),
      },
      {
        id: "archive",
        words: "Save the whole shop as an archive",
        run: () => location.assign(workshop.archiveAddress()),
      },
      {
        id: "backup",
        words: "Back up the shop's file",
        run: () =>
          void workshop
            .backUp()
            .then((done) =>
              hands.say(
                done.ok
                  ? { level: "said", sentence: `Backed up to ${done.value.file}.` }
                  : { level: "stop", sentence: done.failure.sentence },
              ),
            ),
      },
      { id: "keys", words: "Which keys do what", note: "?", run: openKeys },
    ],
    [around, hands, workshop, design, undo, redo, openKeys],
  );
}
