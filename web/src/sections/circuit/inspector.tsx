import type { Finding } from "@platewright/design";
import { useMemo, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { partOf, twinsOf } from "../../state/edits.ts";
import { provenOf } from "../../state/session.ts";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useRemembered } from "../../state/use-remembered.ts";
import { Loads } from "./loads.tsx";
import type { PartFacts } from "./part-facts.ts";
import { PotControl } from "./pot-control.tsx";
import { Ratings } from "./ratings.tsx";
import { Related } from "./related.tsx";
import type { SheetChoice } from "./sheets.ts";
import { StagePlot } from "./stage-plot.tsx";
import { StepTable } from "./step-table.tsx";
import { Stress } from "./stress.tsx";
import { Switches } from "./switches.tsx";
import { usePartEdits } from "./use-part-edits.ts";
import { ValueControl } from "./value-control.tsx";
import { instanceWords } from "./words.ts";

/** One part: its value, what a step of it would move, what it takes, what is found about it, and how else it could be built. */
export function Inspector({
  facts,
  sheet,
  level,
  onClose,
}: {
  facts: PartFacts;
  sheet: SheetChoice;
  level: number;
  onClose: () => void;
}) {
  const { instance } = sheet;
  const document = useDocument();
  const keptDocument = useSession((session) => session.book.value);
  const design = useSession((session) => session.design);
  const revisions = useSession((session) => session.revisions);
  const proven = useMemo(() => provenOf({ design, revisions }), [design, revisions]);
  const inHand = useSession((session) => session.hand !== undefined);
  const [alone, setAlone] = useState(false);
  const [series, setSeries] = useRemembered<"E12" | "E24">("circuit.series", "E12");
  const twins = twinsOf(keptDocument, instance);
  const instances = alone ? [instance] : twins;
  const edits = usePartEdits(facts.part, instances);
  const part = partOf(document, instance, facts.part);
  const kept = partOf(keptDocument, instance, facts.part);
  const was = proven === undefined ? undefined : partOf(proven.document, instance, facts.part);
  const { value: answer } = useAnswer("circuitPart", { id: facts.id, instance, instances, series, levelVolts: level });
  const { value: all } = useAnswer("findings", {});
  const { value: switches } = useAnswer("circuitSwitches", { instance });
  if (part === undefined)
    return <p className="muted">This part is only in what is shown; it has no values of its own yet.</p>;
  const own = (all ?? []).filter((one) => isAbout(one, facts.id));
  const near = (all ?? []).filter(
    (one) =>
      facts.triode !== null &&
      facts.triode !== facts.id &&
      (one.level === "stop" || one.fixes.length > 0) &&
      isAbout(one, facts.triode),
  );
  const fixes = own.flatMap((one) => one.fixes.flatMap(({ changes }) => valuesSet(changes, facts.part)));
  return (
    <>
      <header className="circuit-head">
        <span className="circuit-small">{facts.role}</span>
        <h2>
          {facts.part}
          {facts.label !== null && <span>{facts.label}</span>}
        </h2>
        <button type="button" className="button quiet" onClick={onClose}>
          Close
        </button>
      </header>
      {part.kind === "potentiometer" && kept?.kind === "potentiometer" && (
        <PotControl part={part} kept={kept} proven={was} edits={edits} />
      )}
      {kept !== undefined && (
        <ValueControl
          part={part}
          kept={kept}
          proven={was}
          fixes={fixes}
          series={series}
          onSeries={setSeries}
          edits={edits}
        />
      )}
      {twins.length > 1 && part.kind !== "triode" && part.kind !== "jack" && (
        <Choice
          label="Edits go to"
          options={[
            { value: "all", words: twins.length === 2 ? "both channels" : "all channels" },
            { value: "one", words: `${instanceWords(keptDocument, instance)} only` },
          ]}
          value={alone ? "one" : "all"}
          onChoose={(which) => setAlone(which === "one")}
        />
      )}
      {kept !== undefined && <Ratings part={kept} edits={edits} />}
      {part.kind === "jack" && <Loads of={part.role} />}
      {part.kind === "triode" && (
        <p className="circuit-small">
          {facts.value}. Another tube is put in on <a href="#rework">Rework</a>; its curves are on{" "}
          <a href="#curves">Curves</a>.
        </p>
      )}
      {answer?.id === facts.id && answer.now !== null && answer.steps.length > 0 && (
        <StepTable now={answer.now} steps={answer.steps} level={level} />
      )}
      {answer?.id === facts.id && <Stress asked={answer.asked} live={inHand} />}
      <Related findings={[...own.filter((one) => !isAsked(answer?.asked, one)), ...near]} />
      <Switches switches={(switches ?? []).filter((one) => one.parts.includes(facts.id) || one.triode === facts.id)} />
      {facts.triode !== null && <StagePlot triode={facts.triode} live={inHand} />}
    </>
  );
}

/** Equal channels are judged once, under the first one's names. */
const isAbout = ({ where }: Finding, id: string): boolean => where === id;

/** What stands as a bar already is not said again, unless it has an answer. */
const isAsked = (asked: readonly { readonly id: string }[] | undefined, finding: Finding): boolean =>
  finding.fixes.length === 0 && asked?.some(({ id }) => id === finding.id) === true;

/** Values that a fix would give a part. */
const valuesSet = (changes: Finding["fixes"][number]["changes"], part: string): readonly string[] =>
  changes.flatMap(({ target, after }) =>
    typeof after === "string" && (target.endsWith(`parts[${part}].value`) || target.endsWith(`overrides.${part}.value`))
      ? [after]
      : [],
  );
