import { clockPosition, dbu } from "@platewright/engine";
import { type ReactNode, useId, useRef, useState } from "react";
import { Knob, TurnField } from "../../parts/knob.tsx";
import { partEdit, partOf, twinsOf } from "../../state/edits.ts";
import { useAround, useDocument, useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { readLevel } from "./read-level.ts";
import { useLast } from "./use-last.ts";
import { inDbu, quantity, signed } from "./words.ts";

/** Drive and level as they stand on the panel, and the level that comes in. */
export function Controls({
  at,
  inputVolts,
  onInput,
}: {
  at: At;
  inputVolts: number;
  onInput: (volts: number) => void;
}) {
  const { value } = useAnswer("voicingControls", at);
  const { value: newest } = useAnswer("voicingAt", { ...at, inputVolts });
  const level = useLast(newest);
  return (
    <section aria-label="Controls" className="voicing-controls">
      <InputField volts={inputVolts} onInput={onInput} />
      {value !== undefined && value.drive !== null && (
        <Control
          name="Drive"
          part={value.drive.part}
          instance={value.instance}
          headline={quantity(inputVolts * value.gridShare, "V")}
          words={
            <>
              at the grid, {signed(20 * Math.log10(Math.max(1e-6, value.gridShare)))} dB. Sets how much the tube
              colours. <Pot {...value.drive} />
            </>
          }
        />
      )}
      {value !== undefined && value.level !== null && (
        <Control
          name="Level"
          part={value.level.part}
          instance={value.instance}
          unityTurn={value.unityTurn ?? undefined}
          headline={level === undefined ? "–" : inDbu(level.outputVolts)}
          words={
            <>
              {level === undefined ? "" : `${quantity(level.outputVolts, "V")} out. `}
              {value.unityTurn === null
                ? "Sets loudness only; a gain of one is out of its reach. "
                : `Sets loudness only; a gain of one near ${(value.unityTurn * 10).toFixed(1)}, ${clockPosition(value.unityTurn)} (heavy mark). `}
              <Pot {...value.level} />
            </>
          }
        />
      )}
      {value !== undefined && value.drive === null && value.level === null && (
        <p className="voicing-note">This channel has no drive and no level control.</p>
      )}
    </section>
  );
}

const TAPERS = { linear: "linear", log: "log", "reverse-log": "reverse log" } as const;

const Pot = ({ part, ohms, taper }: { part: string; ohms: number; taper: keyof typeof TAPERS }) => (
  <span className="voicing-pot">
    {part}, {quantity(ohms, "Ω")} {TAPERS[taper]}.
  </span>
);

function Control({
  name,
  part,
  instance,
  unityTurn,
  headline,
  words,
}: {
  name: string;
  part: string;
  instance: string;
  unityTurn?: number | undefined;
  headline: string;
  words: ReactNode;
}) {
  const { session } = useAround();
  const hands = useHands();
  const document = useDocument();
  const provenId = useSession((state) => state.design.proven);
  const proven = useSession((state) => state.revisions.find((one) => one.id === provenId)?.document);
  const kept = useSession((state) => positionOf(state.book.value, instance, part)) ?? 0;
  const [draft, setDraft] = useState<string>();
  const field = useRef<HTMLInputElement>(null);
  const turn = positionOf(document, instance, part) ?? 0;
  const provenTurn = proven === undefined ? undefined : positionOf(proven, instance, part);
  const hold = (next: number) => {
    const base = session.getState().book.value;
    const position = Number(next.toFixed(3));
    const edit = partEdit(base, twinsOf(base, instance), part, { position });
    hands.hold(`${name} ${(kept * 10).toFixed(1)} → ${(position * 10).toFixed(1)}`, edit.changes);
  };
  const hand = { name, turn, onHold: hold, onKeep: hands.keepHand, onDrop: hands.drop };
  return (
    <div className={turn === kept ? "voicing-control" : "voicing-control voicing-turned"}>
      <div className="voicing-knob">
        <Knob
          {...hand}
          keptTurn={kept}
          provenTurn={provenTurn}
          unityTurn={unityTurn}
          onType={(digit) => {
            setDraft(digit);
            hold(Number(digit) / 10);
            field.current?.focus();
          }}
        />
        <TurnField {...hand} field={field} draft={draft} onDraft={setDraft} />
      </div>
      <div>
        <h3>{name}</h3>
        <p className="voicing-headline">{headline}</p>
        <p className="voicing-note">
          {words}
          {provenTurn !== undefined &&
            Math.abs(provenTurn - turn) > 0.0005 &&
            ` Proven at ${(provenTurn * 10).toFixed(1)}.`}
        </p>
      </div>
    </div>
  );
}

function positionOf(document: Parameters<typeof partOf>[0], instance: string, part: string): number | undefined {
  const found = partOf(document, instance, part);
  return found?.kind === "potentiometer" ? found.position : undefined;
}

/** Levels that sources give; common practice. */
const USUAL = [
  { words: "−10 dBV", volts: 0.316 },
  { words: "+4 dBu", volts: 1.228 },
  { words: "2 V", volts: 2 },
] as const;

/** The level at the input jack: volts rms, or dBu. */
function InputField({ volts, onInput }: { volts: number; onInput: (volts: number) => void }) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const wrong = draft !== undefined && readLevel(draft) === undefined;
  const keep = () => {
    const value = draft === undefined ? undefined : readLevel(draft);
    setDraft(undefined);
    if (value !== undefined) onInput(Number(value.toPrecision(4)));
  };
  return (
    <div className="voicing-input">
      <label htmlFor={id}>Input at the jack</label>
      <input
        id={id}
        className="field"
        value={draft ?? quantity(volts, "V")}
        spellCheck={false}
        autoComplete="off"
        aria-invalid={wrong}
        data-dirty={draft !== undefined}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={keep}
        onKeyDown={(event) => {
          if (event.key === "Enter") keep();
          else if (event.key === "Escape") {
            event.stopPropagation();
            setDraft(undefined);
          }
        }}
      />
      <p className="voicing-note" role={wrong ? "alert" : undefined}>
        {wrong
          ? "Volts rms or a level from 1 mV to 100 V: 1 V, 316m, +4 dBu, −10 dBV."
          : `rms, ${signed(dbu(volts))} dBu`}
      </p>
      <p className="voicing-usual no-print">
        {USUAL.map((one) => (
          <button
            key={one.words}
            type="button"
            className="button quiet voicing-small"
            aria-label={`Input ${one.words}`}
            onClick={() => onInput(one.volts)}
          >
            {one.words}
          </button>
        ))}
      </p>
    </div>
  );
}
