/** Fields of the metal: lengths in millimetres with inches beside them, and what is chosen from a list. */
import { type ReactNode, useId, useState } from "react";
import { inches, mm, readLength, SMALLEST } from "./read-length.ts";

interface LengthRange {
  readonly least?: number;
  readonly most?: number;
  readonly negative?: boolean;
  /** May be left empty. */
  readonly optional?: boolean;
}

interface SizeFieldProps extends LengthRange {
  readonly label: string;
  readonly value: number | undefined;
  readonly placeholder?: string;
  /** Keeps it; a sentence says why it was not, and what was typed stays. */
  readonly onKeep: (value: number | undefined) => string | undefined;
}

/** A length of the document, kept on Enter or on leaving as one step; Escape puts it back. */
export function SizeField({ label, value, placeholder, onKeep, ...range }: SizeFieldProps) {
  const [draft, setDraft] = useState<string>();
  const [refused, setRefused] = useState<string>();
  const read = draft === undefined ? undefined : readDraft(draft, range);
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    if (keep && read?.ok === true && read.value !== value) {
      const sentence = onKeep(read.value);
      setRefused(sentence);
      if (sentence !== undefined) return;
    } else if (keep && read?.ok === false) {
      setRefused(read.failure);
      return;
    } else setRefused(undefined);
    setDraft(undefined);
  };
  return (
    <LengthRow
      label={label}
      text={draft ?? (value === undefined ? "" : mm(value))}
      millimetres={read?.ok === true ? read.value : value}
      wrong={refused ?? (read?.ok === false ? read.failure : undefined)}
      dirty={draft !== undefined}
      placeholder={placeholder}
      onText={(text) => {
        setRefused(undefined);
        setDraft(text);
      }}
      onEnd={end}
    />
  );
}

/** What is typed for something that is not made yet; the form that holds it reads it. */
export function LengthInput({
  label,
  text,
  onText,
  placeholder,
  ...range
}: LengthRange & {
  label: string;
  text: string;
  placeholder?: string;
  onText: (text: string) => void;
}) {
  const read = text.trim() === "" ? undefined : readDraft(text, range);
  return (
    <LengthRow
      label={label}
      text={text}
      millimetres={read?.ok === true ? read.value : undefined}
      wrong={read?.ok === false ? read.failure : undefined}
      dirty={false}
      placeholder={placeholder}
      onText={onText}
    />
  );
}

const readDraft = (text: string, { least = SMALLEST, most = 2000, negative = false, optional = false }: LengthRange) =>
  optional && text.trim() === ""
    ? ({ ok: true, value: undefined } as const)
    : readLength(text, least, most, { negative });

function LengthRow({
  label,
  text,
  millimetres,
  wrong,
  dirty,
  placeholder,
  onText,
  onEnd,
}: {
  label: string;
  text: string;
  millimetres: number | undefined;
  wrong: string | undefined;
  dirty: boolean;
  placeholder: string | undefined;
  onText: (text: string) => void;
  onEnd?: (keep: boolean) => void;
}) {
  const id = useId();
  return (
    <div className="metal-length">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        className={`field${dirty ? " in-hand" : ""}`}
        autoComplete="off"
        spellCheck={false}
        value={text}
        placeholder={placeholder}
        data-dirty={dirty}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? `${id}-in` : `${id}-wrong`}
        title="mm; inches as 7/8 in; drills as no. 30 or letter F"
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => onText(event.currentTarget.value)}
        onBlur={() => onEnd?.(true)}
        onKeyDown={(event) => {
          if (onEnd === undefined) return;
          if (event.key === "Enter") onEnd(true);
          else if (event.key === "Escape" && dirty) {
            event.stopPropagation();
            onEnd(false);
          }
        }}
      />
      <span className="muted" id={`${id}-in`}>
        {millimetres === undefined ? "mm" : `mm · ${inches(millimetres)}`}
      </span>
      {wrong !== undefined && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </div>
  );
}

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
