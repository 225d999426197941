import { differenceRows, type Goal } from "@platewright/design";
import { useMemo, useState } from "react";
import { useSize } from "../../parts/use-size.ts";
import { provenOf } from "../../state/session.ts";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Against } from "./against.tsx";
import { Board } from "./board.tsx";
import { FindingsPanel } from "./findings-panel.tsx";
import { GoalLine } from "./goal-line.tsx";
import { PutTube } from "./put-tube.tsx";
import { useKept } from "../../state/use-kept.ts";
import { useRemembered } from "../../state/use-remembered.ts";
import { WhatChanges } from "./what-changes.tsx";
import "./rework.css";

const NONE = {};

/** The home of the workbench: proven unit + shelf + goal → what changes, what it does, what to decide, what else there is. */
export function ReworkScreen() {
  const document = useDocument();
  const kept = useSession((session) => session.book.value);
  const design = useSession((session) => session.design);
  const revisions = useSession((session) => session.revisions);
  const proven = useMemo(() => provenOf({ design, revisions }), [design, revisions]);
  const differences = useAnswer("differences", NONE);
  const findings = useAnswer("findings", NONE);
  const provenFindings = useAnswer("provenFindings", NONE);
  const bottles = useAnswer("bottles", NONE).value ?? [];
  const [goal, setGoal] = useRemembered<Goal>("goal", { kind: "keep-voicing" });
  const [putting, setPutting] = useState<{ readonly where: string; readonly type?: string }>();
  const reference = proven === undefined ? "the unit as it stands" : "proven";
  const groups = useMemo(
    () => differenceRows(differences.value ?? [], findings.value ?? [], document, provenFindings.value ?? []),
    [differences.value, findings.value, document, provenFindings.value],
  );
  const keptGroups = useKept(groups, differences.fresh && findings.fresh) ?? groups;
  const usualRatio = (inputVolts: number): number => {
    const row = (differences.value ?? []).find((one) => one.id.endsWith(`.h2/${inputVolts}V`));
    return Number(Math.abs(row?.proven ?? 0.01).toPrecision(2)) || 0.01;
  };
  // While something is only looked at, nothing above or beside it grows: its button stays under the pointer.
  const preview = useSession((session) => session.hand?.preview === true);
  const [top, { height }] = useSize<HTMLDivElement>();
  return (
    <div className={`rework-sheet${preview ? " looking" : ""}`}>
      <div ref={top} className="rework-top" style={preview && height > 0 ? { height } : {}}>
        <WhatChanges
          proven={proven?.document ?? kept}
          provenId={proven?.id}
          document={document}
          bottles={bottles}
          findings={findings.value ?? []}
          onPutIn={(where, type) => setPutting({ where, ...(type === undefined ? {} : { type }) })}
        />
        <GoalLine goal={goal} onGoal={setGoal} document={kept} reference={reference} usualRatio={usualRatio} />
      </div>
      <Against
        groups={groups}
        kept={keptGroups}
        goal={goal}
        pinned={proven !== undefined}
        failure={differences.failure}
      />
      <FindingsPanel told={findings} document={document} />
      <Board bottles={bottles} goal={goal} reference={reference} />
      {putting !== undefined && (
        <PutTube bottles={bottles} start={putting} goal={goal} onClose={() => setPutting(undefined)} />
      )}
    </div>
  );
}
