import { useState } from "react";
import { mm } from "./read-length.ts";

/** Degrees counter-clockwise seen from above, written or by steps; kept at once. */
export function Turn({ degrees, live, onKeep }: { degrees: number; live: boolean; onKeep: (degrees: number) => void }) {
  const [draft, setDraft] = useState<string>();
  const read = draft === undefined ? degrees : Number(draft.replace(",", ".").replace("−", "-"));
  const isRead = Number.isFinite(read) && Math.abs(read) <= 360 && draft?.trim() !== "";
  const end = (keep: boolean) => {
    if (draft !== undefined && keep && isRead) onKeep(read);
    setDraft(undefined);
  };
  return (
    <span className="chassis-length chassis-turn">
      <label htmlFor="chassis-turn">Turn</label>
      <input
        id="chassis-turn"
        className={`field${draft !== undefined || live ? " in-hand" : ""}`}
        inputMode="decimal"
        autoComplete="off"
        value={draft ?? mm(degrees)}
        data-dirty={draft !== undefined}
        aria-invalid={!isRead}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={() => end(true)}
        onKeyDown={(event) => {
          if (event.key === "Enter") end(true);
          else if (event.key === "Escape" && draft !== undefined) {
            event.stopPropagation();
            end(false);
          }
        }}
      />
      <span className="chassis-unit">°</span>
      <span className="chassis-turns no-print">
        <button type="button" className="button" aria-label="Turn 15° back" onClick={() => onKeep(degrees - 15)}>
          −15
        </button>
        <button type="button" className="button" aria-label="Turn 15°" onClick={() => onKeep(degrees + 15)}>
          +15
        </button>
        <button type="button" className="button" aria-label="Turn 90°" onClick={() => onKeep(degrees + 90)}>
          +90
        </button>
      </span>
      {!isRead && (
        <span className="field-words" role="alert">
          Write degrees, from −360 to 360.
        </span>
      )}
    </span>
  );
}
