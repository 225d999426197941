import { useState } from "react";

/** How many there are: typed, or stepped by the arrow keys; kept when left or at Enter. */
export function CountField({
  label,
  count,
  onKeep,
  placeholder,
  className = "",
}: {
  label: string;
  count: number | undefined;
  onKeep: (count: number) => void;
  placeholder?: string;
  className?: string;
}) {
  const [draft, setDraft] = useState<string>();
  const wrong = draft !== undefined && draft.trim() !== "" && !/^\d{1,5}$/.test(draft.trim());
  const keep = () => {
    const written = draft?.trim();
    setDraft(undefined);
    if (written !== undefined && written !== "" && !wrong && Number(written) !== count) onKeep(Number(written));
  };
  return (
    <input
      className={`field count ${className}`}
      aria-label={label}
      inputMode="numeric"
      autoComplete="off"
      placeholder={placeholder}
      aria-invalid={wrong}
      title={wrong ? "A whole number of pieces, like 4." : undefined}
      value={draft ?? (count === undefined ? "" : String(count))}
      data-dirty={draft !== undefined}
      onFocus={(event) => event.currentTarget.select()}
      onChange={(event) => setDraft(event.currentTarget.value)}
      onBlur={keep}
      onKeyDown={(event) => {
        if (event.key === "Enter") keep();
        else if (event.key === "Escape") {
          event.stopPropagation();
          setDraft(undefined);
        } else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
          event.preventDefault();
          const from = Number(draft ?? count ?? 0);
          setDraft(String(Math.max(0, (Number.isFinite(from) ? from : 0) + (event.key === "ArrowUp" ? 1 : -1))));
        }
      }}
    />
  );
}
