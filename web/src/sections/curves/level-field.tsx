import { parseValue, printValue } from "@platewright/engine";
import { useId, useState } from "react";

/** The input level whose swing is drawn. */
export function LevelField({ volts, onVolts }: { volts: number; onVolts: (volts: number) => void }) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : parseValue("voltage", draft);
  const keep = () => {
    setDraft(undefined);
    if (read?.ok === true && read.value > 0.001 && read.value < 100) onVolts(read.value);
  };
  return (
    <span>
      <label htmlFor={id}>Swing at </label>
      <input
        id={id}
        className="field curves-level"
        value={draft ?? printValue(volts, "V")}
        aria-invalid={read?.ok === false}
        data-dirty={draft !== undefined}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={keep}
        onKeyDown={(event) => {
          if (event.key === "Enter") keep();
        }}
      />
    </span>
  );
}
