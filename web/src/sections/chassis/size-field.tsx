/** Lengths in millimetres with inches beside them: of the document, and of what is not made yet. */
import { useId, useState } from "react";
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
