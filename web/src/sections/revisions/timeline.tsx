import { useId, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { openLine, readDesign } from "../../state/sync.ts";
import { useAround, useSession } from "../../state/use-session.ts";

/** Revisions, newest first, and what can be done with each; above them the form that cuts the next one. */
export function Timeline({ onCompare }: { onCompare: (first: string, second: string) => void }) {
  const { session, workshop, hands, flush } = useAround();
  const design = useSession((state) => state.design);
  const revisions = useSession((state) => state.revisions);
  const [busy, setBusy] = useState(false);

  /** What the workshop does to the design, then the page reads it again; a refusal is said. */
  const ask = async (doing: () => Promise<{ ok: true } | { ok: false; failure: { sentence: string } }>) => {
    setBusy(true);
    await flush();
    const done = await doing();
    if (done.ok) await readDesign(session, workshop);
    else hands.say({ level: "stop", sentence: done.failure.sentence });
    setBusy(false);
  };
  const restore = (id: string) =>
    ask(async () => {
      const line = await workshop.branch(design.key, { name: `From ${id}`, from: { revision: id }, why: "restored" });
      if (line.ok) await openLine(session, workshop, design.key, line.value.key);
      return line;
    });
  return (
    <section aria-labelledby="revisions-timeline">
      <SectionHead id="revisions-timeline" title="Revisions" note="frozen with the data they were solved with" />
      <CutForm
        taken={revisions.map((one) => one.id)}
        busy={busy}
        onCut={(id, note) =>
          ask(() => {
            const { line, book } = session.getState();
            return workshop.cut(design.key, { line: line.key, seq: book.seq, id, ...(note === "" ? {} : { note }) });
          })
        }
      />
      <ol className="revisions-list">
        {[...revisions].reverse().map(({ id, note, cutOn }) => (
          <li key={id}>
            <div className="revisions-name">
              <b>{id}</b>
              {design.proven === id && <span className="revisions-proven">proven</span>}
              {cutOn !== undefined && <time className="muted">{day(cutOn)}</time>}
            </div>
            {note !== undefined && <p>{note}</p>}
            <div className="revisions-do no-print">
              <button type="button" className="button" onClick={() => onCompare(id, "now")}>
                Compare with now
              </button>
              <button
                type="button"
                className="button"
                disabled={busy || design.proven === id}
                onClick={() => void ask(() => workshop.pin(design.key, id))}
              >
                Pin as proven
              </button>
              <button type="button" className="button" disabled={busy} onClick={() => void restore(id)}>
                Go on from here
              </button>
            </div>
          </li>
        ))}
      </ol>
    </section>
  );
}

const day = (at: string): string => at.slice(0, 10);

/** The letter after the last one, "B" after "A", "AA" after "Z". */
export function nextId(taken: readonly string[]): string {
  for (let n = 0; ; n++) {
    const id = n < 26 ? String.fromCharCode(65 + n) : `${nextLetter(Math.floor(n / 26) - 1)}${nextLetter(n % 26)}`;
    if (!taken.includes(id)) return id;
  }
}
const nextLetter = (n: number): string => String.fromCharCode(65 + n);

function CutForm({
  taken,
  busy,
  onCut,
}: {
  taken: readonly string[];
  busy: boolean;
  onCut: (id: string, note: string) => Promise<void>;
}) {
  const [id, setId] = useState<string>();
  const [note, setNote] = useState("");
  const field = useId();
  const shown = id ?? nextId(taken);
  const wrong = taken.includes(shown)
    ? `Revision ${shown} exists already; a revision never changes, take another name.`
    : undefined;
  return (
    <form
      className="revisions-cut no-print"
      onSubmit={(event) => {
        event.preventDefault();
        if (wrong !== undefined || shown.trim() === "") return;
        void onCut(shown.trim(), note.trim()).then(() => {
          setId(undefined);
          setNote("");
        });
      }}
    >
      <label htmlFor={`${field}-id`}>Cut as</label>
      <input
        id={`${field}-id`}
        className="field revisions-id"
        value={shown}
        maxLength={40}
        aria-invalid={wrong !== undefined}
        onChange={(event) => setId(event.currentTarget.value)}
      />
      <label htmlFor={`${field}-note`} className="unseen">
        Note
      </label>
      <input
        id={`${field}-note`}
        className="field revisions-note"
        placeholder="a note: what it is, why it was cut"
        value={note}
        maxLength={2000}
        onChange={(event) => setNote(event.currentTarget.value)}
      />
      <button type="submit" className="button primary" disabled={busy || wrong !== undefined}>
        Cut revision
      </button>
      {wrong !== undefined && (
        <p className="field-words" role="alert">
          {wrong}
        </p>
      )}
    </form>
  );
}
