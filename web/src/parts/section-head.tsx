import type { ReactNode } from "react";

/** Opens a block of a screen with a 2 px rule: its name, what it shows, and what belongs at its right end. */
export function SectionHead({
  id,
  title,
  note,
  end,
}: {
  id: string;
  title: string;
  note?: ReactNode;
  end?: ReactNode;
}) {
  return (
    <div className="section-head">
      <h2 id={id}>{title}</h2>
      {note !== undefined && <span className="section-note">{note}</span>}
      {end !== undefined && <span className="section-end">{end}</span>}
    </div>
  );
}
