import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { LevelField } from "./level-field.tsx";
import { LawNotes } from "./law-notes.tsx";
import { PlaneView, type StageAnswer } from "./plane-view.tsx";
import { PointTable } from "./point-table.tsx";
import { Slopes } from "./slopes.tsx";
import { useStill } from "./use-still.ts";
import "./curves.css";

const FIRST_INPUT_VOLTS = 1;

/** The plane and what is said of its law; both on axes that stand still while something is in hand. */
function Plane({ stage, held }: { stage: StageAnswer; held: boolean }) {
  const picture = useStill(stage.picture, held);
  return (
    <>
      <PlaneView stage={stage} picture={picture} held={held} />
      <LawNotes triode={stage.id} picture={picture} />
    </>
  );
}

function Beside({ stage, held }: { stage: StageAnswer; held: boolean }) {
  const { upToPlateAmps } = useStill(stage.picture, held);
  return <Slopes triode={stage.id} upToPlateAmps={upToPlateAmps} />;
}

export function CurvesScreen() {
  const { value: sections, failure } = useAnswer("curvesSections", {});
  const [chosen, setChosen] = useState<string>();
  const [inputVolts, setInputVolts] = useState(FIRST_INPUT_VOLTS);
  const held = useSession((session) => session.hand !== undefined);
  const triode = sections?.some((one) => one.id === chosen) === true ? chosen : sections?.[0]?.id;
  const { value: stage, failure: stageFailure } = useAnswer(
    "curvesStage",
    triode === undefined ? { inputVolts } : { triode, inputVolts },
  );
  if (failure !== undefined) return <p role="status">{failure}</p>;
  const type = stage?.type;
  const other = stage?.was !== null && stage?.was !== undefined && stage.was.type !== type ? stage.was.type : undefined;
  return (
    <div className="curves-sheet">
      <div className="curves-wide">
        <section aria-labelledby="curves-plane">
          <SectionHead
            id="curves-plane"
            title={`Plate curves${stage === undefined ? "" : `, ${stage.name}`}`}
            note={
              type === undefined
                ? "solving…"
                : `${type}${other === undefined ? "" : ` heavy, proven ${other} light`}; grid volts on the curves`
            }
            end={
              <span className="curves-choices no-print">
                <LevelField volts={inputVolts} onVolts={setInputVolts} />
                {sections !== undefined && triode !== undefined && (
                  <Choice
                    label="Section"
                    options={sections.map((one) => ({ value: one.id, words: one.name }))}
                    value={triode}
                    onChoose={setChosen}
                  />
                )}
              </span>
            }
          />
          {stageFailure !== undefined && <p role="status">{stageFailure}</p>}
          {stage !== undefined && <Plane key={stage.id} stage={stage} held={held} />}
        </section>
      </div>
      <div className="curves-narrow">
        {stage !== undefined && <PointTable stage={stage} />}
        {stage !== undefined && <Beside key={stage.id} stage={stage} held={held} />}
      </div>
    </div>
  );
}
