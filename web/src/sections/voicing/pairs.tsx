import { diffDocuments, setPart } from "@platewright/design";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { twinsOf } from "../../state/edits.ts";
import { useAround, useHands, useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { useLast } from "./use-last.ts";
import { quantity, percentWords } from "./words.ts";

type Setting = ValueOf<"voicingPair">["cleaner"];

const FACTORS = ["1.5", "2", "3", "4"] as const;
type Factor = (typeof FACTORS)[number];

/** Two settings that play equally loud and differ in H2 alone: the honest way to compare by ear. */
export function Pairs({ at, inputVolts }: { at: At; inputVolts: number }) {
  const [factor, setFactor] = useState<Factor>("2");
  const { value: newest, failure } = useAnswer("voicingPair", { ...at, inputVolts, factor: Number(factor) });
  const value = useLast(newest);
  return (
    <section aria-labelledby="voicing-pairs">
      <SectionHead
        id="voicing-pairs"
        title="Equally loud"
        end={
          <Choice
            label="How many times H2"
            options={FACTORS.map((times) => ({ value: times, words: `${times} ×` }))}
            value={factor}
            onChoose={setFactor}
          />
        }
      />
      {failure !== undefined && (
        <p className="voicing-note" role="status">
          {failure}
        </p>
      )}
      {value === undefined && failure === undefined && <p className="voicing-note">Setting both controls…</p>}
      {value !== undefined && failure === undefined && (
        <>
          <table>
            <thead>
              <tr>
                <th scope="col">
                  <span className="unseen">Setting</span>
                </th>
                <th scope="col">Drive, o&rsquo;clock</th>
                <th scope="col">Level, o&rsquo;clock</th>
                <th scope="col" className="number">
                  H2
                </th>
                <th scope="col" className="no-print">
                  <span className="unseen">Set</span>
                </th>
              </tr>
            </thead>
            <tbody>
              <Row name="cleaner" setting={value.cleaner} present={value.present === "cleaner"} at={at} />
              <Row name="richer" setting={value.richer} present={value.present === "richer"} at={at} />
            </tbody>
          </table>
          <p className="voicing-note">
            Both give {quantity(value.cleaner.outputVolts, "V")} at {quantity(value.inputVolts, "V")} in, so what
            changes between them is colour and not loudness, which always seems better. Set them by a meter at the
            output, let someone else switch, and expect little on single notes and more where notes meet.
          </p>
        </>
      )}
    </section>
  );
}

function Row({ name, setting, present, at }: { name: string; setting: Setting; present: boolean; at: At }) {
  const { session } = useAround();
  const hands = useHands();
  const busy = useSession((state) => state.hand !== undefined);
  const { value: controls } = useAnswer("voicingControls", at);
  const set = () => {
    const base = session.getState().book.value;
    const instance = controls?.instance;
    if (instance === undefined) return;
    const instances = twinsOf(base, instance);
    const part = (id: string) => id.slice(id.indexOf(".") + 1);
    const next = [setting.drive, setting.level].reduce(
      (document, control) =>
        setPart(document, instances, part(control.part), { position: Number(control.turn.toFixed(4)) }),
      base,
    );
    hands.keep(
      `The ${name} of two equally loud: drive ${(setting.drive.turn * 10).toFixed(1)}, level ${(setting.level.turn * 10).toFixed(1)}`,
      diffDocuments(base, next),
    );
  };
  return (
    <tr>
      <th scope="row">{name}</th>
      <Position {...setting.drive} />
      <Position {...setting.level} />
      <td className="number">
        <b>{percentWords(setting.h2Ratio)}</b>
      </td>
      <td className="number no-print">
        {present ? (
          <span className="muted">as set</span>
        ) : (
          <button
            type="button"
            className="button voicing-small"
            aria-label={`Set it: the ${name} one`}
            disabled={busy}
            onClick={set}
          >
            Set it
          </button>
        )}
      </td>
    </tr>
  );
}

const Position = ({ turn, clock }: { turn: number; clock: string }) => (
  <td>
    <b>{(turn * 10).toFixed(1)}</b> <span className="muted">{clock.replace(" o'clock", "")}</span>
  </td>
);
