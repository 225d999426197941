import { useId, useState } from "react";
import { inches, mm, readLength } from "./read-length.ts";

/**
 * A place or a size in millimetres or inches ("165", "6 1/2 in"), both said. Typing holds it, Enter or leaving keeps it,
 * Escape takes it back; up and down go by the step.
 */
export function LengthField({
  label,
  value,
  live = false,
  stepMillimetres,
  from = 0,
  to = Infinity,
  onHold,
  onKeep,
  onDrop,
}: {
  label: string;
  /** Millimetres, with what is in hand. */
  value: number;
  /** It is in hand, by this field or by something else. */
  live?: boolean;
  stepMillimetres: number;
  from?: number;
  to?: number;
  onHold: (millimetres: number) => void;
  onKeep: () => void;
  onDrop: () => void;
}) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : readLength(draft, from, to, { negative: from < 0 });
  const now = read?.ok === true ? read.value : value;
  const wrong = read?.ok === false ? read.failure : undefined;
  const hold = (written: string) => {
    setDraft(written);
    const next = readLength(written, from, to, { negative: from < 0 });
    if (next.ok) onHold(next.value);
  };
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    if (keep && read?.ok === true) onKeep();
    else onDrop();
    setDraft(undefined);
  };
  return (
    <span className="chassis-length">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        className={`field${draft !== undefined || live ? " in-hand" : ""}`}
        value={draft ?? mm(value)}
        spellCheck={false}
        autoComplete="off"
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? `${id}-inches` : `${id}-wrong`}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => hold(event.currentTarget.value)}
        onBlur={() => end(true)}
        onKeyDown={(event) => {
          if (event.key === "Enter") end(true);
          else if (event.key === "Escape" && draft !== undefined) {
            event.stopPropagation();
            end(false);
          } else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
            event.preventDefault();
            const by = (event.key === "ArrowUp" ? 1 : -1) * stepMillimetres * (event.shiftKey ? 10 : 1);
            hold(mm(Math.min(to, Math.max(from, now + by))));
          }
        }}
      />
      <span className="chassis-unit">mm</span>
      <span id={`${id}-inches`} className="muted">
        {inches(now)}
      </span>
      {wrong !== undefined && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </span>
  );
}
