import { parseValue, printValue } from "@platewright/engine";
import { useId, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import type { SheetChoice } from "./sheets.ts";
import type { View } from "./use-view.ts";
import { levelWords, thin } from "./words.ts";

/** Which drawing, the signal at its jack, and how large. */
export function Toolbar({
  sheets,
  sheet,
  onSheet,
  levels,
  level,
  onLevel,
  view,
}: {
  sheets: readonly SheetChoice[];
  sheet: SheetChoice;
  onSheet: (instance: string) => void;
  /** The document's voicing levels, V rms. */
  levels: readonly number[];
  level: number;
  onLevel: (volts: number) => void;
  view: View;
}) {
  return (
    <div className="circuit-bar no-print">
      {sheets.length > 1 && (
        <Choice
          label="Drawing"
          options={sheets.map(({ instance, words }) => ({ value: instance, words }))}
          value={sheet.instance}
          onChoose={onSheet}
        />
      )}
      {sheet.isChannel && (
        <>
          <Choice
            label="Signal at the jack"
            options={levels.map((volts) => ({ value: String(volts), words: levelWords(volts) }))}
            value={String(level)}
            onChoose={(volts) => onLevel(Number(volts))}
          />
          <LevelField level={level} onLevel={onLevel} />
        </>
      )}
      <span className="circuit-zoom" role="group" aria-label="Size of the drawing">
        <button type="button" className="button" aria-label="Smaller" onClick={view.smaller}>
          −
        </button>
        <button type="button" className="button" aria-pressed={view.zoom === "fit"} onClick={view.fit}>
          Fit
        </button>
        <button type="button" className="button" aria-label="Larger" onClick={view.larger}>
          +
        </button>
      </span>
    </div>
  );
}

const LEAST = 1e-3;
const MOST = 100;

function LevelField({ level, onLevel }: { level: number; onLevel: (volts: number) => void }) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : parseValue("voltage", draft);
  const fits = read?.ok === true && read.value >= LEAST && read.value <= MOST;
  const end = () => {
    if (fits) onLevel(Number(read.value.toPrecision(4)));
    setDraft(undefined);
  };
  return (
    <span className="circuit-level">
      <label htmlFor={id}>or</label>
      <input
        id={id}
        className="field"
        aria-label="Signal at the jack, volts rms"
        value={draft ?? thin(printValue(level, "V"))}
        spellCheck={false}
        autoComplete="off"
        data-dirty={draft !== undefined}
        aria-invalid={draft !== undefined && !fits}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={end}
        onKeyDown={(event) => {
          if (event.key === "Enter") end();
          else if (event.key === "Escape") setDraft(undefined);
        }}
      />
      <span className="muted">rms in</span>
      {draft !== undefined && !fits && (
        <span className="field-words" role="alert">
          volts, 1 mV to 100 V
        </span>
      )}
    </span>
  );
}
