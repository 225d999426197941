import type { Change, Targets } from "@platewright/design";
import type { Quantity } from "@platewright/engine";
import { ValueField } from "../../parts/value-field.tsx";
import { useAround, useSession } from "../../state/use-session.ts";

type Field = "sourceOhms" | "loadOhms" | "loadFarads" | "cableFarads";

const FIELDS: Readonly<
  Record<"input" | "output", readonly { readonly field: Field; readonly label: string; readonly quantity: Quantity }[]>
> = {
  input: [{ field: "sourceOhms", label: "Source resistance", quantity: "resistance" }],
  output: [
    { field: "loadOhms", label: "Load resistance", quantity: "resistance" },
    { field: "loadFarads", label: "Load capacitance", quantity: "capacitance" },
    { field: "cableFarads", label: "Cable capacitance", quantity: "capacitance" },
  ],
};

/** What a jack is tied to outside: targets of the design, the same for all its channels. */
export function Loads({ of }: { of: "input" | "output" }) {
  const { session, hands } = useAround();
  const targets = useSession((state) => state.book.value.targets);
  const hold = (field: Field, label: string, after: string) => {
    const before: Targets[Field] = session.getState().book.value.targets[field];
    const change: Change = { target: `targets.${field}`, ...(before === undefined ? {} : { before }), after };
    hands.hold(`${label} ${before ?? "none"} → ${after}`, [change]);
  };
  return (
    <ul className="circuit-loads" aria-label={of === "input" ? "What feeds it" : "What it drives"}>
      {FIELDS[of].map(({ field, label, quantity }) => (
        <li key={field}>
          <ValueField
            label={label}
            quantity={quantity}
            value={targets[field] ?? ""}
            onHold={(written) => hold(field, label, written)}
            onKeep={hands.keepHand}
            onDrop={hands.drop}
          />
        </li>
      ))}
    </ul>
  );
}
