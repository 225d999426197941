import { clockPosition, parseValue, printValue } from "@platewright/engine";
import { useId, useState } from "react";
import { Knob } from "../../parts/knob.tsx";
import { partEdit, partOf, twinsOf } from "../../state/edits.ts";
import { useAround, useDocument, useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./voicing-screen.tsx";

/** Drive and level as they stand on the panel, and the level that comes in. */
export function Controls({
  at,
  inputVolts,
  inputDbu,
  onInput,
}: {
  at: At;
  inputVolts: number;
  inputDbu: number;
  onInput: (volts: number) => void;
}) {
  const { value } = useAnswer("voicingControls", at);
  const { value: curves } = useAnswer("voicingCurves", at);
  const instance = curves?.instance;
  return (
    <section aria-label="Controls" className="voicing-controls">
      <InputField volts={inputVolts} decibels={inputDbu} onInput={onInput} />
      {instance !== undefined && value?.drive !== undefined && value.drive !== null && (
        <Control
          name="Drive"
          part={value.drive.part}
          taper={value.drive.taper}
          instance={instance}
          words="Sets how much the tube colours: the level at its grid."
        />
      )}
      {instance !== undefined && value?.level !== undefined && value.level !== null && (
        <Control
          name="Level"
          part={value.level.part}
          taper={value.level.taper}
          instance={instance}
          {...(value.unityTurn === null ? {} : { unityTurn: value.unityTurn })}
          words={
            value.unityTurn === null
              ? "Sets loudness only. A gain of one is out of its reach."
              : `Sets loudness only. Unity near ${clockPosition(value.unityTurn)}.`
          }
        />
      )}
    </section>
  );
}

function Control({
  name,
  part,
  taper,
  instance,
  unityTurn,
  words,
}: {
  name: string;
  part: string;
  taper: string;
  instance: string;
  unityTurn?: number;
  words: string;
}) {
  const { session } = useAround();
  const hands = useHands();
  const document = useDocument();
  const provenId = useSession((state) => state.design.proven);
  const proven = useSession((state) => state.revisions.find((one) => one.id === provenId)?.document);
  const kept = useSession((state) => positionOf(state.book.value, instance, part));
  const turn = positionOf(document, instance, part) ?? 0;
  const provenTurn = proven === undefined ? undefined : positionOf(proven, instance, part);
  const hold = (next: number) => {
    const base = session.getState().book.value;
    const position = Number(next.toFixed(3));
    const edit = partEdit(base, twinsOf(base, instance), part, { position });
    hands.hold(`${name} ${((kept ?? 0) * 10).toFixed(1)} → ${(position * 10).toFixed(1)}`, edit.changes);
  };
  return (
    <div className="voicing-control">
      <Knob
        name={name}
        turn={turn}
        provenTurn={provenTurn}
        unityTurn={unityTurn}
        live={turn !== kept}
        onHold={hold}
        onKeep={hands.keepHand}
        onDrop={hands.drop}
      />
      <div>
        <h3>{name}</h3>
        <p className={turn === kept ? "voicing-turn" : "voicing-turn live"}>
          {(turn * 10).toFixed(1)}
          <span className="muted"> {clockPosition(turn)}</span>
        </p>
        <p className="voicing-note">
          {words} {part}, {taper} taper
          {provenTurn !== undefined && provenTurn !== turn ? `; was ${(provenTurn * 10).toFixed(1)}` : ""}.
        </p>
      </div>
    </div>
  );
}

function positionOf(document: Parameters<typeof partOf>[0], instance: string, part: string): number | undefined {
  const found = partOf(document, instance, part);
  return found?.kind === "potentiometer" ? found.position : undefined;
}

const DBU_ZERO = Math.sqrt(0.6);

/** The level at the input jack: volts rms, or dBu. */
function InputField({
  volts,
  decibels,
  onInput,
}: {
  volts: number;
  decibels: number;
  onInput: (volts: number) => void;
}) {
  const [draft, setDraft] = useState<string>();
  const id = useId();
  const read = (written: string): number | undefined => {
    const dbu = /^\s*([-−+]?\d+(?:[.,]\d+)?)\s*dBu\s*$/i.exec(written);
    if (dbu !== null) return DBU_ZERO * 10 ** (Number((dbu[1] ?? "").replace("−", "-").replace(",", ".")) / 20);
    const plain = parseValue("voltage", written);
    return plain.ok ? plain.value : undefined;
  };
  const wrong = draft !== undefined && read(draft) === undefined;
  const keep = () => {
    const value = draft === undefined ? undefined : read(draft);
    setDraft(undefined);
    if (value !== undefined && value > 0.001 && value < 100) onInput(Number(value.toPrecision(3)));
  };
  return (
    <div className="voicing-input">
      <label htmlFor={id}>Input at the jack</label>
      <input
        id={id}
        className="field"
        value={draft ?? printValue(volts, "V")}
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
      <p className="voicing-note">
        {wrong
          ? "Write volts rms or a level: 1 V, 316m, +4 dBu."
          : `rms; ${decibels >= 0 ? "+" : "−"}${Math.abs(decibels).toFixed(1)} dBu`}
      </p>
    </div>
  );
}
