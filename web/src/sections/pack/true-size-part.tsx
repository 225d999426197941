import { useId, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { BAR_ALLOWED_MILLIMETRES, BAR_MILLIMETRES, type BarRead, judgeBars, readBar } from "./true-size.ts";

/** What the ruler read on the check bars of the print at hand; of this print alone, so it is not kept. */
export function TrueSizePart() {
  const [across, setAcross] = useState("");
  const [up, setUp] = useState("");
  const judged = judgeBars(readBar(across), readBar(up));
  return (
    <section aria-labelledby="pack-true">
      <SectionHead
        id="pack-true"
        title="True size"
        note="bars, by a ruler"
        end={`${BAR_MILLIMETRES}.0 ± ${BAR_ALLOWED_MILLIMETRES} mm`}
      />
      <div className="pack-bars">
        <Bar label="across" written={across} onWritten={setAcross} />
        <Bar label="up" written={up} onWritten={setUp} />
      </div>
      <p className="pack-true-words" role="status">
        {judged.level !== undefined && (
          <LevelSign level={judged.level} words={judged.level === "ok" ? "ok" : "do not cut"} />
        )}
        <span>{judged.words}</span>
      </p>
    </section>
  );
}

function Bar({ label, written, onWritten }: { label: string; written: string; onWritten: (written: string) => void }) {
  const id = useId();
  const read: BarRead = readBar(written);
  return (
    <div className="pack-bar">
      <label htmlFor={id}>
        <span className="unseen">Bar </span>
        {label}
      </label>
      <input
        id={id}
        className="field"
        inputMode="decimal"
        autoComplete="off"
        placeholder="100.0"
        value={written}
        aria-invalid={read.kind === "wrong"}
        aria-describedby={read.kind === "wrong" ? `${id}-wrong` : undefined}
        onChange={(event) => onWritten(event.currentTarget.value)}
      />
      <span className="muted">mm</span>
      {read.kind === "read" && (
        <LimitBar
          now={read.millimetres}
          from={BAR_MILLIMETRES - BAR_ALLOWED_MILLIMETRES}
          to={BAR_MILLIMETRES + BAR_ALLOWED_MILLIMETRES}
          words={`${read.millimetres} mm, ${BAR_MILLIMETRES} ± ${BAR_ALLOWED_MILLIMETRES} allowed`}
        />
      )}
      {read.kind === "wrong" && (
        <span id={`${id}-wrong`} className="field-words" role="alert">
          {read.sentence}
        </span>
      )}
    </div>
  );
}
