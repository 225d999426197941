import { parseValue, printValue, stepPreferred } from "@platewright/engine";
import { useId, useState } from "react";

const LEAST = 1e-3;
const MOST = 100;

/** The input level whose swing is drawn: typed, or stepped by arrow keys. */
export function LevelField({ volts, onVolts }: { volts: number; onVolts: (volts: number) => void }) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : parseValue("voltage", draft);
  const fits = read?.ok === true && read.value >= LEAST && read.value <= MOST;
  const wrong = draft !== undefined && !fits;
  const keep = () => {
    setDraft(undefined);
    if (fits) onVolts(read.value);
  };
  return (
    <span className="curves-level">
      <label htmlFor={id}>Swing at</label>
      <input
        id={id}
        className="field"
        value={draft ?? printValue(volts, "V")}
        spellCheck={false}
        autoComplete="off"
        aria-invalid={wrong}
        aria-describedby={wrong ? `${id}-wrong` : undefined}
        data-dirty={draft !== undefined}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={keep}
        onKeyDown={(event) => {
          if (event.key === "Enter") keep();
          else if (event.key === "Escape") setDraft(undefined);
          else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
            event.preventDefault();
            setDraft(undefined);
            const next = stepPreferred("E12", volts, event.key === "ArrowUp" ? 1 : -1);
            onVolts(Number(Math.min(MOST, Math.max(LEAST, next)).toPrecision(3)));
          }
        }}
      />
      {wrong && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          volts rms at the input jack, 1 mV to 100 V
        </span>
      )}
    </span>
  );
}
