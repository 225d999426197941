import { useMemo, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { figure } from "./finding-words.ts";

const NONE = {};
const RANK = { watch: 0, look: 1, ok: 2 } as const;
/** So many checks are shown whatever they say. */
const FEW = 8;

/** What the ways of the wires come near to, and the lengths to cut. */
export function Wires() {
  const { value, failure } = useAnswer("chassisWires", NONE);
  const [open, setOpen] = useState(false);
  const [all, setAll] = useState(false);
  const checks = useMemo(() => (value?.checks ?? []).toSorted((a, b) => RANK[a.level] - RANK[b.level]), [value]);
  return (
    <section aria-labelledby="chassis-wires" className="chassis-wires">
      <SectionHead id="chassis-wires" title="Wire runs" note="straight or square ways, common practice" />
      {failure !== undefined && <p className="chassis-note">{failure}</p>}
      <table className="chassis-clearances">
        <thead className="unseen">
          <tr>
            <th scope="col">Wire</th>
            <th scope="col">Measured</th>
            <th scope="col">Limit</th>
            <th scope="col">Level</th>
          </tr>
        </thead>
        <tbody>
          {checks.slice(0, all ? checks.length : FEW).map((check) => (
            <tr key={check.id}>
              <th scope="row">{check.words}</th>
              <td className="number">
                <b>{check.millimetres === null ? "" : figure(check.millimetres)}</b>
              </td>
              <td className="number muted">
                {check.bound === "at least" ? "min" : check.bound === "at most" ? "max" : "over"} {figure(check.limit)}
                {"\u202fmm"}
              </td>
              <td>
                {check.level === "look" ? <span className="muted">look</span> : <LevelSign level={check.level} />}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {value !== undefined && value.runs.length > 0 && (
        <div className="chassis-order">
          {checks.length > FEW && (
            <button
              type="button"
              className="button quiet no-print"
              aria-expanded={all}
              onClick={() => setAll((was) => !was)}
            >
              {all ? "Fewer checks" : `${checks.length - FEW} more checks`}
            </button>
          )}
          <button
            type="button"
            className="button quiet no-print"
            aria-expanded={open}
            onClick={() => setOpen((was) => !was)}
          >
            {value.runs.length} wires with lengths to cut
          </button>
          {open && (
            <table>
              <thead>
                <tr>
                  <th scope="col">From</th>
                  <th scope="col">To</th>
                  <th scope="col" className="number">
                    Cut
                  </th>
                  <th scope="col">How</th>
                </tr>
              </thead>
              <tbody>
                {value.runs.map((run) => (
                  <tr key={run.id}>
                    <td>{run.from}</td>
                    <td>{run.to}</td>
                    <td className="number">
                      {run.hangs ? "about " : ""}
                      {run.lengthMillimetres}
                      {"\u202fmm"}
                    </td>
                    <td className="muted">
                      {[run.purpose, run.twisted ? "twisted" : "", run.screened ? "screened" : ""]
                        .filter(Boolean)
                        .join(", ")}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          )}
          {value.missing.length > 0 && (
            <p className="chassis-note">
              {value.missing.length} wires have an end that stands nowhere on the plate yet.
            </p>
          )}
        </div>
      )}
    </section>
  );
}

/** The chosen socket as the iron sees it. */
export function Pins({ item }: { item: string }) {
  const [box, size] = useSize<HTMLDivElement>();
  const width = Math.floor(size.width / PIXELS_PER_MILLIMETRE);
  const { value } = useAnswer("chassisPins", { item, width });
  return (
    <section aria-labelledby="chassis-pins" className="chassis-pins" hidden={value === null}>
      <SectionHead id="chassis-pins" title={`${item} pins`} note="from below, as it is turned" />
      <div ref={box}>{value !== undefined && value !== null && <SceneView scene={value} />}</div>
    </section>
  );
}
