import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { openLine, readDesign } from "../../state/sync.ts";
import { useAround, useSession } from "../../state/use-session.ts";

const WHY = {
  first: "the first",
  branch: "branched off",
  sibling: "kept beside: two hands were on one line",
  restored: "from a revision",
  imported: "brought in",
} as const;

/** Lines of work of this design: the one that is open, siblings, branches. */
export function Lines({ onCompare }: { onCompare: (line: string) => void }) {
  const { session, workshop, hands, flush } = useAround();
  const design = useSession((state) => state.design);
  const line = useSession((state) => state.line);
  const [name, setName] = useState("");
  const branch = async () => {
    await flush();
    const { book } = session.getState();
    const made = await workshop.branch(design.key, { name, from: { line: line.key, seq: book.seq }, why: "branch" });
    if (!made.ok) {
      hands.say({ level: "stop", sentence: made.failure.sentence });
      return;
    }
    setName("");
    await openLine(session, workshop, design.key, made.value.key);
    await readDesign(session, workshop);
  };
  return (
    <section aria-labelledby="revisions-lines">
      <SectionHead id="revisions-lines" title="Lines of work" />
      <ul className="revisions-list">
        {design.lines.map((one) => (
          <li key={one.key}>
            <div className="revisions-name">
              <b>{one.name}</b>
              {one.key === line.key && <span className="revisions-proven">open</span>}
              <span className="muted">
                {WHY[one.why]}, {one.seq} step{one.seq === 1 ? "" : "s"}
              </span>
            </div>
            {one.key !== line.key && (
              <div className="revisions-do no-print">
                <button
                  type="button"
                  className="button"
                  onClick={() => void flush().then(() => openLine(session, workshop, design.key, one.key))}
                >
                  Open
                </button>
                <button type="button" className="button" onClick={() => onCompare(one.key)}>
                  Compare with now
                </button>
              </div>
            )}
          </li>
        ))}
      </ul>
      <form
        className="revisions-cut no-print"
        onSubmit={(event) => {
          event.preventDefault();
          if (name.trim() !== "") void branch();
        }}
      >
        <input
          className="field revisions-note"
          aria-label="Name of a new line"
          placeholder="a name: with 6FQ7, low B+ …"
          value={name}
          maxLength={120}
          onChange={(event) => setName(event.currentTarget.value)}
        />
        <button type="submit" className="button" disabled={name.trim() === ""}>
          Branch off here
        </button>
      </form>
    </section>
  );
}

/** What was done on this line, newest first. */
export function Done() {
  const done = useSession((state) => state.book.history.done);
  return (
    <section aria-labelledby="revisions-done">
      <SectionHead
        id="revisions-done"
        title="What was done"
        end={`${done.length} step${done.length === 1 ? "" : "s"}`}
      />
      {done.length === 0 ? (
        <p className="revisions-empty">Nothing yet on this line.</p>
      ) : (
        <ol className="revisions-changes">
          {[...done]
            .reverse()
            .slice(0, 30)
            .map((step) => (
              <li key={step.id}>{step.title}</li>
            ))}
        </ol>
      )}
    </section>
  );
}
