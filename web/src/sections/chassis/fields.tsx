/** Fields of the metal: what is chosen from a list, names, plain numbers; what is said where something was not done. */
import { type ReactNode, useId, useState } from "react";

/** One of a few, by name; choosing is one step. */
export function PickField<T extends string>({
  label,
  value,
  options,
  onPick,
}: {
  label: string;
  value: T;
  options: readonly { readonly value: T; readonly words: string }[];
  onPick: (value: T) => void;
}) {
  const id = useId();
  return (
    <div className="metal-length metal-pick">
      <label htmlFor={id}>{label}</label>
      <select
        id={id}
        className="field"
        value={value}
        onChange={(event) => {
          const found = options.find((one) => one.value === event.currentTarget.value);
          if (found !== undefined) onPick(found.value);
        }}
      >
        {options.map((one) => (
          <option key={one.value} value={one.value}>
            {one.words}
          </option>
        ))}
      </select>
    </div>
  );
}

/** A name or a remark, kept on Enter or on leaving. */
export function TextField({
  label,
  value,
  hideLabel = false,
  most = 80,
  placeholder,
  onKeep,
}: {
  label: string;
  value: string;
  hideLabel?: boolean;
  most?: number;
  placeholder?: string;
  onKeep: (value: string) => string | undefined;
}) {
  const [draft, setDraft] = useState<string>();
  const [wrong, setWrong] = useState<string>();
  const id = useId();
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    const sentence = keep && draft.trim() !== value ? onKeep(draft.trim()) : undefined;
    setWrong(sentence);
    if (sentence === undefined) setDraft(undefined);
  };
  return (
    <div className="metal-length metal-text">
      <label htmlFor={id} className={hideLabel ? "unseen" : undefined}>
        {label}
      </label>
      <input
        id={id}
        className={`field${draft === undefined ? "" : " in-hand"}`}
        autoComplete="off"
        maxLength={most}
        value={draft ?? value}
        placeholder={placeholder}
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? undefined : `${id}-wrong`}
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
      {wrong !== undefined && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </div>
  );
}

/** Why something was not done. */
export function Refused({ words }: { words: string | undefined }): ReactNode {
  return words === undefined ? null : (
    <p className="field-words metal-refused" role="alert">
      {words}
    </p>
  );
}

/** Where an answer is awaited, or why there is none. */
export function Asking({
  told,
  what,
}: {
  told: { readonly value?: unknown; readonly failure?: string | undefined };
  what: string;
}): ReactNode {
  if (told.failure !== undefined)
    return (
      <p role="status" className="metal-note">
        {told.failure}
      </p>
    );
  return told.value !== undefined ? null : (
    <p role="status" className="metal-note">
      {what}
    </p>
  );
}

/** A plain number of the form, kept on leaving. */
export function PlainNumber({
  label,
  value,
  least,
  most,
  unit,
  onKeep,
}: {
  label: string;
  value: number;
  least: number;
  most: number;
  unit?: string;
  onKeep: (value: number) => void;
}) {
  const [draft, setDraft] = useState<string>();
  const read = draft === undefined ? value : Number(draft.replace(/,/g, "."));
  const wrong = draft !== undefined && !(read >= least && read <= most);
  const end = () => {
    if (draft !== undefined && !wrong && draft.trim() !== "") onKeep(read);
    setDraft(undefined);
  };
  return (
    <label className="metal-inline">
      {label}
      <input
        className={`field metal-short${draft === undefined ? "" : " in-hand"}`}
        inputMode="decimal"
        autoComplete="off"
        value={draft ?? String(value)}
        aria-invalid={wrong}
        title={`${least} to ${most}`}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={end}
        onKeyDown={(event) => {
          if (event.key === "Enter") end();
          else if (event.key === "Escape" && draft !== undefined) {
            event.stopPropagation();
            setDraft(undefined);
          }
        }}
      />
      {unit !== undefined && unit !== "" && <span className="muted">{unit}</span>}
    </label>
  );
}
