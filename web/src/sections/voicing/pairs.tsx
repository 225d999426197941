import { diffDocuments, setPart } from "@platewright/design";
import { printPercent, printValue } from "@platewright/engine";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { twinsOf } from "../../state/edits.ts";
import { useAround, useHands } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./voicing-screen.tsx";

type Setting = ValueOf<"voicingPair">["cleaner"];

/** Two settings that play equally loud and differ in H2 alone: the honest way to compare by ear. */
export function Pairs({ at, inputVolts }: { at: At; inputVolts: number }) {
  const [factor, setFactor] = useState("2");
  const { value, failure } = useAnswer("voicingPair", { ...at, inputVolts, factor: Number(factor) });
  return (
    <section aria-labelledby="voicing-pairs">
      <SectionHead
        id="voicing-pairs"
        title="Equally loud"
        end={
          <Choice
            label="How many times H2"
            options={[
              { value: "1.5", words: "1.5 ×" },
              { value: "2", words: "2 ×" },
              { value: "4", words: "4 ×" },
            ]}
            value={factor}
            onChoose={setFactor}
          />
        }
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value === undefined && failure === undefined && <p className="voicing-note">Setting both controls…</p>}
      {value !== undefined && (
        <>
          <table>
            <thead>
              <tr>
                <th scope="col">
                  <span className="unseen">Setting</span>
                </th>
                <th scope="col">Drive</th>
                <th scope="col">Level</th>
                <th scope="col" className="number">
                  H2
                </th>
                <th scope="col">
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
            Listen at one and then at the other: what you hear is the colour, since a louder one always seems better. At{" "}
            {printValue(inputVolts, "V")} in both give {printValue(value.cleaner.outputVolts, "V")}; set the pots by
            meter if the clock positions are coarse.
          </p>
        </>
      )}
    </section>
  );
}

function Row({ name, setting, present, at }: { name: string; setting: Setting; present: boolean; at: At }) {
  const { session } = useAround();
  const hands = useHands();
  const { value: curves } = useAnswer("voicingCurves", at);
  const set = () => {
    const base = session.getState().book.value;
    const instance = curves?.instance;
    if (instance === undefined) return;
    const instances = twinsOf(base, instance);
    const part = (id: string) => id.slice(id.indexOf(".") + 1);
    const next = setPart(
      setPart(base, instances, part(setting.drive.part), { position: Number(setting.drive.turn.toFixed(4)) }),
      instances,
      part(setting.level.part),
      { position: Number(setting.level.turn.toFixed(4)) },
    );
    hands.keep(`The ${name} of two equally loud settings`, diffDocuments(base, next));
  };
  return (
    <tr>
      <th scope="row">{name}</th>
      <td>
        {(setting.drive.turn * 10).toFixed(1)}, {setting.drive.clock}
      </td>
      <td>
        {(setting.level.turn * 10).toFixed(1)}, {setting.level.clock}
      </td>
      <td className="number">
        <b>{printPercent(setting.h2Ratio)}</b>
      </td>
      <td className="number">
        {present ? (
          <span className="muted">as set</span>
        ) : (
          <button type="button" className="button voicing-small" onClick={set}>
            Set it
          </button>
        )}
      </td>
    </tr>
  );
}
