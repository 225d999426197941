import { parseValue, type Quantity, type Series } from "@platewright/engine";
import { useId, useState } from "react";
import { stepped } from "./stepped.ts";

/**
 * A value as a builder writes it. Typing holds it (all screens show it at once), Enter or leaving keeps it, Escape takes it
 * back; up and down step the preferred series, with Shift its finest.
 */
export function ValueField({
  label,
  quantity,
  value,
  series = "E12",
  hideLabel = false,
  onHold,
  onKeep,
  onDrop,
}: {
  label: string;
  quantity: Quantity;
  /** As it is written in the document. */
  value: string;
  series?: Series;
  hideLabel?: boolean;
  onHold: (written: string) => void;
  onKeep: () => void;
  onDrop: () => void;
}) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = draft === undefined ? undefined : parseValue(quantity, draft);
  const hold = (written: string) => {
    setDraft(written);
    if (parseValue(quantity, written).ok) onHold(written.trim());
  };
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    if (keep && parseValue(quantity, draft).ok) onKeep();
    else onDrop();
    setDraft(undefined);
  };
  const step = (by: number, fine: boolean) => {
    const now = parseValue(quantity, draft ?? value);
    if (now.ok) hold(stepped(quantity, now.value, by, fine ? "E96" : series));
  };
  const wrong = read?.ok === false ? read.failure.sentence : undefined;
  return (
    <span className="value-field">
      <label htmlFor={id} className={hideLabel ? "unseen" : undefined}>
        {label}
      </label>
      <input
        id={id}
        className={`field${draft === undefined ? "" : " in-hand"}`}
        value={draft ?? value}
        spellCheck={false}
        autoComplete="off"
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? undefined : `${id}-wrong`}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => hold(event.currentTarget.value)}
        onBlur={() => end(true)}
        onKeyDown={(event) => {
          if (event.key === "Enter") end(true);
          else if (event.key === "Escape") {
            event.stopPropagation();
            end(false);
          } else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
            event.preventDefault();
            step(event.key === "ArrowUp" ? 1 : -1, event.shiftKey);
          }
        }}
      />
      {wrong !== undefined && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </span>
  );
}
