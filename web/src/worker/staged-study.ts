/**
 * A supply's study that is made as far as someone asks for it, in turns short enough that a newer edit is heard between
 * two of them. All asks of one edit share it.
 */
import {
  type DesignFailure,
  STUDY_STAGES,
  type StudyStage,
  type StudyStep,
  type SupplyStudy,
} from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";

/** Longest that is worked without listening, milliseconds; a single step may take longer. */
const TURN_MILLISECONDS = 24;

type Studied = Result<SupplyStudy | undefined, string>;

export interface Staged {
  /** To the end, at once. */
  readonly all: () => Studied;
  /** To the end of a stage (left out: of the last): what is known then, with all stages before it whole. */
  readonly through: (stage?: StudyStage) => Generator<{ readonly done: number; readonly total: number }, Studied>;
}

/** `begin` gives the steps, or what the whole answer is when there is nothing to study. */
export function stagedStudy(
  begin: () => Generator<StudyStep, Result<SupplyStudy, DesignFailure>> | Studied,
  clock: () => number = () => performance.now(),
): Staged {
  let steps: Generator<StudyStep, Result<SupplyStudy, DesignFailure>> | undefined;
  let ended: Studied | undefined;
  let last: StudyStep | undefined;

  /** One step; true while there is more to do for the stage. */
  const work = (stage: StudyStage | undefined): boolean => {
    if (ended !== undefined || isWhole(last, stage)) return false;
    if (steps === undefined) {
      const begun = begin();
      if ("ok" in begun) {
        ended = begun;
        return false;
      }
      steps = begun;
    }
    const step = steps.next();
    if (step.done === true) ended = step.value.ok ? ok(step.value.value) : fail(step.value.failure.sentence);
    else last = step.value;
    return ended === undefined && !isWhole(last, stage);
  };

  return {
    all: () => {
      while (work(undefined));
      return ended ?? ok(undefined);
    },
    through: function* (stage) {
      let heard = clock();
      while (work(stage)) {
        if (clock() - heard < TURN_MILLISECONDS) continue;
        yield { done: last?.done ?? 0, total: last?.total ?? 1 };
        heard = clock();
      }
      return ended ?? ok(last?.soFar);
    },
  };
}

function isWhole(step: StudyStep | undefined, stage: StudyStage | undefined): boolean {
  if (step === undefined || stage === undefined) return false;
  const [here, wanted] = [STUDY_STAGES.indexOf(step.stage), STUDY_STAGES.indexOf(stage)];
  return here > wanted || (here === wanted && step.isLast);
}
