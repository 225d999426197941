import type { ChassisPlate } from "@platewright/design";
import type { ReactNode } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LengthInput } from "./size-field.tsx";
import { mm } from "./read-length.ts";
import { type FrameMark, type Marks, nextOf } from "./trace-marks.ts";

export type SeenFrom = "above" | "below";

/** What has to be marked, in order; any of it can be marked again. */
export function TraceSteps({
  marks,
  plate,
  along,
  across,
  seen,
  onMarks,
  onAlong,
  onAcross,
  onSeen,
}: {
  marks: Marks;
  plate: ChassisPlate;
  along: string;
  across: string;
  seen: SeenFrom;
  onMarks: (marks: Marks) => void;
  onAlong: (text: string) => void;
  onAcross: (text: string) => void;
  onSeen: (seen: SeenFrom) => void;
}) {
  const again = (id: FrameMark) => onMarks({ ...marks, again: id });
  return (
    <ol className="metal-steps">
      <FrameStep marks={marks} ids={["alongFrom", "alongTo"]} title="Known distance along the front" onAgain={again}>
        <LengthInput label="Length" text={along} onText={onAlong} />
        {along === "" && (
          <button type="button" className="metal-link" onClick={() => onAlong(mm(plate.widthMillimetres))}>
            the whole plate, {mm(plate.widthMillimetres)} mm
          </button>
        )}
      </FrameStep>
      <FrameStep marks={marks} ids={["acrossFrom", "acrossTo"]} title="Known distance across" onAgain={again}>
        <LengthInput label="Length" text={across} onText={onAcross} />
        {across === "" && (
          <button type="button" className="metal-link" onClick={() => onAcross(mm(plate.depthMillimetres))}>
            the whole plate, {mm(plate.depthMillimetres)} mm
          </button>
        )}
      </FrameStep>
      <FrameStep marks={marks} ids={["corner", "edge"]} title="Front left corner, front edge" onAgain={again}>
        <Choice
          label="The photo shows it"
          options={[
            { value: "above", words: "From above" },
            { value: "below", words: "From below" },
          ]}
          value={seen}
          onChoose={onSeen}
        />
        {seen === "below" && (
          <span className="metal-note">The front left corner seen from above: the front right one in the photo.</span>
        )}
      </FrameStep>
      <li className={nextOf(marks) === undefined ? "metal-step-now" : undefined}>
        <b>Holes</b>
        <Choice
          label="A hole by"
          options={[
            { value: "centre", words: "Centre and rim" },
            { value: "rim", words: "Three rim points" },
          ]}
          value={marks.by}
          onChoose={(by) => onMarks({ ...marks, by, begun: [] })}
        />
      </li>
    </ol>
  );
}

function FrameStep({
  marks,
  ids,
  title,
  onAgain,
  children,
}: {
  marks: Marks;
  ids: readonly FrameMark[];
  title: string;
  onAgain: (id: FrameMark) => void;
  children: ReactNode;
}) {
  const next = nextOf(marks);
  const names = ids[0] === "corner" ? ["corner", "edge point"] : ["one end", "other end"];
  return (
    <li className={next !== undefined && ids.includes(next) ? "metal-step-now" : undefined}>
      <b>{title}</b>
      <span className="metal-step-marks">
        {ids.map((id, n) => (
          <button key={id} type="button" className="metal-link" aria-pressed={next === id} onClick={() => onAgain(id)}>
            {names[n]}
            {marks.frame[id] === undefined ? "" : " ✓"}
          </button>
        ))}
      </span>
      {children}
    </li>
  );
}
