import type { Document, Goal } from "@platewright/design";
import { useEffect, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { GoalAnswer } from "./asks.ts";
import { usePreview } from "../../state/use-preview.ts";
import { thin } from "./words.ts";

const KINDS = [
  { value: "keep-voicing", words: "Keep voicing" },
  { value: "move-voicing", words: "Set H2" },
  { value: "keep-current", words: "Keep current" },
] as const;

/** What the rework is to keep or reach, and which values would have to change for it; one press takes them. */
export function GoalLine({
  goal,
  onGoal,
  document,
  usualRatio,
  reference,
}: {
  goal: Goal;
  onGoal: (goal: Goal) => void;
  document: Document;
  /** What the goal is measured against, in words. */
  reference: string;
  /** H2 of the proven unit at a level, to start from. */
  usualRatio: (inputVolts: number) => number;
}) {
  const told = useAnswer("goalValues", { goal });
  const { voicingVolts } = document.targets;
  const middle = voicingVolts[Math.floor(voicingVolts.length / 2)] ?? 1;
  const choose = (kind: Goal["kind"]) =>
    onGoal(kind === "move-voicing" ? { kind, inputVolts: middle, ratio: usualRatio(middle) } : { kind });
  return (
    <div className="rework-goal">
      <span className="rework-goal-name no-print" id="rework-goal">
        Goal
      </span>
      <Choice label="Goal" options={KINDS} value={goal.kind} onChoose={choose} />
      {goal.kind === "move-voicing" && (
        <span className="rework-goal-h2">
          <PercentField ratio={goal.ratio} onRatio={(ratio) => onGoal({ ...goal, ratio })} />
          <label>
            <span>at</span>
            <select
              className="field"
              aria-label="Level at which H2 is set"
              value={goal.inputVolts}
              onChange={(event) => onGoal({ ...goal, inputVolts: Number(event.currentTarget.value) })}
            >
              {[...new Set([...voicingVolts, goal.inputVolts])]
                .toSorted((a, b) => a - b)
                .map((volts) => (
                  <option key={volts} value={volts}>
                    {`${volts}\u202fV in`}
                  </option>
                ))}
            </select>
          </label>
        </span>
      )}
      <Outcome told={told} goal={goal} reference={reference} />
    </div>
  );
}

function Outcome({
  told,
  goal,
  reference,
}: {
  told: { readonly value?: GoalAnswer; readonly fresh: boolean; readonly failure?: string };
  goal: Goal;
  reference: string;
}) {
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const { value } = told;
  if (told.failure !== undefined) return <p className="rework-goal-words">{told.failure}</p>;
  if (value === undefined) return <p className="rework-goal-words muted">looking at the values on hand…</p>;
  const what = goal.kind === "keep-current" ? "Plate currents" : "H2";
  const aim = goal.kind === "move-voicing" ? "of what is set" : `of ${reference}`;
  const now = awayWords(value.nowDecibels);
  const then = awayWords(value.thenDecibels);
  if (value.changes.length === 0)
    return (
      <p className="rework-goal-words">
        {value.heldNow
          ? `Held: ${what} within ${now} ${aim} with the values as they stand.`
          : `${what} ${now} off, and no values on hand come nearer${value.strain === null ? "" : `: ${thin(value.strain)}`}.`}
      </p>
    );
  return (
    <p className="rework-goal-words">
      <span>
        {value.held ? "" : "Nearest: "}
        <b>{thin(value.values.join("; "))}</b> {value.held ? "brings" : "would bring"} {what} from {now} to {then} {aim}
        {value.held || value.strain === null ? "" : ` (${thin(value.strain)})`}
        {value.stops[0] !== undefined && (
          <>
            {" "}
            <LevelSign
              level="stop"
              words={`${value.stops[0]}${value.stops.length > 1 ? `, and ${value.stops.length - 1} more` : ""}`}
            />
          </>
        )}
      </span>
      <Take answer={value} disabled={!told.fresh || inHand} />
    </p>
  );
}

/** A harmonic of the other sign is 40 dB and more from any. */
const awayWords = (decibels: number | null): string =>
  decibels === null ? "not solved" : decibels >= 40 ? "the other sign" : thin(`${decibels.toFixed(1)} dB`);

function Take({ answer, disabled }: { answer: GoalAnswer; disabled: boolean }) {
  const preview = usePreview(answer.title, answer.changes);
  return (
    <button
      type="button"
      className="button rework-small no-print"
      aria-disabled={disabled}
      {...(disabled ? {} : preview)}
    >
      Take these values
    </button>
  );
}

/** A ratio in percent; arrows step it by a twentieth. It is the page's own and asks nothing of the design. */
function PercentField({ ratio, onRatio }: { ratio: number; onRatio: (ratio: number) => void }) {
  const words = (value: number) => String(Number((100 * value).toPrecision(3)));
  const [draft, setDraft] = useState(words(ratio));
  const read = Number(draft.replace(",", ".").replace("%", ""));
  const wrong = !(read > 0 && read < 50);
  useEffect(() => {
    if (wrong || Math.abs(read / 100 / ratio - 1) < 1e-9) return;
    const timer = setTimeout(() => onRatio(read / 100), 250);
    return () => clearTimeout(timer);
  }, [read, wrong, ratio, onRatio]);
  return (
    <label>
      <span>H2</span>
      <input
        className="field"
        aria-label="H2 in percent"
        aria-invalid={wrong}
        title={wrong ? "More than 0 and less than 50 %" : undefined}
        inputMode="decimal"
        autoComplete="off"
        value={draft}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onKeyDown={(event) => {
          if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
          event.preventDefault();
          if (!wrong) setDraft(words((read / 100) * (event.key === "ArrowUp" ? 1.05 : 1 / 1.05)));
        }}
      />
      <span>%</span>
    </label>
  );
}
