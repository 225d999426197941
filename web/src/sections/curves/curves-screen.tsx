import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { LawNotes } from "./law-notes.tsx";
import { LevelField } from "./level-field.tsx";
import type { Picture } from "./picture.ts";
import { PlaneView } from "./plane-view.tsx";
import { PointTable } from "./point-table.tsx";
import { Slopes } from "./slopes.tsx";
import { useRest, useStill } from "./use-still.ts";
import type { StageAnswer } from "./words.ts";
import "./curves.css";

const FIRST_INPUT_VOLTS = 1;

type Extent = keyof StageAnswer["pictures"];

const EXTENTS = [
  { value: "near", words: "At work" },
  { value: "whole", words: "Whole sheet" },
] as const;

export function CurvesScreen() {
  const { value: sections, failure } = useAnswer("curvesSections", {});
  const [chosen, setChosen] = useState<string>();
  const [extent, setExtent] = useState<Extent>("near");
  const [inputVolts, setInputVolts] = useState(FIRST_INPUT_VOLTS);
  const triode = sections?.some((one) => one.id === chosen) === true ? chosen : sections?.[0]?.id;
  const { value: stage, failure: stageFailure } = useAnswer(
    "curvesStage",
    triode === undefined ? { inputVolts } : { triode, inputVolts },
  );
  if (failure !== undefined) return <p role="status">{failure}</p>;
  const other = stage?.was !== null && stage?.was.type !== stage?.type ? stage?.was.type : undefined;
  return (
    <div className="curves-sheet">
      <section className="curves-top" aria-labelledby="curves-plane">
        <SectionHead
          id="curves-plane"
          title={`Plate curves${stage === undefined ? "" : `, ${stage.name}`}`}
          note={
            stage === undefined ? "solving…" : other === undefined ? stage.type : `${stage.type}; proven ${other} light`
          }
          end={
            <span className="curves-choices no-print">
              <LevelField volts={inputVolts} onVolts={setInputVolts} />
              <Choice label="Picture" options={EXTENTS} value={extent} onChoose={setExtent} />
              {sections !== undefined && triode !== undefined && (
                <SectionChoice sections={sections} value={triode} onChoose={setChosen} />
              )}
            </span>
          }
        />
        {stageFailure !== undefined && <p role="status">{stageFailure}</p>}
      </section>
      {stage !== undefined && (
        <Sheet key={`${stage.id} ${extent}`} stage={stage} extent={extent} inputVolts={inputVolts} />
      )}
    </div>
  );
}

/** More than these do not stand side by side. */
const MOST_BESIDE = 4;

/** The tube halves of the design, equal channels once. */
function SectionChoice({
  sections,
  value,
  onChoose,
}: {
  sections: ValueOf<"curvesSections">;
  value: string;
  onChoose: (id: string) => void;
}) {
  const options = sections.map(({ id, name }) => ({
    value: id,
    words: sections.filter((one) => one.name === name).length === 1 ? name : id,
  }));
  if (options.length <= MOST_BESIDE)
    return <Choice label="Section" options={options} value={value} onChoose={onChoose} />;
  return (
    <select
      className="field"
      aria-label="Section"
      value={value}
      onChange={(event) => onChoose(event.currentTarget.value)}
    >
      {options.map((option) => (
        <option key={option.value} value={option.value}>
          {option.words}
        </option>
      ))}
    </select>
  );
}

/** All of one section, on axes that stand still while something is in hand. */
function Sheet({ stage, extent, inputVolts }: { stage: StageAnswer; extent: Extent; inputVolts: number }) {
  const held = useSession((session) => session.hand !== undefined);
  const picture = useStill(stage.pictures[extent], endsOf, held);
  const rest = useRest(stage, held);
  return (
    <>
      <div className="curves-wide">
        <PlaneView stage={stage} rest={rest} picture={picture} held={held} />
        <LawNotes triode={stage.id} inputVolts={inputVolts} />
      </div>
      <div className="curves-narrow">
        <PointTable stage={stage} rest={rest} held={held} />
        <Slopes triode={stage.id} upToPlateAmps={picture.upToPlateAmps} held={held} />
      </div>
    </>
  );
}

const endsOf = ({ upToPlateVolts, upToPlateAmps }: Picture): readonly number[] => [upToPlateVolts, upToPlateAmps];
