import { CAUTION_SHORT, type Change, type Transformer } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { useState } from "react";
import { useDocument, useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { usePreview } from "../../state/use-preview.ts";
import {
  type Filled,
  fillMeasured,
  fillUnknown,
  type FormField,
  measuredFields,
  measuredFrom,
  UNKNOWN_FIELDS,
  unknownFrom,
} from "./iron-forms.ts";
import { NumberField } from "./number-field.tsx";
import { dropMeasured, dropUnknown, fitLabel, type HeaterWinding, setHeater, setIron } from "./supply-edits.ts";
import { useEdits } from "../../state/use-edits.ts";

/** A label as it is printed, read while it is typed; and the numbers that the document has of it. */
export function ByLabel({ iron }: { iron: Transformer }) {
  const edits = useEdits();
  const [label, setLabel] = useState(iron.label);
  const changed = label.trim() !== iron.label;
  const keepHigh = (field: keyof Transformer["highTension"], words: string) => (value: number | undefined) => {
    if (value === undefined) return;
    edits.keep(
      setIron(edits.kept(), `${words} ${iron.highTension[field]} → ${value}`, (one) => ({
        ...one,
        highTension: { ...one.highTension, [field]: value },
      })),
    );
  };
  return (
    <>
      <label className="supply-label">
        Label
        <input
          className="field"
          value={label}
          maxLength={120}
          spellCheck={false}
          onChange={(event) => setLabel(event.currentTarget.value)}
        />
      </label>
      {changed && <LabelRead label={label.trim()} />}
      {(iron.measured !== undefined || iron.unknown !== undefined) && (
        <Apply
          title="Iron known by its label alone"
          words="Go by the label alone"
          changes={
            setIron(edits.kept(), "Iron known by its label alone", (one) => dropUnknown(dropMeasured(one))).changes
          }
        />
      )}
      <fieldset className="supply-controls">
        <legend>High tension, each half</legend>
        <NumberField
          label="Rated"
          unit="V"
          value={iron.highTension.ratedRmsVoltsPerHalf}
          onKeep={keepHigh("ratedRmsVoltsPerHalf", "Rated volts per half")}
        />
        <NumberField
          label="at"
          unit="A"
          quantity="current"
          value={iron.highTension.ratedAmps}
          onKeep={keepHigh("ratedAmps", "Rated amperes")}
        />
        <NumberField
          label="Open"
          unit="V"
          value={iron.highTension.unloadedRmsVoltsPerHalf}
          onKeep={keepHigh("unloadedRmsVoltsPerHalf", "Open volts per half")}
        />
        <NumberField
          label="Source"
          unit="Ω"
          quantity="resistance"
          value={iron.highTension.ohmsPerHalf}
          onKeep={keepHigh("ohmsPerHalf", "Ohms per half")}
        />
      </fieldset>
      {iron.heaters.map((one) => (
        <HeaterFields key={one.id} winding={one} />
      ))}
    </>
  );
}

function HeaterFields({ winding }: { winding: HeaterWinding }) {
  const edits = useEdits();
  const keep = (field: "ratedVolts" | "ratedAmps" | "unloadedVolts", words: string) => (value: number | undefined) => {
    if (value === undefined) return;
    edits.keep(
      setHeater(edits.kept(), winding.id, `${words} ${winding[field]} → ${value}`, (one) => ({
        ...one,
        [field]: value,
      })),
    );
  };
  return (
    <fieldset className="supply-controls">
      <legend>Heater winding {winding.id}</legend>
      <NumberField label="Rated" unit="V" value={winding.ratedVolts} onKeep={keep("ratedVolts", "rated volts")} />
      <NumberField
        label="at"
        unit="A"
        quantity="current"
        value={winding.ratedAmps}
        onKeep={keep("ratedAmps", "rated amperes")}
      />
      <NumberField label="Open" unit="V" value={winding.unloadedVolts} onKeep={keep("unloadedVolts", "open volts")} />
    </fieldset>
  );
}

/** What a label says, what is assumed beside it, and the button that puts it in. */
function LabelRead({ label }: { label: string }) {
  const edits = useEdits();
  const hands = useHands();
  const { value, failure } = useAnswer("supplyLabel", { label });
  if (failure !== undefined)
    return (
      <p className="field-words" role="alert">
        {failure}
      </p>
    );
  if (value === undefined) return null;
  const edit = fitLabel(edits.kept(), value.transformer);
  const { highTension, heaters } = value.transformer;
  return (
    <div className="supply-read">
      <p>
        Read as {printValue(highTension.ratedRmsVoltsPerHalf, "V")} a half at {printValue(highTension.ratedAmps, "A")}
        {heaters.map((one) => `, ${printValue(one.ratedVolts, "V")} at ${printValue(one.ratedAmps, "A")}`).join("")};{" "}
        {printValue(highTension.unloadedRmsVoltsPerHalf, "V")} open and {printValue(highTension.ohmsPerHalf, "Ω")}{" "}
        assumed.
      </p>
      {value.notes.map((note) => (
        <p key={note} className="supply-note">
          {note}
        </p>
      ))}
      {edit === undefined ? (
        <p className="field-words">It has fewer heater windings than are wired.</p>
      ) : (
        <Apply title={edit.title} words="Put it in" changes={edit.changes} onDone={() => hands.say(undefined)} />
      )}
    </div>
  );
}

/** Resting on it shows what it would do; one press keeps it. */
function Apply({
  title,
  words,
  changes,
  onDone,
}: {
  title: string;
  words: string;
  changes: readonly Change[];
  onDone?: () => void;
}) {
  const preview = usePreview(title, changes);
  return (
    <button
      type="button"
      className="button primary"
      disabled={changes.length === 0}
      {...preview}
      onClick={() => {
        preview.onClick();
        onDone?.();
      }}
    >
      {words}
    </button>
  );
}

function Fields({
  fields,
  filled,
  onFill,
}: {
  fields: readonly FormField[];
  filled: Filled;
  onFill: (next: Filled) => void;
}) {
  return (
    <div className="supply-readings">
      {fields.map((one) => (
        <label key={one.id}>
          <span>{one.label}</span>
          <input
            className="field"
            inputMode="decimal"
            autoComplete="off"
            placeholder={one.required ? "" : "if known"}
            value={filled[one.id] ?? ""}
            onChange={(event) => onFill({ ...filled, [one.id]: event.currentTarget.value })}
          />
          <span className="muted">{one.unit}</span>
        </label>
      ))}
    </div>
  );
}

/** Where readings are asked for, the caution stands. */
function BeforeReading({ more = "" }: { more?: string }) {
  return (
    <>
      <p className="supply-note">
        Ohms with the iron unplugged and cold, volts with the mains named beside them.{more}
      </p>
      <p className="caution">{CAUTION_SHORT}</p>
    </>
  );
}

/** The builder's own ohms and volts; where given they go before the label. */
export function ByReadings({ iron }: { iron: Transformer }) {
  const edits = useEdits();
  const mains = useDocument().supply?.mains.volts ?? 230;
  const [filled, setFilled] = useState(() => fillMeasured(iron, mains));
  const made = measuredFrom(iron, filled);
  const title = "Iron known by readings";
  return (
    <>
      <BeforeReading />
      <Fields fields={measuredFields(iron)} filled={filled} onFill={setFilled} />
      {made.ok ? (
        <Apply
          title={title}
          words="Go by these readings"
          changes={setIron(edits.kept(), title, (one) => ({ ...dropUnknown(one), measured: made.value })).changes}
        />
      ) : (
        <p className="supply-note" role="status">
          {made.failure}
        </p>
      )}
      {iron.measured !== undefined && (
        <Apply
          title="Readings of the iron taken out"
          words="Take the readings out"
          changes={setIron(edits.kept(), "Readings of the iron taken out", dropMeasured).changes}
        />
      )}
    </>
  );
}

/** Iron that nobody knows: what can be read off it, and the two tests that it is not sold without. */
export function ByUnknown({ iron }: { iron: Transformer }) {
  const edits = useEdits();
  const mains = useDocument().supply?.mains.volts ?? 230;
  const [filled, setFilled] = useState(() => fillUnknown(iron, mains));
  const made = unknownFrom(filled);
  const title = "Iron of unknown rating";
  const tick = (field: "insulationTested" | "ratingEstablished", words: string) => (
    <label className="supply-tick">
      <input
        type="checkbox"
        checked={iron[field] === true}
        onChange={(event) => {
          const done = event.currentTarget.checked;
          edits.keep(
            setIron(edits.kept(), `${words}: ${done ? "done" : "not done"}`, (one) => ({ ...one, [field]: done })),
          );
        }}
      />
      {words}
    </label>
  );
  return (
    <>
      <BeforeReading more=" At least two of the estimates are wanted." />
      <Fields fields={UNKNOWN_FIELDS} filled={filled} onFill={setFilled} />
      {made.ok ? (
        <Apply
          title={title}
          words="Estimate from these"
          changes={setIron(edits.kept(), title, (one) => ({ ...dropMeasured(one), unknown: made.value })).changes}
        />
      ) : (
        <p className="supply-note" role="status">
          {made.failure}
        </p>
      )}
      {iron.unknown !== undefined && (
        <>
          {tick("insulationTested", "Insulation of every winding tested at voltage")}
          {tick("ratingEstablished", "Rating established by a load test with its temperature")}
        </>
      )}
    </>
  );
}
