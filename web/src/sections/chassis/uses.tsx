import { useState } from "react";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Refused } from "./fields.tsx";
import { FITTING_NAMES, FITTINGS } from "./kind-words.ts";
import type { Way } from "./metal-asks.ts";
import { fitInto, freshName } from "./metal-edits.ts";
import { useMetal } from "./use-metal.ts";

const NONE = {};

/** Fittings that go into a hole as it is cut, each with one press. */
export function Uses({ way }: { way: Way }) {
  const metal = useMetal();
  const { value: parts } = useAnswer("chassisParts", NONE);
  const chassis = useSession((session) => session.book.value.chassis);
  const [refused, setRefused] = useState<string>();
  const hole = chassis?.holes.find((one) => one.id === way.hole);
  const fitting = (way.uses ?? []).flatMap(({ footprint }) => {
    const found = parts?.footprints.find((one) => one.id === footprint);
    return found !== undefined && FITTINGS.has(found.kind) ? [found] : [];
  });
  if (chassis === undefined || hole === undefined || fitting.length === 0) return null;
  return (
    <div className="metal-uses no-print">
      {fitting.map((print) => (
        <button
          key={print.id}
          type="button"
          className="button"
          onClick={() => {
            const id = freshName(FITTING_NAMES[print.kind] ?? "PART", chassis.items);
            const { x, y } = hole;
            setRefused(
              metal.keep((kept) =>
                fitInto(
                  kept,
                  hole,
                  { id, what: { fitting: print.id }, footprint: print.id, x, y, degrees: 0 },
                  print.label,
                ),
              ),
            );
          }}
        >
          Put in: {print.label}
        </button>
      ))}
      <Refused words={refused} />
    </div>
  );
}
