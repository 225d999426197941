/** Deeds on the plate that "Do…" lists. What they need is fetched when one is done. */
import type { Around } from "../state/use-session.ts";
import type { Command } from "./commands.ts";
import { goTo } from "./place.ts";

export function chassisCommands({ session, hands }: Around): readonly Command[] {
  const kept = () => session.getState().book.value;
  const { chassis } = kept();
  if (chassis === undefined)
    return [
      {
        id: "chassis-begin",
        words: "Begin a plate",
        note: "Chassis",
        run: () =>
          void import("../sections/chassis/metal-edits.ts").then(({ beginPlate }) => {
            const begun = beginPlate(kept());
            if (begun.ok) hands.keep(begun.value.title, begun.value.changes);
            else hands.say({ level: "watch", sentence: begun.failure });
            goTo("chassis");
          }),
      },
    ];
  return [
    {
      id: "chassis-mirror",
      words: "Mirror the second channel on the plate",
      note: "about its middle",
      run: () =>
        void import("../sections/chassis/layout-edits.ts").then(({ mirroredChannel, pairsOf }) => {
          const document = kept();
          const from = document.instances.find(({ id }) => pairsOf(document, id).length > 0)?.id;
          const edit =
            from === undefined || document.chassis === undefined
              ? undefined
              : mirroredChannel(document, from, document.chassis.plate.widthMillimetres / 2);
          if (edit === undefined || edit.changes.length === 0)
            hands.say({
              level: "said",
              sentence: "Nothing is to be mirrored: no two parts stand for the same in two channels.",
            });
          else hands.keep(edit.title, edit.changes);
          goTo("chassis");
        }),
    },
  ];
}
