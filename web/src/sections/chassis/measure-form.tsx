import type { Footprint } from "@platewright/engine";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { Refused } from "./fields.tsx";
import { LengthInput } from "./size-field.tsx";
import { dropFootprint, keepFootprint } from "./metal-edits.ts";
import { filledFrom, type Measure, measured, measuresOf } from "./own-footprint.ts";
import { useMetal } from "./use-metal.ts";

/** A part as the caliper reads it; what is kept goes before the library's footprint of the same short name. */
export function MeasureForm({
  print,
  item,
  isNew,
  onEnd,
}: {
  print: Footprint;
  /** The item that was measured. */
  item: string | undefined;
  isNew: boolean;
  onEnd: () => void;
}) {
  const metal = useMetal();
  const own = useSession((session) => session.book.value.chassis?.footprints);
  const isOwn = own?.some((one) => one.id === print.id) === true;
  const measures = measuresOf(print);
  const [filled, setFilled] = useState(() => filledFrom(measures));
  const [id, setId] = useState(print.id);
  const [label, setLabel] = useState(print.label);
  const [note, setNote] = useState("");
  const [refused, setRefused] = useState<string>();
  const keep = () => {
    const read = measured(print, filled, { id: id.trim(), label, note });
    if (!read.ok) {
      setRefused(read.failure);
      return;
    }
    const sentence = metal.keep((kept) => keepFootprint(kept, read.value, item));
    setRefused(sentence);
    if (sentence === undefined) onEnd();
  };
  return (
    <section className="metal-measure" aria-labelledby="metal-measure">
      <SectionHead
        id="metal-measure"
        title={isNew ? "A part of your own" : `Measure ${item ?? print.label}`}
        note="caliper on the part in hand; mm or inches"
        end={
          <button type="button" className="button quiet" onClick={onEnd}>
            Leave it
          </button>
        }
      />
      <form
        onSubmit={(event) => {
          event.preventDefault();
          keep();
        }}
      >
        <div className="metal-fields">
          <Text label="Called" value={label} most={80} onText={setLabel} />
          <Text label="Short name" value={id} most={40} onText={setId} />
        </div>
        <div className="metal-groups">
          {grouped(measures).map(([group, some]) => (
            <fieldset key={group}>
              <legend>{group}</legend>
              {some.map(({ key, label: words, least, optional }) => (
                <LengthInput
                  key={key}
                  label={words}
                  least={least}
                  negative={least < 0}
                  optional={optional === true}
                  text={filled[key] ?? ""}
                  onText={(text) => setFilled({ ...filled, [key]: text })}
                />
              ))}
            </fieldset>
          ))}
        </div>
        <div className="metal-fields">
          <Text label="Remark" value={note} most={200} onText={setNote} placeholder="maker, how it was measured" />
        </div>
        <Refused words={refused} />
        <div className="metal-buttons">
          <button type="submit" className="button primary">
            {item === undefined ? "Keep it as measured" : `Keep it, and ${item} is measured`}
          </button>
          {isOwn && !isNew && (
            <button
              type="button"
              className="button"
              onClick={() => {
                setRefused(metal.keep((kept) => dropFootprint(kept, print.id)));
                onEnd();
              }}
            >
              Take my measures out
            </button>
          )}
        </div>
      </form>
    </section>
  );
}

function grouped(measures: readonly Measure[]): readonly (readonly [string, readonly Measure[]])[] {
  const groups = new Map<string, Measure[]>();
  for (const one of measures) groups.set(one.group, [...(groups.get(one.group) ?? []), one]);
  return [...groups];
}

function Text({
  label,
  value,
  most,
  placeholder,
  onText,
}: {
  label: string;
  value: string;
  most: number;
  placeholder?: string;
  onText: (text: string) => void;
}) {
  return (
    <label className="metal-length metal-text">
      <span>{label}</span>
      <input
        className="field"
        autoComplete="off"
        maxLength={most}
        value={value}
        placeholder={placeholder}
        onChange={(event) => onText(event.currentTarget.value)}
      />
    </label>
  );
}
