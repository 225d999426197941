import type { CircuitSwitch } from "@platewright/design";
import { EditButton } from "./related.tsx";
import { thin } from "./words.ts";

/** Ways in which the stages can be built; resting on one shows what it would do, pressing it is one step. */
export function Switches({ switches }: { switches: readonly CircuitSwitch[] }) {
  if (switches.length === 0) return null;
  return (
    <ul className="circuit-switches" aria-label="Ways to build it">
      {switches.map(({ id, label, choices, instances }) => {
        const remark = choices.find((one) => !one.present && one.remark !== undefined)?.remark;
        return (
          <li key={id}>
            <span className="circuit-switch-head">
              {label}
              {instances.length > 1 && (
                <span className="circuit-small">{instances.length === 2 ? "both channels" : "all channels"}</span>
              )}
            </span>
            <span className="circuit-ways" role="group" aria-label={label}>
              {choices.map((choice) =>
                choice.present ? (
                  <button key={choice.words} type="button" className="button" aria-pressed="true" aria-disabled="true">
                    {thin(choice.words)}
                  </button>
                ) : (
                  <EditButton
                    key={choice.words}
                    title={choice.title}
                    changes={choice.changes}
                    words={thin(choice.words)}
                    pressed={false}
                  />
                ),
              )}
            </span>
            {remark !== undefined && <span className="circuit-small">{thin(remark)}</span>}
          </li>
        );
      })}
    </ul>
  );
}
