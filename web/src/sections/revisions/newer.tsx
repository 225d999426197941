import { digits } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { DifferenceTable } from "./difference-table.tsx";

/** Newer library data, offered as a difference: the proven unit itself is never touched by it. */
export function Newer() {
  const { value, failure } = useAnswer("newerThanProven", {});
  const document = useDocument();
  return (
    <section aria-labelledby="revisions-newer">
      <SectionHead
        id="revisions-newer"
        title="Newer data"
        note="what the library says differently since Proven was cut"
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && value.newer.length === 0 && (
        <p className="revisions-empty">None: the library says today what it said then.</p>
      )}
      {value !== undefined && value.newer.length > 0 && (
        <>
          <ul className="revisions-changes">
            {value.newer.map((one) => (
              <li key={`${one.type} ${one.what} ${one.name}`}>
                {one.type}, {one.what} {one.name}
                {one.frozen !== null && one.present !== null
                  ? `: ${digits(one.frozen, 4)} → ${digits(one.present, 4)}`
                  : ""}
              </li>
            ))}
          </ul>
          <p className="revisions-under">
            Proven keeps its own data. With today&rsquo;s it would be computed as below; cut a new revision and pin it
            to take the newer data over.
          </p>
          <DifferenceTable
            differences={value.differences}
            document={document}
            first="as frozen"
            second="with today's data"
            every={false}
          />
        </>
      )}
    </section>
  );
}
