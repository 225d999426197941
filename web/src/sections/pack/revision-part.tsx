import { useId } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { PricesPart } from "./prices-part.tsx";
import type { Pack } from "./use-pack.ts";

/** What stands on the papers, and on which paper they are. */
export function RevisionPart({ pack }: { pack: Pack }) {
  const { chosen, choose, cut, told, size, setSize, date, setDate } = pack;
  const revisions = useSession((session) => session.revisions);
  const id = useId();
  return (
    <section aria-labelledby="pack-revision">
      <SectionHead id="pack-revision" title="Revision and paper" />
      <dl className="pack-facts">
        <dt>
          <label htmlFor={`${id}-of`}>Papers of</label>
        </dt>
        <dd>
          <select
            id={`${id}-of`}
            className="field"
            value={chosen ?? ""}
            onChange={(event) => {
              choose(event.currentTarget.value === "" ? undefined : event.currentTarget.value);
              setDate(undefined);
            }}
          >
            <option value="">Now{chosen === undefined && cut !== undefined ? `, as Rev ${cut.id}` : ""}</option>
            {[...revisions].reverse().map((one) => (
              <option key={one.id} value={one.id}>
                Rev {one.id}
                {one.cutOn === undefined ? "" : `, cut ${one.cutOn}`}
              </option>
            ))}
          </select>
        </dd>
        <dt>They say</dt>
        <dd>
          {cut === undefined ? (
            <span>
              <b>Rev draft</b>, not cut yet; <a href="#revisions">cut it</a>
            </span>
          ) : (
            <span>
              <b>Rev {cut.id}</b>, solved with its own data
            </span>
          )}
        </dd>
        <dt>
          <label htmlFor={`${id}-date`}>Dated</label>
        </dt>
        <dd>
          <input
            id={`${id}-date`}
            type="date"
            className="field"
            value={date}
            onChange={(event) => setDate(event.currentTarget.value === "" ? undefined : event.currentTarget.value)}
          />
          <span className="muted">{told.value?.dated ?? ""}</span>
        </dd>
        <dt>Paper</dt>
        <dd>
          <Choice
            label="Paper"
            options={[
              { value: "A4", words: "A4" },
              { value: "A3", words: "A3" },
              { value: "Letter", words: "Letter" },
            ]}
            value={size}
            onChoose={setSize}
          />
          {size === "A3" && <span className="muted">text stays on A4</span>}
        </dd>
        <PricesPart prices={pack.prices} onPrices={pack.setPrices} />
      </dl>
    </section>
  );
}
