import { type Document, itemWords, reworkItems, type Revision } from "@platewright/design";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Side } from "./asks.ts";
import { DifferenceTable } from "./difference-table.tsx";

/** A state of the design that can be laid beside another. */
export interface State {
  readonly id: string;
  readonly words: string;
  readonly document: Document;
  readonly revision?: Revision;
}

const sideOf = (state: State): Side =>
  state.id === "now"
    ? { kind: "now" }
    : state.revision === undefined
      ? { kind: "document", document: state.document }
      : { kind: "revision", revision: state.revision };

/** Two states: what changed, and what it did. */
export function Compare({
  states,
  first,
  second,
  onChoose,
}: {
  states: readonly State[];
  first: string;
  second: string;
  onChoose: (first: string, second: string) => void;
}) {
  const [every, setEvery] = useState(false);
  const [one, two] = [states.find((s) => s.id === first), states.find((s) => s.id === second)];
  return (
    <section aria-labelledby="revisions-compare">
      <SectionHead
        id="revisions-compare"
        title="Compare"
        end={
          <label className="no-print">
            <input type="checkbox" checked={every} onChange={(event) => setEvery(event.currentTarget.checked)} /> also
            what did not move
          </label>
        }
      />
      <div className="revisions-two">
        <StateChoice label="From" states={states} value={first} onChoose={(id) => onChoose(id, second)} />
        <span aria-hidden="true">→</span>
        <StateChoice label="To" states={states} value={second} onChoose={(id) => onChoose(first, id)} />
      </div>
      {one !== undefined && two !== undefined && <Compared one={one} two={two} every={every} />}
    </section>
  );
}

function StateChoice({
  label,
  states,
  value,
  onChoose,
}: {
  label: string;
  states: readonly State[];
  value: string;
  onChoose: (id: string) => void;
}) {
  return (
    <label>
      {label}{" "}
      <select className="field" value={value} onChange={(event) => onChoose(event.currentTarget.value)}>
        {states.map(({ id, words }) => (
          <option key={id} value={id}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

function Compared({ one, two, every }: { one: State; two: State; every: boolean }) {
  const { value, failure } = useAnswer("compareTwo", { one: sideOf(one), two: sideOf(two) });
  return (
    <>
      <h3 className="revisions-under">What changed</h3>
      <ChangeList one={one.document} two={two.document} />
      <h3 className="revisions-under">What it did</h3>
      {failure !== undefined && <p role="status">{failure}</p>}
      {value === undefined && failure === undefined && <p className="revisions-empty">Solving both…</p>}
      {value !== undefined && (
        <DifferenceTable
          differences={value}
          document={two.document}
          first={one.words}
          second={two.words}
          every={every}
        />
      )}
    </>
  );
}

function ChangeList({ one, two }: { one: Document; two: Document }) {
  const items = reworkItems(one, two);
  if (items.length === 0) return <p className="revisions-empty">Nothing: the two are the same design.</p>;
  return (
    <ul className="revisions-changes">
      {items.map((item) => (
        <li key={item.id}>
          <span className="muted">{item.what}</span> {itemWords(item)}
        </li>
      ))}
    </ul>
  );
}
